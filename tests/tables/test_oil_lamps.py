"""The code holds no facts of the trade: a handful of invented tables about oil lamps runs the whole path by --lexicon."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest

from listingrisk import cli
from listingrisk.tables.check import check_folder
from tests.docs.readme import TOP

LAMPS = Path(__file__).parent / "oil_lamps"
LANGUAGE = {"cues", "spellings", "currencies", "answers", "classes", "evidence", "floors", "landed", "settings", "utterances"}
"""Tables whose shipped rows hold for any trade (those of models/ with their sources)."""
OF_THE_TRADE = ("subject", "model_cue", "kind", "mark_place")
"""Kinds of cue that name telephones."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The lamps over the shipped descriptions and the rows of the language."""
    place = tmp_path_factory.mktemp("lamps")
    for half in ("lexicons", "models"):
        (place / half).mkdir()
        shutil.copy(TOP / half / "datapackage.json", place / half)
        for resource in json.loads((TOP / half / "datapackage.json").read_text(encoding="utf-8"))["resources"]:
            _table(half, resource["path"], [field["name"] for field in resource["schema"]["fields"]], place)
    return place


def _table(half: str, name: str, columns: list[str], place: Path) -> None:
    own = _rows(LAMPS / half / name)
    keep = name.removesuffix(".csv") in LANGUAGE or (half == "models" and name == "sources.csv")
    shipped = [row for row in _rows(TOP / half / name) if row.get("kind") not in OF_THE_TRADE or name != "cues.csv"] if keep else []
    if name == "checks.csv":  # the rules hold for any trade, their subjects are its own
        shipped = [row for row in _rows(TOP / half / name) if not (row["slot"] or row["observation"] or row["model"])]
    with (place / half / name).open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, columns)
        writer.writeheader()
        for row in sorted([*own, *shipped], key=lambda r: r["id"]):
            source = {"source": "invented"} if half == "lexicons" and name != "sources.csv" else {}
            writer.writerow({column: {**row, **source}.get(column, "") for column in columns})


def _rows(path: Path) -> list[dict[str, str]]:
    if not path.is_file():
        return []
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def test_oil_lamps_tables_have_no_faults(folder: Path) -> None:
    """The checker knows no telephone either."""
    assert [str(fault) for fault in check_folder(folder).faults] == []


def appraise(folder: Path, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], *more: str) -> str:
    """What the program prints of a lamp."""
    path = tmp_path / "lamp.txt"
    path.write_text(text, encoding="utf-8")
    code = cli.run(["check", str(path), "--lexicon", str(folder), *more])
    out, err = capsys.readouterr()
    assert (code, err) == (0, "")
    return out


TEXT = "Harbour No. 7 oil lamp 1895, all original\nBrass font, kosmos burner, no chimney. £60, postage £8"


def test_oil_lamps_wrong_burner_is_a_conflict(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Model, conflict, question, price, from text to report."""
    report = appraise(folder, TEXT, tmp_path, capsys, "--explain")
    assert report.startswith("Most likely Harbour Lamp No. 7 (")
    assert report.splitlines()[1].startswith("Most to pay: GBP ")
    assert "does not belong" in report.split("What was not shown")[0]
    data = json.loads(appraise(folder, TEXT, tmp_path, capsys, "--format", "json"))
    assert any(f["kind"] == "conflict" and f["slot"] == "wick_holder" for f in data["findings"])
    right = json.loads(appraise(folder, TEXT.replace("kosmos", "duplex"), tmp_path, capsys, "--format", "json"))
    assert not any(f["kind"] == "conflict" for f in right["findings"])
    assert right["max_price"]["bid"] > data["max_price"]["bid"]


def test_oil_lamps_photo_answer(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same from what the buyer sees."""
    text = TEXT.replace("kosmos burner", "two knobs")
    data = json.loads(appraise(folder, text, tmp_path, capsys, "--see", "wick_holder.kind=kosmos", "--format", "json"))
    assert any(f["kind"] == "conflict" and f["slot"] == "wick_holder" for f in data["findings"])


def test_oil_lamps_parts(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What belongs on a lamp."""
    assert cli.run(["parts", "harbour no 9", "--lexicon", str(folder)]) == 0
    assert "\nburner\n  original   kosmos burner\n" in capsys.readouterr().out
