"""A tiny invented lexicon: three telephones that never were, a handful of parts, one of each kind of row."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

from listingrisk.tables.find import table_folder
from listingrisk.tables.lexicon import Lexicon, load_lexicon

SHIPPED = table_folder(None) / "lexicons"
KEPT = ("sources", "views", "slots", "observations")
"""Tables of the field's own words, which are taken as they are."""
COMMON = {"source": "common practice", "certainty": "sure"}
ROWS: dict[str, list[dict[str, str]]] = {
    "models": [
        {"id": "zz-ten", "name": "Zed Ten", "country": "ZZ", "kind": "desk", "family": "zed", "genuine": "yes", "made": "1930/1949", "refurbished_until": "1955", "dialless": "some"},
        {"id": "zz-twenty", "name": "Zed Twenty", "country": "ZZ", "kind": "desk", "family": "zed", "genuine": "yes", "made": "1950/1969", "dialless": "none"},
        {"id": "zz-plain", "name": "Zed Plain", "country": "ZZ", "kind": "desk", "family": "zed", "genuine": "yes", "made": "1930/1949", "dialless": "all"},
        {"id": "yy-ten", "name": "Why Ten", "country": "YY", "kind": "desk", "family": "why", "genuine": "yes", "made": "1950/1980", "dialless": "none"},
    ],
    "parts": [
        {"id": "zz-dial-old", "slot": "dial", "name": "old dial", "made": "1925/1950", "genuine": "yes"},
        {"id": "zz-dial-new", "slot": "dial", "name": "new dial", "made": "1955/1980", "genuine": "yes"},
        {"id": "zz-dial-odd", "slot": "dial", "name": "odd dial", "made": "1925/1980", "genuine": "yes"},
        {"id": "zz-blank", "slot": "dial", "name": "dial blank", "made": "1925/1980", "genuine": "yes"},
        {"id": "zz-cord-new", "slot": "handset_cord", "name": "spring cord", "made": "1960/..", "genuine": "yes"},
        {"id": "zz-coil", "slot": "induction_coil", "name": "zed coil", "made": "1930/1949", "genuine": "yes"},
        {"id": "zz-grip-other", "slot": "handset", "name": "grip of another series", "made": "", "genuine": "yes"},
        {"id": "zz-doubtful", "slot": "capacitor", "name": "doubtful can", "made": "", "genuine": "yes"},
    ],
    "fits": [
        {"model": "zz-ten", "slot": "dial", "part": "zz-dial-old", "fit": "original", "when": "1930/1949"},
        {"model": "zz-ten", "slot": "dial", "part": "zz-dial-new", "fit": "service", "when": "1955/.."},
        {"model": "zz-ten", "slot": "dial", "part": "zz-dial-odd", "fit": "wrong"},
        {"model": "zz-ten", "slot": "dial", "part": "zz-blank", "fit": "original", "share": "some"},
        {"model": "zz-ten", "slot": "handset", "part": "zz-grip-other", "fit": "wrong"},
        {"model": "zz-ten", "slot": "handset_cord", "part": "zz-cord-new", "fit": "service", "when": "1960/.."},
        {"model": "zz-ten", "slot": "induction_coil", "part": "zz-coil", "fit": "original"},
        {"model": "zz-ten", "slot": "capacitor", "part": "zz-doubtful", "fit": "wrong", "certainty": "unsure"},
        {"model": "zz-ten", "slot": "magneto", "part": "", "fit": "absent"},
        {"model": "zz-plain", "slot": "dial", "part": "zz-blank", "fit": "original"},
        {"model": "zz-plain", "slot": "dial", "part": "zz-dial-old", "fit": "wrong"},
    ],
    "signs": [
        {"part": "zz-dial-old", "observation": "finger_stop.shape", "value": "curved", "share": "always"},
        {"part": "zz-dial-old", "observation": "dial.present", "value": "yes", "share": "always"},
        {"part": "zz-dial-new", "observation": "finger_stop.shape", "value": "straight", "share": "always"},
        {"part": "zz-dial-new", "observation": "finger_wheel.material", "value": "plastic", "share": "always"},
        {"part": "zz-dial-new", "observation": "dial.present", "value": "yes", "share": "always"},
        {"part": "zz-dial-odd", "observation": "finger_stop.shape", "value": "straight", "share": "always"},
        {"part": "zz-dial-odd", "observation": "finger_wheel.material", "value": "metal", "share": "always"},
        {"part": "zz-dial-odd", "observation": "dial.present", "value": "yes", "share": "always"},
        {"part": "zz-blank", "observation": "dial.present", "value": "blanked", "share": "always"},
        {"part": "zz-cord-new", "observation": "handset_cord.kind", "value": "coiled", "share": "always"},
        {"model": "zz-ten", "observation": "base_plate.carries_internals", "value": "no", "share": "always"},
        {"model": "zz-ten", "observation": "base_plate.screws", "value": "beside_feet", "share": "usually"},
        {"model": "zz-ten", "observation": "base_plate.screws", "value": "through_feet", "share": "sometimes"},
        {"model": "yy-ten", "observation": "base_plate.carries_internals", "value": "yes", "share": "always"},
        {"model": "yy-ten", "observation": "base_plate.screws", "value": "through_feet", "share": "always"},
    ],
    "names": [
        {"id": "ten.zz-ten", "name": "Z10", "model": "zz-ten", "use": "number"},
        {"id": "twenty.zz-twenty", "name": "Z20", "model": "zz-twenty", "use": "number"},
        {"id": "plain.zz-plain", "name": "Z30", "model": "zz-plain", "use": "number"},
        {"id": "why.yy-ten", "name": "Y10", "model": "yy-ten", "use": "number"},
        {"id": "ten-cb.zz-ten", "name": "Z10CB", "model": "zz-ten", "use": "number", "variant": "dialless"},
    ],
    "marks": [
        {"id": "zz-q", "code": "Q", "kind": "maker", "means": "Queue works"},
        {"id": "zz-rr", "code": "RR", "kind": "refurbisher", "means": "rebuilding works"},
        {"id": "yy-why", "code": "WHYWORKS", "kind": "model", "means": "Why works", "model": "yy-ten"},
    ],
    "tells": [
        {"id": "copy-a", "sign": "bare brass", "means": "of copies", "models": "zed", "slot": "case", "strength": "strong", "trigger": "sign bare_brass", "finding": "conflict", "state": "object.reproduction"},
        {"id": "copy-b", "sign": "buttons", "means": "of copies too", "models": "zed", "slot": "dial", "strength": "strong", "trigger": "see dial.kind=buttons_in_circle", "finding": "conflict", "state": "object.reproduction"},
        {"id": "odd-caps", "sign": "caps", "means": "caps of another", "models": "zed", "slot": "handset", "strength": "moderate", "trigger": "see handset.caps_match=no", "finding": "later", "state": "handset.wrong_type"},
        {"id": "unsure", "sign": "rust", "means": "perhaps wrong", "models": "*", "slot": "feet", "strength": "weak", "trigger": "see feet.present=no", "finding": "conflict", "state": "feet.missing", "certainty": "unsure"},
    ],
    "colours": [
        {"model": "zz-ten", "colour": "black", "standing": "usual"},
        {"model": "zz-ten", "colour": "ivory", "standing": "scarce"},
        {"model": "zz-ten", "colour": "pink", "standing": "never"},
    ],
    "lookalikes": [{"model": "zz-ten", "other": "yy-ten", "how": "all on the base", "view": "base_off"}],
    "disagreements": [
        {"id": "start", "topic": "start of the Zed Ten", "model": "zz-ten", "slot": "", "views": "1930; 1931", "sources": "memory"},
        {"id": "ring", "topic": "ring of the dial", "model": "zz-ten", "slot": "dial", "views": "silver; black", "sources": "memory"},
    ],
}
_IDS = {
    "fits": lambda r: f"{r['model']}.{r['slot']}.{r['part']}.{r['fit']}".replace("..", "."),
    "signs": lambda r: f"{r.get('part') or r['model']}.{r['observation']}.{r['value']}",
    "colours": lambda r: f"{r['model']}.{r['colour']}",
    "lookalikes": lambda r: f"{r['model']}.{r['other']}",
}


