"""Made-up bad tables: each check with the full sentence it must give."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from listingrisk.tables.check import check_folder
from tests.docs.readme import TOP

Rows = list[dict[str, str]]


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the shipped tables."""
    place = tmp_path_factory.mktemp("shipped")
    for name in ("lexicons", "models"):
        shutil.copytree(TOP / name, place / name)
    return place


@pytest.fixture
def folder(shipped: Path, tmp_path: Path) -> Path:
    """A copy to spoil."""
    shutil.copytree(shipped, tmp_path, dirs_exist_ok=True)
    return tmp_path


def spoil(folder: Path, file: str, change: Callable[[Rows], None]) -> None:
    """Change the rows of one table; they are sorted again."""
    path = folder / file
    with path.open(encoding="utf-8", newline="") as handle:
        reader = csv.DictReader(handle)
        columns = list(reader.fieldnames or ())
        rows = list(reader)
    change(rows)
    rows.sort(key=lambda row: row[columns[0]])
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, columns)
        writer.writeheader()
        writer.writerows(rows)


def number(folder: Path, file: str, key: str) -> int:
    """Row of an id as an editor counts it."""
    with (folder / file).open(encoding="utf-8", newline="") as handle:
        return next(i for i, row in enumerate(csv.DictReader(handle), 2) if next(iter(row.values())) == key)


def setting(key: str, **values: str) -> Callable[[Rows], None]:
    """Set cells of the row with this id."""

    def change(rows: Rows) -> None:
        row = next(row for row in rows if row["id"] == key)
        row.update(values)

    return change


def adding(like: str, **values: str) -> Callable[[Rows], None]:
    """Add a row like another."""

    def change(rows: Rows) -> None:
        row = next(row for row in rows if row["id"] == like)
        rows.append({**row, **values})

    return change


