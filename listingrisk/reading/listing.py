"""The listing itself: its untouched text and what was read of price, place and kind of sale."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

PriceKind = Literal["asking", "offers_around", "starting", "current_bid", "buy_now", "guide", "reserve"]
Sale = Literal["auction", "fixed", "offers", "unknown"]


@dataclass(frozen=True)
class Money:
    """An amount as written; `currency` is ISO 4217, or None where a bare sign leaves it open."""

    amount: Decimal
    currency: str | None


@dataclass(frozen=True)
class Price(Money):
    """The price of the telephone and what kind of price it is."""

    kind: PriceKind = "asking"


@dataclass(frozen=True)
class Source:
    """Where the text came from; sha256 of the bytes that were given."""

    kind: str
    name: str | None
    sha256: str


@dataclass(frozen=True)
class Listing:
    """One listing. `text` is title, newline, body, as decoded and before any mending."""

    title: str
    text: str
    source: Source
    price: Price | None = None
    postage: Money | None = None
    sale: Sale = "unknown"
    place: str | None = None
    language: str = "en"


@dataclass(frozen=True)
class LotItem:
    """One telephone of a lot: the span of text that speaks of it."""

    title: str
    start: int
    end: int


@dataclass(frozen=True)
class Lot:
    """A lot of several telephones; `items` is empty where the text does not separate them."""

    count: int
    items: tuple[LotItem, ...]
