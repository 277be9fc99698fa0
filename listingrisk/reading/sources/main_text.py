"""The main text of a page: what a person came to read, without menus, adverts, other things on offer and notices.

By density of text and of links and by the page's own marking; nothing here knows a site. Every removal is held back where it
would take nearly all of the page's text.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bs4 import BeautifulSoup, Tag

_NEVER = ("head", "script", "style", "noscript", "template", "svg", "math", "canvas", "iframe", "object", "select", "button", "input", "audio", "video", "dialog")
_BESIDE = ("nav", "aside", "footer", "menu", "form")
_ROLES = frozenset(["navigation", "banner", "contentinfo", "complementary", "search", "dialog", "alertdialog", "alert", "menu", "menubar", "toolbar"])
_LABELS = frozenset(
    ["cookie", "cookies", "consent", "gdpr", "nav", "navbar", "navigation", "menu", "submenu", "breadcrumb", "breadcrumbs", "sidebar", "footer", "ads", "adslot", "advertisement", "adverts", "sponsored", "promo", "promoted", "promotion", "related", "similar", "recommended", "recommendations", "carousel", "newsletter", "signup", "social", "share", "sharing", "popup", "modal", "overlay", "login", "signin", "pagination", "pager", "basket", "cart", "toolbar", "skip", "upsell", "crosssell"]
)
_LABEL_WORDS = re.compile(r"[A-Z]?[a-z]+|[A-Z]+")
_SPARED = frozenset({"html", "body", "main", "article", "h1", "[document]"})
_LEAST_LEFT = 0.15
_LEAST_CHARACTERS = 40
_HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
_OTHER_THINGS = re.compile(r"(?:similar|related|recommended|sponsored|advert|recently viewed|more (?:from|like|items|ads|listings)|other (?:items|listings|ads|things|people)|you (?:may|might)|people (?:also|who)|customers|others? also|see also|also viewed|popular|seller's other)\b", re.IGNORECASE)
_COOKIES = re.compile(r"\bcookies?\b", re.IGNORECASE)
_CONSENT = re.compile(r"\b(?:accept|consent|privacy|experience|browser|preferences|agree|site|website)\b", re.IGNORECASE)
_MONEY = re.compile(r"[£€$]\s?\d|\d\s?(?:£|€|\$|EUR\b|GBP\b|USD\b|CHF\b|kr\b)")
_CARD = 400
_FEWEST_CARDS = 3
_CARDS_PRICED = 0.7
_LINKED = 0.5
_LINKED_LINE = 200
_WHOLE = 0.9
_CONTENT = 0.5
_BLOCK = frozenset(["address", "article", "aside", "blockquote", "body", "center", "dd", "details", "div", "dl", "dt", "fieldset", "figcaption", "figure", "footer", "form", "h1", "h2", "h3", "h4", "h5", "h6", "header", "hr", "html", "li", "main", "nav", "ol", "p", "pre", "section", "summary", "table", "tbody", "thead", "tfoot", "tr", "ul", "[document]"])


def main_text(soup: BeautifulSoup) -> str:
    """Give the lines of the main text. The soup is changed."""
    body = soup.body or soup
    _remove_marked(body)
    _remove_cards(body)
    _remove_headed(body)
    return "\n".join(_lines(_content(body)))


# Sizes -------------------------------------------------------------------------------------------------------------------


def _sizes(root: Tag) -> dict[int, tuple[int, int]]:
    """Characters of text and of linked text below each tag."""
    from bs4 import Tag

    sizes: dict[int, tuple[int, int]] = {}

    def measure(tag: Tag) -> tuple[int, int]:
        text = linked = 0
        for child in tag.contents:
            if isinstance(child, Tag):
                more, more_linked = measure(child)
                text, linked = text + more, linked + more_linked
            else:
                text += sum(map(len, str(child).split()))
        if tag.name == "a" and tag.has_attr("href"):
            linked = text
        sizes[id(tag)] = text, linked
        return text, linked

    measure(root)
    return sizes


def _plain(sizes: dict[int, tuple[int, int]], tag: Tag) -> int:
    text, linked = sizes[id(tag)]
    return text - linked


class _Remover:
    """Takes tags out as long as enough of the page's own text is left."""

    def __init__(self, root: Tag) -> None:
        self.sizes = _sizes(root)
        self.total = self.left = _plain(self.sizes, root)
        self.gone: set[int] = set()

    def take(self, tag: Tag) -> bool:
        """Take the tag out unless it holds nearly all that is left."""
        if any(id(above) in self.gone for above in tag.parents):
            return True
        cost = _plain(self.sizes, tag)
        if cost and self.left - cost < max(_LEAST_CHARACTERS, _LEAST_LEFT * self.total):
            return False
        self.left -= cost
        self.gone.add(id(tag))
        return True


# Removals ----------------------------------------------------------------------------------------------------------------


def _remove_marked(body: Tag) -> None:
    for tag in body.find_all(_NEVER):
        tag.extract()
    remover = _Remover(body)
    taken = [tag for tag in body.find_all(True) if _is_beside(tag) and remover.take(tag)]
    for tag in taken:
        tag.extract()


def _is_beside(tag: Tag) -> bool:
    if tag.name in _SPARED:
        return False
    if tag.name in _BESIDE or str(tag.get("role") or "").lower() in _ROLES:
        return True
    if tag.has_attr("hidden") or tag.get("aria-hidden") == "true" or "display:none" in str(tag.get("style") or "").replace(" ", "").lower():
        return True
    label = f"{_classes(tag)} {tag.get('id') or ''}"
    return bool(label.strip()) and not _LABELS.isdisjoint(w.lower() for w in _LABEL_WORDS.findall(label[:300]))


