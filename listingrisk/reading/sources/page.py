"""A saved web page: structured data first, then Open Graph, then the main text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from listingrisk.errors import BadListing
from listingrisk.reading.sources import main_text as main
from listingrisk.reading.sources import microdata, open_graph
from listingrisk.reading.sources.decode import clean, one_line, unescaped
from listingrisk.reading.sources.depth import parsed
from listingrisk.reading.sources.draft import Draft, Kind, Stated, Taken
from listingrisk.reading.sources.markup import plain_markup
from listingrisk.reading.sources.schema_org import Product, product

if TYPE_CHECKING:
    from bs4 import BeautifulSoup

_SPACES = re.compile(r"\s+")
_TAGGED = re.compile(r"</?[a-zA-Z][^<>]{0,200}>")
_CUT = re.compile(r"\s*(?:\.{3}|…)\s*$")
_LEAST_DESCRIPTION = 40
_SITE = re.compile(r"\s+[|»·]\s+[^|»·]{1,60}$")


def read_page(text: str, called: str, kind: Kind = "html", *, title: str | None = None) -> Draft:
    """Give the listing of one page; `title` (a mail's subject) goes before the page's own. Raises BadListing."""
    from bs4 import BeautifulSoup

    markup = plain_markup(text, called)
    soup = BeautifulSoup(markup.text, "html.parser")
    titles = _titles(soup)
    graph = open_graph.described(soup)
    names = [titles["h1"], graph.name, titles["title"]]
    told = [(p, where) for p, where in ((product(_blocks(markup.blocks, called), names, "json-ld"), "json-ld"), (product(microdata.items(soup), names, "microdata"), "microdata")) if p]
    heading, heading_from = _title([(title or "", "mail header subject"), *((p.name, f"{where} name") for p, where in told), (titles["h1"], "heading"), (graph.name, "open graph og:title"), (_SITE.sub("", titles["title"]), "title")])
    body, body_from = _body([(p.description, f"{where} description") for p, where in told], graph.description, main.main_text(soup), heading)
    if not heading and not body:
        raise BadListing(f"{called} is a page without text of a listing; open it, copy the text and give that")
    if not heading:
        first, _, body = body.partition("\n")
        heading, heading_from = one_line(first), "first line"
    stated, taken = _merged([p for p, _ in told] + [graph])
    return Draft(heading, body, kind, stated, (("title", heading_from), ("body", body_from), *taken))


def markup_text(text: str, called: str) -> str:
    """Give the text of a fragment of markup, such as a description with tags in it."""
    from bs4 import BeautifulSoup

    return "\n".join(main.whole_lines(BeautifulSoup(plain_markup(text, called).text, "html.parser")))


def _titles(soup: BeautifulSoup) -> dict[str, str]:
    headings = [one_line(h.get_text(" ")) for h in soup.find_all("h1")]
    headings = [h for h in headings if h]
    title = soup.find("title")
    return {"h1": headings[0] if len(set(headings)) == 1 else "", "title": one_line(title.get_text(" ")) if title else ""}


def _title(candidates: Sequence[tuple[str, str]]) -> tuple[str, str]:
    for text, where in candidates:
        line = one_line(described_text(text))
        if line:
            return line, where
    return "", "nothing"


def _blocks(blocks: Sequence[str], called: str) -> list[Any]:
    """Give the JSON-LD of a page; a block that is no JSON is left out, as search engines do."""
    found = []
    for block in blocks:
        try:
            found.append(parsed(block.strip().removeprefix("<!--").removesuffix("-->").strip().rstrip(";"), called))
        except ValueError:
            continue
    return found


def _body(structured: Sequence[tuple[str, str]], graph: str, seen: str, heading: str) -> tuple[str, str]:
    """Give the longest description, or the main text where that contains it; the main text where there is no description.

    A description from Open Graph is an excerpt made for a preview and only stands in for a page without text.
    """
    shown = _without_heading(seen, heading)
    told = [(described_text(text), where) for text, where in structured]
    text, where = max(told, key=lambda each: len(each[0]), default=("", "nothing"))
    if text and _contains(shown, text):
        return shown, "main text"
    if len(text) >= _LEAST_DESCRIPTION or (text and not shown):
        return text, where
    excerpt = described_text(graph)
    if len(shown) < _LEAST_DESCRIPTION and len(excerpt) > len(shown) and not _contains(shown, excerpt):
        return excerpt, "open graph og:description"
    return shown, "main text" if shown else "nothing"


def described_text(text: str) -> str:
    """Give a description as lines of text: its tags and references are made plain."""
    plain = clean(text)
    if _TAGGED.search(plain):
        plain = markup_text(plain, "a description in the page")
    else:
        plain = unescaped(plain)
        if _TAGGED.search(plain):
            plain = markup_text(plain, "a description in the page")
    lines = [" ".join(line.split()) for line in clean(plain).split("\n")]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()


def _contains(long: str, short: str) -> bool:
    """Whether one text holds the other, however spaced; an excerpt that ends in dots counts without them."""
    inner = _SPACES.sub("", _CUT.sub("", short)).casefold()
    return bool(inner) and inner in _SPACES.sub("", long).casefold()


def _without_heading(text: str, heading: str) -> str:
    """Give the text without a first line that only repeats the title."""
    first, _, rest = text.partition("\n")
    return rest if one_line(first).casefold() == heading.casefold() else text


def _merged(told: Sequence[Product]) -> tuple[Stated, Taken]:
    """Give the fields of all, the earlier first; a currency only from where the amount is from."""
    facts: dict[str, Any] = {}
    taken: dict[str, str] = {}
    for each in told:
        given = {field: value for field, value in asdict(each.stated).items() if value is not None}
        for amount, code in (("price", "currency"), ("postage", "postage_currency")):
            if amount in facts:
                given.pop(code, None)
        for field, value in given.items():
            if field not in facts:
                facts[field] = value
                taken[field] = dict(each.taken).get(field, "")
    return Stated(**facts), tuple(taken.items())
