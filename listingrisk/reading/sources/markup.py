"""Stranger's markup to plain, balanced markup in one pass of linear time.

Scripts, comments, declarations and unknown attributes are left out, what a browser would close is closed, nesting and size
are held to limits. Only the result goes to the parser, whose own time grows with the square of some unclosed tags.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field

from listingrisk.errors import BadListing
from listingrisk.reading.sources.decode import clean, unescaped
from listingrisk.reading.sources.limits import ATTRIBUTE, HTML_DEPTH, HTML_TAGS, JSON_BLOCKS

_TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9:-]*)")
_GAP = re.compile(r"[\s/]*")
_NAME = re.compile(r"[^\s=>/]+")
_EQUALS = re.compile(r"\s*=\s*")
_BARE = re.compile(r"[^\s>]*")
_RAW_END = {name: re.compile(rf"</{name}(?=[\s/>])", re.IGNORECASE) for name in ("script", "style", "textarea", "title", "iframe", "xmp", "noembed", "noframes")}
_SOFT = frozenset({"title", "textarea", "xmp", "noembed", "noframes", "iframe"})
"""Never closed, they are read as if they were not there."""
_VOID = frozenset(["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "param", "source", "track", "wbr"])
_PLAIN_INLINE = frozenset(["b", "i", "u", "s", "em", "strong", "font", "span", "small", "big", "tt", "strike", "center", "mark", "sub", "sup", "code", "kbd", "abbr", "ins", "bdi", "bdo", "cite", "q", "var"])
"""Left out where they carry nothing: they only add depth."""
_KEPT = frozenset(["class", "id", "role", "itemprop", "itemscope", "itemtype", "content", "property", "name", "hidden", "style", "aria-hidden", "datetime", "value"])
_CLOSERS = {"li": {"li"}, "dt": {"dt", "dd"}, "dd": {"dt", "dd"}, "td": {"td", "th"}, "th": {"td", "th"}, "tr": {"tr", "td", "th"}, "tbody": {"thead", "tbody", "tr", "td", "th"}, "tfoot": {"thead", "tbody", "tr", "td", "th"}, "option": {"option"}, "a": {"a"}}
"""A start tag closes an open one of these."""
_HOLDS = {"li": {"ul", "ol"}, "dt": {"dl"}, "dd": {"dl"}, "td": {"table", "tr"}, "th": {"table", "tr"}, "tr": {"table"}, "tbody": {"table"}, "tfoot": {"table"}, "option": {"select"}, "a": {"div", "li", "td", "section", "article", "body"}}
"""Where the look for an open one stops."""
_BLOCK = frozenset(["address", "article", "aside", "blockquote", "center", "details", "dialog", "dir", "div", "dl", "fieldset", "figcaption", "figure", "footer", "form", "h1", "h2", "h3", "h4", "h5", "h6", "header", "hr", "main", "menu", "nav", "ol", "p", "pre", "section", "summary", "table", "ul"])


@dataclass
class _Scan:
    text: str
    called: str
    out: list[str] = field(default_factory=list)
    blocks: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    tags: int = 0
    none_left: set[str] = field(default_factory=set)

    def find(self, sign: str, at: int) -> int:
        """Place of the next sign; once there is none it is not looked for again."""
        if sign in self.none_left:
            return -1
        found = self.text.find(sign, at)
        if found < 0:
            self.none_left.add(sign)
        return found


@dataclass(frozen=True)
class Markup:
    """Balanced markup, and the text of its JSON-LD blocks."""

    text: str
    blocks: tuple[str, ...]


def plain_markup(text: str, called: str) -> Markup:
    """Markup that any parser reads alike. Raises BadListing beyond HTML_DEPTH or HTML_TAGS."""
    scan = _Scan(clean(text), called)
    at = 0
    while at < len(scan.text):
        mark = scan.find("<", at)
        _write(scan, at, mark if mark >= 0 else len(scan.text))
        if mark < 0:
            break
        at = _one_mark(scan, mark)
    while scan.open:
        scan.out.append(f"</{scan.open.pop()}>")
    return Markup("".join(scan.out), tuple(scan.blocks))


def _write(scan: _Scan, start: int, end: int) -> None:
    if end > start:
        text = clean(unescaped(scan.text[start:end]))
        _count(scan, text.count("&") + text.count("<"))
        scan.out.append(html.escape(text, quote=False))


def _count(scan: _Scan, more: int) -> None:
    scan.tags += more
    if scan.tags > HTML_TAGS:
        raise BadListing(f"{scan.called} has more than {HTML_TAGS:,} tags; save the page of one listing, or paste its text")


def _one_mark(scan: _Scan, at: int) -> int:
    """Deal with what stands at a `<`; the place after it."""
    text = scan.text
    if text.startswith("<!--", at):
        return _after(scan, "-->", at + 4)
    if text.startswith(("<!", "<?"), at):
        close = scan.find(">", at)
        inner = scan.find("[", at)
        return _after(scan, "]>" if text[at + 2 : at + 9].lower() == "doctype" and 0 <= inner < close else ">", at)
    tag = _TAG.match(text, at)
    if tag is None:
        _count(scan, 1)
        scan.out.append("&lt;")
        return at + 1
    name = tag[2].lower()
    attributes, end = _attributes(scan, tag.end())
    if tag[1]:
        _close(scan, name)
        return end
    if name in _RAW_END:
        return _raw(scan, name, attributes, end)
    _start(scan, name, attributes)
    return end


def _after(scan: _Scan, sign: str, at: int) -> int:
    found = scan.find(sign, at)
    return found + len(sign) if found >= 0 else len(scan.text)


def _attributes(scan: _Scan, at: int) -> tuple[dict[str, str], int]:
    """Attributes from a place to the `>` of the tag; the place after it."""
    text, found = scan.text, dict[str, str]()
    while True:
        at = _end(_GAP, text, at)
        if at >= len(text):
            return found, at
        if text[at] == ">":
            return found, at + 1
        named = _NAME.match(text, at)
        if named is None:
            at += 1
            continue
        at = named.end()
        value = ""
        equals = _EQUALS.match(text, at)
        if equals:
            start, stop, at = _value(scan, equals.end())
            value = text[start : min(stop, start + ATTRIBUTE)]
        name = named[0].lower() if len(named[0]) < 20 else ""
        if name in _KEPT or name in ("href", "type"):
            found.setdefault(name, value)


def _value(scan: _Scan, at: int) -> tuple[int, int, int]:
    """Start and end of a value, and the place after it."""
    quote = scan.text[at : at + 1]
    if quote and quote in "\"'":
        close = scan.find(quote, at + 1)
        if close >= 0:
            return at + 1, close, close + 1
        at += 1
    end = _end(_BARE, scan.text, at)
    return at, end, end


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at


def _raw(scan: _Scan, name: str, attributes: dict[str, str], at: int) -> int:
    """Pass over an element whose content is no markup: kept only as title or JSON-LD."""
    close = None if name in scan.none_left else _RAW_END[name].search(scan.text, at)
    if close is None and name in _SOFT:
        scan.none_left.add(name)
        return at
    end = close.start() if close else len(scan.text)
    if name == "title":
        _start(scan, name, {})
        _write(scan, at, end)
        _close(scan, name)
    elif name == "script" and attributes.get("type", "").strip().lower().startswith("application/ld+json") and len(scan.blocks) < JSON_BLOCKS:
        scan.blocks.append(scan.text[at:end])
    return _after(scan, ">", close.end()) if close else end


def _start(scan: _Scan, name: str, attributes: dict[str, str]) -> None:
    kept = {key: unescaped(value) for key, value in attributes.items() if key in _KEPT}
    if name in _PLAIN_INLINE and not kept:
        return
    _count(scan, 1)
    _close_implied(scan, name)
    written = "".join(f' {key}="{html.escape(clean(value))}"' for key, value in kept.items())
    if name == "a" and "href" in attributes:
        written += ' href="#"'
    if name == "link" and "itemprop" in kept:
        written += f' content="{html.escape(clean(unescaped(attributes.get("href", ""))))}"'
    scan.out.append(f"<{name}{written}>")
    if name in _VOID:
        return
    scan.open.append(name)
    if len(scan.open) > HTML_DEPTH:
        raise BadListing(f"{scan.called} has elements nested more than {HTML_DEPTH} deep; paste the text of the listing instead")


def _close_implied(scan: _Scan, name: str) -> None:
    closed: frozenset[str] | set[str] = _CLOSERS.get(name, set())
    stop: frozenset[str] | set[str] = _HOLDS.get(name, set())
    if name in _BLOCK:
        closed, stop = {"p"}, _BLOCK - {"p"} | {"td", "th", "li"}
    if not closed:
        return
    for depth in range(len(scan.open) - 1, -1, -1):
        if scan.open[depth] in closed:
            _close_from(scan, depth)
            if name not in ("tr", "tbody", "tfoot"):
                return
        elif scan.open[depth] in stop:
            return


def _close(scan: _Scan, name: str) -> None:
    """Close by an end tag: it closes the nearest open element of its name; one without such an element is left out."""
    for depth in range(len(scan.open) - 1, -1, -1):
        if scan.open[depth] == name:
            _close_from(scan, depth)
            return
        if scan.open[depth] in ("table", "td", "th") and name in _PLAIN_INLINE | {"a", "p", "li", "div"}:
            return


def _close_from(scan: _Scan, depth: int) -> None:
    while len(scan.open) > depth:
        scan.out.append(f"</{scan.open.pop()}>")
