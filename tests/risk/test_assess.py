"""Risk: exact against enumeration, and what words may and may not do."""

from __future__ import annotations

import numpy as np
import pytest

from listingrisk.odds import LEAST_PROBABILITY
from listingrisk.risk.add import EvidenceRow, Said, SaidOfAll, direct_sum, group_sum
from listingrisk.risk.assess import assess, one_each, recompute
from tests.risk.enumerate_all import enumerate_posterior, marginal
from tests.risk.stub import node_set, random_node_set, shipped

ROW = {"says": "x", "source": "own", "grade": "guess"}


def row(node, state, weight, group="", gamma=0.25, seen=True):
    return EvidenceRow(node, state, weight, group or f"{node}{state}", gamma, seen=seen, **ROW)


def random_case(rng, count=4):
    model = random_node_set(rng, count, hung=2, width=3)
    evidence = [row(n.id, n.states[int(rng.integers(1, 3))], float(rng.uniform(-8, 8)), seen=bool(rng.integers(0, 2))) for n in model.slots if rng.random() < 0.6]
    evidence += [row("inside", "stripped", 5.0, seen=False)] if rng.random() < 0.5 else []
    evidence += [row("words", "misleading", 3.0, seen=False)] if rng.random() < 0.5 else []
    said = []
    for n in model.slots:
        if rng.random() < 0.5:
            said.append(Said(n.id, "ok", ("ok",), bool(rng.integers(0, 2))) if rng.random() < 0.6 else Said(n.id, "admits", (n.states[-1],)))
    blankets = [SaidOfAll("original", tuple(n.id for n in model.slots))] if rng.random() < 0.6 else []
    if rng.random() < 0.4:
        blankets.append(SaidOfAll("complete", tuple(n.id for n in model.slots), ("ok", "wrong_type"), hedged=True))
    return model, evidence, said, blankets


@pytest.mark.parametrize("seed", range(25))
def test_assess_equals_full_enumeration(seed):
    """Every node's probabilities equal those of the joint written out state by state."""
    model, evidence, said, blankets = random_case(np.random.default_rng(seed))
    risk = assess(evidence, [*said, *blankets], model, shipped())
    joint = enumerate_posterior(model, evidence, sorted(said, key=lambda u: u.slot), blankets, shipped())
    for node in model.slots:
        assert risk.node(node.id).probability == pytest.approx(marginal(joint, model, node.id), abs=1e-10)
    for name, axis in (("words", 0), ("inside", 1)):
        found = [sum(r[3] for r in joint if r[axis] == state) for state in risk.node(name).states]
        assert risk.node(name).probability == pytest.approx(found, abs=1e-10)


@pytest.mark.parametrize("seed", range(25))
def test_recompute_adds_the_terms_up_again(seed):
    """The record alone, prior plus addends, gives the probabilities to 1e-9."""
    model, evidence, said, blankets = random_case(np.random.default_rng(seed))
    risk = assess(evidence, [*said, *blankets], model, shipped())
    again = recompute(risk)
    for node in risk.nodes:
        assert again[node.node] == pytest.approx(node.probability, abs=1e-9)


@pytest.mark.parametrize("silent", [0, 6, 24])
def test_silence_and_words_alone_do_not_move_the_words(silent):
    """The node of the words stays at its prior whatever is said, by however many, and however much is not said (A7 h)."""
    model = node_set([(f"slot{i}", (0.8, 0.1, 0.1)) for i in range(silent + 3)])
    told = [Said("slot0", "ok"), Said("slot1", "admits", ("missing",)), Said("slot0", "ok"), SaidOfAll("original", tuple(model.index))]
    for said in ([], told[:1], told[:3], told):
        assert assess((), said, model, shipped()).node("words").probability == pytest.approx([0.6, 0.3, 0.1], abs=1e-12)


