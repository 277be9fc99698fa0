"""The exact mixture behind the risk: given its components every slot is independent of every other.

A component is a state of the words, a state of inside, and for each utterance over many slots whether "all of them are
so". What was said is divided by how likely it was to be said at all, so that words alone never move the node of the
words; only what is later seen does (method A7, own).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from listingrisk.odds import FloatArray
from listingrisk.risk.add import Said, SaidOfAll
from listingrisk.risk.nodes import NodeSet
from listingrisk.tables.weights import Weights

HEDGED = 0.5
"""A hedged or hearsay word counts half, in decibans (method A7 f)."""


@dataclass(frozen=True, eq=False)
class Mixture:
    """Components with their weights, and the distribution of every slot in each of them."""

    weight: FloatArray
    """Posterior weight of each component; sums to 1."""
    words: NDArray[np.intp]
    """State of the words in each component."""
    inside: NDArray[np.intp]
    """State of inside in each component."""
    states: FloatArray
    """P(state | component): component x slot x state."""


@dataclass(frozen=True, eq=False)
class Parts:
    """What the mixture is made of, kept so that every addend can be read off it. Axes: words, inside, branch, slot, state."""

    words_prior: FloatArray
    inside_prior: FloatArray
    branch: FloatArray
    """Factor of each branch: words x branch."""
    given: FloatArray
    """P(state | inside): inside x slot x state."""
    seen: FloatArray
    """Likelihood of the direct rows: slot x state."""
    said: FloatArray
    """Likelihood of the words: words x slot x state."""
    allowed: FloatArray
    """1 where the branch leaves the state possible: branch x slot x state."""

    def slot_mass(self) -> FloatArray:
        """Unnormalised mass of every slot state: words x inside x branch x slot x state."""
        tilted = self.given * self.seen
        spoken = self.said[:, None, :, :] * self.allowed[None, :, :, :]
        return np.asarray(tilted[None, :, None] * spoken[:, None], dtype=float)

    def inside_weight(self) -> FloatArray:
        """Weight of words, inside and branch before the slots: words x inside x branch."""
        return np.asarray(self.words_prior[:, None, None] * self.inside_prior[None, :, None] * self.branch[:, None, :], dtype=float)


def utterance_table(spoken: Said, states: tuple[str, ...], weights: Weights, strength: float = 1.0) -> FloatArray:
    """P(these words | words, state): words x state. A hedge takes the square root: half the decibans, both ways.

    `strength` multiplies the decibans, for the sensitivity band.
    """
    table = np.zeros((len(_words(weights)), len(states)))
    for h, words in enumerate(_words(weights)):
        row = weights.utterances[spoken.outcome, words]
        named, other = (row.p_ok, row.p_bad) if spoken.outcome == "ok" else (row.p_bad, row.p_ok)
        table[h] = [named if state in spoken.states else other for state in states]
    return np.asarray(table ** (strength * (HEDGED if spoken.hedged else 1.0)), dtype=float)


def _words(weights: Weights) -> tuple[str, ...]:
    return tuple(words for outcome, words in weights.utterances if outcome == "ok")


def build_parts(nodes: NodeSet, likelihood: FloatArray, said: Sequence[Said], of_all: Sequence[SaidOfAll], weights: Weights, *, words_prior: FloatArray, inside_prior: FloatArray, strength: float = 1.0) -> Parts:
    """Put direct evidence and words together. With nothing said, the words fall out and one row stands for them."""
    spoken = np.ones((len(words_prior), len(nodes.slots), nodes.width))
    order = nodes.words.states
    for utterance in said:
        node = nodes.slots[nodes.index[utterance.slot]]
        spoken[:, nodes.index[utterance.slot], : len(node.states)] = _ordered(utterance_table(utterance, node.states, weights, strength), order, weights)
    branch, allowed = _branches(nodes, {u.slot for u in said}, of_all, weights, strength)
    if not said and not of_all:
        words_prior, spoken, branch = np.ones(1), spoken[:1], branch[:1]
    return Parts(words_prior, inside_prior, branch, nodes.given, likelihood, spoken, allowed)


def _ordered(table: FloatArray, order: tuple[str, ...], weights: Weights) -> FloatArray:
    found = _words(weights)
    return table[[found.index(words) for words in order]]


def _branches(nodes: NodeSet, spoken: set[str], of_all: Sequence[SaidOfAll], weights: Weights, strength: float) -> tuple[FloatArray, FloatArray]:
    """Each utterance is a factor b + (a - b) * [all of them are so]; every combination of "so" and "whatever" is a branch."""
    factors, masks = [], []
    for utterance in of_all:
        a, b = _all_or_not(utterance, nodes, weights, strength)
        factors.append((b, a - b))
        masks.append((np.ones((len(nodes.slots), nodes.width)), _good(nodes, utterance, spoken)))
    branch, allowed = [], []
    for chosen in product((0, 1), repeat=len(of_all)):
        branch.append(np.prod([factors[u][c] for u, c in enumerate(chosen)], axis=0) * np.ones(len(nodes.words.states)))
        allowed.append(np.prod([masks[u][c] for u, c in enumerate(chosen)], axis=0) * np.ones((len(nodes.slots), nodes.width)))
    return np.array(branch).T, np.array(allowed)


def _all_or_not(utterance: SaidOfAll, nodes: NodeSet, weights: Weights, strength: float) -> tuple[FloatArray, FloatArray]:
    said = [weights.utterances["ok", words] for words in nodes.words.states]
    a, b = np.array([row.p_ok for row in said]), np.array([row.p_bad for row in said])
    power = strength * (HEDGED if utterance.hedged else 1.0)
    return np.asarray(a**power, dtype=float), np.asarray(b**power, dtype=float)


def _good(nodes: NodeSet, utterance: SaidOfAll, spoken: set[str]) -> FloatArray:
    mask = np.ones((len(nodes.slots), nodes.width))
    for slot in utterance.slots:
        if slot in nodes.index and slot not in spoken:
            i = nodes.index[slot]
            good = [state in utterance.good for state in nodes.slots[i].states]
            if any(good):
                mask[i, : len(good)] = good
    return mask


def unlikely_to_be_said(heard: Parts) -> FloatArray:
    """How likely the words were to be said at all, by state of the words (method A7 d). `heard` holds no seen evidence."""
    mass = heard.slot_mass().sum(axis=4).prod(axis=3)
    return np.asarray((mass * heard.inside_weight()).sum(axis=(1, 2)) / heard.words_prior, dtype=float)


def solve(parts: Parts, said_at_all: FloatArray) -> Mixture:
    """The mixture: every component's weight and the distribution of its slots. Exact."""
    mass = parts.slot_mass()
    totals = mass.sum(axis=4)
    weight = parts.inside_weight() * totals.prod(axis=3) / said_at_all[:, None, None]
    words, inside, _ = np.meshgrid(*(np.arange(n) for n in weight.shape), indexing="ij")
    states = (mass / totals[..., None]).reshape(-1, *mass.shape[3:])
    return Mixture((weight / weight.sum()).ravel(), words.ravel(), inside.ravel(), states)
