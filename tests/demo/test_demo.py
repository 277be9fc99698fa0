"""Each demo listing: its whole printed report, so that a reviewer sees what a changed row did.

After a change that is meant, write the new reports with `python -m tests.demo.test_demo`, and read the difference.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
LISTINGS = sorted((TOP / "demo_listings").glob("*.txt"))
EXPECTED = Path(__file__).parent / "expected"


def report(listing: Path) -> str:
    """What the command prints for a demo listing and its photo answers."""
    answers = listing.with_name(f"{listing.stem}.answers.yaml")
    options = ["--answers", str(answers)] if answers.exists() else []
    done = subprocess.run([sys.executable, "-m", "listingrisk", "check", str(listing), *options], capture_output=True, text=True, encoding="utf-8", check=True, cwd=TOP)
    return done.stdout


@pytest.mark.parametrize("listing", LISTINGS, ids=lambda p: p.stem)
def test_demo_report_is_the_one_reviewed(listing: Path) -> None:
    """The printed report is, to the letter, the one that was last read and found right."""
    assert report(listing) == (EXPECTED / f"{listing.stem}.txt").read_text(encoding="utf-8")


def test_demo_listings_are_ten_of_all_stances() -> None:
    """Ten listings, all four stances among their reports."""
    words = "\n".join((EXPECTED / f"{p.stem}.txt").read_text(encoding="utf-8") for p in LISTINGS)
    assert len(LISTINGS) == 10
    for stance in ("describes what is there", "says openly what is not known", "says little", "praise rather than description"):
        assert stance in words


if __name__ == "__main__":
    EXPECTED.mkdir(exist_ok=True)
    for path in LISTINGS:
        (EXPECTED / f"{path.stem}.txt").write_text(report(path), encoding="utf-8")
