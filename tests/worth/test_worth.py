"""Worth and price of the shipped tables: what a collector would expect."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest

from listingrisk.errors import BadAnswers
from listingrisk.reading.listing import Money
from listingrisk.risk.add import EvidenceRow
from listingrisk.risk.assess import assess
from listingrisk.risk.nodes import nodes_for
from listingrisk.worth.band import band
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.ceiling import ceiling, less_than_right_one
from listingrisk.worth.frame import round_step
from listingrisk.worth.landed import landing
from listingrisk.worth.pool import pool_worth
from listingrisk.worth.value import value
from tests.risk.stub import shipped

GBP = Buyer(currency="GBP")


def seen(node, state, evidence):
    row = shipped().evidence[evidence]
    return EvidenceRow(node, state, row.weight_db, f"{node}.{state}", row.gamma, row.what, row.source, row.grade, seen=True)


def appraised(lexicon, model, rows=(), said=(), *, colour="", buyer=GBP):
    nodes = nodes_for(model, lexicon, shipped(), colour=colour, purpose=buyer.purpose)
    return value(assess(rows, said, nodes, shipped()), model, shipped(), buyer)


def price(worth, buyer=GBP, postage=None):
    return ceiling(worth, buyer, landing(buyer, postage, shipped(), "GBP"), shipped())


COIL_GONE = seen("induction_coil", "missing", "photo-inside-fault")
STRAIGHT = seen("finger_stop", "wrong_type", "photo-part-kind")


def test_nothing_known_is_worth_the_guide(lexicon):
    """Mean worth with no words and no photos is the guide's middle within 5 %, for every model with a guide (method C)."""
    checked = 0
    for model in lexicon.models:
        worth = appraised(lexicon, model)
        if worth.basis == "guide" and not worth.basis_row.verified:
            assert worth.expected == pytest.approx(worth.basis_row.mid, rel=0.05), model
            assert worth.as_claimed > worth.basis_row.mid, model
            checked += 1
    assert checked >= 25


def test_a_black_332_of_which_nothing_is_seen(lexicon):
    """Guide 20 to 80 pounds: between 25 and 45 landed."""
    assert Decimal(25) <= price(appraised(lexicon, "uk-332", colour="black")).landed <= Decimal(45)


def test_a_332_without_coil_and_with_a_later_dial(lexicon):
    """Coil seen missing and a straight finger stop: at most four fifths of what it was."""
    before, after = (price(appraised(lexicon, "uk-332", rows)) for rows in ((), (COIL_GONE, STRAIGHT)))
    assert after.landed <= Decimal("0.8") * before.landed


def test_a_332_seen_right_throughout(lexicon):
    """All good photos raise the price; a slot seen right in every way never lowers it."""
    nodes = nodes_for("uk-332", lexicon, shipped())
    good = [seen(n.id, s, "photo-close-ok") for n in nodes.slots for s in n.states[1:] if n.id not in ("works", "arrives_whole")]
    before = price(appraised(lexicon, "uk-332"))
    assert price(appraised(lexicon, "uk-332", good)).landed > before.landed
    for node in nodes.slots:
        of_slot = [row for row in good if row.node == node.id]
        assert price(appraised(lexicon, "uk-332", of_slot)).landed >= before.landed - Decimal("0.01")


def test_a_rare_jade_green_232_lands_below_a_quarter_until_its_colour_is_seen(lexicon):
    """Nothing seen: below a quarter of the same seen right through (method C)."""
    through = (seen("case", "wrong_type", "colour-through"), seen("case", "repro", "photo-close-ok"))
    nothing, right = (price(appraised(lexicon, "uk-232", rows, colour="jade-green")) for rows in ((), through))
    assert nothing.landed < right.landed / 4


def test_the_sum_leads_from_worth_to_bid(lexicon):
    """Every line adds up to the bid, to the penny."""
    buyer = Buyer(currency="GBP", premium_percent=Decimal(24), surplus=Decimal(3))
    most = price(appraised(lexicon, "uk-232"), buyer, Money(Decimal("9.45"), "GBP"))
    assert sum(line.amount for line in most.breakdown[:-1]) == most.breakdown[-1].amount == most.bid
    assert [line.what for line in most.breakdown] == ["worth as claimed", "deductions expected", "margin for being wrong", "gain wanted", "postage", "premium and tax on it", "bid"]


def test_no_bid_where_the_post_costs_more_than_the_thing(lexicon):
    """Postage of 90 on a 746: no bid at all."""
    most = price(appraised(lexicon, "uk-746"), GBP, Money(Decimal(90), "GBP"))
    assert most.bid is None
    assert most.breakdown == ()


def test_the_buyers_own_worth_comes_first(lexicon):
    """--worth 200: basis buyer, 200 as claimed."""
    worth = appraised(lexicon, "uk-332", buyer=Buyer(currency="GBP", worth=Decimal(200)))
    assert worth.basis == "buyer"
    assert worth.as_claimed == pytest.approx(200, rel=0.02)


