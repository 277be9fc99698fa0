"""At what price a deal would close, as weighted landed costs: it makes the gain from knowing more smooth (method F1)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from listingrisk.amounts import from_minor, to_minor
from listingrisk.odds import FloatArray
from listingrisk.reading.listing import Price
from listingrisk.tables.weights import Weights
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.ceiling import expectile, overpay_of
from listingrisk.worth.landed import Landing
from listingrisk.worth.value import Worth

_EDGES = np.linspace(-6.0, 6.0, 14)
"""Logistic quantile scale, cut into 13 cells."""
CERTAIN_KINDS = ("asking", "offers_around", "buy_now")
AUCTION_KINDS = ("starting", "current_bid", "reserve")


@dataclass(frozen=True, eq=False)
class Deal:
    """Landed costs at which a deal may close, in currency units, and how likely each is."""

    landed: FloatArray
    weights: FloatArray
    middle: float
    """The landed cost it is centred on: the yardstick for what changes a decision."""


def logistic_deal(middle: float, spread: float, least: float = 0.0) -> Deal:
    """A deal whose landed cost is logistic about `middle` with this scale, never below `least` nor below nothing."""
    cumulative = 1 / (1 + np.exp(-_EDGES))
    weights = np.diff(cumulative)
    centres = (_EDGES[1:] + _EDGES[:-1]) / 2
    landed = np.maximum(middle + spread * centres, max(least, 0.0))
    return Deal(np.asarray(landed, dtype=float), np.asarray(weights / weights.sum(), dtype=float), middle)


def deal_for(worth: Worth, buyer: Buyer, price: Price | None, cost: Landing | None, weights: Weights) -> Deal:
    """The deal price of a listing.

    Asked prices: about the landed cost of what is asked. Auctions: about what it is worth to others, never below the
    landed cost of the current bid. No price, or none that can be compared: about the worth itself, wider.
    """
    if worth.basis is None or price is None or cost is None or price.currency not in (None, worth.currency):
        return open_deal(worth, buyer, weights)
    landed = float(from_minor(cost.landed_minor(to_minor(price.amount, cost.currency)), cost.currency))
    if price.kind in AUCTION_KINDS or buyer.auction:
        return logistic_deal(max(worth.expected, landed), weights.settings["auction_spread"] * worth.expected, landed)
    return logistic_deal(landed, weights.settings["deal_spread"] * max(landed, 1e-9))


def open_deal(worth: Worth, buyer: Buyer, weights: Weights) -> Deal:
    """A deal at about the worth itself, as where no price is asked (method M)."""
    middle = expectile(worth.values, worth.probabilities, overpay_of(buyer, weights))
    return logistic_deal(middle, weights.settings["open_spread"] * max(middle, 1e-9))
