"""Invariants of the risk (method L1 to L5)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listingrisk.odds import update
from listingrisk.risk.add import EvidenceRow, direct_sum, group_sum
from listingrisk.risk.assess import assess, recompute
from listingrisk.worth.ceiling import expectile
from listingrisk.worth.value import distribution, quantile
from tests.properties.core_strategies import appraisal, seeds
from tests.risk.stub import shipped

many = settings(max_examples=200, deadline=None)
weights_db = st.floats(-30, 30)
gammas = st.sampled_from([0.0, 0.25, 0.5, 1.0])


@many
@given(seeds)
def test_probabilities_sum_to_one(seed):
    """L1: every node is a distribution; so is worth; the terms add up again."""
    *_, risk, frame = appraisal(seed)
    for node in risk.nodes:
        assert node.probability.min() >= 0
        assert node.probability.sum() == pytest.approx(1, abs=1e-9)
    _, probabilities = distribution(frame, risk.mixture, risk.object)
    assert probabilities.min() >= 0
    assert probabilities.sum() == pytest.approx(1, abs=1e-9)
    for node in risk.nodes:
        assert recompute(risk)[node.node] == pytest.approx(node.probability, abs=1e-9)


@many
@given(seeds, st.randoms(use_true_random=False))
def test_order_and_empty_rows_change_nothing(seed, shuffler):
    """L2: evidence in any order, and a row of weight nought, give the same probabilities."""
    _, model, rows, said, risk, _ = appraisal(seed)
    mixed_rows, mixed_said = list(rows), list(said)
    shuffler.shuffle(mixed_rows)
    shuffler.shuffle(mixed_said)
    mixed_rows.append(EvidenceRow(model.slots[0].id, model.slots[0].states[1], 0.0, model.slots[0].id, 0.0, "nothing", "own", "guess", seen=True))
    again = assess(mixed_rows, mixed_said, model, shipped())
    for node in risk.nodes:
        assert again.node(node.node).probability == pytest.approx(node.probability, abs=1e-12)


rows_of_groups = st.lists(st.tuples(weights_db, st.sampled_from("abc"), gammas), min_size=1, max_size=6)


@many
@given(rows_of_groups, st.integers(0, 5), st.floats(0, 20), st.lists(st.floats(0.01, 1), min_size=3, max_size=3))
def test_a_heavier_row_never_lowers_its_state(rows, which, more, prior):
    """L3: raising a weight towards a state never makes it less likely, through groups, limits and all."""
    states, start = ("ok", "wrong_type", "missing"), np.array(prior) / sum(prior)

    def chance(table):
        made = [EvidenceRow("dial", "missing", w, group, gamma, "x", "own", "guess") for w, group, gamma in table]
        return update(start, direct_sum(made, states, start))[2]

    which %= len(rows)
    heavier = [(w + more if i == which else w, g, y) for i, (w, g, y) in enumerate(rows)]
    assert chance(heavier) >= chance(rows) - 1e-12


@many
@given(st.lists(st.tuples(st.floats(0, 30), gammas), min_size=1, max_size=6), st.integers(0, 5))
def test_a_restatement_changes_nothing(rows, which):
    """L4: a copy with gamma 0 in the same group leaves the group's sum as it is."""
    size, _ = rows[which % len(rows)]
    assert group_sum([*rows, (size, 0.0)]) == pytest.approx(group_sum(rows), abs=1e-12)


@settings(max_examples=120, deadline=None)
@given(seeds, st.integers(0, 3))
def test_bad_news_never_raises_the_price(seed, slot):
    """L5: a slot seen in its worst state lowers no mean, quantile or expectile less than nothing; seen ok raises them."""
    _, model, _, _, risk, frame = appraisal(seed)
    node = model.slots[slot]

    def worth(state):
        """Worth when the state of the slot is known: all other states are ruled out in the mixture."""
        mixture = risk.mixture
        at = node.states.index(state)
        known = np.zeros_like(mixture.states)
        known[:] = mixture.states
        known[:, slot] = 0.0
        known[:, slot, at] = 1.0
        weight = mixture.weight * mixture.states[:, slot, at]
        return distribution(frame, replace(mixture, weight=weight / weight.sum(), states=known), risk.object)

    before = distribution(frame, risk.mixture, risk.object)
    for state, sign in ((node.states[-1], -1), (node.states[0], 1)):
        after = worth(state)
        for measure in (lambda v, p: v @ p, lambda v, p: expectile(v, p, 2.0), lambda v, p: expectile(v, p, 5.0), lambda v, p: quantile(v, p, (0.1,))[0], lambda v, p: quantile(v, p, (0.5,))[0]):
            assert sign * (measure(*after) - measure(*before)) >= -1e-7


@settings(max_examples=100, deadline=None)
@given(seeds, st.integers(0, 3))
def test_a_seen_fault_never_mends_another_slot(seed, slot):
    """A7 h: revealing a slot as missing never makes another slot likelier to be ok; revealing it ok never less likely."""
    _, model, _, said, _, _ = appraisal(seed)
    node = model.slots[slot]
    before = assess((), said, model, shipped())
    for weight, sign in ((30.0, -1), (-30.0, 1)):
        row = EvidenceRow(node.id, node.states[-1], weight, "seen", 0.25, "x", "own", "guess", seen=True)
        after = assess([row], said, model, shipped())
        for other in model.slots:
            if other.id != node.id:
                assert sign * (after.node(other.id).of("ok") - before.node(other.id).of("ok")) >= -1e-9
