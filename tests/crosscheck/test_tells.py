"""Every tell with a trigger: one telephone that fires it, and for each of its conditions one that does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listingrisk.claims.claim import Blanket, Claims, EraClaim, FlagClaim, MarkClaim, ModelClaim, Observation, PartClaim, Sign
from listingrisk.crosscheck.facts import Facts
from listingrisk.crosscheck.tells import tell_findings, triggered
from listingrisk.tables.lexicon import load_lexicon
from listingrisk.tables.records import Condition, Tell

LEXICON = load_lexicon()
TRIGGERED = [t for t in LEXICON.tells.values() if t.trigger]
AT = ("words", 0, 5)


def _facts(tell: Tell, conditions: tuple[Condition, ...], left: Condition | None = None) -> Facts:
    """A telephone of which just these conditions hold, and `left` does not."""
    claims, seen = Claims(), []
    for c in conditions:
        if not c.denied and c.kind not in ("mark", "mark_year", "era"):
            claims, seen = _with(claims, seen, c)
    timed = [c for c in conditions if not c.denied and c.kind in ("mark", "mark_year")]
    marks = [MarkClaim(place, _stamp([c for c in timed if c.subject in (place, "any")], left), *AT) for place in sorted({"base" if c.subject == "any" else c.subject for c in timed})]
    eras = [c for c in conditions if not c.denied and c.kind == "era"]
    era = EraClaim(str(_year(eras, left)), "asserted", *AT) if eras else None
    claims = replace(claims, marks=tuple(marks), era=era, eras=(era,) if era else ())
    return Facts(claims, tuple(seen), LEXICON, _model(tell))


def _stamp(conditions: list[Condition], left: Condition | None) -> str:
    words = [c.value for c in conditions if c.kind == "mark"]
    years = [c for c in conditions if c.kind == "mark_year"]
    return " ".join([*words, str(_year(years, left))] if years else words)


def _year(conditions: list[Condition], left: Condition | None) -> int:
    """A year that meets the conditions, and not the one left out."""

    def holds(year: int, c: Condition) -> bool:
        return year < int(c.value) if c.operator == "<" else year > int(c.value)

    same = left is not None and conditions and (left.kind, left.subject) == (conditions[0].kind, conditions[0].subject)
    return next(y for y in range(1885, 2020) if all(holds(y, c) for c in conditions) and not (same and holds(y, left)))


def _model(tell: Tell) -> str:
    wanted = [m.id for m in LEXICON.models.values() if "*" in tell.models or {m.id, m.family} & set(tell.models)]
    named = {c.value for c in tell.trigger if c.kind == "model" and c.denied}
    return next(m for m in wanted if m not in named)


def _with(claims: Claims, seen: list[Observation], c: Condition) -> tuple[Claims, list[Observation]]:
    if c.kind == "see":
        return claims, [*seen, Observation(c.subject, c.value)]
    if c.kind == "part":
        part = LEXICON.parts[c.value]
        return replace(claims, parts=(*claims.parts, PartClaim(part.slot, part.id, "present", "asserted", *AT))), seen
    if c.kind == "slot":
        return replace(claims, parts=(*claims.parts, PartClaim(c.subject, None, c.value, "asserted", *AT))), seen
    if c.kind in ("flag", "denied"):
        return replace(claims, flags=(*claims.flags, FlagClaim(c.value, "asserted" if c.kind == "flag" else "negated", *AT))), seen
    if c.kind == "sign":
        return replace(claims, signs=(*claims.signs, Sign(c.value, "asserted", *AT))), seen
    if c.kind == "colour":
        return replace(claims, colours=(*claims.colours, Sign(c.value, "asserted", *AT))), seen
    if c.kind == "claim":
        return replace(claims, blankets=(*claims.blankets, Blanket(c.value, "asserted", *AT))), seen
    assert c.kind == "model"
    return replace(claims, models=(*claims.models, ModelClaim(c.value, c.value, "asserted", *AT))), seen


@pytest.mark.parametrize("tell", TRIGGERED, ids=lambda t: t.id)
def test_tells_fire_when_their_conditions_hold(tell: Tell) -> None:
    """All conditions together trigger the tell, and the finding names its row."""
    facts = _facts(tell, tell.trigger)
    assert triggered(facts, tell) is not None
    assert f"tells:{tell.id}" in {f.row for f in tell_findings(facts)}


@pytest.mark.parametrize("tell", TRIGGERED, ids=lambda t: t.id)
def test_tells_stay_silent_when_a_condition_is_wanting(tell: Tell) -> None:
    """Without one of its conditions the tell does not fire, and neither when a denied one holds."""
    wanted = [c for c in tell.trigger if not c.denied and not (c.kind == "model" and c.value == _model(tell))]
    for left in wanted:
        if any(other is not left and _implies(other, left) for other in wanted):
            continue
        facts = _facts(tell, tuple(c for c in tell.trigger if c is not left), left)
        assert triggered(facts, tell) is None, left
    for denied in (c for c in tell.trigger if c.denied and c.kind != "model"):
        facts = _facts(tell, (*(c for c in tell.trigger if not c.denied), denied._replace(denied=False)))
        assert triggered(facts, tell) is None, denied


def _implies(one: Condition, other: Condition) -> bool:
    """Whether what makes one condition hold makes the other hold too (a part there is a slot filled)."""
    return one.kind == "part" and other.kind == "slot" and LEXICON.parts[one.value].slot == other.subject and other.value == "present"


def test_tells_are_mostly_evaluated() -> None:
    """At least sixty different tells have a trigger that code evaluates; alternatives of one tell count once."""
    assert len({t.id.split(".")[0] for t in TRIGGERED}) >= 60
    assert len({t.id.split(".")[0] for t in LEXICON.tells.values()}) >= 95
