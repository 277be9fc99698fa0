"""The wheel holds the tables: built, installed elsewhere and run from an empty folder."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

from tests.docs.readme import TOP


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command of an installed wheel."""
    place = tmp_path_factory.mktemp("wheel")
    subprocess.run([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(place), str(TOP)], check=True, capture_output=True)
    (wheel,) = place.glob("*.whl")
    venv.create(place / "env", with_pip=False, system_site_packages=False)
    environment = place / "env"
    subprocess.run([sys.executable, "-m", "pip", "--python", str(environment), "--disable-pip-version-check", "install", "-q", "--no-deps", "--no-index", str(wheel)], check=True, capture_output=True)
    site = environment / "Lib" / "site-packages" if os.name == "nt" else next((environment / "lib").glob("python*/site-packages"))
    (site / "borrowed.pth").write_text("\n".join(p for p in sys.path if "site-packages" in p) + "\n")  # its libraries, after the wheel
    return place / "env" / ("Scripts" if os.name == "nt" else "bin") / "listingrisk"


def run(program: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run it in a folder, without this checkout in sight."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    return subprocess.run([str(program), *arguments], capture_output=True, text=True, cwd=folder, env=environment, check=False)


def test_wheel_checks_a_listing_from_an_empty_folder(program: Path, tmp_path: Path) -> None:
    """The same report as from the checkout."""
    path = TOP / "demo_listings" / "03-wrong-dial-332.txt"
    done = run(program, tmp_path, "check", str(path))
    assert (done.returncode, done.stderr) == (0, "")
    own = subprocess.run([sys.executable, "-m", "listingrisk", "check", str(path)], capture_output=True, text=True, cwd=TOP, check=True)
    assert done.stdout == own.stdout


def test_wheel_tables_are_those_inside_it(program: Path, tmp_path: Path) -> None:
    """Found, whole and without faults."""
    done = run(program, tmp_path, "lexicon", "check")
    assert done.returncode == 0
    assert str(TOP / "lexicons") not in done.stdout
    assert done.stdout.endswith("No faults.\n")