def test_without_a_basis_there_is_a_share_and_no_price(lexicon):
    """No worth known: 100 notional, no price, a reason, and still how much less to pay than for a right one."""
    worth = appraised(lexicon, "uk-bellset-25")
    assert worth.basis is None
    assert price(worth) is None
    assert worth.why_no_price == "no worth is known for this model; give one with --worth"
    assert 0 < less_than_right_one(worth, GBP, shipped()) < 1


def test_without_a_rate_there_is_no_price(lexicon):
    """A listing in euros needs --rate GBP=...; with it the price follows the rate."""
    worth = appraised(lexicon, "uk-332", buyer=Buyer(currency="EUR"))
    assert worth.basis is None
    assert worth.why_no_price == "worth is known in GBP only; give its rate with --rate GBP=..."
    rated = appraised(lexicon, "uk-332", buyer=Buyer(currency="EUR", rates={"GBP": Decimal("1.2")}))
    assert rated.currency == "EUR"
    assert rated.expected == pytest.approx(60, rel=0.05)


def test_without_a_currency_there_is_no_price(lexicon):
    """A bare sign with no place: say so."""
    assert appraised(lexicon, "uk-332", buyer=Buyer()).why_no_price == "the price has no currency; give one with --currency"


def test_costs_in_a_currency_without_a_rate(lexicon):
    """The buyer's worth in dollars, costs in pounds: no price before the rate of the pound is given."""
    worth = appraised(lexicon, "uk-332", buyer=Buyer(currency="USD", worth=Decimal(100)))
    assert worth.why_no_price == "costs are known in GBP only; give its rate with --rate GBP=..."


def test_purposes_differ(lexicon):
    """A 232 without its bell set costs one who would use it; for spares the sum of parts counts."""
    show, use, spares = (appraised(lexicon, "uk-232", buyer=Buyer(currency="GBP", purpose=p)) for p in ("display", "use", "spares"))
    assert use.expected < show.expected
    assert spares.expected != pytest.approx(show.expected)
    assert spares.values.min() >= 0


@pytest.mark.parametrize("overpay", [0.5, 11.0])
def test_overpay_outside_its_range(lexicon, overpay):
    """The error names the bounds."""
    with pytest.raises(BadAnswers, match=f"--overpay {overpay:g} is outside 1 to 10; give a number within"):
        price(appraised(lexicon, "uk-332"), Buyer(currency="GBP", overpay=overpay))


def test_dread_of_overpaying_lowers_the_bid(lexicon):
    """1, 2, 3 and 10 times: falling."""
    worth = appraised(lexicon, "uk-332")
    landed = [price(worth, Buyer(currency="GBP", overpay=x)).landed for x in (1.0, 2.0, 3.0, 10.0)]
    assert landed == sorted(landed, reverse=True)


def test_pooled_worth_is_the_mixture(lexicon):
    """Means mix by probability; one candidate alone is itself; a candidate without basis is left out."""
    one, other, none = appraised(lexicon, "uk-332"), appraised(lexicon, "uk-746"), appraised(lexicon, "uk-bellset-25")
    pooled = pool_worth([(0.6, one), (0.2, other)])
    assert pooled.expected == pytest.approx(0.75 * one.expected + 0.25 * other.expected)
    assert pooled.probabilities.sum() == pytest.approx(1)
    assert (np.diff(pooled.values) > 0).all()
    assert pool_worth([(0.5, one), (0.4, none)]) is one


def test_band_holds_the_bid(lexicon):
    """The bid lies in its band; a price inside it is a close call, one far above is not."""
    nodes = nodes_for("uk-332", lexicon, shipped())
    cost = landing(GBP, Money(Decimal(10), "GBP"), shipped(), "GBP")
    found = band([COIL_GONE], [], nodes, shipped(), buyer=GBP, cost=cost)
    bid = ceiling(value(assess([COIL_GONE], [], nodes, shipped()), "uk-332", shipped(), GBP), GBP, cost, shipped()).bid
    assert found.low <= bid <= found.high
    assert found.holds(bid) or found.low == bid
    assert not found.holds(Decimal(500))


def test_postage_of_the_listing_the_buyer_and_the_table():
    """The buyer's figure, then the listing's, then the usual one; another currency needs a rate."""
    assert landing(GBP, Money(Decimal(7), "GBP"), shipped(), "GBP").postage_minor == 700
    assert landing(Buyer(currency="GBP", postage=Decimal(3)), Money(Decimal(7), "GBP"), shipped(), "GBP").postage_minor == 300
    assert landing(GBP, None, shipped(), "GBP").postage_from == "table"
    assert landing(GBP, Money(Decimal(7), "EUR"), shipped(), "GBP").postage_from == "table"
    assert landing(Buyer(currency="SEK"), None, shipped(), "SEK").postage_from == "unknown"


@pytest.mark.parametrize("dearest", [0.3, 7.0, 245.0, 3900.0, 2e6])
def test_the_step_keeps_the_grid_small(dearest):
    """1, 2, 5 times a power of ten, never more than 512 cells."""
    step = round_step(dearest)
    assert dearest / step < 512
    assert round(step / 10 ** np.floor(np.log10(step) + 1e-9), 6) in (1, 2, 5)
