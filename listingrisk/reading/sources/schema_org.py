"""One product for sale in the vocabulary of schema.org, whichever way it was written down (JSON-LD or microdata)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from listingrisk.reading.sources import values
from listingrisk.reading.sources.decode import one_line
from listingrisk.reading.sources.draft import Stated, Taken

Item = Mapping[str, Any]
PRODUCTS = frozenset({"product", "individualproduct", "productmodel", "someproducts"})
OFFERS = frozenset({"offer", "aggregateoffer", "demand"})
_OTHER_THINGS = frozenset({"isrelatedto", "issimilarto", "isaccessoryorsparepartfor", "isconsumablefor", "itemlistelement", "review", "reviews", "hasvariant", "breadcrumb", "makesoffer", "hasoffercatalog", "addon"})
"""Below these stand other things than the one on offer."""
_MOST_ITEMS = 2_000
_SHORTEST_NAME = 4


@dataclass(frozen=True)
class Product:
    """Name, description and fields of the thing on offer; `taken` names fields by property."""

    name: str
    description: str
    stated: Stated
    taken: Taken


def product(roots: Sequence[Any], titles: Sequence[str], where: str) -> Product | None:
    """Give the product that the page is about: the only one, or the one its titles name; None where that is not clear."""
    found, by_id = _collect(roots)
    alone = [item for item in found if kinds(item) & PRODUCTS] or [item for item in found if kinds(item) & OFFERS]
    if len(alone) > 1:
        alone = _named(alone, titles)
    return _read(alone[0], by_id, where) if alone else None


def kinds(item: Item) -> frozenset[str]:
    """Give the item's types in lower case, without the vocabulary's address."""
    given = item.get("@type")
    names = given if isinstance(given, list) else [given]
    return frozenset((values.last_word(n) or "").casefold() for n in names if isinstance(n, str))


def _collect(roots: Sequence[Any]) -> tuple[list[Item], dict[str, Item]]:
    """Objects of a graph that are not below another thing, and all objects by their id."""
    found: list[Item] = []
    by_id: dict[str, Item] = {}
    waiting = [(root, False) for root in reversed(roots)]
    while waiting and len(found) < _MOST_ITEMS:
        value, inside = waiting.pop()
        if isinstance(value, list):
            waiting += [(each, inside) for each in reversed(value)]
        elif isinstance(value, dict):
            if isinstance(value.get("@id"), str) and len(value) > 1:
                by_id.setdefault(value["@id"], value)
            kind = kinds(value)
            if kind & (PRODUCTS | OFFERS) and not inside:
                found.append(value)
            below = [(each, inside or bool(kind & PRODUCTS and name != "@graph")) for name, each in value.items() if name.casefold() not in _OTHER_THINGS]
            waiting += reversed(below)
    return found, by_id


def _named(items: list[Item], titles: Sequence[str]) -> list[Item]:
    """Give the items whose name the page's titles hold; same names count once."""
    wanted = [one_line(t).casefold() for t in titles if t]
    for title in wanted:
        fitting = {name: item for item in items if len(name := one_line(values.words(item.get("name"))).casefold()) >= _SHORTEST_NAME and (name in title or title in name)}
        if fitting:
            return [fitting[max(fitting, key=len)]]
    return []


def _read(item: Item, by_id: Mapping[str, Item], where: str) -> Product:
    offers = list(_offers(item, by_id))
    thing = item
    if kinds(item) & OFFERS:
        offers = [item]
        inner = _resolved(item.get("itemOffered"), by_id)
        thing = {**item, **inner} if inner else item
    facts: dict[str, Any] = {}
    taken: dict[str, str] = {}
    for field, value, named in _facts(thing, offers, by_id):
        if value is not None and field not in facts:
            facts[field] = value
            taken[field] = f"{where} {named}"
    if facts.get("price") is None:
        facts.pop("currency", None)
        taken.pop("currency", None)
    return Product(values.words(thing.get("name")), _description(thing, offers), replace(Stated(), **facts), tuple(taken.items()))


def _description(thing: Item, offers: Sequence[Item]) -> str:
    said = [values.words(thing.get("description")), *(values.words(o.get("description")) for o in offers)]
    return max(said, key=len)