DIAL = "uk-332.dial.uk-dial-10.original"
TELL = "396-with-a-dial"
SIGN = "in-base-dished.base_plate.dished.yes"
BAD = [
    ("models", setting("uk-332", made="thirties"), "uk-332", "column made: 'thirties' is not an EDTF date; write 1937, 1937~, 195X or 1937/1959"),
    ("parts", setting("uk-dial-12", made="1961/1953"), "uk-dial-12", "column made: '1961/1953' is not an EDTF date; write 1937, 1937~, 195X or 1937/1959"),
    ("models", setting("uk-332", refurbished_until="1920"), "uk-332", "column refurbished_until: 1920 lies before 1937/1959, when it was made; give the last year of refurbishing"),
    ("models", setting("uk-332", country=""), "uk-332", "column country: is empty; fill it in"),
    ("models", setting("uk-332", kind="sofa"), "uk-332", "column kind: 'sofa' is not one of desk, wall, candlestick, coin_box, portable, bell_set, other; use one of these"),
    ("fits", setting(DIAL, certainty=" sure"), DIAL, "column certainty: ' sure' has stray spaces; remove them"),
    ("fits", setting(DIAL, part="uk-dial-99"), DIAL, "column part: 'uk-dial-99' is not in parts.csv; add it there or name one of parts.csv"),
    ("fits", setting(DIAL, source="hearsay"), DIAL, "column source: 'hearsay' is not in sources.csv; add it there or name one of sources.csv"),
    ("fits", setting(DIAL, part="uk-handset-164"), DIAL, "column slot: uk-handset-164 fills handset, not dial; name the slot of the part"),
    ("fits", setting(DIAL, part=""), DIAL, "column part: is empty for fit original; name the part"),
    ("fits", setting(DIAL, fit="absent"), DIAL, "column part: names a part that is absent; leave part empty"),
    ("fits", setting("uk-332.dial.uk-dial-12.original", when="1937/1940"), "uk-332.dial.uk-dial-12.original", "column when: 1937/1940 ends before uk-dial-12 was made (1953~/1961~); correct one of the two"),
    ("fits", setting(DIAL, when="1971/1980"), DIAL, "column when: 1971/1980 does not meet 1937/1959, when uk-332 was made; correct one of the two, or call it service"),
    ("fits", setting(DIAL, when_basis=""), DIAL, "column when_basis: when and when_basis are not both filled or both empty; say own or derived where there are years"),
    ("fits", adding(DIAL, id="uk-332.dial.uk-dial-10.wrong", fit="wrong", when="", when_basis=""), "uk-332.dial.uk-dial-10.wrong", "column fit: uk-dial-10 is both right and wrong at dial of uk-332 in the same years; keep one, or give each its years"),
    ("fits", adding(DIAL, id="uk-332.dial.uk-dial-10.original.9"), "uk-332.dial.uk-dial-10.original.9", "column model: says again what row {first} says of uk-332 dial uk-dial-10 original 1937/1957~; keep one row"),
    ("fits", setting(DIAL, id="uk-332.uk-dial-10"), "uk-332.uk-dial-10", "column id: 'uk-332.uk-dial-10' does not begin with its model and slot; begin it with uk-332.dial."),
    ("signs", setting(SIGN, value="perhaps"), SIGN, "column value: 'perhaps' is not a value of base_plate.dished; use one of yes no cannot_see"),
    ("signs", setting(SIGN, value="cannot_see"), SIGN, "column value: 'cannot_see' shows nothing; name what is seen, or take the row out"),
    ("signs", setting(SIGN, model="uk-332"), SIGN, "column model: model and part are both filled; fill exactly one"),
    ("signs", setting(SIGN, part=""), SIGN, "column model: model and part are both empty; fill exactly one"),
    ("observations", setting("bell.present", values="yes no"), "bell.present", "column values: lacks cannot_see; add it: not seeing is an answer"),
    ("observations", setting("bell.present", values="yes no no cannot_see"), "bell.present", "column values: 'no' stands there 2 times; keep one"),
    ("observations", setting("bell.present", slot="drawer"), "bell.present", "column id: 'bell.present' does not begin with its slot 'drawer'; name it slot.sign, or marks.place"),
    ("tells", setting(TELL, models="uk-396 uk-999"), TELL, "column models: 'uk-999' is no model, no family and not *; name one of models.csv"),
    ("tells", setting(TELL, state="dial.melted"), TELL, "column state: 'dial.melted' is no node and state; write node.state, such as dial.wrong_type"),
    ("tells", setting(TELL, finding=""), TELL, "column finding: is empty for a tell with a trigger; say what kind of finding it makes"),
    ("tells", setting(TELL, trigger="smells of paint"), TELL, "column trigger: 'smells of paint' is no condition; see Triggers in lexicons/README.md"),
    ("tells", setting(TELL, trigger="see dial.present=maybe"), TELL, "column trigger: 'maybe' is not a value of dial.present; use one of {dial}"),
    ("tells", setting(TELL, trigger="see dial.mood=good"), TELL, "column trigger: 'dial.mood' is not in observations.csv; add it there or name one of observations.csv"),
    ("tells", setting(TELL, trigger="part uk-dial-99"), TELL, "column trigger: part 'uk-dial-99' is not in parts.csv; name one that is"),
    ("tells", setting(TELL, trigger="mark lid~ITI"), TELL, "column trigger: 'lid' is no place of a mark; use one of any base case handset dial"),
    ("tells", setting(TELL, trigger="slot lid=missing"), TELL, "column trigger: 'lid' is not in slots.csv; name one of slots.csv"),
    ("tells", setting(TELL, trigger="flag haunted"), TELL, "column trigger: flag 'haunted' is not in the list of flags; name one that is"),
    ("cautions", setting("approval", slots="plug lid"), "approval", "column slots: 'lid' is not in slots.csv; add it there or name one of slots.csv"),
    ("cautions", setting("approval", when="sometimes"), "approval", "column when: 'sometimes' is no occasion; write open, finding or sign:SIGN"),
    ("colours", setting("uk-746.pink", colour="puce"), "uk-746.pink", "column colour: 'puce' has no word in colour_words.csv; add the words for it there"),
    ("lookalikes", setting("in-iti-332.uk-332", other="in-iti-332"), "in-iti-332.uk-332", "column other: 'in-iti-332' is the model itself; name the other one"),
    ("currencies", setting("gbp", code="gbp"), "gbp", "column code: 'gbp' is not an ISO 4217 code; write three capital letters"),
    ("currencies", setting("gbp", minor="two"), "gbp", "column minor: 'two' is not an integer; write digits"),
    ("sources", setting("abdyantiques", address=""), "abdyantiques", "column address: is empty for a page; say where it is and when it was read"),
]  # fmt: skip


