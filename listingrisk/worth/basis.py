"""On what the worth of a right one rests: the buyer's word, the buyer's sales, the shipped guide, or nothing.

Newest decade first, then sold before guide before asked; a claimed scarce colour has rows of its own, else the ratio of
colours times the plain one.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

from listingrisk.risk.nodes import NodeSet
from listingrisk.tables.weight_rows import WorthRow
from listingrisk.tables.weights import ANY, SCARCE, Weights
from listingrisk.worth.buyer import Buyer

Kind = Literal["buyer", "sales", "guide"]
VERIFIED = ("very good", "excellent", "restored", "mint")
"""Conditions that speak of a whole one that was looked at; the others already hold ordinary faults."""
_BASIS_ORDER = ("sold", "guide", "asked")


@dataclass(frozen=True)
class Basis:
    """Worth of the model as known before this listing is looked at.

    `mid` is in the buyer's currency, or in notional units where `kind` is None. `plain_mid` is the worth of the plain
    colour, the same as `mid` where the plain one is claimed. `sigma` is the spread on the log scale.
    """

    kind: Kind | None
    mid: float
    sigma: float
    verified: bool
    plain_mid: float
    row: str = ""
    date: str = ""
    source: str = ""
    grade: str = "guess"
    why_not: str | None = None


def choose_basis(model: NodeSet, weights: Weights, buyer: Buyer, sales: Basis | None = None) -> Basis:
    """The basis of worth: the buyer's own figure, then his sales (`sales`, made elsewhere), then the guide, else none.

    Where none is known, or a currency lacks a rate, the basis is notional: `kind` is None and `why_not` says why.
    """
    if buyer.currency is None:
        return _notional(model, weights, "the price has no currency; give one with --currency")
    ratio = _colour_ratio(model, weights) if model.colour_standing == SCARCE else 1.0
    if buyer.worth is not None:
        mid = float(buyer.worth)
        return Basis("buyer", mid, weights.settings["buyer_sigma"], True, mid / ratio, source="the buyer")
    if sales is not None:
        return sales
    row = _row(model, weights, model.colour) or (_row(model, weights, "") if model.colour_standing != SCARCE else None)
    if row is not None:
        return _from_row(row, model, weights, buyer, ratio, times=1.0)
    plain = _row(model, weights, "")
    if plain is None:
        return _notional(model, weights, "no worth is known for this model; give one with --worth")
    return _from_row(plain, model, weights, buyer, ratio, times=ratio)


def _every_colour(row: WorthRow) -> float:
    """A range over every colour puts the scarce ones at its upper end: that end against its middle."""
    return row.high / ((row.low + row.high) / 2)


def _from_row(row: WorthRow, model: NodeSet, weights: Weights, buyer: Buyer, ratio: float, *, times: float) -> Basis:
    rate = buyer.rate(row.currency)
    if rate is None:
        return _notional(model, weights, f"worth is known in {row.currency} only; give its rate with --rate {row.currency}=...")
    factor = rate * times * (weights.settings["asked_factor"] if row.basis == "asked" else 1.0)
    mid = factor * (row.low + row.high) / 2
    sigma = _sigma(row, weights)
    if times != 1.0:
        sigma = math.hypot(sigma, weights.settings["single_sigma"])
    return Basis("guide", mid, sigma, row.condition in VERIFIED, mid / ratio, row.id, row.date, row.source, row.grade)


def _sigma(row: WorthRow, weights: Weights) -> float:
    """Spread of a printed range, taken to hold a set share of telephones; one figure alone has a spread of its own."""
    if row.low >= row.high or row.low <= 0:
        return weights.settings["single_sigma"]
    ends = 2 * NormalDist().inv_cdf((1 + weights.settings["guide_coverage"]) / 2)
    return max(weights.settings["least_sigma"], math.log(row.high / row.low) / ends * weights.settings["guide_widen"])


def _row(model: NodeSet, weights: Weights, colour: str) -> WorthRow | None:
    """Best row in the narrowest scope; colour '' means the plain one."""
    for scope in model.scopes:
        found = [r for r in weights.worths if r.model == scope and _colour_fits(r, scope, colour, weights)]
        if found:
            return min(found, key=lambda r: (-_decade(r.date), _BASIS_ORDER.index(r.basis), r.colour == ANY, r.id))
    return None


def _colour_fits(row: WorthRow, scope: str, colour: str, weights: Weights) -> bool:
    if colour:
        return row.colour == colour
    dear = {ratio.colour for ratio in weights.colour_ratios if ratio.model == scope}
    dear |= {r.colour for r in weights.worths if r.model == scope and r.colour not in (ANY, "black")}
    return row.colour not in dear


def _decade(date: str) -> int:
    found = re.match(r"\d{3}", date)
    return int(found.group()) if found else 0


def _colour_ratio(model: NodeSet, weights: Weights) -> float:
    """How many times the plain one the claimed colour fetches: from two rows of worth, from the ratio, else by setting."""
    own, plain = _row(model, weights, model.colour), _row(model, weights, "")
    if own and plain and own.currency == plain.currency and own.high > plain.high:
        return (own.low + own.high) / (plain.low + plain.high)
    for ratio in weights.colour_ratios:
        if ratio.colour == model.colour and ratio.model in model.scopes:
            return math.sqrt(ratio.low * ratio.high)
    if plain is not None and plain.colour == ANY:
        return _every_colour(plain)
    return weights.settings["scarce_ratio"]


def _notional(model: NodeSet, weights: Weights, why: str) -> Basis:
    mid = weights.settings["notional_worth"]
    ratio = _colour_ratio(model, weights) if model.colour_standing == SCARCE else 1.0
    return Basis(None, mid, weights.settings["notional_sigma"], True, mid / ratio, why_not=why)
