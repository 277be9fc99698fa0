"""What the buyer says of himself: what it is for, what it is worth to him, how he fears overpaying."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from listingrisk.risk.nodes import Purpose


@dataclass(frozen=True)
class Buyer:
    """Options of one appraisal; everything None is taken from the tables."""

    currency: str | None = None
    """ISO 4217, of the listing: the currency of every result."""
    worth: Decimal | None = None
    """What a right one of this model is worth to the buyer, in `currency`."""
    purpose: Purpose = "display"
    overpay: float | None = None
    """How many times worse 1 overpaid is than 1 saved, 1 to 10."""
    surplus: Decimal | None = None
    """Gain wanted on the purchase, in `currency`."""
    premium_percent: Decimal | None = None
    """Buyer's premium."""
    postage: Decimal | None = None
    """Overrides the postage of the listing; 0 where the telephone is collected."""
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    """Code of a currency to what one unit of it costs in `currency`."""
    auction: bool | None = None
    """Whether it is sold by auction; None where the listing tells."""

    @property
    def collected(self) -> bool:
        """Whether the post cannot break it: postage is given as nothing."""
        return self.postage is not None and self.postage == 0

    def rate(self, currency: str) -> float | None:
        """What one unit of a currency costs in the buyer's; None where that is not known."""
        if currency == self.currency:
            return 1.0
        return float(self.rates[currency]) if currency in self.rates else None
