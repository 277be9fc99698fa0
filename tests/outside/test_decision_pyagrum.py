"""The risk of random small networks against pyagrum's exact inference (one row a group, nothing clipped)."""

from __future__ import annotations

import numpy as np
import pytest

from listingrisk.odds import decibans
from listingrisk.risk.add import EvidenceRow, Said
from listingrisk.risk.assess import assess
from tests.risk.stub import random_node_set, shipped

gum = pytest.importorskip("pyagrum")


def network(model, words_prior, rows, said):
    """The same model as a Bayesian network: every row and utterance is a child that was observed."""
    net = gum.BayesNet()
    weights = shipped()

    def variable(name, size):
        return net.add(gum.LabelizedVariable(name, "", size))

    variable("words", 3)
    variable("inside", 3)
    net.cpt("words").fillWith(list(words_prior))
    net.cpt("inside").fillWith([float(p) for p in model.inside.prior])
    for node in model.slots:
        variable(node.id, len(node.states))
        if node.given_inside is None:
            net.cpt(node.id).fillWith([float(p) for p in node.prior])
        else:
            net.addArc("inside", node.id)
            for i in range(3):
                net.cpt(node.id)[{"inside": i}] = [float(p) for p in node.given_inside[i]]
    observed = {}
    for number, (node, state, p_state, p_ref) in enumerate(rows):
        name = f"row{number}"
        variable(name, 2)
        net.addArc(node.id, name)
        for s in range(len(node.states)):
            p = p_state if s == state else p_ref
            net.cpt(name)[{node.id: s}] = [1 - p, p]
        observed[name] = 1
    for utterance in said:
        node = model.slots[model.index[utterance.slot]]
        name = f"said_{node.id}"
        variable(name, 2)
        net.addArc("words", name)
        net.addArc(node.id, name)
        for h, words in enumerate(model.words.states):
            entry = weights.utterances[utterance.outcome, words]
            for s, state in enumerate(node.states):
                named = state in utterance.states
                p = (entry.p_ok if named else entry.p_bad) if utterance.outcome == "ok" else (entry.p_bad if named else entry.p_ok)
                net.cpt(name)[{"words": h, node.id: s}] = [1 - p, p]
        observed[name] = 1
    return net, observed


def posterior(net, observed, name):
    engine = gum.LazyPropagation(net)
    engine.setEvidence(observed)
    engine.makeInference()
    return engine.posterior(name).tolist()


@pytest.mark.parametrize("seed", range(60))
def test_random_network(seed):
    """Slots, words and inside agree to 1e-8, the words' own chance of being said divided out as pyagrum reckons it."""
    rng = np.random.default_rng(1000 + seed)
    model = random_node_set(rng, int(rng.integers(3, 6)), hung=2, width=int(rng.integers(2, 5)))
    rows = [(n, len(n.states) - 1, float(rng.uniform(0.2, 0.9)), float(rng.uniform(0.2, 0.9))) for n in model.slots if rng.random() < 0.6]
    said = [Said(n.id, "ok") if rng.random() < 0.6 else Said(n.id, "admits", (n.states[-1],)) for n in model.slots if rng.random() < 0.6]
    evidence = [EvidenceRow(n.id, n.states[s], decibans(p, q), n.id, 0.25, "x", "own", "guess", seen=True) for n, s, p, q in rows]
    risk = assess(evidence, said, model, shipped())
    prior = [float(p) for p in model.words.prior]
    words_only, heard = network(model, prior, [], said)
    moved = posterior(words_only, heard, "words")
    divided = np.array(prior) ** 2 / np.array(moved)
    net, observed = network(model, divided / divided.sum(), rows, said)
    for name in ("words", "inside", *(n.id for n in model.slots)):
        assert risk.node(name).probability == pytest.approx(posterior(net, observed, name), abs=1e-8)
