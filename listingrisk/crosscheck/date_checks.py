"""Years against each other: the claimed era and the model, stamped years and the era, stamped years of parts and the base."""

from __future__ import annotations

from collections.abc import Iterator

from listingrisk.crosscheck.checks import Basis
from listingrisk.crosscheck.facts import Because, Facts, MarkRead, basis
from listingrisk.crosscheck.finding import Finding
from listingrisk.dates import FOREVER, Years, years
from listingrisk.tables.records import Model

SLACK = 2
"""Years allowed beside an approximate date."""


def model_years(model: Model) -> Years:
    """First year of making to the last year in which rebuilt ones were still issued."""
    made = years(model.made)
    last = max(made.last, years(model.refurbished_until).last) if model.refurbished_until else made.last
    return Years(made.first, last, made.approximate)


def date_findings(facts: Facts) -> Iterator[Finding]:
    """Everything that years say."""
    yield from _era_against_model(facts)
    for mark in facts.marks:
        if mark.where == facts.base and mark.year is not None:
            yield from _base_mark(facts, mark, mark.year)
    yield from _part_marks(facts)


def _era_against_model(facts: Facts) -> Iterator[Finding]:
    if facts.model is None or facts.era is None or facts.era_quote is None:
        return
    model = facts.lexicon.models[facts.model]
    span = model_years(model)
    slack = SLACK if span.approximate or facts.era.approximate else 0
    early, late = facts.era.last < span.first - slack, facts.era.first > span.last + slack
    if early or late:
        # of a type that was rebuilt for years a later date is told by its owner; only one before the first cannot be
        firm = facts.era_asserted and (early or not model.refurbished_until)
        yield from facts.find("model-era.outside" if firm else "model-era.hedged", (facts.era_quote,), basis("models", model), when=_span(model.made))


def _base_mark(facts: Facts, mark: MarkRead, year: int) -> Iterator[Finding]:
    ground = _mark_row(facts, mark)
    slot = _slot(facts, mark)
    if mark.refurbished:
        yield from facts.find("base-mark.refurbished", (mark.because,), ground, slot=slot, year=str(year))
        return
    yield from _against_era(facts, mark, year, ground)
    yield from _against_model(facts, mark, year)


def _against_era(facts: Facts, mark: MarkRead, year: int, ground: Basis) -> Iterator[Finding]:
    if facts.era is None or facts.era_quote is None:
        return
    slack = facts.checks.slack("base_mark") + (SLACK if facts.era.approximate else 0)
    because: tuple[Because, ...] = (mark.because, facts.era_quote)
    if facts.era.first - slack <= year <= facts.era.last + slack:
        yield from facts.find("base-mark.in-era", because, ground, slot=_slot(facts, mark), year=str(year))
    elif year < facts.era.first and facts.told_refurbished:
        yield from facts.find("base-mark.rebuilt", because, ground, slot=_slot(facts, mark), year=str(year))
    elif facts.era_asserted:
        yield from facts.find("base-mark.outside-era", because, ground, slot=_slot(facts, mark), year=str(year))


def _against_model(facts: Facts, mark: MarkRead, year: int) -> Iterator[Finding]:
    if facts.model is None:
        return
    model = facts.lexicon.models[facts.model]
    spans = [model_years(facts.lexicon.models[m]) for m in facts.checks.kin(facts.model) if m in facts.lexicon.models]
    slack = SLACK if any(s.approximate for s in spans) else 0
    if not any(s.first - slack <= year <= s.last + slack for s in spans):
        check = "base-mark.outside-model" if facts.claimed else "base-mark.outside-candidate"
        yield from facts.find(check, (mark.because,), basis("models", model), slot=_slot(facts, mark), year=str(year), when=_span(model.made))


def _part_marks(facts: Facts) -> Iterator[Finding]:
    """A part dated years after the base, or after the years claimed, was changed; original it cannot be."""
    made = facts.made or _last_made(facts)
    if made is None or made.last >= FOREVER:
        return
    slack = facts.checks.slack("part_mark")
    for mark in facts.marks:
        slot = _slot(facts, mark)
        if slot is None or mark.where == facts.base or mark.year is None or mark.refurbished:
            continue
        base = facts.mark_years(facts.base)
        because: tuple[Because, ...] = (mark.because, *((base[0].because,) if base else (facts.era_quote,) if facts.era_quote else ()))
        original = facts.said_original(slot)
        ground, year = _mark_row(facts, mark), str(mark.year)
        if mark.year > made.last + slack:
            yield from facts.find("part-mark.newer-claimed" if original else "part-mark.newer", (*because, *((original,) if original else ())), ground, slot=slot, year=year)
        elif mark.year < made.first - slack:
            yield from facts.find("part-mark.older", because, ground, slot=slot, year=year)


def _last_made(facts: Facts) -> Years | None:
    """With neither mark nor era: the last year the model itself was made, against which only a newer part tells."""
    model = facts.lexicon.models.get(facts.model or "")
    return Years(0, years(model.made).last) if model else None


def _slot(facts: Facts, mark: MarkRead) -> str | None:
    row = facts.lexicon.observations.get(f"marks.{mark.where}")
    return row.slot if row else None


def _span(edtf: str) -> str:
    return edtf.replace("~", "").replace("/..", " on").replace("/", " to ")


def _mark_row(facts: Facts, mark: MarkRead) -> Basis:
    """Row, source and certainty of the code that the mark holds; how the mark is read where it holds none that is known."""
    words = mark.text.lower().replace("/", " ").split()
    for row in facts.lexicon.marks.values():
        if row.code.lower() in words and row.kind in ("maker", "refurbisher"):
            # the year is what is read; whose letters they are may be unsure
            return Basis(f"marks:{row.id}", row.source, "likely")
    where = facts.lexicon.observations.get(f"marks.{mark.where}")
    return Basis(f"observations:marks.{mark.where}", where.source if where else "common practice", "likely")
