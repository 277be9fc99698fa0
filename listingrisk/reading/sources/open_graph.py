"""Open Graph and plain meta tags of a page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from listingrisk.reading.sources import values
from listingrisk.reading.sources.draft import Stated, Taken
from listingrisk.reading.sources.schema_org import Product

if TYPE_CHECKING:
    from bs4 import BeautifulSoup

_FIELDS = {
    "price": ("product:price:amount", "og:price:amount", "product:sale_price:amount"),
    "currency": ("product:price:currency", "og:price:currency", "product:sale_price:currency"),
    "postage": ("product:shipping_cost:amount",),
    "postage_currency": ("product:shipping_cost:currency",),
    "condition": ("product:condition", "og:condition"),
    "availability": ("product:availability", "og:availability"),
    "place": ("og:locality", "place:locality"),
}
_READERS: dict[str, Any] = {"price": lambda v: values.amount(v)[0], "postage": lambda v: values.postage(v)[0], "currency": values.currency, "postage_currency": values.currency}


def described(soup: BeautifulSoup) -> Product:
    """Give what the page's head says; empty where it says nothing."""
    metas: dict[str, str] = {}
    for tag in soup.find_all("meta"):
        name = str(tag.get("property") or tag.get("name") or "").strip().lower()
        if name and tag.has_attr("content"):
            metas.setdefault(name, str(tag["content"]).strip())
    facts: dict[str, Any] = {}
    taken: list[tuple[str, str]] = []
    for field, names in _FIELDS.items():
        for name in names:
            value = _READERS.get(field, values.last_word)(metas.get(name))
            if value is not None:
                facts[field] = value
                taken.append((field, f"open graph {name}"))
                break
    if "price" not in facts and "currency" in facts:
        del facts["currency"]
        taken = [each for each in taken if each[0] != "currency"]
    return Product(metas.get("og:title", ""), metas.get("og:description") or metas.get("description", ""), Stated(**facts), _whole(taken))


def _whole(taken: list[tuple[str, str]]) -> Taken:
    return tuple(taken)
