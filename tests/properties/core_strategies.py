"""Random small appraisals for the property tests of the decision core."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from listingrisk.questions.deal import Deal, logistic_deal
from listingrisk.questions.value import Field, Lens, Stake
from listingrisk.risk.add import EvidenceRow, Said, SaidOfAll
from listingrisk.risk.assess import assess
from listingrisk.worth.frame import Frame
from listingrisk.worth.grid import Grid
from tests.risk.stub import random_node_set, shipped

seeds = st.integers(0, 10**6)


def frame_of(rng, slots, width=3, *, points=3, dearest=60):
    """Deductions that rise with the state, four classes whose worth and floor fall."""
    atoms = 3
    costs = np.zeros((slots, width, atoms), dtype=np.int64)
    for i in range(slots):
        rising = np.cumsum(rng.integers(0, dearest // width + 1, width - 1))
        costs[i, 1:] = np.maximum(rising[:, None] + np.array([-2, 0, 3]), 0)
    inside = np.array([[0, 0, 0], [0, 1, 2], [2, 3, 5]])
    floor = np.sort(rng.integers(2, 25, 4))[::-1]
    middle = np.sort(rng.integers(30, 200, 4))[::-1]
    worth = np.maximum((middle[:, None] * np.linspace(0.6, 1.5, points)).astype(np.int64), floor[:, None])
    return Frame(1.0, worth, floor.astype(np.int64), Grid(costs, inside, np.array([0.3, 0.4, 0.3])))


def words_and_rows(rng, model):
    """Random utterances and rows."""
    rows, said = [], []
    for node in model.slots:
        if rng.random() < 0.5:
            rows.append(EvidenceRow(node.id, node.states[int(rng.integers(1, len(node.states)))], float(rng.uniform(-12, 12)), node.id, 0.25, "x", "own", "guess", seen=bool(rng.integers(0, 2))))
        if rng.random() < 0.4:
            said.append(Said(node.id, "ok") if rng.random() < 0.6 else Said(node.id, "admits", (node.states[-1],)))
    if rng.random() < 0.4:
        said.append(SaidOfAll("original", tuple(n.id for n in model.slots)))
    return rows, said


def appraisal(seed, count=4, width=3):
    """A random risk with its frame."""
    rng = np.random.default_rng(seed)
    model = random_node_set(rng, count, hung=2, width=width)
    rows, said = words_and_rows(rng, model)
    return rng, model, rows, said, assess(rows, said, model, shipped()), frame_of(rng, count, width)


def deal_of(rng) -> Deal:
    """A random deal price."""
    return logistic_deal(float(rng.uniform(10, 180)), float(rng.uniform(1, 15)))


def photo(rng, risk, slots) -> Lens:
    """A photograph of these slots with a random table."""
    table = np.zeros((2, len(slots), 1, risk.node_set.width))
    for j, i in enumerate(slots):
        states = len(risk.node_set.slots[i].states)
        fault = np.sort(rng.uniform(0.02, 0.98, states))
        table[:, j, 0, :states] = [1 - fault, fault]
    return Lens(tuple(slots), table, float(rng.uniform(0.4, 1.0)), None)


def stake_of(seed, overpay=2.0, count=4):
    """A random stake."""
    rng, *_, risk, frame = appraisal(seed, count)
    return rng, risk, Stake(Field(risk, frame), deal_of(rng), overpay)
