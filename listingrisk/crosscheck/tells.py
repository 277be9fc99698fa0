"""The tells of the tables: triggers evaluated against what is said and seen."""

from __future__ import annotations

from collections.abc import Iterator

from listingrisk.claims.claim import Quote
from listingrisk.crosscheck.facts import Because, Facts, quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.tables.records import Condition, Tell

_STRENGTH = {"strong": "tell-strong", "moderate": "tell-moderate", "weak": "tell-weak"}
_SHOWN = ("see", "part", "slot", "mark", "mark_year")
"""Conditions that something at the slot itself meets; a mere word for the whole makes no part original or not."""
_CHANGED = ("service", "wrong_type", "repro")
_COPY = ("object.reproduction", "object.assembled")


def tell_findings(facts: Facts) -> Iterator[Finding]:
    """One finding per tell that speaks of this model and whose conditions all hold."""
    for tell in facts.lexicon.tells.values():
        if not tell.trigger or not tell.finding or not speaks_of(facts, tell):
            continue
        because = triggered(facts, tell)
        if because is not None:
            yield _finding(facts, tell, because)


def speaks_of(facts: Facts, tell: Tell) -> bool:
    """Whether a tell speaks of the candidate model, by its id, its family or for all."""
    if "*" in tell.models:
        return True
    model = facts.lexicon.models.get(facts.model or "")
    return model is not None and bool({model.id, model.family} & set(tell.models))


def triggered(facts: Facts, tell: Tell) -> tuple[Because, ...] | None:
    """What a tell rests on when all its conditions hold, else None."""
    because: list[Because] = []
    for condition in tell.trigger:
        held = _holds(facts, condition)
        if condition.denied:
            if held is not None:
                return None
        elif held is None:
            return None
        else:
            because += held
    return tuple(dict.fromkeys(because))


def _holds(facts: Facts, condition: Condition) -> tuple[Because, ...] | None:
    """What one condition rests on; () where it rests on nothing to quote; None where it does not hold."""
    kind, subject, value = condition.kind, condition.subject, condition.value
    claims = facts.claims
    if kind == "see":
        return _first(a.because for a in facts.attributes if a.observation == subject and a.value == value)
    if kind == "part":
        return _first(quote(p) for p in facts.parts if p.part == value and p.state != "missing")
    if kind == "slot":
        return _first(quote(p) for p in facts.at(subject) if p.state == value)
    if kind == "flag":
        return _first(Quote(f.quote, f.start, f.end) for f in claims.flags if f.flag == value and f.standing != "negated")
    if kind == "denied":
        return _first(Quote(f.quote, f.start, f.end) for f in claims.flags if f.flag == value and f.standing == "negated")
    if kind == "sign":
        return _first(Quote(s.quote, s.start, s.end) for s in claims.signs if s.sign == value and s.standing != "negated")
    if kind == "colour":
        return _first(Quote(s.quote, s.start, s.end) for s in claims.colours if s.sign == value and s.standing != "negated")
    if kind == "claim":
        return _claimed(facts, value)
    if kind == "model":
        named = any(value in ((m.id,) if m.id else m.candidates) for m in claims.models if m.standing != "negated")
        return () if named or facts.model == value else None
    if kind == "era":
        return _era(facts, condition)
    return _mark(facts, condition)


def _first(found: Iterator[Because]) -> tuple[Because, ...] | None:
    one = next(iter(found), None)
    return None if one is None else (one,)


def _claimed(facts: Facts, value: str) -> tuple[Because, ...] | None:
    found = [Quote(b.quote, b.start, b.end) for b in facts.claims.blankets if b.kind == value and b.standing == "asserted"]
    if value == "original":
        found += [quote(p) for p in facts.parts if p.original and p.standing == "asserted"]
    return tuple(found[:1]) or None


def _era(facts: Facts, condition: Condition) -> tuple[Because, ...] | None:
    if facts.era is None or facts.era_quote is None:
        return None
    year = int(condition.value)
    holds = facts.era.last < year if condition.operator == "<" else facts.era.first > year
    return (facts.era_quote,) if holds else None


def _mark(facts: Facts, condition: Condition) -> tuple[Because, ...] | None:
    for mark in facts.marks:
        if condition.subject not in ("any", mark.where):
            continue
        if condition.kind == "mark":
            if f" {condition.value.lower()} " in f" {mark.text.lower().replace(',', ' ')} ":
                return (mark.because,)
        elif mark.year is not None and (mark.year < int(condition.value) if condition.operator == "<" else mark.year > int(condition.value)):
            return (mark.because,)
    return None


def _finding(facts: Facts, tell: Tell, because: tuple[Because, ...]) -> Finding:
    kind, says = tell.finding, tell.means
    openly = tell.slot and facts.told_changed(tell.slot) or _copy_told(facts, tell)
    if kind == "conflict" and (openly or tell.certainty == "unsure"):
        kind = "later"
    shown = any(c.kind in _SHOWN and not c.denied for c in tell.trigger)
    original = facts.said_original(tell.slot) if kind == "later" and shown and tell.slot and tell.state.partition(".")[2] in _CHANGED else None
    if original and tell.certainty != "unsure":
        kind, because = "conflict", (*because, original)  # a later part and a claim of originality cannot both be so
        says = f"not original, though the words say so: {says}"
    node, _, state = tell.state.partition(".")
    evidence = _STRENGTH[tell.strength] if node and kind in ("conflict", "later") else None
    slot = None if node == "object" and tell.slot == "case" else tell.slot or None  # the body is the object
    return Finding(kind, slot, facts.model, says, because, f"tells:{tell.id}", tell.source, tell.certainty, "tell", node or None, state or None, evidence if state not in ("ok", "") else None)  # type: ignore[arg-type]


def _copy_told(facts: Facts, tell: Tell) -> bool:
    """Whether the words openly say that it is a copy, where the tell speaks of one."""
    return tell.state in _COPY and any(f.flag == "reproduction" and f.standing != "negated" for f in facts.claims.flags)
