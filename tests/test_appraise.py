"""The whole path as Python: figures that hold whatever the tables say in detail."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from listingrisk import appraise
from listingrisk.reading.sources import draft_text, load_listings

DEMO = Path(__file__).parents[1] / "demo_listings"
PLAIN = "GPO 332 bakelite telephone 1948, all original, fully working £140"


def test_appraise_a_lot_adds_up_line_by_line() -> None:
    """The bid for a lot is the sum of its telephones with the postage paid once."""
    found = appraise((DEMO / "08-two-for-the-waiting-room.txt").read_text(encoding="utf-8"))
    price = found.one.max_price
    assert price is not None
    *lines, bid = price.breakdown
    assert len(found.items) == 2
    assert sum((line.amount for line in lines), Decimal(0)) == bid.amount == price.bid


def test_appraise_bad_photos_lower_and_good_ones_do_not() -> None:
    """A coil gone and a straight finger stop take at least a fifth off; coil, capacitor and a curved stop take nothing."""
    plain = appraise(PLAIN).to_dict()["max_price"]["landed"]
    bad = appraise(PLAIN, answers={"see": {"finger_stop.shape": "straight", "induction_coil.present": "no"}}).to_dict()
    good = appraise(PLAIN, answers={"see": {"finger_stop.shape": "curved", "induction_coil.present": "yes", "capacitor.present": "yes"}}).to_dict()
    assert bad["identity"][0]["model"] == "uk-332"
    assert {"dial", "induction_coil"} <= {f["slot"] for f in bad["findings"] if f["kind"] == "conflict"}
    assert bad["max_price"]["landed"] <= 0.8 * plain
    assert not [q for q in bad["questions"] if "induction_coil" in q["slots"]]
    assert not [f for f in good["findings"] if f["kind"] == "conflict"]
    assert good["max_price"]["landed"] >= plain


@pytest.mark.parametrize(
    "text",
    [
        "GPO 332 telephone with a plain black plastic dial of 1962\n£60",
        "GPO 332 telephone 1950, refurbished by the Post Office in 1961, coiled cord\n£60",
    ],
)
def test_appraise_openly_told_later_parts_are_no_conflict(text: str) -> None:
    """A service dial of 1962, or the coiled cord of a refurbishing, is later and breaks no claim (common practice)."""
    kinds = {f["kind"] for f in appraise(text).to_dict()["findings"]}
    assert "later" in kinds
    assert "conflict" not in kinds


def test_appraise_a_scarce_colour_unseen_is_worth_a_quarter_at_most() -> None:
    """A jade 232 of which nothing was seen lands below a quarter of one seen right through; that question comes first."""
    text = "rare jade green GPO 232 telephone\n£900"
    unseen = appraise(text).to_dict()
    through = appraise(text, answers={"see": {"case.colour_through": "yes"}}).to_dict()
    assert unseen["max_price"]["landed"] < through["max_price"]["landed"] / 4
    assert "case" in unseen["questions"][0]["slots"]


def test_appraise_takes_the_price_a_saved_page_states() -> None:
    """The structured price of a page wins over amounts in its text."""
    page = b'<html><head><script type="application/ld+json">{"@type": "Product", "name": "GPO 332 telephone", "description": "Black bakelite GPO 332, drawer there, new one would be 95 pounds.", "offers": {"@type": "Offer", "price": "62.00", "priceCurrency": "GBP"}}</script></head><body><h1>GPO 332 telephone</h1></body></html>'
    (draft,) = load_listings(page, "saved.html")
    price = appraise(draft_text(draft), draft=draft).read.listing.price
    assert price is not None
    assert (price.amount, price.currency) == (Decimal(62), "GBP")