@pytest.mark.parametrize(("table", "change", "key", "sentence"), BAD, ids=[f"{t}-{s[7:45].replace(' ', '-')}" for t, _, _, s in BAD])
def test_check_bad_row_is_named_in_full(folder: Path, table: str, change: Callable[[Rows], None], key: str, sentence: str) -> None:
    """File, row, column, what is wrong and what to do."""
    spoil(folder, f"lexicons/{table}.csv", change)
    row = number(folder, f"lexicons/{table}.csv", key)
    sentence = sentence.replace("{first}", str(row - 1))
    if "{dial}" in sentence:
        with (folder / "lexicons/observations.csv").open(encoding="utf-8", newline="") as handle:
            sentence = sentence.replace("{dial}", next(r["values"] for r in csv.DictReader(handle) if r["id"] == "dial.present"))
    assert f"{table}.csv row {row} {sentence}" in [str(fault) for fault in check_folder(folder).faults]


def test_check_unsorted_rows_are_named(folder: Path) -> None:
    """Sorted rows show their change in a comparison."""
    path = folder / "lexicons/views.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([lines[0], lines[2], lines[1], *lines[3:]]), encoding="utf-8")
    first, second = (line.split(",")[0] for line in (lines[1], lines[2]))
    assert f"views.csv row 3 column id: {first!r} stands after {second!r}; sort the rows by this column" in [str(f) for f in check_folder(folder).faults]


def test_check_torn_row_is_named(folder: Path) -> None:
    """A comma outside quotation marks."""
    path = folder / "lexicons/views.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([lines[0], lines[1].rstrip("\r\n") + ",more\n", *lines[2:]]), encoding="utf-8")
    assert "views.csv row 2: 7 cells for 6 columns; quote cells that hold commas" in [str(f) for f in check_folder(folder).faults]


def test_check_all_faults_are_named_not_the_first(folder: Path) -> None:
    """Two tables, three faults."""
    spoil(folder, "lexicons/models.csv", setting("uk-332", made="thirties", refurbished_until="never"))
    spoil(folder, "lexicons/currencies.csv", setting("gbp", code="gbp"))
    assert {f.file for f in check_folder(folder).faults} == {"models.csv", "currencies.csv"}
    assert len(check_folder(folder).faults) >= 3


def test_check_weights_name_what_the_lexicon_knows(folder: Path) -> None:
    """A model of worths.csv that models.csv does not hold."""
    key = "uk-150.199x"
    spoil(folder, "models/worths.csv", setting(key, model="uk-999"))
    row = number(folder, "models/worths.csv", key)
    assert f"worths.csv row {row} column model: 'uk-999' is not known to lexicons/; name one that is, or add it there" in [str(f) for f in check_folder(folder).faults]


def test_check_shipped_tables_have_no_faults() -> None:
    """The shipped tables pass their own checks."""
    checked = check_folder(TOP)
    assert [str(fault) for fault in checked.faults] == []
    assert sum(checked.kinds.values()) == sum(n for name, n in checked.tables.items() if name.startswith("lexicons/") and name != "lexicons/sources")
