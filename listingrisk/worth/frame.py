"""The money frame of one model: worth points of each class, floors and deductions, all in whole steps."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist

import numpy as np

from listingrisk.odds import FloatArray
from listingrisk.risk.nodes import INSIDE, NodeSet
from listingrisk.tables.weight_rows import Range
from listingrisk.tables.weights import Weights, first_in_scope
from listingrisk.worth.basis import Basis
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.grid import Grid, IntArray

WORTH_POINTS = 7
"""Worth of a right one is taken as this many equally likely points (method D)."""
MOST_CELLS = 512
"""The step is the smallest round one that keeps the grid within this many cells."""
_NICE = (1.0, 2.0, 5.0)


class NoRateError(Exception):
    """A deduction is in a currency without a rate."""

    def __init__(self, currency: str) -> None:
        """Keep the currency."""
        super().__init__(currency)
        self.currency = currency


@dataclass(frozen=True, eq=False)
class Frame:
    """Everything that turns states into worth, in whole steps of `step` currency units."""

    step: float
    worth: IntArray
    """class x point, never below the floor."""
    floor: IntArray
    """class."""
    grid: Grid

    @cached_property
    def value_by_cost(self) -> IntArray:
        """Worth after a deduction of so many steps: class x point x cost."""
        cost = np.arange(self.grid.length)
        return np.asarray(np.maximum(self.floor[:, None, None], self.worth[:, :, None] - cost), dtype=np.int64)

    def mean_by_cost(self, objects: FloatArray) -> FloatArray:
        """Mean worth over classes and points, by cost in steps."""
        return np.asarray(objects @ self.value_by_cost.mean(axis=1), dtype=float)


Money = Callable[[float, str], float]
"""Turns an amount of a currency into units of the result. Raises NoRateError."""


def worth_points(sigma: float) -> FloatArray:
    """Seven equally likely multiples of the mean of a lognormal worth, whose mean is 1 (method D, G).

    >>> round(float(worth_points(0.5).mean()), 12)
    1.0
    """
    middle = [NormalDist().inv_cdf((j + 0.5) / WORTH_POINTS) for j in range(WORTH_POINTS)]
    points = np.exp(sigma * np.array(middle))
    return np.asarray(points / points.mean(), dtype=float)


def exchange(buyer: Buyer, basis: Basis, model: NodeSet, weights: Weights) -> Money:
    """How costs become units of the result: by rate, or as shares of the usual worth where the worth is notional."""
    if basis.kind is None:
        usual = first_in_scope(weights.usual_worths, model.scopes, lambda row: row.scope)
        return lambda amount, _: amount * weights.settings["notional_worth"] / (usual.amount if usual else basis.mid)
    return lambda amount, currency: amount * _rate(buyer, currency)


def _rate(buyer: Buyer, currency: str) -> float:
    rate = buyer.rate(currency)
    if rate is None:
        raise NoRateError(currency)
    return rate


def build_frame(model: NodeSet, weights: Weights, basis: Basis, money: Money, *, scale: float = 1.0, step: float | None = None) -> Frame:
    """The frame of a model whose right one is worth `scale` times the basis. Raises NoRateError."""
    purpose = model.purpose
    if purpose == "spares":
        return _spares_frame(model, weights, money, step)
    claimed, plain = basis.mid * scale, basis.plain_mid * scale
    shares = [weights.classes[state] for state in model.object.states]
    middle = np.array([row.share.mid * (claimed if row.of == "claimed" else plain) for row in shares])
    floors = np.array([weights.floor_share(state, purpose) * plain for state in model.object.states])
    deductions = _deductions(model, weights, claimed, plain, money)
    worth = middle[:, None] * worth_points(basis.sigma)
    return _in_steps(worth, floors, deductions, weights, step)


def _deductions(model: NodeSet, weights: Weights, claimed: float, plain: float, money: Money) -> tuple[FloatArray, FloatArray]:
    """min(cost to put right, worth lost if left), low, middle and high, of every slot state and of inside."""
    slots = np.zeros((len(model.slots), model.width, 3))
    for i, node in enumerate(model.slots):
        for s, state in enumerate(node.states):
            slots[i, s] = _deduction(node.id, state, model, weights, claimed, plain, money)
    inside = np.array([_deduction(INSIDE, state, model, weights, claimed, plain, money) for state in model.inside.states])
    return slots, inside


def _deduction(slot: str, state: str, model: NodeSet, weights: Weights, claimed: float, plain: float, money: Money) -> list[float]:
    row = weights.deduction_of(slot, state, model.purpose, model.scopes)
    if row is None:
        return [0.0, 0.0, 0.0]
    above, base = (claimed - plain, plain) if row.lost_of == "above_plain" else (0.0, claimed)
    lost = [above + share * base for share in row.lost]
    if row.cost is None:
        return lost
    return [min(money(cost, row.currency), left) for cost, left in zip(row.cost, lost, strict=True)]


def _spares_frame(model: NodeSet, weights: Weights, money: Money, step: float | None) -> Frame:
    """Worth for spares: what the parts fetch one by one; a part's state takes off what it falls short of a right one."""
    slots = np.zeros((len(model.slots), model.width, 3))
    total = 0.0
    for i, node in enumerate(model.slots):
        row = first_in_scope((r for r in weights.resale if r.slot == node.id), model.scopes, lambda r: r.scope)
        if row is None:
            continue
        value = Range(*(money(amount, row.currency) for amount in row.amount))
        total += value.mid
        for s, state in enumerate(node.states):
            slots[i, s] = value.mid * (1.0 - _resale_share(state, weights))
    worth = np.array([weights.classes[state].share.mid for state in model.object.states])[:, None] * np.full(WORTH_POINTS, total)
    return _in_steps(worth, np.zeros(len(worth)), (slots, np.zeros((len(model.inside.states), 3))), weights, step)


def _resale_share(state: str, weights: Weights) -> float:
    return 1.0 if state == "ok" else weights.settings.get(f"resale_{state}", 0.0)


def _in_steps(worth: FloatArray, floors: FloatArray, deductions: tuple[FloatArray, FloatArray], weights: Weights, step: float | None) -> Frame:
    widest = float((worth.max(axis=1) - floors).max())
    capped = [np.minimum(d, widest) for d in deductions]
    if step is None:
        step = round_step(float(capped[0].max(axis=(1, 2), initial=0).sum() + capped[1].max(initial=0)))
    costs, inside = (np.rint(d / step).astype(np.int64) for d in capped)
    floor = np.rint(floors / step).astype(np.int64)
    points = np.maximum(np.rint(worth / step).astype(np.int64), floor[:, None])
    atoms = np.array([weights.settings["repair_low"], weights.settings["repair_mid"], weights.settings["repair_high"]])
    return Frame(step, points, floor, Grid(costs, inside, atoms / atoms.sum()))


def round_step(dearest: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that keeps the dearest sum of deductions on the grid.

    >>> round_step(245.0), round_step(3900.0)
    (1.0, 10.0)
    """
    least = max(dearest, 1e-6) * 1.1 / (MOST_CELLS - 1)
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * nice for nice in (*_NICE, 10.0) if power * nice >= least)
