"""Our reader of dates against the reference library and against examples of the EDTF specification.

Examples: Extended Date/Time Format (EDTF) Specification, Library of Congress, levels 0 and 1, the forms we read.
"""

from __future__ import annotations

import edtf
import pytest

from listingrisk.dates import BEGINNING, FOREVER, NotADate, Years, years
from listingrisk.tables.check import DATE_COLUMNS
from listingrisk.tables.lexicon import load_lexicon

EXAMPLES = [
    ("1985-04-12", Years(1985, 1985)),
    ("1985-04", Years(1985, 1985)),
    ("1985", Years(1985, 1985)),
    ("1964/2008", Years(1964, 2008)),
    ("2004-06/2006-08", Years(2004, 2006)),
    ("2004-02-01/2005-02-08", Years(2004, 2005)),
    ("2004-02-01/2005", Years(2004, 2005)),
    ("1984?", Years(1984, 1984, approximate=True)),
    ("2004-06~", Years(2004, 2004, approximate=True)),
    ("2004-06-11%", Years(2004, 2004, approximate=True)),
    ("201X", Years(2010, 2019)),
    ("20XX", Years(2000, 2099)),
    ("1985/..", Years(1985, FOREVER)),
    ("1985/", Years(1985, FOREVER)),
    ("../1985-04-12", Years(BEGINNING, 1985)),
    ("/1985-04-12", Years(BEGINNING, 1985)),
    ("1984~/2004-06", Years(1984, 2004, approximate=True)),
]
REFUSED = ["1937-13", "37", "1937-1959", "c. 1937", "1959/1937", "1937/1959/1960", "193", "", "/", "1937-04-32", "XXXX1"]
TABLES = load_lexicon()
DATES = sorted({row[column] for table, column in DATE_COLUMNS for row in TABLES.rows(table) if row[column]})


@pytest.mark.parametrize(("text", "meant"), EXAMPLES)
def test_edtf_examples_of_the_specification(text: str, meant: Years) -> None:
    """Levels 0 and 1, and the reference library reads them too."""
    assert years(text) == meant
    edtf.parse_edtf(text)


@pytest.mark.parametrize("text", REFUSED)
def test_edtf_other_forms_are_refused(text: str) -> None:
    """What is not a date is not read as one."""
    with pytest.raises(NotADate):
        years(text)


def test_edtf_dates_of_the_tables_agree_with_the_reference_library() -> None:
    """First and last year of every distinct date."""
    assert len(DATES) > 50
    for text in DATES:
        first, last = _ends(text)
        ours = years(text)
        assert (ours.first, ours.last) == (BEGINNING if first is None else first, FOREVER if last is None else last), text


def _ends(text: str) -> tuple[int | None, int | None]:
    """First and last year; None for an open end. Ends of an interval are read singly: the library refuses `1899~/193X`."""
    low, sign, high = text.partition("/")
    if not sign:
        low = high = text
    open_ends = ("", "..")
    first = None if low in open_ends else edtf.parse_edtf(low).lower_strict().tm_year
    last = None if high in open_ends else edtf.parse_edtf(high).upper_strict().tm_year
    return first, last