def tiny_lexicon(folder: Path) -> Lexicon:
    """Write the tables into a folder, in the columns of the shipped package, and load them."""
    place = folder / "lexicons"
    place.mkdir(parents=True)
    shutil.copy(SHIPPED / "datapackage.json", place)
    for resource in json.loads((SHIPPED / "datapackage.json").read_text(encoding="utf-8"))["resources"]:
        name, path = resource["name"], resource["path"]
        columns = [field["name"] for field in resource["schema"]["fields"]]
        rows = _shipped(path) if name in KEPT else _rules(path) if name == "checks" else [_row(name, row, columns) for row in ROWS.get(name, [])]
        with (place / path).open("w", encoding="utf-8", newline="") as handle:
            writer = csv.DictWriter(handle, columns, lineterminator="\n")
            writer.writeheader()
            writer.writerows(sorted(rows, key=lambda r: r[columns[0]]))
    return load_lexicon(folder)


def _shipped(path: str) -> list[dict[str, str]]:
    with (SHIPPED / path).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def _rules(path: str) -> list[dict[str, str]]:
    """The shipped rules, less those that speak of a shipped model."""
    return [row for row in _shipped(path) if not row["model"]]


def _row(table: str, row: dict[str, str], columns: list[str]) -> dict[str, str]:
    made = {"id": _IDS[table](row)} if table in _IDS else {}
    filled = {**COMMON, **made, **row}
    return {column: filled.get(column, "") for column in columns}
