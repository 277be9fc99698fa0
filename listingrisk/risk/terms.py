"""What the words and the rest of the inside do to each node, as addends in decibans (method A7 g).

A slot's addend leaves the slot itself out: it is what all other slots, the words and inside say of it. With the prior
and the direct rows it makes the posterior exactly. For the words and for inside there is one addend an utterance and
one a slot, taken in the order of the slots; they add up because each is the ratio of two sums that follow each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from listingrisk.odds import FloatArray, to_decibans
from listingrisk.risk.add import Role, Said, SaidOfAll, Term
from listingrisk.risk.mixture import Mixture, Parts
from listingrisk.risk.nodes import INSIDE, WORDS, NodeSet

LEAST_DB = 1e-12
"""An addend smaller than this is nought by rounding and is left out."""


def slot_terms(parts: Parts, mixture: Mixture, said: Sequence[Said], of_all: Sequence[SaidOfAll], model: NodeSet) -> dict[str, list[Term]]:
    """Per slot: what the rest of the inside says, and what the words say."""
    spoken = {u.slot: u for u in said}
    covered = {slot: u for u in of_all for slot in u.slots}
    found: dict[str, list[Term]] = {}
    for i, node in enumerate(model.slots):
        utterance = spoken.get(node.id) or covered.get(node.id)
        if utterance is None and node.given_inside is None:
            continue
        inside, words = _leave_one_out(parts, mixture, i, model)
        terms = _terms(node.id, node.states, inside, "inside", "what is known of the rest of the inside", None)
        if utterance is not None:
            terms += _terms(node.id, node.states, words, "words", utterance.says or "what the words say", utterance.quote)
        found[node.id] = terms
    return found


def _leave_one_out(parts: Parts, mixture: Mixture, i: int, model: NodeSet) -> tuple[FloatArray, FloatArray]:
    """Factors on the states of slot i from everything else: through inside alone, and through the words besides."""
    shape = (parts.said.shape[0], parts.given.shape[0], parts.branch.shape[1])
    spoken = parts.said[:, None, None, i] * parts.allowed[None, None, :, i]
    own = (parts.given[None, :, None, i] * parts.seen[i] * spoken).sum(axis=3)
    without = mixture.weight.reshape(shape) / own
    reach = parts.given[None, :, None, i] / np.where(model.slots[i].prior.sum(), _padded_prior(model, i), 1.0)
    through_inside = (without[..., None] * reach).sum(axis=(0, 1, 2))
    through_both = (without[..., None] * reach * spoken).sum(axis=(0, 1, 2))
    n = len(model.slots[i].states)
    return through_inside[:n], through_both[:n] / through_inside[:n]


def _padded_prior(model: NodeSet, i: int) -> FloatArray:
    prior = np.ones(model.width)
    prior[: len(model.slots[i].states)] = model.slots[i].prior
    return prior


def _terms(node: str, states: tuple[str, ...], factors: FloatArray, role: Role, says: str, quote: str | None) -> list[Term]:
    weights = to_decibans(factors)
    return [Term(node, state, float(w), role, says, "own", "guess", quote, role) for state, w in zip(states, weights, strict=True) if abs(w) > LEAST_DB]


def words_terms(parts: Parts, heard: Parts, said: Sequence[Said], of_all: Sequence[SaidOfAll], model: NodeSet) -> list[Term]:
    """One addend an utterance: how much what was seen bears it out, against how likely it was to be said at all."""
    if not said and not of_all:
        return []
    seen_steps, heard_steps = _word_steps(parts, said, model), _word_steps(heard, said, model)
    terms: list[Term] = []
    utterances: list[Said | SaidOfAll] = [*said, *of_all[:1]]
    for utterance, seen, before in zip(utterances, pairwise(seen_steps), pairwise(heard_steps), strict=False):
        factors = (seen[1] / seen[0]) / (before[1] / before[0])
        terms += _terms(WORDS, model.words.states, factors, "words", utterance.says or "what the words say", utterance.quote)
    return terms


def _word_steps(parts: Parts, said: Sequence[Said], model: NodeSet) -> list[FloatArray]:
    """Likelihood by state of the words after each utterance: none, one slot, two ..., then those over many slots."""
    mass = parts.given[None, :] * parts.seen
    silent = mass.sum(axis=3)
    told = (mass * parts.said[:, None]).sum(axis=3)
    running = np.broadcast_to(silent.prod(axis=2), told.shape[:2]) * parts.inside_prior
    steps = [running.sum(axis=1)]
    for utterance in said:
        i = model.index[utterance.slot]
        running = running / silent[:, :, i] * told[:, :, i]
        steps.append(running.sum(axis=1))
    if parts.branch.shape[1] > 1:
        whole = parts.slot_mass().sum(axis=4).prod(axis=3) * parts.inside_weight()
        steps.append(whole.sum(axis=(1, 2)) / parts.words_prior)
    return steps


def inside_terms(parts: Parts, said_at_all: FloatArray, model: NodeSet) -> list[Term]:
    """One addend a slot that hangs on inside and was seen or spoken of, then one for utterances over many slots."""
    mass = parts.given[None, :] * parts.seen * parts.said[:, None]
    totals = mass.sum(axis=3)
    words = parts.words_prior / said_at_all
    running = words[:, None] * np.ones(totals.shape[:2])
    terms: list[Term] = []
    before = running.sum(axis=0)
    for i, node in enumerate(model.slots):
        running = running * totals[:, :, i]
        after = running.sum(axis=0)
        terms += _terms(INSIDE, model.inside.states, after / before, "inside", f"what is known of {node.id}", None)
        before = after
    if parts.branch.shape[1] > 1:
        whole = parts.slot_mass().sum(axis=4).prod(axis=3) * parts.branch[:, None, :] * words[:, None, None]
        terms += _terms(INSIDE, model.inside.states, whole.sum(axis=(0, 2)) / before, "words", "what is said of all parts", None)
    return terms
