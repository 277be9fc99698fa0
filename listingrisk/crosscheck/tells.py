"""The tells of the tables: triggers evaluated against what is said and seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from listingrisk.claims.claim import Quote
from listingrisk.crosscheck.facts import Because, Facts, basis, quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.fit_checks import narrowed
from listingrisk.tables.records import Condition, Tell

_STRENGTH = {"strong": "tell-strong", "moderate": "tell-moderate", "weak": "tell-weak"}
_COPY = ("object.reproduction", "object.assembled")
_CHANGED = ("service", "wrong_type", "repro")
_SHOWN = ("see", "part", "slot", "mark", "mark_year")
"""Conditions that something at the slot itself meets; a mere word for the whole makes no part original or not."""


def tell_findings(facts: Facts) -> Iterator[Finding]:
    """One finding per tell that speaks of this model and whose conditions all hold; several of a copy together as well."""
    copies: list[tuple[Tell, tuple[Because, ...]]] = []
    for tell in facts.checks.tells_of(facts.model):
        because = triggered(facts, tell)
        if because:
            yield _finding(facts, tell, because)
            if tell.state in _COPY[:1] and tell.finding in ("conflict", "later"):
                copies.append((tell, because))
    if len(copies) > 1 and not facts.flagged("told_copy"):
        grounds = tuple(b for _, because in copies for b in because)
        signs = "; ".join(dict.fromkeys(t.sign for t, _ in copies))
        yield from facts.find("tells.together", grounds, basis("tells", copies[0][0]), signs=signs)


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
        return _part(facts, value)
    if kind == "slot":
        return _first(quote(p) for p in facts.at(subject) if p.state == value and p.standing != "negated")
    if kind == "flag":
        return _first(Quote(f.quote, f.start, f.end) for f in claims.flags if f.flag == value and f.standing != "negated")
    if kind == "denied":
        return _first(Quote(f.quote, f.start, f.end) for f in claims.flags if f.flag == value and f.standing == "negated")
    if kind in ("sign", "colour"):
        said = claims.signs if kind == "sign" else claims.colours
        return _first(Quote(s.quote, s.start, s.end) for s in said if s.sign == value and s.standing != "negated")
    if kind == "claim":
        return _claimed(facts, value)
    if kind == "model":
        named = any(value in ((m.id,) if m.id else m.candidates) for m in claims.models if m.standing != "negated")
        return () if named or facts.model == value else None
    if kind == "era":
        return _era(facts, condition)
    return _mark(facts, condition)


def _first(found: Iterable[Because]) -> tuple[Because, ...] | None:
    one = next(iter(found), None)
    return None if one is None else (one,)


def _part(facts: Facts, value: str) -> tuple[Because, ...] | None:
    """The words name the part, or what is seen narrows its slot to it."""
    said = _first(quote(p) for p in facts.parts if p.part == value and p.state != "missing" and p.standing != "negated")
    part = facts.lexicon.parts.get(value)
    if said or part is None or facts.model is None:
        return said
    look = narrowed(facts, part.slot)
    return look.because if look and look.seen and look.part.id == value else None


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
    """A conflict told in the open, or of an unsure row, is later; a later part that is called original is a conflict."""
    node, _, state = tell.state.partition(".")
    slot = None if node == "object" and tell.slot in facts.checks.slots("body") else tell.slot or None  # the body is the object
    kind, says = tell.finding, tell.means
    openly = (tell.slot and facts.told_changed(tell.slot)) or (tell.state in _COPY and facts.flagged("told_copy"))
    if kind == "conflict" and (openly or tell.certainty == "unsure"):
        kind = "later"
    shown = any(c.kind in _SHOWN and not c.denied for c in tell.trigger)
    original = _called_original(facts, tell, state) if kind == "later" and slot and shown else None
    if original:
        kind, because, says = "conflict", (*because, original), f"not original, though the words say so: {says}"
    evidence = _STRENGTH[tell.strength] if node and kind in ("conflict", "later", "confirms") else None
    found = Finding("gap", slot, facts.model, says, because, f"tells:{tell.id}", tell.source, "sure", "tell", node or None, state or None, evidence)
    return replace(found, kind=kind, certainty=tell.certainty)  # type: ignore[arg-type]


def _called_original(facts: Facts, tell: Tell, state: str) -> Quote | None:
    if state not in _CHANGED or tell.certainty == "unsure" or tell.slot in facts.checks.slots("made_without"):
        return None
    return facts.said_original(tell.slot)
