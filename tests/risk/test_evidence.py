"""From claims, findings and observations to rows and utterances (contract: Claim to slot)."""

from __future__ import annotations

import pytest

from listingrisk.claims.claim import Blanket, Claims, EraClaim, FlagClaim, Observation, PartClaim, Quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.risk.add import Said, SaidOfAll
from listingrisk.risk.evidence import collect
from tests.risk.stub import shipped


def part(state, standing="asserted", *, slot="dial", named=None, spare=False):
    return PartClaim(slot, named, state, standing, "quote", 0, 5, spare=spare)


def said(lexicon, claims, purpose="display", model="uk-332"):
    return collect(claims, (), (), model, lexicon, shipped(), purpose=purpose)[1]


@pytest.mark.parametrize(
    ("claim", "outcome", "states", "hedged"),
    [
        (part("present"), "ok", ("ok",), False),
        (part("present", "hedged"), "ok", ("ok",), True),
        (part("present", "negated"), "admits", ("missing",), False),
        (part("missing"), "admits", ("missing",), False),
        (part("missing", "negated"), "ok", ("ok",), False),
        (part("broken", "negated", slot="case"), "ok", ("ok",), False),
        (part("reproduction", "hedged"), "admits", ("repro",), True),
        (part("replaced"), "admits", ("service", "wrong_type", "repro"), False),
        (part("present", named="uk-dial-12"), "ok", ("ok",), False),
        (part("present", named="uk-dial-51"), "admits", ("wrong_type",), False),
        (part("replaced", named="uk-dial-21"), "admits", ("service",), False),
    ],
)
def test_a_claim_about_a_slot_becomes_an_utterance(lexicon, claim, outcome, states, hedged):
    """Present says ok, missing admits missing, a named part counts by its fit, a hedge by half."""
    (found,) = said(lexicon, Claims(parts=(claim,)))
    assert (found.outcome, found.states, found.hedged) == (outcome, states, hedged)


@pytest.mark.parametrize("claim", [part("uncertain"), part("present", spare=True)])
def test_doubt_and_spares_say_nothing_of_the_slot(lexicon, claim):
    """"I do not know whether" and a part that only comes along are no utterance."""
    assert said(lexicon, Claims(parts=(claim,))) == ()


def test_a_later_part_is_a_service_part_to_one_who_uses_it(lexicon):
    """Fit later: wrong type for display, service for use."""
    claims = Claims(parts=(part("present", named="uk-dial-13"),))
    assert said(lexicon, claims)[0].states == ("wrong_type",)
    assert said(lexicon, claims, "use")[0].states == ("service",)


def test_the_year_claimed_decides_the_fit(lexicon):
    """A dial No. 12 is original from 1953 on; on a telephone said to be of 1940 it is a service part."""
    era = EraClaim("1940", "asserted", "1940", 0, 4)
    claims = Claims(parts=(part("present", named="uk-dial-12"),), era=era)
    assert said(lexicon, claims)[0].states == ("service",)


def test_blankets(lexicon):
    """"All original" covers every slot but the excepted; "complete" speaks of missing parts only; denied says nothing."""
    original = Blanket("original", "asserted", "all original", 0, 12, excepted=("line_cord",))
    complete = Blanket("complete", "hedged", "complete", 0, 8)
    denied = Blanket("complete", "negated", "not complete", 0, 12)
    one, other = said(lexicon, Claims(blankets=(original, complete, denied)))
    assert isinstance(one, SaidOfAll)
    assert "line_cord" not in one.slots
    assert one.good == ("ok",)
    assert "wrong_type" in other.good
    assert "missing" not in other.good
    assert other.hedged


def test_observations_and_flags(lexicon):
    """A coil seen missing weighs 20 decibans, cannot see nothing at all; spares or repair one row of 5 db on each node."""
    rows, _ = collect(Claims(flags=(FlagClaim("for_spares", "asserted", "spares", 0, 6),)), (), (Observation("induction_coil.present", "no"), Observation("bell.present", "cannot_see")), "uk-332", lexicon, shipped())
    found = {(r.node, r.state): r for r in rows}
    assert found["induction_coil", "missing"].weight_db == pytest.approx(20)
    assert found["induction_coil", "missing"].seen
    assert not any(r.node == "bell" for r in rows)
    spares = [r for r in rows if r.group == "sold for spares"]
    assert {r.node for r in spares} == {"works", "inside", "case"}
    assert all(r.weight_db == pytest.approx(5, abs=0.5) and not r.seen for r in spares)


def test_a_cracked_case_is_an_admission(lexicon):
    """Flag cracked admits a broken case; denied it says ok."""
    (told,) = said(lexicon, Claims(flags=(FlagClaim("cracked", "asserted", "cracked", 0, 7),)))
    assert told == Said("case", "admits", ("broken",), False, "cracked", "cracked")
    assert said(lexicon, Claims(flags=(FlagClaim("cracked", "negated", "no cracks", 0, 9),)))[0].outcome == "ok"


def test_words_about_a_slot_count_once(lexicon):
    """A finding that rests on words only adds nothing to the utterance on the same slot; one that rests on eyes does."""
    claims = Claims(parts=(part("present", named="uk-dial-51"),))
    made = {"kind": "conflict", "slot": "dial", "model": "uk-332", "says": "x", "row": "fits:x", "source": "own", "node": "dial", "state": "wrong_type", "evidence": "photo-part-kind"}
    heard, seen = Finding(because=(Quote("quote", 0, 5),), **made), Finding(because=(Observation("dial.body", "plastic"),), **made)
    rows, _ = collect(claims, (heard, seen), (), "uk-332", lexicon, shipped())
    assert [r.group for r in rows if r.node == "dial"] == ["seen dial.body"]


def test_sales_talk_beside_named_parts_says_nothing(lexicon):
    """Sales talk counts against the words only where no part is named."""
    rows, _ = collect(Claims(stance="sales_talk"), (), (), "uk-332", lexicon, shipped())
    assert [r.state for r in rows] == ["misleading"]
    rows, _ = collect(Claims(stance="sales_talk", parts=(part("present"),)), (), (), "uk-332", lexicon, shipped())
    assert rows == ()


def test_a_word_repeated_is_one_word(lexicon):
    """Working, said three times, is one row."""
    flags = tuple(FlagClaim("working", "asserted", "works", i, i + 5) for i in range(3))
    rows, _ = collect(Claims(flags=flags), (), (), "uk-332", lexicon, shipped())
    assert len(rows) == 1


def test_a_blanked_drawer_is_not_a_missing_one(lexicon):
    """"No drawer" beside a plate that fills its place admits nothing; without the plate it does."""
    claims = Claims(parts=(part("missing", slot="drawer"),))
    assert collect(claims, (), (Observation("drawer.present", "blanked"),), "uk-332", lexicon, shipped())[1] == ()
    assert said(lexicon, claims)[0].states == ("missing",)
