"""Evidence and words to probabilities: the Risk record, every addend of which can be added again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listingrisk.odds import TEN, FloatArray, update
from listingrisk.risk.add import EvidenceRow, Said, SaidOfAll, Term, direct_sum, two_sides
from listingrisk.risk.mixture import Mixture, Parts, build_parts, solve, unlikely_to_be_said
from listingrisk.risk.nodes import INSIDE, WORDS, Node, NodeSet
from listingrisk.risk.terms import inside_terms, slot_terms, words_terms
from listingrisk.tables.weights import Weights


@dataclass(frozen=True, eq=False)
class NodeRisk:
    """One node: how likely each state is, where it started, and what moved it."""

    node: str
    states: tuple[str, ...]
    prior: FloatArray
    probability: FloatArray
    terms: tuple[Term, ...]
    conflict: bool
    """Whether direct evidence speaks strongly both for and against one of its states."""

    def of(self, state: str) -> float:
        """Probability of a state, 0 where the node has no such state."""
        return float(self.probability[self.states.index(state)]) if state in self.states else 0.0


@dataclass(frozen=True, eq=False)
class Risk:
    """How likely each state of each node is, with every addend, and the mixture that worth and questions go on with."""

    nodes: tuple[NodeRisk, ...]
    """object, words, inside, then the slots (with works and arrives_whole)."""
    node_set: NodeSet
    mixture: Mixture
    object: FloatArray
    """Probability of each state of object; independent of everything in the mixture."""
    said: tuple[Said, ...]
    of_all: tuple[SaidOfAll, ...]

    def node(self, name: str) -> NodeRisk:
        """One node by its id. Raises KeyError where this model has none such."""
        for found in self.nodes:
            if found.node == name:
                return found
        raise KeyError(name)


@dataclass(frozen=True)
class _Direct:
    """Direct decibans per node: of all rows, and of those that are words only."""

    rows: dict[str, list[EvidenceRow]]

    def sums(self, node: Node, *, heard_only: bool = False) -> FloatArray:
        found = [row for row in self.rows.get(node.id, ()) if not (heard_only and row.seen)]
        return direct_sum(found, node.states, node.prior)


def assess(evidence: Sequence[EvidenceRow], said: Sequence[Said | SaidOfAll], model: NodeSet, weights: Weights, strength: float = 1.0) -> Risk:
    """The probability of every state of every node of a model, given direct evidence and what the words say.

    Rows on nodes the model has not are left out, as are words on slots it has not. The order of both does not matter;
    of several utterances about one slot only one is kept (see `one_each`). Exact: no sampling. Method A. `strength`
    multiplies the decibans of everything said and seen, for the sensitivity band.
    """
    direct = _group([replace(row, weight_db=row.weight_db * strength) for row in evidence] if strength != 1.0 else evidence, model)
    spoken = tuple(u for u in one_each([s for s in said if isinstance(s, Said)]) if u.slot in model.index)
    of_all = one_of_each_kind([s for s in said if isinstance(s, SaidOfAll)])
    parts = _parts(direct, spoken, of_all, model, weights, heard_only=False, strength=strength)
    heard = _parts(direct, spoken, of_all, model, weights, heard_only=True, strength=strength)
    at_all = unlikely_to_be_said(heard)
    mixture = solve(parts, at_all)
    marginal = np.einsum("k,kis->is", mixture.weight, mixture.states)
    words_db = direct.sums(model.words)
    added = {WORDS: words_terms(parts, heard, spoken, of_all, model), INSIDE: inside_terms(parts, at_all, model)}
    added |= slot_terms(parts, mixture, spoken, of_all, model)
    objects = update(model.object.prior, direct.sums(model.object))
    words = _marginal(mixture.words, mixture.weight, model.words) if spoken or of_all else update(model.words.prior, words_db)
    inside = _marginal(mixture.inside, mixture.weight, model.inside)
    found = [(model.object, objects), (model.words, words), (model.inside, inside)]
    found += [(node, marginal[i, : len(node.states)]) for i, node in enumerate(model.slots)]
    limit = weights.settings["conflict_db"]
    nodes = tuple(_node_risk(node, probability, direct.rows.get(node.id, []), added.get(node.id, []), limit) for node, probability in found)
    return Risk(nodes, model, mixture, objects, spoken, of_all)


def recompute(risk: Risk) -> dict[str, FloatArray]:
    """Add every node's terms to its prior again, from the record alone; equals the probabilities to 1e-9."""
    found = {}
    for node in risk.nodes:
        sums = direct_sum([t for t in node.terms if t.role == "direct"], node.states, node.prior)
        for term in node.terms:
            if term.role != "direct":
                sums[node.states.index(term.state)] += term.weight_db
        found[node.node] = update(node.prior, sums)
    return found


