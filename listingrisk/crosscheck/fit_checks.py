"""Part against model and year: what is said and seen of a slot narrows its parts; the best fit of those decides."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from listingrisk.claims.claim import Observation, PartClaim
from listingrisk.crosscheck.checks import Check
from listingrisk.crosscheck.facts import Attribute, Because, Facts, basis, quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.dates import years
from listingrisk.tables.lexicon import FIT_ORDER
from listingrisk.tables.records import Fit, Part

_MEANT = ("always", "usually")
_THERE = ("present", "replaced", "broken", "reproduction")


@dataclass(frozen=True)
class Fitted:
    """What the tables say of the part at a slot: the best row, whether its years are met, and what it rests on."""

    row: Fit
    part: Part
    in_its_years: bool
    because: tuple[Because, ...]

    @property
    def seen(self) -> bool:
        """Whether it rests on something the buyer saw."""
        return any(isinstance(b, Observation) for b in self.because)


def part_findings(facts: Facts) -> Iterator[Finding]:
    """One finding per slot of which the kind of part is known."""
    if facts.model is None:
        return
    without = made_without(facts)
    for slot in sorted(facts.lexicon.slots.values(), key=lambda s: s.order):
        added = list(_added(facts, without[slot.id])) if slot.id in without else []
        yield from added
        fitted = None if added else best_fit(facts, slot.id)
        if fitted:
            yield from _judge(facts, fitted)


def best_fit(facts: Facts, slot: str) -> Fitted | None:
    """The best fit among the parts that agree with all that is said and seen of a slot; None where nothing tells."""
    named = [p for p in facts.at(slot) if p.part and p.state in _THERE and p.standing != "negated"]
    if not named:
        return narrowed(facts, slot)
    found = _fit(facts, slot, named[0].part or "", (quote(named[0]),))
    seen = narrowed(facts, slot)
    if found and seen and seen.seen and _rank(seen) > _rank(found):
        return seen  # the photo shows another kind than the words name
    return found


def narrowed(facts: Facts, slot: str) -> Fitted | None:
    """The best fit of the parts whose signs agree with every attribute that tells of this slot."""
    lexicon = facts.lexicon
    telling = [a for a in facts.attributes if a.observation in facts.checks.shown[slot] and facts.tells_of(a.observation, slot)]
    if not telling:
        return None
    rows = lexicon.fits_at(facts.model or "", slot)
    agreeing = {p: [_agrees(facts, p, a) for a in telling] for p in sorted({f.part for f in rows if f.part})}
    fitting = {p: sum(a is True for a in said) for p, said in agreeing.items() if False not in said and True in said}
    because = tuple(a.because for a in telling)
    found = [f for p in fitting if (f := _fit(facts, slot, p, because))]
    best = min(found, key=lambda f: (*_rank(f), -fitting[f.part.id])) if found else None
    belonging = any(f.fit in ("original", "service") for f in rows)
    # where the tables name nothing that belongs there, a look alone proves nothing wrong
    return best if best and (best.row.fit != "wrong" or belonging) else None


def _agrees(facts: Facts, part: str, attribute: Attribute) -> bool | None:
    """True, False, or None where the part's signs say nothing of it."""
    shown = [s for s in facts.lexicon.part_signs(part) if s.observation == attribute.observation]
    same = [s for s in shown if s.value == attribute.value]
    if same:
        return same[0].share != "never"
    return False if any(s.share in _MEANT for s in shown) else None


def _fit(facts: Facts, slot: str, part: str, because: tuple[Because, ...]) -> Fitted | None:
    lexicon, model = facts.lexicon, facts.model or ""
    row = lexicon.fit_of(model, slot, part, facts.made)
    if row is not None:
        return Fitted(row, lexicon.parts[part], True, because)
    rows = lexicon.fit_rows(model, slot, part)
    return Fitted(rows[0], lexicon.parts[part], False, because) if rows else None


def _rank(fitted: Fitted) -> tuple[bool, bool, int]:
    """What never belongs comes last, then what is out of its years."""
    return (fitted.row.fit == "wrong", not fitted.in_its_years, FIT_ORDER.index(fitted.row.fit))


def _judge(facts: Facts, fitted: Fitted) -> Iterator[Finding]:
    row = fitted.row
    told = facts.told_changed(row.slot)
    original = facts.said_original(row.slot)
    too_young = _too_young(facts, row.slot, fitted.part) if not told else None
    if too_young and row.fit != "wrong":
        return _say(facts, fitted, "part-fit.year", too_young)
    if row.fit == "original" and fitted.in_its_years:
        return _say(facts, fitted, "part-fit.original-told" if told and not fitted.seen else "part-fit.original")
    if row.fit == "wrong":
        return _say(facts, fitted, _wrong(facts, fitted, told=told is not None))
    kind = "later" if row.fit == "later" else "service"
    if told:
        return _say(facts, fitted, f"part-fit.{kind}-told", told)
    if original and not (row.fit == "original" and facts.made is None):
        return _say(facts, fitted, f"part-fit.{kind}-claimed", original)
    return _say(facts, fitted, f"part-fit.{kind}")


