"""Evidence rows and how they add: groups of one cause, limits, and the sum that a reader can check.

A row speaks of exactly one node and one of its states; its weight is in decibans against the node's reference state.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from listingrisk.odds import LEAST_PROBABILITY, SUM_LIMIT_DB, TEN, FloatArray

SINGLE_LIMIT_DB = 30.0
"""No single row weighs more than this, either way (method 0)."""
Outcome = Literal["ok", "admits"]
Role = Literal["direct", "words", "inside"]


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """One piece of direct evidence."""

    node: str
    state: str
    weight_db: float
    group: str
    gamma: float
    says: str
    source: str
    grade: str
    quote: str | None = None
    id: str = ""
    seen: bool = False
    """Whether the buyer saw it; words alone never move the node of the words."""


@dataclass(frozen=True, slots=True)
class Said:
    """A slot that the words speak of, once: whatever is said of it again adds nothing.

    `states` are the states that the words name: those admitted, or those that count as good when it is said to be ok.
    """

    slot: str
    outcome: Outcome
    states: tuple[str, ...] = ("ok",)
    hedged: bool = False
    says: str = ""
    quote: str | None = None


@dataclass(frozen=True, slots=True)
class SaidOfAll:
    """One utterance over many slots, such as "all original"; slots spoken of singly are left out when it is weighed."""

    kind: str
    slots: tuple[str, ...]
    good: tuple[str, ...] = ("ok",)
    hedged: bool = False
    says: str = ""
    quote: str | None = None


@dataclass(frozen=True, slots=True)
class Term:
    """One addend of a node, unrounded. `role` tells how it adds: direct rows by group, the others plainly."""

    node: str
    state: str
    weight_db: float
    group: str
    says: str
    source: str
    grade: str
    quote: str | None = None
    role: Role = "direct"
    gamma: float = 1.0
    seen: bool = False


def group_sum(weights: Sequence[tuple[float, float]]) -> float:
    """What rows of one cause, one state and one sign are worth together; pairs of (size, gamma), sizes >= 0.

    The strongest counts in full, each other by its gamma; a row of gamma 0 is a restatement and counts only where it is
    the strongest of all. Never falls when a size rises, and does not depend on order (method A4).

    >>> group_sum([(7.0, 0.25), (7.0, 0.0)])
    7.0
    >>> group_sum([(10.0, 0.25), (4.0, 0.25)])
    11.0
    """
    restated = max((size for size, gamma in weights if gamma == 0), default=0.0)
    counted = [(size, gamma) for size, gamma in weights if gamma > 0]
    discounted = sum(size * gamma for size, gamma in counted)
    lead = max((size * (1 - gamma) for size, gamma in counted), default=0.0)
    return max(restated, discounted + lead)


def direct_sum(rows: Iterable[EvidenceRow | Term], states: tuple[str, ...], prior: FloatArray) -> FloatArray:
    """Decibans of direct evidence for every state of a node, limited.

    Each state's sum is cut at 40 decibans either way; then no state may fall below 1e-4 of the whole by direct evidence.
    """
    sums = np.clip(raw_sums(rows, states), -SUM_LIMIT_DB, SUM_LIMIT_DB)
    return _floored(sums, prior) if sums.any() else sums


def raw_sums(rows: Iterable[EvidenceRow | Term], states: tuple[str, ...]) -> FloatArray:
    """The same before any limit."""
    plus, minus = two_sides(rows, states)
    return plus - minus


def two_sides(rows: Iterable[EvidenceRow | Term], states: tuple[str, ...]) -> tuple[FloatArray, FloatArray]:
    """Decibans for and against each state, both >= 0, after grouping."""
    grouped: dict[tuple[int, str, bool], list[tuple[float, float]]] = defaultdict(list)
    for row in rows:
        if row.state in states and row.weight_db:
            grouped[states.index(row.state), row.group, row.weight_db > 0].append((min(abs(row.weight_db), SINGLE_LIMIT_DB), row.gamma))
    sides = np.zeros((2, len(states)))
    for (state, _, positive), weights in sorted(grouped.items()):
        sides[0 if positive else 1, state] += group_sum(sorted(weights))
    return sides[0], sides[1]


def _floored(sums: FloatArray, prior: FloatArray) -> FloatArray:
    """Raise the sums of states that direct evidence alone would push below the least probability."""
    mass = prior * TEN ** (sums / TEN)
    low = np.zeros(len(mass), dtype=bool)
    while True:
        below = mass < LEAST_PROBABILITY * mass.sum() * (1 - 1e-12)
        if not (below & ~low).any():
            return np.asarray(np.where(low, TEN * np.log10(mass / prior), sums), dtype=float)
        low |= below
        rest = mass[~low].sum()
        mass = np.where(low, LEAST_PROBABILITY * rest / (1 - LEAST_PROBABILITY * low.sum()), mass)
