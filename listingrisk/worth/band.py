"""How far the most to pay moves when the judgement in it is changed.

All evidence is taken half or one and a half as strong, and overpaying is dreaded less or more (method N9): if the asking
price lies within, it is a close call.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from listingrisk.risk.add import EvidenceRow, Said, SaidOfAll
from listingrisk.risk.assess import assess
from listingrisk.risk.nodes import NodeSet
from listingrisk.tables.weights import Weights
from listingrisk.worth.basis import Basis
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.ceiling import ceiling
from listingrisk.worth.landed import Landing
from listingrisk.worth.value import value

STRENGTHS = (0.5, 1.0, 1.5)
"""Factors on every weight in decibans (own)."""
OVERPAYS = (1.0, 3.0)
"""How many times worse overpaying is, besides what the buyer says (own)."""


@dataclass(frozen=True)
class Band:
    """Lowest and highest bid over the variants; None stands for no bid at all."""

    low: Decimal | None
    high: Decimal | None

    def holds(self, price: Decimal) -> bool:
        """Whether the verdict at this price depends on the variant: a close call."""
        reached = self.high is not None and price <= self.high
        return reached and (self.low is None or price > self.low)


def band(evidence: Sequence[EvidenceRow], said: Sequence[Said | SaidOfAll], model: NodeSet, weights: Weights, *, buyer: Buyer, cost: Landing, sales: Basis | None = None) -> Band:
    """The band of bids over three strengths of evidence and, at plain strength, two other dreads of overpaying."""
    bids: list[Decimal | None] = []
    for strength in STRENGTHS:
        worth = value(assess(evidence, said, model, weights, strength), model.model_id, weights, buyer, sales)
        buyers = [buyer] if strength != 1.0 else [buyer, *(replace(buyer, overpay=times) for times in OVERPAYS)]
        for each in buyers:
            most = ceiling(worth, each, cost, weights)
            bids.append(most.bid if most else None)
    paid = [bid for bid in bids if bid is not None]
    return Band(None if len(paid) < len(bids) else min(paid), max(paid, default=None))
