"""Checks of the whole object: names against each other, colour, lookalikes, and what was neither said nor shown."""

from __future__ import annotations

from collections.abc import Iterator

from listingrisk.claims.claim import ModelClaim, Quote
from listingrisk.crosscheck.facts import Attribute, Because, Facts
from listingrisk.crosscheck.finding import Finding, Kind
from listingrisk.dates import years
from listingrisk.tables.records import SignRow

_MEANT = ("always", "usually")


def name_findings(facts: Facts) -> Iterator[Finding]:
    """Two models that cannot both be meant: by the words, or by the words and what is stamped or shows."""
    yield from _called_otherwise(facts)
    named = [m for m in facts.claims.models if m.standing != "negated"]
    singles: dict[str, ModelClaim] = {}
    for claim in named:
        if claim.id:
            singles.setdefault(claim.id, claim)
    if len(singles) < 2 or facts.model is None:  # noqa: PLR2004
        return
    together = any(set(singles) <= {m.id, *m.candidates} for m in named if not m.id)
    if len({m.item for m in singles.values()}) > 1:
        return  # several telephones of a lot
    first, second = sorted(singles.values(), key=lambda m: m.start)[:2]
    kind: Kind = "later" if together else "conflict"
    row = next(n for n in facts.lexicon.names.values() if n.model == second.id)
    one, other = (facts.lexicon.models[m.id or ""].name for m in (first, second))
    yield Finding(kind, None, facts.model, f"it is called {one} and {other}: it cannot be both", (_quote(first), _quote(second)), f"names:{row.id}", row.source, "likely", "names")


def _called_otherwise(facts: Facts) -> Iterator[Finding]:
    """The words name a model, and marks or features make it another."""
    named = [m for m in facts.claims.models if m.standing != "negated"]
    meant = {m.id for m in named if m.id}
    asserted = next((m for m in named if m.id and m.standing == "asserted"), None)
    if facts.model is None or asserted is None or facts.model in meant or _said_of(facts, facts.model):
        return
    model = facts.lexicon.models[facts.model]
    marks = tuple(m.because for m in facts.marks if m.where == "base")
    says = f"it is called {facts.lexicon.models[asserted.id or ''].name}, but what is stamped and shows makes it {model.name}"
    called = facts.lexicon.models[asserted.id or ""]
    # the stamp of an earlier type of the same series under a later number is the usual factory rebuild
    rebuilt = called.family == model.family and bool(called.refurbished_until) and years(model.made).first < years(called.made).first
    yield Finding("later" if rebuilt else "conflict", None, facts.model, says, (_quote(asserted), *marks), f"models:{model.id}", model.source, model.certainty, "called_otherwise")  # type: ignore[arg-type]


def _said_of(facts: Facts, model: str) -> bool:
    """Whether the words hold a stamp that proves the model ("Indian ITI telephone"): then it is told what it is."""
    words = set(facts.words)
    return any(m.kind == "model" and m.model == model and m.code.lower() in words for m in facts.lexicon.marks.values())


def _quote(claim: ModelClaim) -> Quote:
    return Quote(claim.quote, claim.start, claim.end)


def colour_findings(facts: Facts) -> Iterator[Finding]:
    """A colour the model never came in; a scarce one that was not seen right through."""
    if facts.model is None:
        return
    repainted = any(f.flag == "repainted" and f.standing != "negated" for f in facts.claims.flags)
    for said in facts.claims.colours:
        row = facts.lexicon.colour_of(facts.model, said.sign)
        if row is None or said.standing == "negated":
            continue
        words = Quote(said.quote, said.start, said.end)
        if row.standing == "never":
            kind: Kind = "later" if repainted or said.standing == "hedged" or row.certainty == "unsure" else "conflict"
            says = f"this model never came in {row.colour.replace('-', ' ')}"
            yield Finding(kind, "case", facts.model, says, (words,), f"colours:{row.id}", row.source, row.certainty, "colour", "case", "wrong_type", "tell-moderate")  # type: ignore[arg-type]
        elif row.standing == "scarce":
            yield from _scarce(facts, words, row.id, row.colour, row.source)
        break


def _scarce(facts: Facts, words: Quote, row: str, colour: str, source: str) -> Iterator[Finding]:
    seen = facts.seen.get("case.colour_through")
    name = colour.replace("-", " ")
    if seen is not None and seen.value == "no" and any(f.flag == "repainted" and f.standing != "negated" for f in facts.claims.flags):
        yield Finding("later", "case", facts.model, f"{name} is put on, and that is said", (words, seen), f"colours:{row}", source, "sure", "colour")
    elif seen is not None and seen.value == "no":
        yield Finding("conflict", "case", facts.model, f"{name} is a scarce colour, and it does not run through the case", (words, seen), f"colours:{row}", source, "sure", "colour")
    elif seen is not None:
        yield Finding("confirms", "case", facts.model, f"{name} runs through the case, as a moulded colour does", (words, seen), f"colours:{row}", source, "sure", "colour")
    else:
        yield Finding("gap", "case", facts.model, f"{name} is a scarce colour: not shown whether it runs through the case", (words,), f"colours:{row}", source, "sure", "colour")


