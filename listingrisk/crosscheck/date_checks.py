"""Years against each other: the claimed era and the model, stamped years and the era, stamped years of parts and the base."""

from __future__ import annotations

from collections.abc import Iterator


from listingrisk.crosscheck.facts import Because, Facts, MarkRead
from listingrisk.crosscheck.finding import Finding
from listingrisk.dates import FOREVER, Years, years
from listingrisk.tables.records import Model

SLACK = 2
"""Years allowed beside an approximate date."""
_PLACES = {"handset": "handset", "dial": "dial", "case": "case", "bell": "bell", "bell_set": "bell_set"}


def model_years(model: Model) -> Years:
    """First year of making to the last year in which rebuilt ones were still issued."""
    made = years(model.made)
    last = max(made.last, years(model.refurbished_until).last) if model.refurbished_until else made.last
    return Years(made.first, last, made.approximate)


def _slack(edtf: str) -> int:
    """Years allowed beside one end of an interval: none where the tables give it without a doubt."""
    return SLACK if edtf[-1:] in ("~", "?", "%") else 0


def date_findings(facts: Facts) -> Iterator[Finding]:
    """Everything that years say."""
    yield from _era_against_model(facts)
    yield from _base_marks(facts)
    yield from _part_marks(facts)


def _era_against_model(facts: Facts) -> Iterator[Finding]:
    if facts.model is None or facts.era is None or facts.era_quote is None:
        return
    model = facts.lexicon.models[facts.model]
    span = model_years(model)
    about = SLACK if facts.era.approximate else 0
    early = facts.era.last < span.first - max(about, _slack(model.made.partition("/")[0]))
    late = facts.era.first > span.last + max(about, _slack(model.refurbished_until or model.made))
    if not (early or late):
        return
    certain = facts.era_asserted and model.certainty != "unsure"
    says = f"{model.name} was made from {model.made}: the years claimed cannot be its own"
    # a telephone of an earlier type dated later is told by its owner; only a year before the first cannot be
    yield Finding("conflict" if certain and (early or not model.refurbished_until) else "later", None, facts.model, says, (facts.era_quote,), f"models:{model.id}", model.source, model.certainty, "era_model", "object", "other_model", "year-clash")  # type: ignore[arg-type]


def _base_marks(facts: Facts) -> Iterator[Finding]:
    for mark in facts.marks:
        if mark.where != "base" or mark.year is None:
            continue
        row = _mark_row(facts, mark)
        if mark.refurbished:
            yield Finding("later", "base_plate", facts.model, f"the mark tells of a refurbishing in {mark.year}, not of the making", (mark.because,), *row, "refurbished")
            continue
        yield from _against_era(facts, mark, row)
        yield from _against_model(facts, mark, row)


def _against_era(facts: Facts, mark: MarkRead, row: tuple[str, str, str]) -> Iterator[Finding]:
    if facts.era is None or facts.era_quote is None or mark.year is None:
        return
    slack = SLACK if facts.era.approximate else 0
    if facts.era.first - slack <= mark.year <= facts.era.last + slack:
        yield Finding("confirms", "base_plate", facts.model, f"the base is marked {mark.year}, within the years claimed", (mark.because, facts.era_quote), *row, "mark_era")  # type: ignore[arg-type]
    elif facts.era_asserted:
        yield Finding("conflict", "base_plate", facts.model, f"the base is marked {mark.year}, outside the years claimed", (mark.because, facts.era_quote), *row, "mark_era")  # type: ignore[arg-type]


def _against_model(facts: Facts, mark: MarkRead, row: tuple[str, str, str]) -> Iterator[Finding]:
    if facts.model is None or mark.year is None:
        return
    model = facts.lexicon.models[facts.model]
    span = model_years(model)
    if mark.year < span.first - _slack(model.made.partition("/")[0]) or mark.year > span.last + _slack(model.refurbished_until or model.made):
        says = f"the base is marked {mark.year}, but {model.name} was made {model.made}"
        yield Finding("conflict", "base_plate", facts.model, says, (mark.because,), f"models:{model.id}", model.source, model.certainty, "mark_model", "object", "other_model", "year-clash")  # type: ignore[arg-type]


def _part_marks(facts: Facts) -> Iterator[Finding]:
    """A part dated years after the base, or after the years claimed, was changed; original it cannot be."""
    made = facts.made
    if made is None or made.last >= FOREVER:
        return
    for mark in facts.marks:
        slot = _PLACES.get(mark.where)
        if slot is None or mark.year is None or mark.refurbished or facts.told_changed(slot):
            continue
        row = _mark_row(facts, mark)
        base = facts.mark_years("base")
        because: tuple[Because, ...] = (mark.because, *((base[0].because,) if base else (facts.era_quote,) if facts.era_quote else ()))
        name = facts.lexicon.slots[slot].name
        if mark.year > made.last + SLACK:
            original = facts.said_original(slot)
            if original:
                yield Finding("conflict", slot, facts.model, f"the {name} is marked {mark.year}, years after the rest, so it is not original", (*because, original), *row, "mark_part")  # type: ignore[arg-type]
            else:
                yield Finding("later", slot, facts.model, f"the {name} is marked {mark.year}: changed at repair, as is usual", because, *row, "mark_part")  # type: ignore[arg-type]
        elif mark.year < made.first - SLACK:
            yield Finding("later", slot, facts.model, f"the {name} is marked {mark.year}, older than the rest: usual on rebuilt sets", because, *row, "mark_part")  # type: ignore[arg-type]


def _mark_row(facts: Facts, mark: MarkRead) -> tuple[str, str, str]:
    """Row, source and certainty of the code that the mark holds; the general rule where it holds none that is known."""
    words = mark.text.lower().replace("/", " ").split()
    for row in facts.lexicon.marks.values():
        if row.code.lower() in words and row.kind in ("maker", "refurbisher"):
            return f"marks:{row.id}", row.source, row.certainty
    where = facts.lexicon.observations.get(f"marks.{mark.where}")
    return f"observations:marks.{mark.where}", where.source if where else "common practice", "likely"


