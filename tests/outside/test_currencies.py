"""Currencies against CLDR (babel), which takes codes and minor units from ISO 4217."""

from __future__ import annotations

import pytest
from babel.numbers import get_currency_precision, get_territory_currencies, list_currencies

from listingrisk.amounts import decimals
from listingrisk.tables.lexicon import load_lexicon
from listingrisk.tables.schema import Row

ROWS = load_lexicon().rows("currencies")


@pytest.mark.parametrize("row", ROWS, ids=[row["code"] for row in ROWS])
def test_currencies_code_and_minor_units(row: Row) -> None:
    """Known, and with as many decimals."""
    assert row["code"] in list_currencies()
    assert int(row["minor"]) == get_currency_precision(row["code"])
    assert decimals(row["code"]) == int(row["minor"])


@pytest.mark.parametrize("row", ROWS, ids=[row["code"] for row in ROWS])
def test_currencies_are_tender_in_their_countries(row: Row) -> None:
    """A bare sign takes its currency from the country."""
    for country in row["countries"].split():
        assert row["code"] in get_territory_currencies(country), country


def test_currencies_minor_units_of_all_codes_in_use() -> None:
    """The codes with other than two decimals are those of ISO 4217, as far as still in use."""
    cash = {"IRR", "KPW", "LAK", "LBP", "MMK", "SOS", "SYP", "YER", "AFN", "ALL", "MGA", "MRO", "STN", "PKR", "RSD", "UYW", "CLF", "ISK", "IQD", "UYI", "CLE", "XAU"}  # CLDR counts what is used, not the list
    for code in ("BIF", "CLP", "DJF", "GNF", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF", "XPF", "BHD", "JOD", "KWD", "LYD", "OMR", "TND", "EUR", "USD", "GBP"):
        assert code not in cash
        assert decimals(code) == get_currency_precision(code)
