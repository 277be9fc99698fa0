"""Part against model and year: what is said and seen of a slot narrows its parts; the best fit of those decides."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from listingrisk.claims.claim import Blanket, Observation, PartClaim, Quote
from listingrisk.crosscheck.facts import Attribute, Because, Facts, quote
from listingrisk.crosscheck.finding import Finding, Kind
from listingrisk.dates import years
from listingrisk.tables.lexicon import FIT_ORDER
from listingrisk.tables.records import Fit, Part

DIAL = "dial"
_CHANGED_WITH_SOCKETS = ("plug", "line_cord")
_MEANT = ("always", "usually")


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
    for slot in sorted(facts.lexicon.slots.values(), key=lambda s: s.order):
        fitted = best_fit(facts, slot.id)
        if fitted:
            yield _judge(facts, fitted)


def best_fit(facts: Facts, slot: str) -> Fitted | None:
    """The best fit among the parts that agree with all that is said and seen of a slot; None where nothing tells."""
    named = [p for p in facts.at(slot) if p.part and p.state in ("present", "replaced", "broken", "reproduction")]
    if named:
        claim = named[0]
        found = _fit(facts, slot, claim.part or "", (quote(claim),))
        seen = _narrowed(facts, slot)
        if found and seen and seen.seen and _rank(seen) > _rank(found):
            return seen  # the photo shows another kind than the words name
        return found
    return _narrowed(facts, slot)


def _narrowed(facts: Facts, slot: str) -> Fitted | None:
    """The best fit of the parts whose signs agree with every attribute that tells of this slot."""
    lexicon = facts.lexicon
    telling = [a for a in facts.attributes if _tells_of(facts, a, slot) and any(s.observation == a.observation for p in lexicon.parts_of_slot(slot) for s in lexicon.part_signs(p.id))]
    if not telling:
        return None
    on_model = {f.part for f in lexicon.fits_at(facts.model or "", slot) if f.part}
    fitting = [p for p in sorted(on_model) if all(_agrees(facts, p, a) is not False for a in telling) and any(_agrees(facts, p, a) for a in telling)]
    because = tuple(a.because for a in telling)
    agreeing = {p: sum(_agrees(facts, p, a) is True for a in telling) for p in fitting}
    found = [f for p in fitting if (f := _fit(facts, slot, p, because))]
    best = min(found, key=lambda f: (*_rank(f), -agreeing[f.part.id])) if found else None
    belonging = any(f.fit in ("original", "service") for f in lexicon.fits_at(facts.model or "", slot))
    # where the tables name nothing that belongs there, a look alone proves nothing wrong
    return best if best and (best.row.fit != "wrong" or belonging) else None


def _tells_of(facts: Facts, attribute: Attribute, slot: str) -> bool:
    """Whether an observation is of this slot or of a piece of it."""
    place = facts.lexicon.observations[attribute.observation].slot
    return place == slot or facts.lexicon.slots[place].part_of == slot


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


def without_a_dial(facts: Facts) -> bool:
    """Whether every telephone of the model, or the variant named, was made without a dial."""
    model = facts.lexicon.models.get(facts.model or "")
    if model is None or model.dialless == "none" or not model.dialless:
        return False
    return model.dialless == "all" or any(m.variant == "dialless" and m.standing == "asserted" for m in facts.claims.models)


def _judge(facts: Facts, fitted: Fitted) -> Finding:
    if fitted.row.slot == DIAL and without_a_dial(facts) and not _blank(facts, fitted.part.id):
        return _added_dial(facts, fitted)
    return _judge_fit(facts, fitted)


def _blank(facts: Facts, part: str) -> bool:
    """Whether a part is the plate that closes the dial hole."""
    return any(s.observation == f"{DIAL}.present" and s.value == "blanked" for s in facts.lexicon.part_signs(part))


def _added_dial(facts: Facts, fitted: Fitted) -> Finding:
    """A dial on a telephone made without one is a later fitting, and no fault; only original it cannot be."""
    own = next((quote(p) for p in facts.at(DIAL) if p.original and p.standing == "asserted"), None)
    if own:
        return _finding(facts, fitted, "conflict", "this telephone was made without a dial, so the dial is not original", ("service", "photo-part-kind"), own)
    return _finding(facts, fitted, "later", "this telephone was made without a dial: the dial is a later fitting, no fault in itself", ("service", "photo-part-kind"))


def _judge_fit(facts: Facts, fitted: Fitted) -> Finding:
    row, name = fitted.row, fitted.part.name
    slot = facts.lexicon.slots[row.slot].name
    original = facts.said_original(row.slot)
    told = facts.told_changed(row.slot) is not None
    if row.fit == "original" and fitted.in_its_years:
        return _finding(facts, fitted, "confirms", f"{name} is right for the {slot} of this model", ("wrong_type", "photo-part-right"))
    if row.fit == "wrong":
        state = ("wrong_type", "photo-part-kind")
        if told or row.certainty == "unsure":
            return _finding(facts, fitted, "later", f"{name} does not belong on this model{', and that is said' if told else ''}", state)
        return _finding(facts, fitted, "conflict", f"{name} does not belong on this model", state)
    state = ("wrong_type" if row.fit == "later" else "service", "photo-part-kind")
    when = f" ({row.when})" if row.when else ""
    if told or row.certainty == "unsure":
        return _finding(facts, fitted, "later", f"{name} is a later fitting{when}, not as it left the works", state)
    if original and not (row.fit == "original" and facts.made is None):
        return _finding(facts, fitted, "conflict", f"{name} is a later fitting{when}, so the {slot} is not original", state, original)
    if not fitted.in_its_years and facts.era_asserted and facts.era_quote and facts.made == facts.era and not facts.told_reworked and _too_young(facts, fitted):
        return _finding(facts, fitted, "conflict", f"{name} is of {fitted.part.made}, later than the years claimed", state, facts.era_quote)
    return _finding(facts, fitted, "later", f"{name} is right in kind but a later fitting{when}", state)


def _too_young(facts: Facts, fitted: Fitted) -> bool:
    """Whether the part itself came only after the years claimed. A plug tells where it was last used, and cords wear out
    with it: what ends the line is changed with the sockets, and a year alone makes no conflict of it."""
    made = fitted.part.made
    return bool(made) and facts.era is not None and fitted.row.slot not in _CHANGED_WITH_SOCKETS and years(made).first > facts.era.last + 1


def unknown_part_findings(facts: Facts) -> Iterator[Finding]:
    """A part named or described that the tables do not place on this model, and of which none is as old as claimed."""
    if facts.era is None or facts.era_quote is None or not facts.era_asserted:
        return
    for claim in facts.parts:
        if claim.state == "missing" or facts.told_changed(claim.slot) or (facts.lexicon.slots[claim.slot].part_of and not claim.part) or best_fit(facts, claim.slot):
            continue
        meant = _of_that_look(facts, claim)
        oldest = min(meant, key=lambda p: years(p.made).first, default=None)
        if oldest is not None and years(oldest.made).first > facts.era.last + 1:
            says = f"the {facts.lexicon.slots[claim.slot].name} is of a kind made from {oldest.made.partition('/')[0]}, later than the years claimed"
            yield Finding("conflict", claim.slot, facts.model, says, (quote(claim), facts.era_quote), f"parts:{oldest.id}", oldest.source, oldest.certainty, "part_years", text=oldest.id)  # type: ignore[arg-type]


def _of_that_look(facts: Facts, claim: PartClaim) -> list[Part]:
    """The part named, else every part of the slot that shows what the words describe; [] where one of them has no years."""
    lexicon = facts.lexicon
    if claim.part:
        found = [lexicon.parts[claim.part]]
    else:
        told = [Attribute(key, value, quote(claim)) for key, value in claim.attributes]
        found = [p for p in lexicon.parts_of_slot(claim.slot) if told and all(_agrees(facts, p.id, a) for a in told)]
    return found if all(p.made and p.certainty != "unsure" for p in found) else []


def _finding(facts: Facts, fitted: Fitted, kind: Kind, says: str, weighs: tuple[str, str], *more: Because) -> Finding:
    row = fitted.row
    state, evidence = weighs if fitted.seen else (None, None)
    return Finding(kind, row.slot, facts.model, says, tuple(dict.fromkeys((*fitted.because, *more))), f"fits:{row.id}", row.source, row.certainty, "part_fit", row.slot if evidence else None, state, evidence, fitted.part.id)  # type: ignore[arg-type]


def absence_findings(facts: Facts) -> Iterator[Finding]:
    """A part where nothing belongs (a dial on a model made without one): later, and conflict where it is called original."""
    if facts.model is None:
        return
    for slot in facts.lexicon.slots.values():
        row = facts.lexicon.nothing_belongs(facts.model, slot.id)
        if row is None and slot.id == DIAL and without_a_dial(facts) and not best_fit(facts, DIAL):
            row = next((f for f in facts.lexicon.fits_at(facts.model, DIAL) if f.fit in ("absent", "original")), None)
        if row is None:
            continue
        there = [p for p in facts.at(slot.id) if p.state != "missing" and not (p.part and facts.lexicon.fit_of(facts.model, slot.id, p.part))]
        seen = facts.seen.get(f"{slot.id}.present")
        because: tuple[Because, ...] = tuple(quote(p) for p in there[:1]) + ((seen,) if seen and seen.value == "yes" else ())
        if not because:
            continue
        own = next((p for p in there if p.original), None)
        kind: Kind = "conflict" if own else "later"
        tail = ", so it is no original one" if own else ": a later fitting"
        yield Finding(kind, slot.id, facts.model, f"this model was made without a {slot.name}{tail}", because, f"fits:{row.id}", row.source, row.certainty, "nothing_belongs")  # type: ignore[arg-type]


def presence_findings(facts: Facts) -> Iterator[Finding]:
    """What the photos or the words say is not there."""
    if facts.model is None:
        return
    for slot in facts.lexicon.slots.values():
        rows = [f for f in facts.lexicon.fits_at(facts.model, slot.id) if f.fit in ("original", "service")]
        if not rows:
            continue
        rows.sort(key=lambda f: ("sure likely unsure".split().index(f.certainty), f.fit))
        told = next((p for p in facts.at(slot.id) if p.state == "missing"), None)
        seen = facts.seen.get(f"{slot.id}.present")
        if seen is not None and seen.value == "blanked" and told is None:
            real = [p for p in facts.at(slot.id) if p.state == "present" and p.standing == "asserted" and (p.original or (p.cue and p.cue.rule.startswith("cues:present")))]
            if real and not any((f"{slot.id}.present", "blanked") in p.attributes or _closing(facts, p) for p in facts.at(slot.id)):
                yield Finding("conflict", slot.id, facts.model, f"the place of the {slot.name} is blanked, though the words say it is there", (seen, quote(real[0])), f"fits:{rows[0].id}", rows[0].source, rows[0].certainty, "gone")  # type: ignore[arg-type]
        elif seen is not None and seen.value == "no" and told is None:
            claimed = _claimed_there(facts, slot.id)
            if claimed or slot.place == "inside":
                says = f"the {slot.name} is not there" + (", though the words say it is" if claimed else ", and it belongs there")
                yield Finding("conflict", slot.id, facts.model, says, (seen, *claimed), f"fits:{rows[0].id}", rows[0].source, rows[0].certainty, "gone")  # type: ignore[arg-type]
            else:
                yield Finding("later", slot.id, facts.model, f"the {slot.name} is not there", (seen,), f"fits:{rows[0].id}", rows[0].source, rows[0].certainty, "gone")  # type: ignore[arg-type]
        elif told is not None and not all(f.share == "some" for f in rows) and not (slot.id == DIAL and without_a_dial(facts)):
            yield Finding("later", slot.id, facts.model, f"the {slot.name} is gone, and that is said", (quote(told),), f"fits:{rows[0].id}", rows[0].source, rows[0].certainty, "gone")  # type: ignore[arg-type]
        elif seen is not None and seen.value == "yes" and slot.place == "inside":
            yield Finding("confirms", slot.id, facts.model, f"the {slot.name} is there", (seen,), f"fits:{rows[0].id}", rows[0].source, rows[0].certainty, "there")  # type: ignore[arg-type]


def _closing(facts: Facts, claim: PartClaim) -> bool:
    """Whether the part named is itself the blank."""
    return claim.part is not None and any(s.observation == f"{claim.slot}.present" and s.value == "blanked" for s in facts.lexicon.part_signs(claim.part))


def _claimed_there(facts: Facts, slot: str) -> tuple[Because, ...]:
    said = [quote(p) for p in facts.at(slot) if p.state in ("present", "broken", "replaced")]
    blanket = facts.blanket("original", slot) or facts.blanket("complete", slot)
    return tuple(said[:1]) + ((_quoted(blanket),) if blanket and not said else ())


def _quoted(blanket: Blanket) -> Quote:
    return Quote(blanket.quote, blanket.start, blanket.end)
