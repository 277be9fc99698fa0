"""What is taken from a saved file before it is read, and how it joins what the reader finds in the text."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any, Literal, Protocol, TypeVar

from listingrisk.errors import BadListing
from listingrisk.reading.listing import Listing, Money, Price

Kind = Literal["text", "html", "mhtml", "eml", "csv", "jsonl"]
Taken = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Stated:
    """What the file says outside the running text, in fields of its own."""

    price: Decimal | None = None
    currency: str | None = None
    postage: Decimal | None = None
    postage_currency: str | None = None
    condition: str | None = None
    place: str | None = None
    availability: str | None = None


@dataclass(frozen=True)
class Draft:
    """One listing of a file.

    `taken` tells for each field where it was found; `where` the row or message of a file of several; `whole` is the text
    exactly as decoded where the file is plain text; `fault` says why this row or message cannot be read.
    """

    title: str
    body: str
    kind: Kind
    stated: Stated = field(default_factory=Stated)
    taken: Taken = ()
    where: str | None = None
    whole: str | None = None
    notices: tuple[str, ...] = ()
    fault: str | None = None


class _Found(Protocol):
    """A record with a listing in it, such as claims.from_text.Read."""

    @property
    def listing(self) -> Listing: ...


F = TypeVar("F", bound=_Found)


def draft_text(draft: Draft) -> str:
    r"""Title, newline, body: what `read` takes. Raises BadListing where the draft holds a fault instead of a listing.

    >>> draft_text(Draft("Old telephone", "Black, £20", "csv"))
    'Old telephone\nBlack, £20'
    """
    if draft.fault is not None:
        raise BadListing(draft.fault)
    if draft.whole is not None:
        return draft.whole
    return f"{draft.title}\n{draft.body}" if draft.body else draft.title


def apply_stated(found: F, draft: Draft, currency: str | None = None) -> F:
    """Give the same reading, its listing with what the file states; `currency` is used where the file leaves it open."""
    if draft.stated == Stated():
        return found
    changed: Any = replace(found, listing=stated_listing(found.listing, draft, currency))  # type: ignore[type-var]
    result: F = changed
    return result


def stated_listing(listing: Listing, draft: Draft, currency: str | None = None) -> Listing:
    """Give the listing with what the file states: a stated price takes the place of the text's amount and keeps its kind.

    A place named as the area served only fills a gap, because it says where the thing may go, not where it is.
    """
    stated = draft.stated
    code = stated.currency or currency
    price = _price(listing, stated, code)
    postage = listing.postage
    if stated.postage is not None:
        fallback = code or (price.currency if price else None)
        postage = Money(stated.postage, stated.postage_currency or fallback)
    area = dict(draft.taken).get("place", "").endswith("areaServed")
    place = stated.place if stated.place and not (area and listing.place) else listing.place
    sale = "fixed" if listing.sale == "unknown" and price is not None else listing.sale
    return replace(listing, price=price, postage=postage, place=place, sale=sale)


def _price(listing: Listing, stated: Stated, code: str | None) -> Price | None:
    old = listing.price
    if stated.price is None:
        return replace(old, currency=code) if old is not None and old.currency is None and code else old
    if old is None:
        return Price(stated.price, code)
    return replace(old, amount=stated.price, currency=code or old.currency)
