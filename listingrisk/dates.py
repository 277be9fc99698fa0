"""EDTF intervals (ISO 8601-2, levels 0 and 1 as collectors write them): read, overlap, show.

Own reader of the few forms the tables use, because the reference library takes 4 ms a date and the tables hold
thousands; tests/outside/ holds it against that library and the examples of the specification.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

FOREVER = 9999
BEGINNING = 0
_DATE = re.compile(r"(?P<year>\d{4}|\d{3}X|\d{2}XX)(?:-(?P<month>\d{2})(?:-(?P<day>\d{2}))?)?(?P<q>[~?%])?\Z")


class Years(NamedTuple):
    """A span of whole years, both ends included; `approximate` where either end carries ~, ? or %."""

    first: int
    last: int
    approximate: bool = False


class NotADate(ValueError):
    """The text is not a date in EDTF as used here."""


@lru_cache(maxsize=4096)
def years(edtf: str) -> Years:
    """Read an EDTF date or interval as whole years.

    An open end (`..` or nothing) runs to year 9999 or from year 0. Raises NotADate.

    >>> years("1906~/1924~")
    Years(first=1906, last=1924, approximate=True)
    >>> years("195X")
    Years(first=1950, last=1959, approximate=False)
    """
    text = edtf.strip()
    if "/" not in text:
        return _one(text)
    low, _, high = text.partition("/")
    open_ends = ("", "..")
    if low in open_ends and high in open_ends:
        raise NotADate(edtf)
    start = Years(BEGINNING, BEGINNING) if low in open_ends else _one(low)
    end = Years(FOREVER, FOREVER) if high in open_ends else _one(high)
    if end.last < start.first:
        raise NotADate(edtf)
    return Years(start.first, end.last, start.approximate or end.approximate)


def _one(text: str) -> Years:
    found = _DATE.match(text)
    if not found or not 0 <= int(found["month"] or 1) <= 12 or not 1 <= int(found["day"] or 1) <= 31:
        raise NotADate(text)
    year = found["year"]
    return Years(int(year.replace("X", "0")), int(year.replace("X", "9")), found["q"] is not None)


def overlap(one: Years, other: Years, slack: int = 0) -> bool:
    """Whether two spans share a year; `slack` years are allowed between approximate ends."""
    extra = slack if one.approximate or other.approximate else 0
    return one.first <= other.last + extra and other.first <= one.last + extra


def meet(one: str, other: str) -> str | None:
    """The EDTF interval common to two, None where they share nothing.

    >>> meet("1937/1959", "1953/..")
    '1953/1959'
    """
    a, b = years(one), years(other)
    first, last = max(a.first, b.first), min(a.last, b.last)
    if first > last:
        return None
    low = ".." if first == BEGINNING else str(first)
    high = ".." if last == FOREVER else str(last)
    return low if low == high else f"{low}/{high}"
