"""Each kind of rule of the cross-check, fired and not fired, on a tiny invented lexicon."""

from __future__ import annotations

import pytest

from listingrisk.claims.claim import Blanket, Claims, EraClaim, FlagClaim, MarkClaim, ModelClaim, Observation, PartClaim, Sign
from listingrisk.crosscheck.check import crosscheck
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.identity import identify
from listingrisk.crosscheck.observations import validate_observations
from listingrisk.errors import BadAnswers
from listingrisk.tables.lexicon import Lexicon
from tests.crosscheck.tiny import tiny_lexicon

AT = ("words", 0, 5)
TEN = ModelClaim("zz-ten", "Z10", "asserted", "Z10", 10, 13)
ALL_ORIGINAL = Blanket("original", "asserted", "all original", 20, 32)


@pytest.fixture(scope="module")
def lexicon(tmp_path_factory: pytest.TempPathFactory) -> Lexicon:
    return tiny_lexicon(tmp_path_factory.mktemp("tiny"))


def part(slot: str, part_id: str | None = None, state: str = "present", *, start: int = 40, **more: object) -> PartClaim:
    return PartClaim(slot, part_id, state, "asserted", f"the {slot}", start, start + 9, **more)


def era(edtf: str, standing: str = "asserted") -> dict[str, object]:
    claim = EraClaim(edtf, standing, edtf, 60, 65)
    return {"eras": (claim,), "era": claim}


def check(lexicon: Lexicon, model: str | None = "zz-ten", see: dict[str, str] | None = None, **claims: object) -> tuple[Finding, ...]:
    told = {"models": (TEN,), **claims}
    return crosscheck(Claims(**told), validate_observations(see or {}, lexicon), model, lexicon)


def kinds(found: tuple[Finding, ...], slot: str | None) -> set[str]:
    return {f.kind for f in found if f.slot == slot and f.kind != "differ"}


# Parts against model and year -------------------------------------------------------------------------------------------


def test_part_of_the_works_confirms(lexicon):
    """A seen dial that left the works with the model is borne out, and weighs against a wrong one."""
    found = check(lexicon, see={"finger_stop.shape": "curved"})
    assert kinds(found, "dial") == {"confirms"}
    assert [(f.node, f.state, f.evidence) for f in found if f.kind == "confirms"] == [("dial", "wrong_type", "photo-part-right")]


def test_part_that_never_belongs_conflicts(lexicon):
    """Seen without a word that it was changed, a part of fit wrong is a conflict."""
    assert "conflict" in kinds(check(lexicon, see={"finger_stop.shape": "straight", "finger_wheel.material": "metal"}), "dial")


def test_part_that_never_belongs_is_later_when_told(lexicon):
    """Openly told as changed it breaks nothing."""
    found = check(lexicon, see={"finger_stop.shape": "straight", "finger_wheel.material": "metal"}, parts=(part("dial", state="replaced"),))
    assert kinds(found, "dial") == {"later"}


def test_named_part_that_never_belongs_conflicts(lexicon):
    """A handset of another series is a conflict by its name alone."""
    assert kinds(check(lexicon, parts=(part("handset", "zz-grip-other"),)), "handset") == {"conflict"}


def test_the_kindest_fit_of_several_speaks(lexicon):
    """A look that fits a service part as well as a wrong one is no conflict."""
    assert kinds(check(lexicon, see={"finger_stop.shape": "straight"}), "dial") == {"later"}


def test_service_part_conflicts_with_a_claim_of_originality(lexicon):
    """All original and a service part cannot both be so."""
    assert "conflict" in kinds(check(lexicon, see={"finger_stop.shape": "straight"}, blankets=(ALL_ORIGINAL,)), "dial")


def test_service_part_that_is_excepted_does_not_conflict(lexicon):
    """What an exception names is told."""
    excepted = Blanket("original", "asserted", "all original but the cord", 20, 45, excepted=("handset_cord",))
    assert kinds(check(lexicon, see={"handset_cord.kind": "coiled"}, blankets=(excepted,)), "handset_cord") == {"later"}


def test_hedged_originality_makes_no_conflict(lexicon):
    """Only an outright claim of originality is broken."""
    hedged = Blanket("original", "hedged", "all original I think", 20, 40)
    assert "conflict" not in kinds(check(lexicon, see={"finger_stop.shape": "straight"}, blankets=(hedged,)), "dial")


def test_part_younger_than_the_years_claimed_conflicts(lexicon):
    """The years claimed exclude a part that came after them."""
    found = check(lexicon, parts=(part("handset_cord", "zz-cord-new"),), **era("194X"))
    assert kinds(found, "handset_cord") == {"conflict"}


