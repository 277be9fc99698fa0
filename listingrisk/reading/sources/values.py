"""Single values of a file's own fields: amounts, currencies, conditions, places."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from listingrisk.reading.money import amounts, number
from listingrisk.reading.sources.decode import one_line
from listingrisk.reading.sources.limits import LARGEST_AMOUNT

_DIGITS = re.compile(r"\d{1,12}(?:\.\d{1,12})?")
_WRITTEN = re.compile(r"(?<![\w.,])(?:\d{1,3}(?:[ ,.']\d{3})+(?:[.,]\d{2})?|\d{1,9}(?:[.,]\d{1,2})?)(?![\w%])")
_CODE = re.compile(r"[A-Za-z]{3}")
_SIGNS = {"£": "GBP", "€": "EUR"}
_FREE = frozenset({"free", "included", "none", "gratis", "kostenlos"})
_MOST_VALUE = 100


def amount(value: Any) -> tuple[Decimal | None, str | None]:
    """Give the amount and currency of a field of money; None where it is none.

    >>> amount("£1,250.00"), amount(45), amount("45.000"), amount("ask")
    ((Decimal('1250.00'), 'GBP'), (Decimal('45'), None), (Decimal('45.00'), None), (None, None))
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal):
        return None, None
    text = (str(value) if not isinstance(value, Decimal) else format(value, "f") if _small(value) else "").strip()
    if len(text) > _MOST_VALUE or text.startswith("-"):
        return None, None
    if _DIGITS.fullmatch(text):
        return _bounded(Decimal(text)), None
    named = amounts(text)
    if named:
        return _bounded(named[0].value), named[0].currency
    found = _WRITTEN.search(text)
    return (_bounded(number(found[0])), None) if found else (None, None)


def postage(value: Any) -> tuple[Decimal | None, str | None]:
    """As `amount`, with words for nothing to pay."""
    if isinstance(value, str) and value.strip().casefold() in _FREE:
        return Decimal(0), None
    return amount(value)


def _small(value: Decimal) -> bool:
    return value.is_finite() and -12 <= value.adjusted() <= 12


def _bounded(value: Decimal | None) -> Decimal | None:
    """Give a sum of money one can pay, with at most two decimals."""
    if value is None or not value.is_finite() or not 0 <= value <= LARGEST_AMOUNT:
        return None
    exponent = value.as_tuple().exponent
    return value.quantize(Decimal("0.01")) if isinstance(exponent, int) and exponent < -2 else value


def currency(value: Any) -> str | None:
    """Give an ISO 4217 code as written, or that of a sign which has one only.

    >>> currency("gbp"), currency("£"), currency("$")
    ('GBP', 'GBP', None)
    """
    if not isinstance(value, str):
        return None
    text = value.strip()
    return text.upper() if _CODE.fullmatch(text) and text.isascii() else _SIGNS.get(text)


def last_word(value: Any) -> str | None:
    """Give the name at the end of a vocabulary's address: `https://schema.org/UsedCondition` is `UsedCondition`."""
    text = words(value)
    if not text:
        return None
    return one_line(text.rstrip("/#").replace("#", "/").rsplit("/", 1)[-1], _MOST_VALUE) if "//" in text else one_line(text, _MOST_VALUE)


def words(value: Any) -> str:
    """Give the words of a value: a string, the first string of a list, or an object's name or value."""
    for _ in range(4):
        if isinstance(value, list):
            value = value[0] if value else None
        elif isinstance(value, dict):
            value = value.get("name") or value.get("@value") or value.get("@id")
    return value.strip() if isinstance(value, str) else ""
