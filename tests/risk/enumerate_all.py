"""The risk model by full enumeration in plain Python: a second, slow opinion for the tests."""

from __future__ import annotations

from itertools import product
from math import sqrt


def enumerate_posterior(model, evidence, said, of_all, weights):
    """Joint posterior as a list of (words, inside, slot states, probability); direct rows one a group and small."""
    seen = _joint(model, evidence, said, of_all, weights)
    heard = _joint(model, [row for row in evidence if not row.seen], said, of_all, weights)
    silent = _joint(model, [row for row in evidence if not row.seen], [], [], weights)
    factor = {}
    for h in model.words.states:
        with_words = sum(p for words, _, _, p in heard if words == h)
        without = sum(p for words, _, _, p in silent if words == h)
        factor[h] = without / with_words
    total = sum(p * factor[h] for h, _, _, p in seen)
    return [(h, inside, states, p * factor[h] / total) for h, inside, states, p in seen]


def _joint(model, evidence, said, of_all, weights):
    spoken = {u.slot for u in said}
    rows = []
    for (h, words), (i, inside) in product(enumerate(model.words.states), enumerate(model.inside.states)):
        start = model.words.prior[h] * model.inside.prior[i] * _direct(evidence, "words", words) * _direct(evidence, "inside", inside)
        for states in product(*(node.states for node in model.slots)):
            p = start
            for node, state in zip(model.slots, states, strict=True):
                table = node.prior if node.given_inside is None else node.given_inside[i]
                p *= table[node.states.index(state)] * _direct(evidence, node.id, state)
            for utterance in said:
                state = states[[n.id for n in model.slots].index(utterance.slot)]
                p *= _utterance(utterance, state, words, weights)
            for utterance in of_all:
                covered = [s for n, s in zip(model.slots, states, strict=True) if n.id in utterance.slots and n.id not in spoken]
                row = weights.utterances["ok", words]
                value = row.p_ok if all(s in utterance.good for s in covered) else row.p_bad
                p *= sqrt(value) if utterance.hedged else value
            rows.append((words, inside, states, p))
    return rows


def _direct(evidence, node, state):
    factor = 1.0
    for row in evidence:
        if row.node == node and row.state == state:
            factor *= 10 ** (row.weight_db / 10)
    return factor


def _utterance(utterance, state, words, weights):
    row = weights.utterances[utterance.outcome, words]
    named = state in utterance.states
    value = (row.p_ok if named else row.p_bad) if utterance.outcome == "ok" else (row.p_bad if named else row.p_ok)
    return sqrt(value) if utterance.hedged else value


def marginal(joint, model, slot):
    """Probability of each state of a slot."""
    at = [n.id for n in model.slots].index(slot)
    return [sum(p for *_, states, p in joint if states[at] == state) for state in model.slots[at].states]