def test_part_younger_than_the_years_of_a_restored_telephone_does_not_conflict(lexicon):
    """Said to have been worked on since, a newer part is told."""
    restored = FlagClaim("restored", "asserted", "refurbished", 70, 81)
    found = check(lexicon, parts=(part("handset_cord", "zz-cord-new"),), flags=(restored,), **era("194X"))
    assert kinds(found, "handset_cord") == {"later"}


def test_part_of_unsure_row_makes_no_conflict(lexicon):
    """An unsure row never drives a conflict alone."""
    assert "conflict" not in kinds(check(lexicon, parts=(part("capacitor", "zz-doubtful"),)), "capacitor")


def test_part_unknown_on_the_model_says_nothing(lexicon):
    """Where the tables say nothing of a part there, nothing is found."""
    assert kinds(check(lexicon, model="zz-twenty", models=(), see={"finger_stop.shape": "straight"}), "dial") == set()


def test_spare_part_is_not_held_against_the_fitted_one(lexicon):
    """A spare in the bag is not fitted."""
    assert "conflict" not in kinds(check(lexicon, parts=(part("dial", "zz-dial-odd", spare=True),)), "dial")


# A telephone made without ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("model", ["zz-plain", "zz-ten"])
def test_dial_on_a_telephone_made_without_one(lexicon, model):
    """A later fitting and no fault; original it cannot be."""
    name = ModelClaim(model, "name", "asserted", "name", 10, 14, variant="dialless")
    found = check(lexicon, model=model, models=(name,), parts=(part("dial", "zz-dial-old"),))
    assert kinds(found, "dial") == {"later"}
    found = check(lexicon, model=model, models=(name,), parts=(part("dial", "zz-dial-old", original=True),))
    assert "conflict" in kinds(found, "dial")


def test_blank_on_a_telephone_made_without_a_dial_is_right(lexicon):
    """The blank belongs there."""
    name = ModelClaim("zz-plain", "Z30", "asserted", "Z30", 10, 13)
    assert kinds(check(lexicon, model="zz-plain", models=(name,), see={"dial.present": "blanked"}), "dial") == {"confirms"}


def test_part_where_nothing_belongs_is_later(lexicon):
    """A magneto on a telephone that has none was added."""
    assert kinds(check(lexicon, parts=(part("magneto"),)), "magneto") == {"later"}
    assert "conflict" in kinds(check(lexicon, parts=(part("magneto", original=True),)), "magneto")


# There and gone ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("blanket", ["original", "complete"])
def test_gone_conflicts_with_words_over_all(lexicon, blanket):
    """All original, or complete, and the coil gone cannot both be so."""
    found = check(lexicon, see={"induction_coil.present": "no"}, blankets=(Blanket(blanket, "asserted", "all of it", 20, 29),))
    assert kinds(found, "induction_coil") == {"conflict"}


def test_gone_and_told_is_later(lexicon):
    """What is openly told as missing breaks nothing."""
    found = check(lexicon, see={"induction_coil.present": "no"}, parts=(part("induction_coil", state="missing"),))
    assert kinds(found, "induction_coil") == {"later"}


def test_there_confirms_and_cannot_see_says_nothing(lexicon):
    """A seen coil is borne out; what cannot be seen is as if not asked."""
    assert "confirms" in kinds(check(lexicon, see={"induction_coil.present": "yes"}), "induction_coil")
    assert {f.kind for f in check(lexicon, see={"induction_coil.present": "cannot_see"})} == {f.kind for f in check(lexicon)}


# Years -------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("edtf", "conflict"), [("1920", True), ("1940", False), ("1953", False), ("193X", False)])
def test_years_of_the_model(lexicon, edtf, conflict):
    """Years before the first of the type cannot be; those in which rebuilt ones were issued can."""
    assert ("conflict" in kinds(check(lexicon, **era(edtf)), None)) == conflict


@pytest.mark.parametrize(("mark", "conflict"), [("Q 48", True), ("Q 36", False), ("RR 53", False)])
def test_base_mark_against_the_years_claimed(lexicon, mark, conflict):
    """A base of other years than claimed cannot be; a refurbisher's mark dates no making."""
    found = check(lexicon, see={"marks.base": mark}, **era("193X"))
    assert ("conflict" in kinds(found, "base_plate")) == conflict


def test_base_mark_outside_the_years_of_the_model(lexicon):
    """A base stamped twenty years after the last was made is not this telephone's."""
    assert "conflict" in {f.kind for f in check(lexicon, see={"marks.base": "Q 75"})}


