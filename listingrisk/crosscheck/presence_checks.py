"""What is there and what is gone: photos, words and tables against each other, slot by slot."""

from __future__ import annotations

from collections.abc import Iterator

from listingrisk.claims.claim import Observation, PartClaim, Quote
from listingrisk.crosscheck.checks import Basis, Check
from listingrisk.crosscheck.facts import Because, Facts, basis, quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.fit_checks import made_without
from listingrisk.tables.records import Fit, Slot

_BELONGS = ("original", "service")
_SUREST = ("sure", "likely", "unsure")


def absence_findings(facts: Facts) -> Iterator[Finding]:
    """A part where nothing belongs (a circuit in a stick): later, and conflict where it is called original."""
    if facts.model is None:
        return
    without = facts.checks.slots("made_without")
    for slot in facts.lexicon.slots.values():
        row = facts.lexicon.nothing_belongs(facts.model, slot.id)
        if row is None or slot.id in without:
            continue
        there = [p for p in facts.at(slot.id) if p.state != "missing" and p.standing != "negated" and not (p.part and facts.lexicon.fit_of(facts.model, slot.id, p.part))]
        seen = [facts.seen[c.observation] for c in facts.checks.of("presence") if c.slot == slot.id and c.observation in facts.seen and facts.seen[c.observation].value == "yes"]
        because: tuple[Because, ...] = (*(quote(p) for p in there[:1]), *seen)
        if because:
            own = facts.own_original(slot.id)
            yield from facts.find("absent.original" if own else "absent.fitted", because + ((own,) if own else ()), basis("fits", row), slot=slot.id)


def presence_findings(facts: Facts) -> Iterator[Finding]:
    """What the photos or the words say is there or is not, where something belongs."""
    if facts.model is None:
        return
    seen_by = {c.slot: c for c in facts.checks.of("presence")}
    without = made_without(facts)
    for slot in facts.lexicon.slots.values():
        rows = sorted((f for f in facts.lexicon.fits_at(facts.model, slot.id) if f.fit in _BELONGS), key=lambda f: (_SUREST.index(f.certainty), f.fit))
        if rows and slot.id not in without:
            yield from _present_or_gone(facts, slot, rows, seen_by.get(slot.id))
    yield from _told_copies(facts)


def _present_or_gone(facts: Facts, slot: Slot, rows: list[Fit], check: Check | None) -> Iterator[Finding]:
    seen = facts.seen.get(check.observation) if check else None
    told = next((p for p in facts.at(slot.id) if p.state == "missing" and p.standing != "negated"), None)
    optional = all(f.share == "some" for f in rows)
    ground = basis("fits", rows[0])
    if told is not None:
        if not optional:
            yield from facts.find("gone.told", (quote(told), *((seen,) if seen and seen.value == "no" else ())), ground, slot=slot.id)
    elif seen is not None and seen.value == "blanked":
        yield from _blanked(facts, slot, seen, ground)
    elif seen is not None and seen.value == "no":
        yield from _gone(facts, slot, seen, ground, optional=optional)
    elif seen is not None and seen.value == "yes" and slot.place == "inside":
        yield from facts.find("gone.there", (seen,), ground, slot=slot.id)


def _gone(facts: Facts, slot: Slot, seen: Observation, ground: Basis, *, optional: bool) -> Iterator[Finding]:
    claimed = _claimed_there(facts, slot.id)
    if claimed:
        yield from facts.find("gone.claimed", (seen, *claimed), ground, slot=slot.id)
    elif not optional:
        yield from facts.find("gone.inside" if slot.place == "inside" else "gone.seen", (seen,), ground, slot=slot.id)


def _blanked(facts: Facts, slot: Slot, seen: Observation, ground: Basis) -> Iterator[Finding]:
    """A plate closes the place of what the words promise, and they name no plate."""
    there = [p for p in facts.at(slot.id) if p.state == "present" and p.standing == "asserted"]
    real = [p for p in there if p.original or (p.cue and p.cue.rule.startswith("cues:present"))]
    if real and not any(_is_plate(facts, p, seen) for p in there):
        yield from facts.find("gone.blanked", (seen, quote(real[0])), ground, slot=slot.id)


def _is_plate(facts: Facts, claim: PartClaim, seen: Observation) -> bool:
    shown = any(s.observation == seen.id and s.value == seen.value for s in facts.lexicon.part_signs(claim.part or ""))
    return shown or (seen.id, seen.value) in claim.attributes


def _claimed_there(facts: Facts, slot: str) -> tuple[Because, ...]:
    """The words that say that it is there: of the slot itself, or of all."""
    said = [quote(p) for p in facts.at(slot) if p.state in ("present", "broken", "replaced") and p.standing == "asserted"]
    blanket = facts.blanket("complete", slot) or facts.blanket("original", slot)
    return tuple(said[:1]) or ((Quote(blanket.quote, blanket.start, blanket.end),) if blanket else ())


def _told_copies(facts: Facts) -> Iterator[Finding]:
    """A part said to be a reproduction, in the open."""
    told: dict[str, PartClaim] = {}
    for claim in facts.parts:
        if claim.state == "reproduction" and claim.standing != "negated":
            told.setdefault(claim.slot, claim)
    for slot, claim in told.items():
        row = facts.checks.by_id.get("copy.told")
        if row:
            yield from facts.find("copy.told", (quote(claim),), basis("checks", row), slot=slot)
