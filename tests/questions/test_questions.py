"""Questions from the shipped tables."""

from __future__ import annotations

from decimal import Decimal

import pytest

from listingrisk.claims.claim import Observation
from listingrisk.questions.ask import candidates
from listingrisk.questions.rank import pool_questions, rank
from listingrisk.reading.listing import Money, Price
from listingrisk.risk.add import EvidenceRow, Said, SaidOfAll
from listingrisk.risk.assess import assess
from listingrisk.risk.nodes import nodes_for
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.landed import landing
from listingrisk.worth.value import value
from tests.risk.stub import shipped

GBP = Buyer(currency="GBP")


def asked(lexicon, model, *, rows=(), said=(), colour="", price=None, kind="asking", buyer=GBP, **options):
    nodes = nodes_for(model, lexicon, shipped(), colour=colour)
    risk = assess(rows, said, nodes, shipped())
    worth = value(risk, model, shipped(), buyer)
    cost = landing(buyer, Money(Decimal(10), "GBP"), shipped(), "GBP")
    wanted = None if price is None else Price(Decimal(price), "GBP", kind)
    return rank(risk, worth, buyer, lexicon, shipped(), price=wanted, cost=cost, **options)


def test_the_colour_of_a_rare_jade_green_232_is_asked_first(lexicon):
    """The inner wall of the case before anything else, whatever the price."""
    for price in (None, 300, 695):
        first = asked(lexicon, "uk-232", colour="jade-green", price=price)[0]
        assert first.view == "inside_case"
        assert first.slots == ("case",)
        assert first.decisive


def test_four_photographs_for_a_332_of_which_nothing_is_seen(lexicon):
    """At most four, the inside among them, no slot asked twice, each told in one sentence."""
    found = asked(lexicon, "uk-332")
    assert 2 <= len(found) <= 4
    assert "base_off" in [q.view for q in found]
    assert all(q.worth_asking >= 0 and q.unit == "GBP" and q.why and q.text for q in found)
    assert sum(q.minutes for q in found) <= shipped().settings["patience_minutes"]


def test_what_is_seen_is_not_asked_again(lexicon):
    """A seen coil gives no coil question, neither a photograph nor a word; "cannot see" leaves it open."""
    nodes = nodes_for("uk-332", lexicon, shipped())
    risk = assess((), (), nodes, shipped())
    for value_, open_ in (("yes", False), ("no", False), ("cannot_see", True)):
        found = candidates(risk, lexicon, shipped(), observations=[Observation("induction_coil.present", value_)])
        assert any("induction_coil" in c.slots for c in found) is open_


def test_a_view_that_is_shown_is_not_asked_for(lexicon):
    """The inside is shown: no photograph of it, and a word about the coil instead."""
    risk = assess((), (), nodes_for("uk-332", lexicon, shipped()), shipped())
    found = candidates(risk, lexicon, shipped(), shown=["base_off"])
    assert not any(c.view == "base_off" for c in found)
    assert any(c.id == "say:induction_coil" for c in found)


def test_what_was_said_is_not_asked_in_words(lexicon):
    """A slot the words speak of gets no question in words."""
    risk = assess((), [Said("works", "ok")], nodes_for("uk-332", lexicon, shipped()), shipped())
    assert not any(c.id == "say:works" for c in candidates(risk, lexicon, shipped()))


def test_a_hopeless_price_gives_questions_that_decide_nothing(lexicon):
    """Asked ten times its worth, no answer would change the decision; that is told."""
    found = asked(lexicon, "uk-332", price=900)
    assert found
    assert not any(q.decisive for q in found)
    assert max(q.worth_asking for q in found) < 1


def test_a_contradiction_gets_its_photograph(lexicon):
    """Strong evidence both ways on the drawer puts its photograph on the list."""
    rows = [EvidenceRow("drawer", "missing", w, g, 0.25, "x", "own", "guess", seen=True) for w, g in ((16.0, "a"), (-16.0, "b"))]
    assert any("drawer" in q.slots for q in asked(lexicon, "uk-332", rows=rows))


def test_single_best_question(lexicon):
    """With most=1 the first of the singles."""
    (only,) = asked(lexicon, "uk-332", most=1)
    assert only.id in {q.id for q in asked(lexicon, "uk-332")}


@pytest.mark.parametrize("kind", ["asking", "offers_around", "buy_now", "starting", "current_bid", "guide", "reserve"])
def test_every_kind_of_price_is_understood(lexicon, kind):
    """Each gives questions."""
    assert asked(lexicon, "uk-332", price=30, kind=kind)


def test_without_a_basis_questions_are_worth_shares(lexicon):
    """No worth known: a share of a right one's worth."""
    found = asked(lexicon, "uk-332", buyer=Buyer(currency="EUR"))
    assert {q.unit for q in found} == {"share_of_worth"}
    assert all(0 <= q.worth_asking < 1 for q in found)


def test_all_original_is_worth_a_photograph(lexicon):
    """"All original" said: questions stay, with the mixture of what the words may be."""
    nodes = nodes_for("uk-332", lexicon, shipped())
    found = asked(lexicon, "uk-332", said=[SaidOfAll("original", tuple(n.id for n in nodes.slots)), Said("bell", "ok")], price=35)
    assert found


def test_pooled_questions_are_means_over_the_candidates(lexicon):
    """A question asked on one candidate only counts for nothing on the other."""
    one, other = asked(lexicon, "uk-332"), asked(lexicon, "uk-746")
    pooled = pool_questions([(0.6, one), (0.2, other)])
    assert len(pooled) <= 4
    worth = {q.id: q.worth_asking for q in one}
    also = {q.id: q.worth_asking for q in other}
    for question in pooled:
        assert question.worth_asking == pytest.approx(0.75 * worth.get(question.id, 0) + 0.25 * also.get(question.id, 0))
