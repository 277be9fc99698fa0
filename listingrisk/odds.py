"""Probabilities and decibans: the only place of the core that takes logarithms of odds.

A deciban is a tenth of the power of ten of a likelihood ratio (Turing and Good): 10 decibans make something ten times
likelier against its alternative. Weights are unrounded here; what is printed is rounded afterwards.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
TEN = 10.0
"""Decibans in a factor of ten."""
SUM_LIMIT_DB = 40.0
"""Direct evidence on one state of a node never sums beyond this, either way (own, method A1)."""
LEAST_PROBABILITY = 1e-4
"""No state falls below this by direct evidence, and none rises above 1 less this (own, method 0)."""
STEPS_DB = (0.0, 3.0, 5.0, 7.0, 10.0, 13.0, 16.0, 20.0)
"""Weights that a table author can defend: likelihood ratios 1, 2, 3, 5, 10, 20, 40, 100 (own)."""
STEP_SLACK_DB = 0.5
"""How far a stored pair of probabilities may lie from one of the steps."""
_VERBAL_EDGES = (2.0, 10.0, 100.0, 1000.0, 1e4, 1e6)
_VERBAL = ("none", "weak", "moderate", "moderately strong", "strong", "very strong", "extremely strong")


def decibans(probability: float, reference: float) -> float:
    """Weight of evidence, in decibans, of an observation that has these two probabilities.

    `probability` is that of the observation under the state it speaks for, `reference` that under the other; both lie
    in (0, 1]. Source: Good, Probability and the Weighing of Evidence (memory).

    >>> round(decibans(0.8, 0.008), 9)
    20.0
    """
    return TEN * math.log10(probability / reference)


def likelihood_ratio(weight_db: float) -> float:
    """The likelihood ratio of a weight in decibans.

    >>> round(likelihood_ratio(7.0), 2)
    5.01
    """
    return float(TEN ** (weight_db / TEN))


def nearest_step(weight_db: float) -> float:
    """The permitted step (of either sign) that a weight lies nearest to.

    >>> nearest_step(-9.8)
    -10.0
    """
    step = min(STEPS_DB, key=lambda s: abs(s - abs(weight_db)))
    return math.copysign(step, weight_db) if step else 0.0


def update(prior: FloatArray | Sequence[float], weights_db: FloatArray | Sequence[float]) -> FloatArray:
    """Probabilities of exclusive states after weights in decibans were added to each (softmax; method A1).

    The prior sums to 1; so does the result. For two states this is the sum of log odds.

    >>> update([0.1, 0.9], [10 * math.log10(5), 0]).round(4).tolist()
    [0.3571, 0.6429]
    """
    weights = np.asarray(weights_db, dtype=float)
    raised = np.asarray(prior, dtype=float) * TEN ** ((weights - weights.max()) / TEN)
    return np.asarray(raised / raised.sum(), dtype=float)


def to_decibans(factors: FloatArray, reference: int = 0) -> FloatArray:
    """Likelihood factors of the states of one node as decibans against its reference state."""
    return np.asarray(TEN * np.log10(factors / factors[reference]), dtype=float)


def verbal_strength(ratio: float) -> str:
    """ENFSI's words for a likelihood ratio of 1 or more (guideline for evaluative reporting, 2015; memory).

    >>> verbal_strength(9.99), verbal_strength(10)
    ('weak', 'moderate')
    """
    return _VERBAL[bisect.bisect_right(_VERBAL_EDGES, ratio)]