def test_what_is_seen_moves_the_words():
    """A photo that contradicts "ok" makes misleading words likelier, one that bears it out less likely, an admission neither."""
    model = node_set([("dial", (0.8, 0.1, 0.1)), ("bell", (0.8, 0.1, 0.1))])
    against, for_ = row("dial", "missing", 16.0), row("dial", "missing", -16.0)
    misleading = {name: assess([seen], [Said("dial", "ok")], model, shipped()).node("words").of("misleading") for name, seen in (("against", against), ("for", for_))}
    assert misleading["against"] > 0.15 > 0.1 > misleading["for"]
    admitted = assess([against], [Said("dial", "admits", ("missing",))], model, shipped()).node("words")
    assert admitted.probability == pytest.approx([0.6, 0.3, 0.1], abs=1e-12)


def test_repetition_and_order_do_not_matter():
    """Saying a thing twice, and saying it in another order, changes no probability; the fault told stands."""
    model = node_set([("dial", (0.8, 0.1, 0.1)), ("bell", (0.8, 0.1, 0.1))])
    said = [Said("bell", "ok"), Said("dial", "ok"), Said("dial", "admits", ("wrong_type",)), Said("bell", "ok", hedged=True)]
    one, other = assess((), said, model, shipped()), assess((), said[::-1] * 2, model, shipped())
    for node in one.nodes:
        assert other.node(node.node).probability == pytest.approx(node.probability, abs=1e-15)
    assert [(u.slot, u.outcome) for u in one.said] == [("bell", "ok"), ("dial", "admits")]


def test_one_each_joins_two_admissions():
    """Two faults told of one slot are both possible."""
    found = one_each([Said("case", "admits", ("broken",)), Said("case", "admits", ("repro",))])
    assert found[0].states == ("broken", "repro")


def test_admission_has_the_same_weight_whoever_makes_it():
    """An admission weighs 20 decibans at a prior of one half, whatever the words are like."""
    for words in ((0.98, 0.01, 0.01), (0.01, 0.01, 0.98)):
        model = node_set([("dial", (0.5, 0.5))], words=words)
        assert assess((), [Said("dial", "admits", ("missing",))], model, shipped()).node("dial").of("missing") == pytest.approx(100 / 101)


def test_stripped_parts_go_together():
    """Seeing one part gone makes the others inside less sure, and not the dial."""
    inside = [(0.95, 0.05), (0.85, 0.15), (0.3, 0.7)]
    model = node_set([("dial", (0.8, 0.2)), ("capacitor", None, inside), ("induction_coil", None, inside)])
    before, after = (assess(rows, (), model, shipped()) for rows in ((), [row("induction_coil", "missing", 20.0)]))
    assert after.node("capacitor").of("missing") > 2 * before.node("capacitor").of("missing")
    assert after.node("dial").of("missing") == pytest.approx(before.node("dial").of("missing"))


def test_conflict_is_marked_when_both_sides_are_strong():
    """Evidence of more than 5 decibans both ways marks the node; the sum is kept."""
    model = node_set([("dial", (0.5, 0.5))])
    risk = assess([row("dial", "missing", 10.0, "a"), row("dial", "missing", -10.0, "b")], (), model, shipped())
    assert risk.node("dial").conflict
    assert risk.node("dial").of("missing") == pytest.approx(0.5)
    assert not assess([row("dial", "missing", 10.0)], (), model, shipped()).node("dial").conflict


def test_direct_evidence_never_makes_certain():
    """No pile of direct rows pushes a state below 1e-4."""
    prior = np.array([0.005, 0.015, 0.98])
    sums = direct_sum([row("dial", "ok", -30.0, str(i)) for i in range(9)], ("ok", "wrong_type", "missing"), prior)
    mass = prior * 10 ** (sums / 10)
    assert mass[0] / mass.sum() == pytest.approx(LEAST_PROBABILITY)


def test_group_sum_leader_does_not_depend_on_gamma_order():
    """The sum of a group rises smoothly while one row overtakes another of a different gamma."""
    sizes = [group_sum([(9.0, 0.0), (x, 0.25)]) for x in np.linspace(8.5, 9.5, 21)]
    assert sizes == sorted(sizes)


def test_rows_on_nodes_the_model_has_not_are_left_out():
    """Evidence and words about a slot that is not on this model change nothing."""
    model = node_set([("dial", (0.8, 0.2))])
    risk = assess([row("magneto", "missing", 20.0)], [Said("magneto", "ok")], model, shipped())
    assert risk.said == ()
    assert {n.node for n in risk.nodes} == {"object", "words", "inside", "dial"}
