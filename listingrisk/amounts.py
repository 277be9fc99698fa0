"""Exact money: whole minor units of a currency (pence, cents), never floats.

The number of decimals of each currency is that of ISO 4217 (list one); 2 where not named here.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal, InvalidOperation

from listingrisk.errors import BadAnswers

_DECIMALS = dict.fromkeys(
    ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF", "XPF"), 0
) | dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3)
_USUAL_DECIMALS = 2


def decimals(currency: str) -> int:
    """How many decimals the currency has.

    >>> decimals("GBP"), decimals("JPY")
    (2, 0)
    """
    return _DECIMALS.get(currency, _USUAL_DECIMALS)


def to_minor(amount: Decimal | float | str, currency: str) -> int:
    """An amount in whole minor units, halves away from zero.

    Raises BadAnswers where the amount is not a finite number.

    >>> to_minor(Decimal("12.345"), "GBP"), to_minor("980", "JPY")
    (1235, 980)
    """
    return int(_exact(amount).scaleb(decimals(currency)).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def floor_minor(amount: float, currency: str) -> int:
    """An amount in whole minor units, rounded down."""
    return int(_exact(amount).scaleb(decimals(currency)).quantize(Decimal(1), rounding=ROUND_FLOOR))


def from_minor(minor: int, currency: str) -> Decimal:
    """The amount that so many minor units make.

    >>> from_minor(1235, "GBP")
    Decimal('12.35')
    """
    return Decimal(minor).scaleb(-decimals(currency))


def percent_of(minor: int, percent: Decimal) -> int:
    """A percentage of an amount, in whole minor units, halves up, as a tax line or a premium is rounded.

    >>> percent_of(10000, Decimal(24))
    2400
    """
    return int((Decimal(minor) * percent / 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _exact(amount: Decimal | float | str) -> Decimal:
    try:
        exact = Decimal(str(amount))
    except InvalidOperation:
        exact = Decimal("NaN")
    if not exact.is_finite():
        raise BadAnswers(f"{amount!r} is not an amount of money; write digits, such as 12.50")
    return exact