def test_newer_part_mark(lexicon):
    """Dated years after the base a part was changed: later, and with a claim of originality a conflict."""
    see = {"marks.base": "Q 35", "marks.handset": "Q 45"}
    assert kinds(check(lexicon, see=see), "handset") == {"later"}
    assert kinds(check(lexicon, see=see, blankets=(ALL_ORIGINAL,)), "handset") == {"conflict"}
    assert kinds(check(lexicon, see={**see, "marks.handset": "Q 36"}, blankets=(ALL_ORIGINAL,)), "handset") == set()


def test_words_give_marks_as_well(lexicon):
    """A mark told counts as one seen."""
    marks = (MarkClaim("base", "Q 35", "Q 35", 80, 84), MarkClaim("handset", "Q 45", "Q 45", 90, 94))
    assert kinds(check(lexicon, marks=marks), "handset") == {"later"}


# The whole object --------------------------------------------------------------------------------------------------------


def test_mark_proves_another_model(lexicon):
    """A stamp of another type makes that the likeliest, and a conflict of what it is called."""
    seen = validate_observations({"marks.base": "Y10 WHYWORKS"}, lexicon)
    claims = Claims(models=(TEN,))
    likeliest = identify(claims, seen, lexicon)[0]
    assert likeliest.model == "yy-ten"
    assert "conflict" in kinds(crosscheck(claims, seen, likeliest.model, lexicon), None)


def test_two_names_cannot_both_be_meant(lexicon):
    """Two types named for one telephone contradict each other."""
    other = ModelClaim("zz-twenty", "Z20", "asserted", "Z20", 90, 93)
    assert "conflict" in kinds(check(lexicon, models=(TEN, other)), None)
    denied = ModelClaim("zz-twenty", "Z20", "negated", "Z20", 90, 93)
    assert "conflict" not in kinds(check(lexicon, models=(TEN, denied)), None)


def test_lookalike_by_where_the_internals_sit(lexicon):
    """What the model never shows and a lookalike does is a conflict of the object; a shared tell is none."""
    assert "conflict" in kinds(check(lexicon, see={"base_plate.carries_internals": "yes", "base_plate.screws": "through_feet"}), None)
    assert "conflict" not in {f.kind for f in check(lexicon, see={"base_plate.screws": "through_feet"})}


@pytest.mark.parametrize(("colour", "see", "kind"), [("black", {}, None), ("ivory", {}, "gap"), ("ivory", {"case.colour_through": "no"}, "conflict"), ("ivory", {"case.colour_through": "yes"}, "confirms"), ("pink", {}, "conflict")])
def test_colours(lexicon, colour, see, kind):
    """A scarce colour is a question until seen through; one never made is a conflict."""
    found = check(lexicon, see=see, colours=(Sign(colour, "asserted", colour, 0, len(colour)),))
    assert kinds(found, "case") == ({kind} if kind else set())


def test_told_repaint_makes_no_conflict(lexicon):
    """A coat that is told is later."""
    painted = FlagClaim("repainted", "asserted", "repainted", 30, 39)
    found = check(lexicon, see={"case.colour_through": "no"}, colours=(Sign("ivory", "asserted", "ivory", 0, 5),), flags=(painted,))
    assert "conflict" not in kinds(found, "case")


def test_tells_of_a_copy(lexicon):
    """Signs of a copy are a conflict, unless it is sold as one."""
    signs = (Sign("bare_brass", "asserted", "polished brass", 50, 64),)
    assert "conflict" in kinds(check(lexicon, signs=signs), None)
    told = FlagClaim("reproduction", "asserted", "replica", 0, 7)
    assert "conflict" not in {f.kind for f in check(lexicon, signs=signs, flags=(told,))}
    assert "conflict" not in {f.kind for f in check(lexicon, signs=(Sign("bare_brass", "negated", "polished brass", 50, 64),))}


def test_tell_of_a_later_part_conflicts_with_originality(lexicon):
    """A tell of a part that is not the first breaks a claim that all is original, and no other."""
    assert kinds(check(lexicon, see={"handset.caps_match": "no"}), "handset") == {"later"}
    assert kinds(check(lexicon, see={"handset.caps_match": "no"}, blankets=(ALL_ORIGINAL,)), "handset") == {"conflict"}


def test_tell_of_an_unsure_row_makes_no_conflict(lexicon):
    """An unsure tell never drives a conflict alone."""
    assert "conflict" not in kinds(check(lexicon, see={"feet.present": "no"}), "feet")


# Gaps and sources --------------------------------------------------------------------------------------------------------


