"""Which nodes the risk model has for one model of telephone, with their states and priors.

Five slots inside the case hang together through `inside` (untouched, worked_on, stripped): parts that are stripped go
together. All other slots are independent of each other and of what the object is (method B).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, Protocol

import numpy as np

from listingrisk.errors import BadTable, Fault
from listingrisk.odds import FloatArray
from listingrisk.tables.weight_rows import Prior
from listingrisk.tables.weights import ANY, SCARCE, Weights

Purpose = Literal["display", "use", "spares"]
OBJECT, WORDS, INSIDE = "object", "words", "inside"
WORKS, ARRIVES_WHOLE = "works", "arrives_whole"
STATE_ORDER = {
    OBJECT: ("as_claimed", "other_model", "assembled", "reproduction"),
    WORDS: ("reliable", "careless", "misleading"),
    INSIDE: ("untouched", "worked_on", "stripped"),
    WORKS: ("works", "faulty"),
    ARRIVES_WHOLE: ("whole", "broken_in_post"),
}
"""States of the nodes beside the slots, the reference (good) state first."""
SLOT_STATES = ("ok", "service", "not_included", "repro", "wrong_type", "broken", "missing")
"""States of slots in the order they are kept; ok is the reference."""


class LexiconLike(Protocol):
    """What the decision core asks of the lexicon; tables.lexicon.Lexicon has it all."""

    @property
    def models(self) -> Mapping[str, Any]:
        """Models by id, each with kind, family, country and dialless."""

    @property
    def slots(self) -> Mapping[str, Any]:
        """Slots by id, each with name, place, view, order."""

    @property
    def views(self) -> Mapping[str, Any]:
        """Views by id, each with name, ask, order."""

    @property
    def observations(self) -> Mapping[str, Any]:
        """Observations by id, each with slot, view, ask."""

    def fits_at(self, model: str, slot: str) -> tuple[Any, ...]:
        """Rows of fits of a model at a slot, each with fit."""

    def nothing_belongs(self, model: str, slot: str) -> Any:
        """The row that says nothing belongs there, else None."""

    def fit_of(self, model: str, slot: str, part: str, when: Any = None) -> Any:
        """The row of fits that speaks for a part in some years, else None."""

    def colour_of(self, model: str, colour: str) -> Any:
        """The row that speaks of a colour on a model, with standing, else None."""


@dataclass(frozen=True, eq=False)
class Node:
    """One node: its states, reference first, and how common each is before anything is said or seen."""

    id: str
    states: tuple[str, ...]
    prior: FloatArray
    """Sums to 1; for a slot that hangs on inside, the mixture over inside."""
    given_inside: FloatArray | None
    """Rows untouched, worked_on, stripped; None for a node that does not depend on inside."""
    source: str
    grade: str


@dataclass(frozen=True, eq=False)
class NodeSet:
    """Everything the risk model holds about one candidate model."""

    model_id: str
    scopes: tuple[str, ...]
    """Scopes of table rows that hold for it, narrowest first."""
    colour: str
    colour_standing: str
    """usual, scarce or never: of the colour claimed on this model."""
    purpose: Purpose
    object: Node
    words: Node
    inside: Node
    slots: tuple[Node, ...]
    """Applicable slots, then works and arrives_whole: all that faults can be found on."""

    @cached_property
    def index(self) -> dict[str, int]:
        """Position of each slot by id."""
        return {node.id: i for i, node in enumerate(self.slots)}

    @cached_property
    def width(self) -> int:
        """The largest number of states of a slot."""
        return max((len(node.states) for node in self.slots), default=1)

    @cached_property
    def given(self) -> FloatArray:
        """P(state | inside): inside x slot x state, 0 beyond a slot's last state."""
        table = np.zeros((len(self.inside.states), len(self.slots), self.width))
        for i, node in enumerate(self.slots):
            table[:, i, : len(node.states)] = node.prior if node.given_inside is None else node.given_inside
        table.setflags(write=False)
        return table