def _wrong(facts: Facts, fitted: Fitted, *, told: bool) -> str:
    """Which outcome a part that never belongs there has: told, hedged or not called this model it is later."""
    if told:
        return "part-fit.wrong-told"
    if not fitted.seen and all(p.standing != "asserted" for p in facts.at(fitted.row.slot)):
        return "part-fit.wrong-hedged"
    return "part-fit.wrong" if facts.claimed else "part-fit.wrong-unclaimed"


def _too_young(facts: Facts, slot: str, part: Part) -> Because | None:
    """The years claimed, where the part came only after them.

    Not where the telephone is said to have been worked on since and none claims it original. A plug tells where it was
    last used: what ends the line is changed with the sockets (rows `changed_with_use`), unless it never was of the trade.
    """
    if facts.era is None or not facts.era_asserted or not part.made or part.certainty == "unsure":
        return None
    if years(part.made).first <= facts.era.last + facts.checks.slack("part_years"):
        return None
    if facts.mark_years(facts.base) or (slot in facts.checks.slots("changed_with_use") and part.genuine):
        return None
    return None if facts.told_refurbished and not facts.said_original(slot) else facts.era_quote


def _say(facts: Facts, fitted: Fitted, check: str, *more: Because) -> Iterator[Finding]:
    row, part = fitted.row, fitted.part
    when = f" ({row.when})" if row.when else ""
    return facts.find(check, (*fitted.because, *more), basis("fits", row), slot=row.slot, detail=part.id, part=part.name, when=when, made=part.made)


def unknown_part_findings(facts: Facts) -> Iterator[Finding]:
    """A part named or described that the tables do not place on this model, and of which none is as old as claimed."""
    for claim in facts.parts:
        if claim.state not in _THERE or claim.standing == "negated" or facts.told_changed(claim.slot) or (facts.lexicon.slots[claim.slot].part_of and not claim.part):
            continue
        meant = [] if facts.model and best_fit(facts, claim.slot) else _of_that_look(facts, claim)
        oldest = min(meant, key=lambda p: years(p.made).first, default=None)
        era = _too_young(facts, claim.slot, oldest) if oldest else None
        if oldest and era:
            name = oldest.name if claim.part else f"a {facts.lexicon.slots[claim.slot].name} of this kind"
            yield from facts.find("part-years.after", (quote(claim), era), basis("parts", oldest), slot=claim.slot, detail=oldest.id, part=name, made=oldest.made)


def _of_that_look(facts: Facts, claim: PartClaim) -> list[Part]:
    """The part named, else every part of the slot that shows what the words describe; [] where one of them has no years."""
    lexicon = facts.lexicon
    if claim.part:
        found = [lexicon.parts[claim.part]]
    else:
        told = [Attribute(key, value, quote(claim)) for key, value in claim.attributes]
        found = [p for p in lexicon.parts_of_slot(claim.slot) if told and all(_agrees(facts, p.id, a) for a in told)]
    return found if all(p.made and p.certainty != "unsure" for p in found) else []


# A telephone made without -----------------------------------------------------------------------------------------------


def made_without(facts: Facts) -> dict[str, Check]:
    """Slots that this telephone was made without, with the row that says so."""
    return {row.slot: row for row in facts.checks.of("made_without") if facts.model and _made_without(facts, row)}


def _made_without(facts: Facts, row: Check) -> bool:
    """Whether every telephone of the model, or the variant that the words or the base name, was made without this slot's part."""
    model = facts.lexicon.models[facts.model or ""]
    if model.dialless != "some":
        return model.dialless == "all"
    stamped = {w.lower() for m in facts.marks if m.where == facts.base for w in m.text.split()}
    named = any(n.variant == row.other and n.model == model.id and n.name.lower() in stamped for n in facts.lexicon.names.values()) if stamped else False
    return named or any(m.variant == row.other and m.id == model.id and m.standing == "asserted" for m in facts.claims.models)


def _added(facts: Facts, row: Check) -> Iterator[Finding]:
    """A part where none was: a later fitting and no fault; only original it cannot be."""
    there = [p for p in facts.at(row.slot) if p.state in _THERE and p.standing != "negated" and _is_one(facts, p, row)]
    seen = facts.seen.get(row.observation)
    if seen and seen.value != row.value:
        return
    look = narrowed(facts, row.slot)
    because: tuple[Because, ...] = tuple(quote(p) for p in there[:1])
    because += (seen,) if seen and seen.value == row.value else ()
    because += look.because if look and look.seen and _shows(facts, look.part.id, row) else ()
    if not because:
        return
    fits = facts.lexicon.fits_at(facts.model or "", row.slot)
    ground = basis("fits", fits[0]) if fits else basis("checks", row)
    own = facts.own_original(row.slot)
    yield from facts.find("made-without.original" if own else "made-without.fitted", because + ((own,) if own else ()), ground, slot=row.slot)


def _is_one(facts: Facts, claim: PartClaim, row: Check) -> bool:
    if claim.part:
        return _shows(facts, claim.part, row)
    return dict(claim.attributes).get(row.observation, row.value) == row.value


def _shows(facts: Facts, part: str, row: Check) -> bool:
    return any(s.observation == row.observation and s.value == row.value and s.share != "never" for s in facts.lexicon.part_signs(part))