def test_inside_never_shown_is_a_gap(lexicon):
    """What is inside and was neither told nor shown is a gap, and working does not fill it."""
    working = FlagClaim("working", "asserted", "works", 30, 35)
    found = check(lexicon, flags=(working,))
    assert any(f.kind == "gap" and f.slot == "induction_coil" and f.because for f in found)
    assert not any(f.kind == "gap" and f.slot == "induction_coil" for f in check(lexicon, see={"induction_coil.present": "yes"}))


def test_base_marks_not_shown_are_a_gap(lexicon):
    """The stamp on the base is asked for until it is told or shown."""
    assert "gap" in kinds(check(lexicon), "base_plate")
    assert "gap" not in kinds(check(lexicon, see={"marks.base": "Q 36"}), "base_plate")


def test_sources_that_differ(lexicon):
    """A disagreement is told where a claim or a finding touches it."""
    assert ("differ", None) in {(f.kind, f.slot) for f in check(lexicon, **era("1935"))}
    assert ("differ", "dial") in {(f.kind, f.slot) for f in check(lexicon, see={"finger_stop.shape": "curved"})}
    assert "differ" not in {f.kind for f in check(lexicon)}


# Invariants --------------------------------------------------------------------------------------------------------------

MANY = {"finger_stop.shape": "straight", "finger_wheel.material": "metal", "induction_coil.present": "no", "marks.base": "Q 35", "marks.handset": "Q 45", "handset.caps_match": "no"}


def test_findings_stand_in_order_and_name_their_rows(lexicon):
    """Conflicts first; each is one sentence with a row, a source, and a ground unless it is a gap or a differing of sources."""
    found = check(lexicon, see=MANY, blankets=(ALL_ORIGINAL,), **era("193X"))
    order = ["conflict", "later", "gap", "differ", "confirms"]
    assert [order.index(f.kind) for f in found] == sorted(order.index(f.kind) for f in found)
    for finding in found:
        table, _, row = finding.row.partition(":")
        assert row in {r[lexicon.tables[table].key] for r in lexicon.tables[table].rows}
        assert finding.source in lexicon.sources
        assert finding.says
        assert finding.because or finding.kind in ("gap", "differ")
        assert "seller" not in finding.says


def test_findings_do_not_depend_on_the_order_of_answers(lexicon):
    """The same answers in another order give the same findings."""
    turned = dict(reversed(MANY.items()))
    assert check(lexicon, see=MANY) == check(lexicon, see=turned)


def test_no_model_gives_no_fits(lexicon):
    """With no model known nothing is held against one."""
    assert {f.kind for f in check(lexicon, model=None, models=(), see={"finger_stop.shape": "straight"})} <= {"gap"}


# Identity and answers ----------------------------------------------------------------------------------------------------


def test_identity_sums_to_one_and_keeps_none_of_ours(lexicon):
    """Probabilities sum to 1, and "none of ours" stays among them."""
    for claims in (Claims(), Claims(models=(TEN,)), Claims(models=(ModelClaim(None, "zed", "asserted", "zed", 0, 3, ("zz-ten", "zz-twenty")),))):
        found = identify(claims, (), lexicon)
        assert sum(c.probability for c in found) == pytest.approx(1)
        assert any(c.model is None for c in found)


def test_a_name_shared_by_two_favours_neither(lexicon):
    """A nickname weighs nothing between those that share it."""
    shared = ModelClaim(None, "zed", "asserted", "zed", 0, 3, ("zz-ten", "zz-twenty"))
    by_model = {c.model: c.probability for c in identify(Claims(models=(shared,)), (), lexicon)}
    assert by_model["zz-ten"] == pytest.approx(by_model["zz-twenty"])


def test_a_number_makes_a_model_likely(lexicon):
    """A number asserted is likelier than one hedged, and both than none."""
    asserted = identify(Claims(models=(TEN,)), (), lexicon)[0]
    hedged = next(c for c in identify(Claims(models=(ModelClaim("zz-ten", "Z10", "hedged", *AT),)), (), lexicon) if c.model == "zz-ten")
    assert asserted.model == "zz-ten"
    assert asserted.probability > hedged.probability > 0.5


def test_answers_are_checked(lexicon):
    """An unknown id or value is refused with the close ones named."""
    assert validate_observations({"plug.kind": "431a"}, lexicon) == (Observation("plug.kind", "431a"),)
    with pytest.raises(BadAnswers, match=r"finger_stop\.shape"):
        validate_observations({"finger_stop.shap": "curved"}, lexicon)
    with pytest.raises(BadAnswers, match=r"curved,? straight"):
        validate_observations({"finger_stop.shape": "curvd"}, lexicon)