def nodes_for(model_id: str, lexicon: LexiconLike, weights: Weights, *, colour: str = "", purpose: Purpose = "display", collected: bool = False) -> NodeSet:
    """The nodes that apply to a model.

    A slot applies where the lexicon has anything that belongs there, or where every telephone of the model's kind has
    it and the lexicon does not say that nothing belongs there. `colour` is the colour claimed ('' for none said);
    `collected` leaves out the risk of the post. Raises BadTable where a node has no priors at all.
    """
    model = lexicon.models[model_id]
    standing = _standing(model_id, colour, lexicon, weights, family=model.family)
    scopes: tuple[str, ...] = (model_id, model.family, model.kind, model.country, ANY)
    if standing == SCARCE:
        scopes = (SCARCE, *scopes)
    slots = [slot for slot in _in_order(lexicon) if _applies(model_id, model, slot, lexicon, weights)]
    extra = [WORKS] if collected else [WORKS, ARRIVES_WHOLE]
    return build_nodes(model_id, scopes, [*slots, *extra], weights, colour=colour, standing=standing, purpose=purpose)


def build_nodes(model_id: str, scopes: tuple[str, ...], slots: list[str], weights: Weights, *, colour: str = "", standing: str = "usual", purpose: Purpose = "display") -> NodeSet:
    """The node set of slots that are known to apply."""
    inside = _node(INSIDE, scopes, weights, None)
    if inside is None:
        raise _no_prior(INSIDE)
    top = {}
    for name in (OBJECT, WORDS):
        node = _node(name, scopes, weights, None)
        if node is None:
            raise _no_prior(name)
        top[name] = node
    nodes = [node for slot in slots if (node := _node(slot, scopes, weights, inside)) is not None]
    return NodeSet(model_id, scopes, colour, standing, purpose, top[OBJECT], top[WORDS], inside, tuple(nodes))


def _no_prior(node: str) -> BadTable:
    return BadTable([Fault("priors.csv", None, "node", f"holds no row for {node}", "add its states")])


def _standing(model_id: str, colour: str, lexicon: LexiconLike, weights: Weights, *, family: str) -> str:
    row = lexicon.colour_of(model_id, colour) if colour else None
    if row is not None:
        return str(row.standing)
    dear = {(r.model, r.colour) for r in weights.colour_ratios}
    return SCARCE if (model_id, colour) in dear or (family, colour) in dear else "usual"


def _in_order(lexicon: LexiconLike) -> list[str]:
    return [slot.id for slot in sorted(lexicon.slots.values(), key=lambda s: s.order)]


def _applies(model_id: str, model: Any, slot: str, lexicon: LexiconLike, weights: Weights) -> bool:
    if lexicon.nothing_belongs(model_id, slot) is not None:
        return False
    if _belongs(model_id, slot, lexicon):
        return True
    row = next((row for row in weights.assumed.get(model.kind, ()) if row.slot == slot), None)
    if row is None or (row.unless and _belongs(model_id, row.unless, lexicon)):
        return False
    return not row.needs or (model.dialless != "all" and _applies(model_id, model, row.needs, lexicon, weights))


def _belongs(model_id: str, slot: str, lexicon: LexiconLike) -> bool:
    return any(row.fit in ("original", "service") for row in lexicon.fits_at(model_id, slot))


def _node(name: str, scopes: tuple[str, ...], weights: Weights, inside: Node | None) -> Node | None:
    found = weights.priors_of(name, scopes)
    if not found:
        return None
    order = STATE_ORDER.get(name, SLOT_STATES)
    states = tuple(state for state in order if any(row.state == state for row in found))
    if any(row.given for row in found) and inside is not None:
        table = np.array([_shares(found, states, given) for given in inside.states])
        return Node(name, states, inside.prior @ table, table, found[0].source, found[0].grade)
    return Node(name, states, _shares(found, states, ""), None, found[0].source, found[0].grade)


def _shares(found: tuple[Prior, ...], states: tuple[str, ...], given: str) -> FloatArray:
    by_state = {row.state: row.share.mid for row in found if row.given in ("", given)}
    shares = np.array([by_state.get(state, 0.0) for state in states])
    return np.asarray(shares / shares.sum(), dtype=float)
