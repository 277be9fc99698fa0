"""Risk to worth: the exact distribution of what the telephone is worth to the buyer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from listingrisk.odds import FloatArray
from listingrisk.risk.assess import Risk, assess
from listingrisk.risk.mixture import Mixture
from listingrisk.risk.nodes import NodeSet, build_nodes
from listingrisk.tables.weights import SCARCE, Weights
from listingrisk.worth.basis import Basis, Kind, choose_basis
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.frame import Frame, Money, NoRateError, build_frame, exchange
from listingrisk.worth.grid import ComplexArray

QUANTILES = (0.1, 0.5, 0.9)
SOLVED = 0.002
"""The scale of worth is solved until the mean is this near the guide's middle, as a share."""


@dataclass(frozen=True, eq=False)
class Worth:
    """What it is worth to the buyer, in `currency`, or in hundredths of a right one's worth where `basis` is None."""

    currency: str | None
    as_claimed: float
    """Mean worth of one that is all it is claimed to be."""
    expected: float
    """Mean worth of this one."""
    quantiles: Mapping[float, float]
    values: FloatArray
    """Possible worths, rising."""
    probabilities: FloatArray
    """Their probabilities; sum to 1."""
    right_values: FloatArray
    """Possible worths of one that is right in every slot and what it is claimed to be."""
    basis: Kind | None
    basis_row: Basis
    why_no_price: str | None
    frame: Frame | None
    """None for a worth that was pooled over several models."""


def value(risk: Risk, model_id: str, weights: Weights, buyer: Buyer, sales: Basis | None = None) -> Worth:
    """The distribution of worth of one listing, given its risk.

    Worth is max(floor, right one's worth less the deductions of what is wrong), over classes of object and seven equally
    likely worths of a right one (method C, D). Where no basis is known, or a currency lacks a rate, the result is
    notional: 100 for a right one, `basis` None and `why_no_price` a sentence.
    """
    model = risk.node_set
    if model.model_id != model_id:
        raise ValueError(f"the risk is that of {model.model_id}, not of {model_id}")
    basis, frame = frame_for(model, weights, buyer, sales)
    values, probabilities = distribution(frame, risk.mixture, risk.object)
    right = np.sort(frame.worth[0]) * frame.step
    found = quantile(values, probabilities, QUANTILES)
    mean = float(values @ probabilities)
    return Worth(buyer.currency if basis.kind else None, float(right.mean()), mean, dict(zip(QUANTILES, found, strict=True)), values, probabilities, right, basis.kind, basis, basis.why_not, frame)


def frame_for(model: NodeSet, weights: Weights, buyer: Buyer, sales: Basis | None = None) -> tuple[Basis, Frame]:
    """The basis of worth and the frame built on it, its scale solved where the basis already holds ordinary faults."""
    basis = choose_basis(model, weights, buyer, sales)
    try:
        return basis, _framed(model, weights, basis, buyer)
    except NoRateError as lacking:
        why = f"costs are known in {lacking.currency} only; give its rate with --rate {lacking.currency}=..."
        basis = replace(choose_basis(model, weights, replace(buyer, currency=None)), why_not=why)
        return basis, _framed(model, weights, basis, buyer)


def _framed(model: NodeSet, weights: Weights, basis: Basis, buyer: Buyer) -> Frame:
    rates = tuple(sorted((code, float(rate)) for code, rate in buyer.rates.items()))
    return _cached_frame(weights, basis, _Key(model), buyer.currency, rates)


class _Key:
    """A node set as a key: what the frame depends on."""

    def __init__(self, model: NodeSet) -> None:
        self.model = model
        self.key = (model.model_id, model.scopes, model.purpose, model.colour_standing, tuple(node.id for node in model.slots))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(maxsize=256)
def _cached_frame(weights: Weights, basis: Basis, key: _Key, currency: str | None, rates: tuple[tuple[str, float], ...]) -> Frame:
    model = key.model
    buyer = Buyer(currency=currency, rates=dict(rates))  # type: ignore[arg-type]
    money = exchange(buyer, basis, model, weights)
    scale = 1.0 if basis.verified else _scale(model, weights, basis, money)
    return build_frame(model, weights, basis, money, scale=scale)


def _scale(model: NodeSet, weights: Weights, basis: Basis, money: Money) -> float:
    """How many times the guide a right one is worth, so that one of which nothing is known is worth the guide.

    The guide speaks of that colour as sold, so the claim of a scarce colour is not doubted here.
    """
    scopes = tuple(scope for scope in model.scopes if scope != SCARCE)
    plain = build_nodes(model.model_id, scopes, [node.id for node in model.slots], weights, purpose="display")
    unknown = assess((), (), plain, weights)
    low, high = 1.0, 8.0
    for _ in range(40):
        scale = (low * high) ** 0.5
        frame = build_frame(plain, weights, basis, money, scale=scale)
        mean = mean_worth(frame, unknown.mixture, unknown.object)
        if abs(mean / basis.mid - 1) < SOLVED:
            break
        low, high = (scale, high) if mean < basis.mid else (low, scale)
    return float(scale)


def total(frame: Frame, mixture: Mixture) -> ComplexArray:
    """Coefficients of the whole deduction of each component: component x frequency."""
    slots = frame.grid.slots(mixture.states)
    return np.asarray(slots.prod(axis=1) * frame.grid.inside[mixture.inside], dtype=complex)


def mean_worth(frame: Frame, mixture: Mixture, objects: FloatArray) -> float:
    """Mean worth in currency units, without the distribution."""
    weigh = frame.grid.functional(frame.mean_by_cost(objects))
    return float((mixture.weight @ total(frame, mixture) @ weigh).real * frame.step)


def distribution(frame: Frame, mixture: Mixture, objects: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Possible worths, rising, in currency units, and their probabilities."""
    cost = frame.grid.distribution(mixture.weight @ total(frame, mixture))
    by_cost = frame.value_by_cost
    shares = (objects / by_cost.shape[1])[:, None, None] * cost
    least = int(by_cost.min())
    found = np.bincount((by_cost - least).ravel(), np.broadcast_to(shares, by_cost.shape).ravel())
    held = np.flatnonzero(found > 0)
    return np.asarray((held + least) * frame.step, dtype=float), np.asarray(found[held] / found.sum(), dtype=float)


def quantile(values: FloatArray, probabilities: FloatArray, levels: tuple[float, ...]) -> list[float]:
    """The smallest worth whose cumulative probability reaches each level."""
    cumulative = np.cumsum(probabilities)
    positions = np.searchsorted(cumulative, np.array(levels) - 1e-12)
    return [float(values[min(i, len(values) - 1)]) for i in positions]
