"""Checks of the whole object: names against each other and against what shows, colour, lookalikes, what was not told or shown."""

from __future__ import annotations

from collections.abc import Iterator

from listingrisk.claims.claim import Quote, Sign
from listingrisk.crosscheck.checks import Basis
from listingrisk.crosscheck.facts import Attribute, Because, Facts, basis, quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.tables.records import Colour, SignRow

_MEANT = ("always", "usually")


def name_findings(facts: Facts) -> Iterator[Finding]:
    """Two models that cannot both be meant; a name that the telephone held to be likeliest does not bear."""
    if facts.model is None or not facts.named or len({m.item for m in facts.named.values()}) > 1:
        return  # several telephones of a lot are each their own
    first, *rest = sorted(facts.named.values(), key=lambda m: m.start)
    kin = facts.checks.kin(facts.model)
    relabelled = first.id in kin or facts.model in facts.checks.kin(first.id or "")
    if rest:
        names = {m.id for m in facts.named.values()}
        shared = any(names <= {m.id, *m.candidates} for m in facts.claims.models if not m.id and m.standing != "negated")
        check = "names.shared" if shared or names <= kin else "names.two"
        yield from facts.find(check, (quote(first), quote(rest[0])), _name_row(facts, rest[0].id or ""), other=_name(facts, first.id), named=_name(facts, rest[0].id))
    elif not facts.claimed and not relabelled and not facts.flagged("told_copy") and not _said_of(facts):
        grounds = _points_to(facts)
        if grounds or first.standing == "asserted":
            check = "names.other" if first.standing == "asserted" else "names.other-hedged"
            yield from facts.find(check, (quote(first), *grounds), _name_row(facts, first.id or ""), other=_name(facts, first.id))


def _said_of(facts: Facts) -> bool:
    """Whether the words hold a stamp that proves the candidate ("Indian ITI telephone"): then it is told what it is."""
    words = {w for s in facts.claims.signs for w in s.quote.lower().split()}
    return any(m.kind == "model" and m.model == facts.model and m.code.lower() in words for m in facts.lexicon.marks.values())


def _points_to(facts: Facts) -> tuple[Because, ...]:
    """What is seen or stamped that speaks for the candidate although it is called something else."""
    own = {(s.observation, s.value) for s in facts.lexicon.model_signs(facts.model or "") if s.share in _MEANT}
    numbers = {n.name.lower() for n in facts.lexicon.names.values() if n.model == facts.model and n.use == "number"}
    numbers |= {m.code.lower() for m in facts.lexicon.marks.values() if m.model == facts.model and m.kind == "model"}
    marks = [m.because for m in facts.marks if numbers & set(m.text.lower().split())]
    return (*marks, *(a.because for a in facts.attributes if (a.observation, a.value) in own))


def _name(facts: Facts, model: str | None) -> str:
    return facts.lexicon.models[model].name if model in facts.lexicon.models else ""


def _name_row(facts: Facts, model: str) -> Basis:
    return basis("names", next(n for n in facts.lexicon.names.values() if n.model == model))


def colour_findings(facts: Facts) -> Iterator[Finding]:
    """A colour the model never came in; a scarce one that was not seen right through. The first colour told is the body's."""
    if facts.model is None or not _body(facts):
        return
    said = [c for c in facts.claims.colours if c.standing != "negated"]
    first = [c for c in said if c.start == said[0].start]
    rows = [(c, row) for c in first if (row := facts.lexicon.colour_of(facts.model, c.sign))]
    possible = [(c, row) for c, row in rows if row.standing != "never"]
    if possible:
        if all(row.standing == "scarce" for _, row in possible):
            yield from _scarce(facts, *possible[0])
    elif rows and len(rows) == len(first):
        yield from _never(facts, *rows[0])


def _never(facts: Facts, said: Sign, row: Colour) -> Iterator[Finding]:
    told = facts.flagged("told_painted")
    check = "colour.never-told" if told or said.standing == "hedged" else "colour.never"
    yield from facts.find(check, (_said(said), *((told,) if told else ())), basis("colours", row), slot=_body(facts), colour=row.colour.replace("-", " "))


def _scarce(facts: Facts, said: Sign, row: Colour) -> Iterator[Finding]:
    checks = [c for c in facts.checks.of("colour") if c.observation]
    seen = next((o for c in checks if (o := facts.seen.get(c.observation))), None)
    told = facts.flagged("told_painted")
    black = next((_said(s) for s in facts.claims.signs if s.standing != "negated" and s.sign in {c.value for c in checks}), None)
    because: tuple[Because, ...] = (_said(said), *((seen,) if seen else ()), *((told,) if told else ()))
    through = seen is not None and seen.value == "yes"
    if through:
        check = "colour.through"
    elif seen is None:
        check = "colour.unseen" if not told and not black else ""
    else:
        check = "colour.coat-told" if told or row.finish == "applied" else "colour.coat"
    if check:
        yield from facts.find(check, because, basis("colours", row), slot=_body(facts), colour=row.colour.replace("-", " "))


