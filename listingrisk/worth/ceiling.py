"""The most to pay: loss averse, landed, in whole minor units, with the sum that leads from worth to bid."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from listingrisk.amounts import floor_minor, from_minor, to_minor
from listingrisk.errors import BadAnswers
from listingrisk.odds import FloatArray
from listingrisk.tables.weights import Weights
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.landed import Landing
from listingrisk.worth.value import Worth, quantile

LEAST_OVERPAY, MOST_OVERPAY = 1.0, 10.0
"""Range of how many times worse overpaying is."""
ROUNDING = 1e-9
"""A worth that misses a whole minor unit by less than this is that unit."""


@dataclass(frozen=True)
class Line:
    """One line of the sum from worth to bid; amounts taken off are negative."""

    what: str
    amount: Decimal


@dataclass(frozen=True)
class MaxPrice:
    """The most to pay. `bid` is None where even as a gift it would cost more than it is worth."""

    currency: str
    landed: Decimal
    """Landed cost at the bid; where there is no bid, the most that may be paid in all."""
    bid: Decimal | None
    overpay_probability: float
    """Chance that it turns out to be worth less than was paid."""
    cap_landed: Decimal
    """Second ceiling: at this landed cost the chance of overpaying is what the tables allow."""
    breakdown: tuple[Line, ...]
    """Adds up, line by line, to the bid; () where there is none."""


def overpay_of(buyer: Buyer, weights: Weights) -> float:
    """How many times worse overpaying is, the buyer's or the tables' figure. Raises BadAnswers outside 1 to 10."""
    times = buyer.overpay if buyer.overpay is not None else weights.settings["overpay"]
    if not LEAST_OVERPAY <= times <= MOST_OVERPAY:
        raise BadAnswers(f"--overpay {times:g} is outside {LEAST_OVERPAY:g} to {MOST_OVERPAY:g}; give a number within")
    return times


def expectile(values: FloatArray, probabilities: FloatArray, overpay: float) -> float:
    """The x with E(V - x)+ = overpay * E(x - V)+: the worth at which the dread of overpaying balances the hope of gain.

    Values rise. overpay 1 is the mean; worth 100 with probability .9, else 0, gives 90, 81.8, 75 for 1, 2, 3. Exact: the
    balance is linear between neighbouring values. Source: Newey and Powell 1987; coherent for overpay >= 1 (Bellini).

    >>> round(expectile(np.array([0.0, 100.0]), np.array([0.1, 0.9]), 3.0), 9)
    75.0
    """
    below = np.cumsum(probabilities)
    below_sum = np.cumsum(probabilities * values)
    mean, mass = below_sum[-1], below[-1]
    balance = (mean - below_sum) - values * (mass - below) - overpay * (values * below - below_sum)
    at = int(np.searchsorted(-balance, 0.0))
    if at == 0:
        return float(values[0])
    low, low_sum = below[at - 1], below_sum[at - 1]
    return float(((mean - low_sum) + overpay * low_sum) / ((mass - low) + overpay * low))


def less_than_right_one(worth: Worth, buyer: Buyer, weights: Weights) -> float:
    """How much less to pay than for one that is right throughout, as a share from 0 to 1; needs no basis of worth."""
    times = overpay_of(buyer, weights)
    right = expectile(worth.right_values, np.full(len(worth.right_values), 1 / len(worth.right_values)), times)
    if right <= 0:
        return 0.0
    return float(np.clip(1 - expectile(worth.values, worth.probabilities, times) / right, 0.0, 1.0))


def ceiling(worth: Worth, buyer: Buyer, cost: Landing, weights: Weights) -> MaxPrice | None:
    """The most to pay for a worth, at what it costs to land it; None where worth is notional (no basis).

    The highest price whose landed cost is at most the expectile of worth less the gain wanted (method E). The second
    ceiling, by the chance of overpaying, is only printed. Raises BadAnswers for an overpay outside 1 to 10.
    """
    if worth.basis is None or worth.currency is None:
        return None
    currency = worth.currency
    most = expectile(worth.values, worth.probabilities, overpay_of(buyer, weights))
    surplus = to_minor(buyer.surplus, currency) if buyer.surplus is not None else to_minor(worth.expected * weights.settings["surplus_share"], currency)
    budget = floor_minor(most + ROUNDING, currency) - surplus
    bid = cost.highest_price_minor(budget)
    landed = cost.landed_minor(bid) if bid is not None else max(budget, 0)
    cap = floor_minor(quantile(worth.values, worth.probabilities, (weights.settings["overpay_alpha"],))[0] + ROUNDING, currency)
    chance = float(worth.probabilities[worth.values < float(from_minor(landed, currency)) - ROUNDING].sum())
    lines = _breakdown(worth, cost, bid, surplus) if bid is not None else ()
    return MaxPrice(currency, from_minor(landed, currency), None if bid is None else from_minor(bid, currency), chance, from_minor(cap, currency), lines)


def _breakdown(worth: Worth, cost: Landing, bid: int, surplus: int) -> tuple[Line, ...]:
    """From worth to bid in whole minor units; the margin takes what rounding leaves, at most a few of them."""
    currency = cost.currency
    claimed, expected = to_minor(worth.as_claimed, currency), to_minor(worth.expected, currency)
    margin = expected - surplus - cost.landed_minor(bid)
    lines = [("worth as claimed", claimed), ("deductions expected", expected - claimed), ("margin for being wrong", -margin)]
    if surplus:
        lines.append(("gain wanted", -surplus))
    lines += [("postage", -cost.postage_minor)] if cost.postage_minor else []
    premium = cost.premium_minor(bid)
    lines += [("premium and tax on it", -premium)] if premium else []
    return tuple(Line(what, from_minor(amount, currency)) for what, amount in (*lines, ("bid", bid)))