def _classes(tag: Tag) -> str:
    named = tag.get("class")
    return named if isinstance(named, str) else " ".join(named or ())


def _remove_cards(body: Tag) -> None:
    """Rows of like blocks, each a link with a price: other things on offer."""
    from bs4 import Tag

    remover = _Remover(body)
    taken = []
    for parent in body.find_all(True):
        groups: dict[tuple[str, str], list[Tag]] = defaultdict(list)
        for child in parent.contents:
            if isinstance(child, Tag) and child.name in ("li", "div", "article", "section", "td", "tr", "a") and remover.sizes[id(child)][0] < _CARD:
                groups[child.name, _classes(child)].append(child)
        for group in groups.values():
            if len(group) >= _FEWEST_CARDS and _are_cards(group):
                taken += [tag for tag in group if remover.take(tag)]
    for tag in taken:
        tag.extract()


def _are_cards(group: list[Tag]) -> bool:
    linked = [tag for tag in group if tag.name == "a" or tag.find("a")]
    priced = [tag for tag in linked if _MONEY.search(tag.get_text(" "))]
    return len(linked) == len(group) and len(priced) >= _CARDS_PRICED * len(group)


def _remove_headed(body: Tag) -> None:
    """Sections under a heading that speaks of other things."""
    remover = _Remover(body)
    taken: list[Tag] = []
    for heading in body.find_all(_HEADINGS[1:]):
        if not _OTHER_THINGS.match(heading.get_text(" ").strip()):
            continue
        section = heading.parent
        alone = section is not None and section.name not in _SPARED and _first_text(section, heading) and not section.find("h1")
        taken += [tag for tag in ([section] if alone and section is not None else _under(heading)) if remover.take(tag)]
    for tag in taken:
        tag.extract()


def _first_text(section: Tag, heading: Tag) -> bool:
    for text in section.find_all(string=True):
        if text.strip():
            return heading in text.parents
    return False


def _under(heading: Tag) -> list[Tag]:
    """Give the heading and what follows it up to the next heading of its rank."""
    from bs4 import Tag

    found = [heading]
    for after in heading.next_siblings:
        if isinstance(after, Tag):
            if after.name in _HEADINGS and after.name <= heading.name:
                break
            found.append(after)
    return found


# Content -----------------------------------------------------------------------------------------------------------------


def _content(body: Tag) -> Tag:
    """Give the smallest container with nearly all own text and the main heading; a marked main part where it holds most."""
    from bs4 import Tag

    sizes = _sizes(body)
    whole = _plain(sizes, body)
    heading = body.find("h1")
    for name in ("main", "article"):
        marked = body.find_all(name)
        if len(marked) == 1 and _plain(sizes, marked[0]) >= _CONTENT * whole:
            return marked[0]
    at = body
    while True:
        inner = [c for c in at.contents if isinstance(c, Tag) and _plain(sizes, c) >= _WHOLE * max(whole, 1) and (heading is None or heading is c or c in heading.parents)]
        if not inner or inner[0].name not in _BLOCK:
            return at
        at = inner[0]


def _lines(root: Tag) -> list[str]:
    """Lines of text, one a block; those that are mostly links, and notices about cookies, are left out."""
    writer = _Writer()
    writer.walk(root, linked=False)
    writer.flush()
    return writer.lines


class _Writer:
    """Collects the text of blocks line by line."""

    def __init__(self, *, sifting: bool = True) -> None:
        self.sifting = sifting
        self.lines: list[str] = []
        self.parts: list[str] = []
        self.linked = 0

    def walk(self, tag: Tag, *, linked: bool) -> None:
        """Write what is below a tag."""
        from bs4 import Tag
        from bs4.element import NavigableString

        for child in tag.contents:
            if isinstance(child, Tag):
                self._tag(child, linked=linked)
            elif type(child) is NavigableString:
                self._text(str(child), linked=linked, kept=tag.name == "pre")

    def _tag(self, tag: Tag, *, linked: bool) -> None:
        if tag.name == "br":
            self.flush()
            return
        if tag.name in ("td", "th", "dd"):
            self._join()
        elif tag.name == "span" and tag.attrs and isinstance(tag.previous_sibling, type(tag)):
            self.parts.append(" ")
        if tag.name in _BLOCK and tag.name != "dd":
            self.flush()
        self.walk(tag, linked=linked or (tag.name == "a" and tag.has_attr("href")))
        if tag.name in _BLOCK and tag.name != "dt":
            self.flush()

    def _text(self, text: str, *, linked: bool, kept: bool) -> None:
        if kept and "\n" in text:
            for line in text.split("\n"):
                self.parts.append(line)
                self.flush()
            return
        self.parts.append(text)
        if linked:
            self.linked += len(text.strip())

    def _join(self) -> None:
        """Between the cells of a row, a term and what is said of it."""
        before = "".join(self.parts).strip()
        if before:
            self.parts.append(" " if before[-1] in ":;,." else ": ")

    def flush(self) -> None:
        """End the line."""
        line = " ".join("".join(self.parts).split())
        linked, self.parts, self.linked = self.linked, [], 0
        if not line or (self.sifting and linked > _LINKED * len(line) and len(line) < _LINKED_LINE):
            return
        if self.sifting and _COOKIES.search(line) and _CONSENT.search(line):
            return
        self.lines.append(line)


def whole_lines(root: Tag) -> list[str]:
    """All lines of a fragment, with its links."""
    writer = _Writer(sifting=False)
    writer.walk(root, linked=False)
    writer.flush()
    return writer.lines