def _body(facts: Facts) -> str:
    """The slot whose colour is meant by the colour of the telephone."""
    return next(iter(facts.checks.slots("body")), "")


def _said(sign: Sign) -> Quote:
    return Quote(sign.quote, sign.start, sign.end)


def lookalike_findings(facts: Facts) -> Iterator[Finding]:
    """Signs that the model never shows and a lookalike does. Where genuine makers share the sign it says little."""
    if facts.model is None:
        return
    own = facts.lexicon.model_signs(facts.model)
    presence = {c.observation for c in facts.checks.of("presence")}
    against = [a for a in facts.attributes if a.observation not in presence and not _swapped(facts, a.observation) and _contradicts(a, own)]
    if not against:
        return
    for row in sorted(facts.lexicon.lookalikes.values(), key=lambda r: (r.model != facts.model, r.id)):
        if facts.model not in (row.model, row.other):
            continue
        other = row.other if row.model == facts.model else row.model
        signs = {(s.observation, s.value): s for s in facts.lexicon.model_signs(other) if s.share in _MEANT}
        agreeing = [a for a in against if (a.observation, a.value) in signs]
        if not agreeing:
            continue
        sure = [a for a in agreeing if signs[a.observation, a.value].certainty != "unsure" and _firmly(a, own)]
        firm = bool(sure) and row.certainty != "unsure" and facts.claimed
        check = "lookalike.several" if firm and len(sure) > 1 else "lookalike.one" if firm else "lookalike.weak"
        how = f": {row.how}" if row.model == facts.model else ""
        yield from facts.find(check, tuple(a.because for a in agreeing), basis("lookalikes", row), other=_name(facts, other), how=how)
        return


def _swapped(facts: Facts, observation: str) -> bool:
    """Whether it is of a part that goes from telephone to telephone, and so says little of the whole."""
    slot = facts.lexicon.slots[facts.lexicon.observations[observation].slot]
    return bool({slot.id, slot.part_of} & facts.checks.slots("swapped"))


def _contradicts(attribute: Attribute, own: tuple[SignRow, ...]) -> bool:
    rows = [s for s in own if s.observation == attribute.observation]
    same = next((s for s in rows if s.value == attribute.value), None)
    if same is not None:
        return same.share == "never"
    return any(s.share in _MEANT and s.certainty != "unsure" for s in rows)


def _firmly(attribute: Attribute, own: tuple[SignRow, ...]) -> bool:
    """Whether the model never shows it, or always something else."""
    rows = [s for s in own if s.observation == attribute.observation and s.certainty != "unsure"]
    return any((s.value == attribute.value and s.share == "never") or (s.value != attribute.value and s.share == "always") for s in rows)


def gap_findings(facts: Facts) -> Iterator[Finding]:
    """What was neither said nor shown: the parts inside, the marks under the base."""
    if facts.model is None:
        return
    unseen = [slot for slot in _inside(facts) if not facts.at(slot)]
    working = facts.flagged("proves_little")
    row = facts.checks.by_id.get("gap.working" if working else "gap.inside")
    if unseen and row:
        names = ", ".join(facts.lexicon.slots[s].name for s in unseen)
        yield from facts.find(row.id, (working,) if working else (), basis("checks", row), slot=unseen[0], detail=" ".join(unseen), parts=names)
    for check in facts.checks.of("base_mark"):
        if check.observation and not any(m.where == facts.base for m in facts.marks):
            yield from facts.find("gap.marks", (), basis("checks", check), slot=facts.lexicon.observations[check.observation].slot)


def _inside(facts: Facts) -> list[str]:
    """Slots inside that the model has, that a photo could show and none does."""
    lexicon = facts.lexicon
    shown = {c.slot: c.observation for c in facts.checks.of("presence")}
    places = [s.id for s in sorted(lexicon.slots.values(), key=lambda s: s.order) if s.place == "inside" and s.id in shown]
    return [s for s in places if shown[s] not in facts.seen and any(f.fit in ("original", "service") for f in lexicon.fits_at(facts.model or "", s))]


def differ_findings(facts: Facts, touched: set[str]) -> Iterator[Finding]:
    """Where the sources disagree on what the claims or findings touch."""
    for row in facts.lexicon.disagreements.values():
        if (not row.model or row.model == facts.model) and (row.slot or row.model) and (row.slot in touched if row.slot else facts.era is not None):
            because: tuple[Because, ...] = (facts.era_quote,) if facts.era_quote and not row.slot else ()
            yield from facts.find("differ.sources", because, basis("disagreements", row), slot=row.slot or None, topic=row.topic, views="; ".join(row.views))