def one_each(said: Sequence[Said]) -> tuple[Said, ...]:
    """One utterance a slot: a fault told outweighs "ok", plain words outweigh hedged ones; sorted by slot.

    Where the title sells and the body admits, the body's fault stands (common practice).
    """
    best: dict[str, Said] = {}
    for utterance in sorted(said, key=lambda u: (u.outcome != "admits", u.hedged, u.states, u.says, u.quote or "")):
        kept = best.setdefault(utterance.slot, utterance)
        if kept is not utterance and kept.outcome == "admits" == utterance.outcome and kept.hedged == utterance.hedged:
            best[utterance.slot] = replace(kept, states=tuple(sorted({*kept.states, *utterance.states})))
    return tuple(best[slot] for slot in sorted(best))


def one_of_each_kind(of_all: Sequence[SaidOfAll]) -> tuple[SaidOfAll, ...]:
    """One utterance over many slots of each kind: the plainest, then the widest; saying it twice adds nothing."""
    best: dict[str, SaidOfAll] = {}
    for utterance in sorted(of_all, key=lambda u: (u.kind, u.hedged, -len(u.slots), u.slots, u.says, u.quote or "")):
        best.setdefault(utterance.kind, utterance)
    return tuple(best[kind] for kind in sorted(best))


def _marginal(states: NDArray[np.intp], weight: FloatArray, node: Node) -> FloatArray:
    return np.asarray(np.bincount(states, weight, len(node.states)), dtype=float)


def _group(evidence: Sequence[EvidenceRow], model: NodeSet) -> _Direct:
    known = {model.object.id: model.object, model.words.id: model.words, model.inside.id: model.inside} | {n.id: n for n in model.slots}
    rows: dict[str, list[EvidenceRow]] = {}
    for row in sorted(evidence, key=lambda r: (r.node, r.state, r.group, -r.weight_db, r.gamma, r.id, r.says, r.quote or "")):
        if row.node in known and row.state in known[row.node].states:
            rows.setdefault(row.node, []).append(row)
    return _Direct(rows)


def _parts(direct: _Direct, said: tuple[Said, ...], of_all: tuple[SaidOfAll, ...], model: NodeSet, weights: Weights, *, heard_only: bool, strength: float) -> Parts:
    likelihood = np.ones((len(model.slots), model.width))
    for i, node in enumerate(model.slots):
        if node.id in direct.rows:
            likelihood[i, : len(node.states)] = TEN ** (direct.sums(node, heard_only=heard_only) / TEN)
    words = update(model.words.prior, direct.sums(model.words))
    inside = model.inside.prior * TEN ** (direct.sums(model.inside, heard_only=heard_only) / TEN)
    return build_parts(model, likelihood, said, of_all, weights, words_prior=words, inside_prior=inside, strength=strength)


def _node_risk(node: Node, probability: FloatArray, rows: Sequence[EvidenceRow], added: Sequence[Term], limit: float) -> NodeRisk:
    terms = [Term(r.node, r.state, r.weight_db, r.group, r.says, r.source, r.grade, r.quote, "direct", r.gamma, r.seen) for r in rows]
    plus, minus = two_sides(rows, node.states)
    return NodeRisk(node.id, node.states, node.prior, probability, (*terms, *added), bool(((plus > limit) & (minus > limit)).any()))
