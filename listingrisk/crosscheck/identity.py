"""Which model it may be: names, marks and described features as weights on one softmax node with a "none of ours" state.

Method A11. A number with its cue weighs 16 decibans, a nickname shared by several nothing between them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from listingrisk.claims.claim import Claims, Observation, Quote
from listingrisk.crosscheck.date_checks import model_years
from listingrisk.crosscheck.facts import Because, Facts, quote
from listingrisk.crosscheck.tells import triggered
from listingrisk.dates import overlap
from listingrisk.tables.lexicon import Lexicon
from listingrisk.tables.records import Model

NAMED_DB, HEDGED_DB, MARK_DB = 16.0, 8.0, 20.0
SIGN_DB = {"always": 5.0, "usually": 3.0, "sometimes": 0.0, "never": -7.0}
"""What an agreeing sign weighs by how often the model shows it; one the model never shows counts against it."""
ANOTHER_DB, ERA_DB, COPY_DB = -5.0, -5.0, 13.0
NONE_SHARE, LOOKALIKE_SHARE, UNNAMED_NONE = 0.10, 0.15, 0.35
"""Prior share of "none of ours" and of lookalikes where a model is named, and of "none" where none is."""
LEAST, MOST = 0.004, 30
BELONGS_DB, STRANGE_DB = 2.0, -3.0
"""What a part spoken of weighs for models that have one there, and against models for which the tables know none."""
CLIP_DB = 40.0


@dataclass(frozen=True)
class Candidate:
    """One model it may be; `model` None is "none of ours"."""

    model: str | None
    probability: float
    because: tuple[Because, ...]


def identify(claims: Claims, observations: tuple[Observation, ...], lexicon: Lexicon) -> tuple[Candidate, ...]:
    """The candidates, likeliest first; probabilities sum to 1."""
    facts = Facts(claims, observations, lexicon, None)
    named = _named(facts)
    pool = _pool(facts, named)
    prior = _priors(facts, named, pool)
    scored: dict[str | None, tuple[float, tuple[Because, ...]]] = {None: (0.0, ())}
    for model in pool:
        rows = list(_weights(facts, lexicon.models[model], named))
        total = max(-CLIP_DB, min(CLIP_DB, sum(db for db, _ in rows)))
        scored[model] = (total, tuple(dict.fromkeys(b for db, b in rows if b is not None and db > 0)))
    odds = {m: prior[m] * 10 ** (db / 10) for m, (db, _) in scored.items()}
    whole = sum(odds.values())
    found = [Candidate(m, o / whole, scored[m][1]) for m, o in odds.items()]
    found.sort(key=lambda c: (-c.probability, c.model or "~"))
    return _kept(found)


def _kept(found: list[Candidate]) -> tuple[Candidate, ...]:
    """The likeliest few; what is left out goes to "none of ours"."""
    kept = [c for c in found if c.model is None or c.probability >= LEAST][: MOST + 1]
    if not any(c.model is None for c in kept):
        kept.append(next(c for c in found if c.model is None))
    rest = 1.0 - sum(c.probability for c in kept)
    kept = [Candidate(c.model, c.probability + rest, c.because) if c.model is None else c for c in kept]
    return tuple(sorted(kept, key=lambda c: (-c.probability, c.model or "~")))


def _named(facts: Facts) -> dict[str, tuple[float, Because]]:
    """Models that the words or a mark name, with their weight; of several shared by a nickname each has the same."""
    found: dict[str, tuple[float, Because]] = {}
    for claim in facts.claims.models:
        if claim.standing == "negated":
            continue
        weight = NAMED_DB if claim.standing == "asserted" else HEDGED_DB
        words = Quote(claim.quote, claim.start, claim.end)
        for model in (claim.id,) if claim.id else claim.candidates:
            share = weight if claim.id else 0.0
            if model and share >= found.get(model, (-1.0, words))[0]:
                found[model] = (share, words)
    for mark in facts.marks:
        for model in _marked(facts, mark.text, mark.where):
            found[model] = (MARK_DB + found.get(model, (0.0, mark.because))[0], mark.because)
    return {m: v for m, v in found.items() if m in facts.lexicon.models}


def _marked(facts: Facts, text: str, where: str) -> set[str]:
    """Models that a stamp proves: by a mark of the tables, or by the model's own number on its base."""
    words = text.lower().split()
    found = {m.model for m in facts.lexicon.marks.values() if m.kind == "model" and m.model and m.code.lower() in words}
    if where == "base":
        found |= {n.model for n in facts.lexicon.names.values() if n.model and n.use == "number" and n.name.lower() in words}
    return found


