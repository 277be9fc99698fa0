"""Microdata of a page as the same objects that JSON-LD gives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bs4 import BeautifulSoup, Tag


def items(soup: BeautifulSoup) -> list[dict[str, Any]]:
    """Top items of the page (those that are no property of another)."""
    return [_item(tag) for tag in soup.find_all(_starts_item) if not tag.has_attr("itemprop")]


def _starts_item(tag: Tag) -> bool:
    return tag.has_attr("itemscope")


def _item(scope: Tag) -> dict[str, Any]:
    item: dict[str, Any] = {"@type": str(scope.get("itemtype") or "").split()}
    for tag in _own(scope):
        value: Any = _item(tag) if tag.has_attr("itemscope") else _value(tag)
        for name in str(tag.get("itemprop") or "").split():
            old = item.get(name)
            item[name] = value if old is None else [*old, value] if isinstance(old, list) else [old, value]
    return item


def _own(scope: Tag) -> list[Tag]:
    """Tags with a property of this item: below it, but not below an item inside."""
    from bs4 import Tag

    found, waiting = [], [child for child in reversed(scope.contents) if isinstance(child, Tag)]
    while waiting:
        tag = waiting.pop()
        if tag.has_attr("itemprop"):
            found.append(tag)
        if not tag.has_attr("itemscope"):
            waiting += [child for child in reversed(tag.contents) if isinstance(child, Tag)]
    return found


def _value(tag: Tag) -> str:
    for name in ("content", "datetime", "value"):
        if tag.has_attr(name):
            return str(tag[name])
    return tag.get_text("\n" if tag.find(["p", "br", "div", "li"]) else "").strip()
