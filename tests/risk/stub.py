"""Small made-up node sets and weights for the tests of the decision core."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from listingrisk.risk.nodes import SLOT_STATES, STATE_ORDER, Node, NodeSet
from listingrisk.tables.find import table_folder
from listingrisk.tables.weights import Weights, load_weights


@lru_cache(maxsize=1)
def shipped() -> Weights:
    """The shipped weights, loaded once."""
    return load_weights(table_folder() / "models")


def node(name: str, prior, states=None, given=None) -> Node:
    """A node with this prior; `given` holds its rows by state of inside."""
    prior = np.asarray(prior, dtype=float)
    states = states or (STATE_ORDER.get(name) or _slot_states(len(prior)))
    return Node(name, tuple(states), prior, None if given is None else np.asarray(given, dtype=float), "own", "guess")


def _slot_states(count: int) -> tuple[str, ...]:
    return {2: ("ok", "missing"), 3: ("ok", "wrong_type", "missing"), 4: ("ok", "wrong_type", "broken", "missing")}.get(count, SLOT_STATES[:count])


def node_set(slots, *, words=(0.6, 0.3, 0.1), inside=(0.7, 0.2, 0.1), objects=(0.88, 0.05, 0.05, 0.02)) -> NodeSet:
    """A node set; `slots` is a list of (id, prior) or (id, None, given rows by state of inside)."""
    latent = node("inside", inside)
    nodes = []
    for slot in slots:
        if len(slot) == 2:
            nodes.append(node(slot[0], slot[1]))
        else:
            given = np.asarray(slot[2], dtype=float)
            nodes.append(node(slot[0], latent.prior @ given, given=given))
    return NodeSet("stub", ("stub", "*"), "", "usual", "display", node("object", objects), node("words", words), latent, tuple(nodes))


def random_node_set(rng, count=4, hung=2, width=3) -> NodeSet:
    """A random one: the last `hung` slots hang on inside, each worse (by likelihood ratio) when inside is worse."""
    slots = []
    for i in range(count):
        base = rng.dirichlet([4.0] + [1.0] * (width - 1)) * 0.9 + 0.1 / width
        if i < count - hung:
            slots.append((f"slot{i}", base))
        else:
            lift = np.sort(rng.uniform(0, 2.5, 3))
            rows = base * np.exp(lift[:, None] * np.arange(width))
            slots.append((f"slot{i}", None, rows / rows.sum(axis=1, keepdims=True)))
    return node_set(slots, words=rng.dirichlet([3, 2, 1]), inside=rng.dirichlet([4, 2, 1]), objects=rng.dirichlet([8, 1, 1, 1]))