def _pool(facts: Facts, named: dict[str, tuple[float, Because]]) -> list[str]:
    if not named:
        return sorted(m.id for m in facts.lexicon.models.values() if m.kind != "bell_set")
    near = {r.other if r.model in named else r.model for r in facts.lexicon.lookalikes.values() if r.model in named or r.other in named}
    return sorted(set(named) | near)


def _priors(facts: Facts, named: dict[str, tuple[float, Because]], pool: list[str]) -> dict[str | None, float]:
    none = NONE_SHARE if named else UNNAMED_NONE
    others = [m for m in pool if m not in named]
    shares: dict[str | None, float] = {None: none}
    left = 1.0 - none
    if named and others:
        shares |= {m: LOOKALIKE_SHARE / len(others) for m in others}
        left -= LOOKALIKE_SHARE
    inside = list(named) or pool
    shares |= {m: left / len(inside) for m in inside}
    return shares


def _weights(facts: Facts, model: Model, named: dict[str, tuple[float, Because]]) -> Iterator[tuple[float, Because | None]]:
    if model.id in named:
        yield named[model.id]
    own = facts.lexicon.model_signs(model.id)
    for attribute in facts.attributes:
        shown = [s for s in own if s.observation == attribute.observation]
        same = next((s for s in shown if s.value == attribute.value), None)
        if same is not None:
            yield SIGN_DB[same.share], attribute.because
        elif any(s.share in ("always", "usually") for s in shown):
            yield ANOTHER_DB, attribute.because
        else:
            yield _by_parts(facts, model.id, attribute.observation, attribute.value), attribute.because
    if facts.era is not None and facts.era_asserted and not overlap(model_years(model), facts.era, slack=2):
        yield ERA_DB, facts.era_quote
    for said in facts.claims.colours:
        row = facts.lexicon.colour_of(model.id, said.sign)
        if row is not None and not named:
            yield (1.0 if row.standing == "usual" else 0.0 if row.standing == "scarce" else ANOTHER_DB), Quote(said.quote, said.start, said.end)
    if not named:
        yield from _parts_spoken_of(facts, model)
    yield from _copy_told(facts, model)
    yield from _tells(facts, model)


def _parts_spoken_of(facts: Facts, model: Model) -> Iterator[tuple[float, Because | None]]:
    """Each slot that is there, once: a drawer speaks for the sets that have one."""
    for slot in {p.slot: p for p in reversed(facts.parts) if p.state in ("present", "replaced", "broken")}.values():
        rows = facts.lexicon.fits_at(model.id, slot.slot)
        if facts.lexicon.nothing_belongs(model.id, slot.slot) is not None or (not rows and facts.lexicon.slots[slot.slot].place == "outside"):
            yield STRANGE_DB, quote(slot)
        elif any(r.fit == "original" and r.share != "some" for r in rows):
            yield BELONGS_DB, quote(slot)


def _copy_told(facts: Facts, model: Model) -> Iterator[tuple[float, Because | None]]:
    """Words that openly call it a copy speak for the copies and against the genuine types."""
    told = next((f for f in facts.claims.flags if f.flag == "reproduction" and f.standing != "negated"), None)
    if told is not None:
        yield (COPY_DB if told.standing == "asserted" else COPY_DB / 2) * (-0.5 if model.genuine else 0.5), Quote(told.quote, told.start, told.end)


def _by_parts(facts: Facts, model: str, observation: str, value: str) -> float:
    """A described part counts for models on which a part of that look belongs, and against those where only others do."""
    belonging = [f.part for slot_fits in (facts.lexicon.fits_at(model, s) for s in facts.lexicon.slots) for f in slot_fits if f.part and f.fit in ("original", "service")]
    shown = [s for p in belonging for s in facts.lexicon.part_signs(p) if s.observation == observation and s.share in ("always", "usually")]
    if any(s.value == value for s in shown):
        return 1.0
    return ANOTHER_DB if shown else 0.0


def _tells(facts: Facts, model: Model) -> Iterator[tuple[float, Because | None]]:
    """Signs that point to copies or to this very model."""
    for tell in facts.lexicon.tells.values():
        if tell.trigger and tell.state == "object.reproduction" and not model.genuine and tell.finding in ("conflict", "later"):
            because = triggered(facts, tell)
            if because:
                yield {"strong": 5.0, "moderate": 3.0, "weak": 1.0}[tell.strength], because[0]
