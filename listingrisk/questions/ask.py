"""What could be asked: one photograph for all that a view shows, or a word about one slot. Nothing twice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from listingrisk.claims.claim import Observation
from listingrisk.risk.assess import Risk
from listingrisk.risk.evidence import CANNOT_SEE
from listingrisk.risk.nodes import ARRIVES_WHOLE, OBJECT, LexiconLike
from listingrisk.tables.weight_rows import Asking
from listingrisk.tables.weights import ANY, Weights

STATEMENT = "statement"
"""Name of the view of questions that are answered in words."""
MARKS = "marks."
"""How the observations of stamped marks begin (contract: marks.<where>)."""
_SIGNS = ("present", "kind", "cracks", "material", "shape", "condition")
"""Which observation of a slot is put into words first."""


@dataclass(frozen=True)
class Candidate:
    """One thing to ask. `states` are, slot by slot, the states that count as a fault the answer shows."""

    id: str
    text: str
    view: str | None
    kind: str
    minutes: float
    slots: tuple[str, ...]
    states: tuple[tuple[str, ...], ...]
    observations: tuple[str, ...]
    about: tuple[str, ...]
    """Slots to name in a report: `slots`, or for a question about the object those that are stamped."""


def candidates(risk: Risk, lexicon: LexiconLike, weights: Weights, *, observations: Iterable[Observation] = (), shown: Iterable[str] = ()) -> tuple[Candidate, ...]:
    """Every question that would tell something, photographs first, in the order of views and slots.

    A slot that the buyer saw in a view is not asked for there again, nor in words; a view that is shown is not asked
    for; a slot the words speak of, or one that a photograph can still show, is not asked about in words. "Cannot see"
    leaves the question open.
    """
    seen = {o.id for o in observations if o.value != CANNOT_SEE}
    spoken = {u.slot for u in risk.said}
    hidden = set(shown)
    views = sorted(lexicon.views.values(), key=lambda v: v.order)
    photos = [_photo(risk, view, lexicon, weights, seen) for view in views if view.id not in hidden]
    pictured = spoken | {slot for photo in photos if photo for slot in photo.slots}
    said = [_statement(risk, node.id, lexicon, weights, seen) for node in risk.node_set.slots if node.id not in pictured]
    return tuple(c for c in (*photos, *said) if c is not None)


def _photo(risk: Risk, view: object, lexicon: LexiconLike, weights: Weights, seen: set[str]) -> Candidate | None:
    view_id, text = str(view.id), str(view.ask)  # type: ignore[attr-defined]
    shown = {slot: weights.asking_of(view_id, slot) for slot in _shown_by(risk, view_id, lexicon, weights) if not _seen(slot, view_id, lexicon, seen)}
    visible = {slot: states for slot, row in shown.items() if (states := _faults(risk, slot, row))}
    if not visible:
        return None
    first = next(iter(visible))
    asked = tuple(o.id for o in lexicon.observations.values() if o.view == view_id and o.slot in visible and o.id not in seen)
    row = shown[first]
    return Candidate(f"photo:{view_id}", text, view_id, row.kind, row.minutes, tuple(visible), tuple(visible.values()), asked, _about(risk, tuple(visible), lexicon))


def _shown_by(risk: Risk, view: str, lexicon: LexiconLike, weights: Weights) -> list[str]:
    """Slots that a view shows: their own view, or that of an observation of them; the object where the tables say so."""
    watched = {o.slot for o in lexicon.observations.values() if o.view == view}
    slots = [node.id for node in risk.node_set.slots if node.id in watched or (node.id in lexicon.slots and lexicon.slots[node.id].view == view)]
    if (view, OBJECT) in weights.asking:
        return [OBJECT]
    return [slot for slot in slots if (view, slot) in weights.asking or (view, ANY) in weights.asking]


def _about(risk: Risk, slots: tuple[str, ...], lexicon: LexiconLike) -> tuple[str, ...]:
    if slots != (OBJECT,):
        return slots
    stamped = {o.slot for name, o in lexicon.observations.items() if name.startswith(MARKS)}
    return tuple(node.id for node in risk.node_set.slots if node.id in stamped)


def _seen(slot: str, view: str, lexicon: LexiconLike, seen: set[str]) -> bool:
    if slot == OBJECT:
        return any(name.startswith(MARKS) for name in seen)
    return any(name in seen and o.slot == slot and o.view == view for name, o in lexicon.observations.items())


def _faults(risk: Risk, slot: str, row: Asking) -> tuple[str, ...]:
    if slot == OBJECT:
        return tuple(state for state in row.states if state in risk.node_set.object.states)
    node = risk.node_set.slots[risk.node_set.index[slot]]
    return tuple(state for state in row.states if state in node.states)


def _statement(risk: Risk, slot: str, lexicon: LexiconLike, weights: Weights, seen: set[str]) -> Candidate | None:
    row = weights.asking_of(STATEMENT, slot)
    found = _in_words(slot, lexicon)
    if slot == ARRIVES_WHOLE or any(o.id in seen for o in lexicon.observations.values() if o.slot == slot):
        return None
    words = row.ask or (str(found[1]) if found else "")
    faults = _faults(risk, slot, row)
    if not words or not faults:
        return None
    return Candidate(f"say:{slot}", f"Please tell me {words}.", None, row.kind, row.minutes, (slot,), (faults,), (found[0],) if found else (), (slot,))


def _in_words(slot: str, lexicon: LexiconLike) -> tuple[str, str] | None:
    """The observation of a slot that is best put into words."""
    own = {str(o.id): str(o.ask) for o in lexicon.observations.values() if o.slot == slot and not str(o.id).startswith("marks.")}
    for sign in _SIGNS:
        if f"{slot}.{sign}" in own:
            return f"{slot}.{sign}", own[f"{slot}.{sign}"]
    return next(iter(sorted(own.items())), None)
