"""From the price to everything paid until it is on the bench, in whole minor units, each line rounded as it is paid."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from listingrisk.amounts import percent_of, to_minor
from listingrisk.reading.listing import Money
from listingrisk.tables.weights import Weights
from listingrisk.worth.buyer import Buyer


@dataclass(frozen=True)
class Landing:
    """What is paid besides the price."""

    currency: str
    postage_minor: int
    postage_from: str
    """listing, buyer, table (what it usually costs) or unknown (then counted as nothing)."""
    premium_percent: Decimal
    vat_percent: Decimal
    """Tax on the premium."""

    def premium_minor(self, price_minor: int) -> int:
        """Buyer's premium with the tax on it. Hammer 100.00 at 24 and 20 percent: 28.80."""
        premium = percent_of(price_minor, self.premium_percent)
        return premium + percent_of(premium, self.vat_percent)

    def landed_minor(self, price_minor: int) -> int:
        """Everything paid at this price. Never falls when the price rises (method E1)."""
        return price_minor + self.premium_minor(price_minor) + self.postage_minor

    def highest_price_minor(self, budget_minor: int) -> int | None:
        """The highest price whose landed cost is within the budget; None where even nothing would be too much.

        By bisection on whole minor units: dividing by (1 + rate) would miss steps and rounding (method E3).
        """
        if self.landed_minor(0) > budget_minor:
            return None
        low, high = 0, max(budget_minor, 0)
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if self.landed_minor(middle) <= budget_minor else (low, middle - 1)
        return low


def landing(buyer: Buyer, postage: Money | None, weights: Weights, currency: str) -> Landing:
    """What is paid besides the price: the buyer's figures, else the listing's, else the usual ones of the tables.

    A postage in another currency than the price's counts only with its rate; else the usual one is taken.
    """
    row = weights.landed.get(currency)
    amount, came = _postage(buyer, postage, currency)
    if amount is None:
        amount, came = (Decimal(str(row.postage)), "table") if row else (Decimal(0), "unknown")
    premium = buyer.premium_percent
    if premium is None:
        premium = Decimal(str(row.premium_percent)) if row else Decimal(0)
    return Landing(currency, to_minor(amount, currency), came, premium, Decimal(str(row.vat_percent)) if row else Decimal(0))


def _postage(buyer: Buyer, postage: Money | None, currency: str) -> tuple[Decimal | None, str]:
    if buyer.postage is not None:
        return buyer.postage, "buyer"
    if postage is None:
        return None, ""
    if postage.currency in (None, currency):
        return postage.amount, "listing"
    rate = buyer.rates.get(postage.currency or "")
    return (postage.amount * rate, "listing") if rate is not None and currency == buyer.currency else (None, "")