def _offers(item: Item, by_id: Mapping[str, Item]) -> Iterator[Item]:
    given = item.get("offers")
    for each in given if isinstance(given, list) else [given]:
        offer = _resolved(each, by_id)
        if offer:
            yield offer
            nested = offer.get("offers")
            yield from (_resolved(n, by_id) for n in (nested if isinstance(nested, list) else [nested]) if isinstance(n, dict))


def _resolved(value: Any, by_id: Mapping[str, Item]) -> Item:
    """Give an object, or the one that its @id names elsewhere in the graph."""
    if isinstance(value, list):
        value = value[0] if value else None
    if isinstance(value, str):
        return by_id.get(value, {})
    if not isinstance(value, dict):
        return {}
    return {**by_id.get(str(value.get("@id")), {}), **value}


def _facts(thing: Item, offers: Sequence[Item], by_id: Mapping[str, Item]) -> Iterator[tuple[str, Any, str]]:
    price, code, named = _price(offers, by_id)
    yield "price", price, named
    yield "currency", code, named.replace(".price", ".priceCurrency").replace(".lowPrice", ".priceCurrency")
    for offer in offers:
        fee, fee_code = _shipping(offer, by_id)
        yield "postage", fee, "shippingRate"
        if fee is not None:
            yield "postage_currency", fee_code, "shippingRate"
        yield "condition", values.last_word(offer.get("itemCondition")), "itemCondition"
        yield "availability", values.last_word(offer.get("availability")), "availability"
        yield "place", _place(offer.get("availableAtOrFrom"), by_id), "availableAtOrFrom"
        yield "place", _place(offer.get("areaServed"), by_id), "areaServed"
    yield "condition", values.last_word(thing.get("itemCondition")), "itemCondition"
    yield "place", _place(thing.get("areaServed"), by_id), "areaServed"


def _price(offers: Sequence[Item], by_id: Mapping[str, Item]) -> tuple[Decimal | None, str | None, str]:
    """Give the one price of the offers; several different ones are no price of this thing."""
    found: dict[tuple[Decimal, str | None], str] = {}
    for offer in offers:
        for source, named in ((offer, "offers.price"), (_resolved(offer.get("priceSpecification"), by_id), "priceSpecification.price")):
            value, sign = values.amount(_first(source.get("price")))
            if value is None:
                continue
            found.setdefault((value.normalize(), values.currency(_first(source.get("priceCurrency"))) or sign), named)
            break
        else:
            low, high = values.amount(_first(offer.get("lowPrice"))), values.amount(_first(offer.get("highPrice")))
            if low[0] is not None and low[0] in (high[0], None):
                found.setdefault((low[0].normalize(), values.currency(_first(offer.get("priceCurrency"))) or low[1]), "offers.lowPrice")
    if len(found) != 1:
        return None, None, "offers.price"
    (value, code), named = next(iter(found.items()))
    return value.quantize(Decimal("0.01")) if value != value.to_integral_value() else value.quantize(Decimal(1)), code, named


def _shipping(offer: Item, by_id: Mapping[str, Item]) -> tuple[Decimal | None, str | None]:
    """Give the lowest rate of the ways it is sent."""
    given = offer.get("shippingDetails")
    rates = []
    for each in given if isinstance(given, list) else [given]:
        rate = _resolved(_resolved(each, by_id).get("shippingRate"), by_id)
        value, sign = values.postage(_first(rate.get("value")))
        if value is not None:
            rates.append((value, values.currency(_first(rate.get("currency"))) or sign))
    return min(rates, key=lambda rate: rate[0]) if rates else (None, None)


def _place(value: Any, by_id: Mapping[str, Item]) -> str | None:
    if isinstance(value, list):
        value = value[0] if value else None
    if isinstance(value, str) and value not in by_id:
        return values.last_word(value) or None
    place = _resolved(value, by_id)
    address = _resolved(place.get("address"), by_id) or place
    if isinstance(place.get("address"), str):
        return one_line(place["address"], 100) or None
    parts = [values.words(address.get(key)) for key in ("addressLocality", "addressRegion", "addressCountry")]
    return one_line(", ".join(p for p in parts if p) or values.words(place.get("name")), 100) or None


def _first(value: Any) -> Any:
    return value[0] if isinstance(value, list) and value else value