def lookalike_findings(facts: Facts) -> Iterator[Finding]:
    """Signs that the model claimed never shows and a lookalike does. Where genuine makers share the sign it says little."""
    if facts.model is None:
        return
    own = {(s.observation, s.value): s for s in facts.lexicon.model_signs(facts.model)}
    against = [a for a in facts.attributes if not facts.told_changed(facts.lexicon.observations[a.observation].slot) and _contradicts(facts, a, own)]
    if not against:
        return
    rows = sorted((r for r in facts.lexicon.lookalikes.values() if facts.model in (r.model, r.other)), key=lambda r: (r.model != facts.model, r.id))
    for row in rows:
        other = row.other if row.model == facts.model else row.model
        agreeing = [a for a in against if any(s.observation == a.observation and s.value == a.value and s.share in _MEANT for s in facts.lexicon.model_signs(other))]
        sure = [a for a in agreeing if _certain(facts, a, other)]
        if not agreeing:
            continue
        name = facts.lexicon.models[other].name
        kind: Kind = "conflict" if sure and row.certainty != "unsure" else "later"
        because: tuple[Because, ...] = tuple(a.because for a in agreeing)
        strength = "tell-strong" if len(sure) > 1 else "tell-moderate"
        yield Finding(kind, None, facts.model, f"this points to {name}; what tells the two apart: {row.how}", because, f"lookalikes:{row.id}", row.source, row.certainty, "lookalike", "object", "other_model", strength)  # type: ignore[arg-type]
        return


def _contradicts(facts: Facts, attribute: Attribute, own: dict[tuple[str, str], SignRow]) -> bool:
    same = own.get((attribute.observation, attribute.value))
    if same is not None:
        return same.share == "never"
    return any(key[0] == attribute.observation and s.share in _MEANT and s.certainty != "unsure" for key, s in own.items())


def _certain(facts: Facts, attribute: Attribute, other: str) -> bool:
    return any(s.observation == attribute.observation and s.value == attribute.value and s.certainty != "unsure" for s in facts.lexicon.model_signs(other))


def gap_findings(facts: Facts) -> Iterator[Finding]:
    """What was neither said nor shown: the parts inside, the marks under the base."""
    if facts.model is None:
        return
    unseen = [s for s in _inside(facts) if f"{s}.present" not in facts.seen and not facts.at(s)]
    names = ", ".join(facts.lexicon.slots[s].name for s in unseen)
    working = next((f for f in facts.claims.flags if f.flag == "working" and f.standing != "negated"), None)
    row = facts.lexicon.slots.get(unseen[0]) if unseen else None
    if row is not None:
        says = f"the inside is not shown: {names}"
        because: tuple[Because, ...] = ()
        if working is not None:
            says += "; that it works does not prove it complete"
            because = (Quote(working.quote, working.start, working.end),)
        yield Finding("gap", unseen[0], facts.model, says, because, f"slots:{row.id}", "common practice", "sure", "inside")
    if not any(m.where == "base" for m in facts.marks):
        yield Finding("gap", "base_plate", facts.model, "what is stamped on the base is neither told nor shown", (), "observations:marks.base", "common practice", "sure", "base_marks")


def _inside(facts: Facts) -> list[str]:
    lexicon = facts.lexicon
    places = [s for s in sorted(lexicon.slots.values(), key=lambda s: s.order) if s.place == "inside" and f"{s.id}.present" in lexicon.observations]
    return [s.id for s in places if any(f.fit in ("original", "service") for f in lexicon.fits_at(facts.model or "", s.id))]


def differ_findings(facts: Facts, touched: set[str]) -> Iterator[Finding]:
    """Where the sources disagree on what the claims or findings touch."""
    for row in facts.lexicon.disagreements.values():
        if row.model and row.model == facts.model and (row.slot in touched if row.slot else facts.era is not None):
            because: tuple[Because, ...] = (facts.era_quote,) if facts.era_quote and not row.slot else ()
            yield Finding("differ", row.slot or None, facts.model, f"sources disagree on {row.topic}: {'; '.join(row.views)}", because, f"disagreements:{row.id}", row.source, row.certainty, "differ")  # type: ignore[arg-type]
