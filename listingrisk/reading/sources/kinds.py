"""Which kind of file it is, by what it holds and then by its ending; the way from bytes to drafts."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import PurePath

from listingrisk.errors import BadListing
from listingrisk.reading.sources import mail, rows
from listingrisk.reading.sources.decode import clean, decoded, marked, one_line, page_decoded, refuse_binary
from listingrisk.reading.sources.draft import Draft
from listingrisk.reading.sources.limits import MOST_BYTES
from listingrisk.reading.sources.page import read_page

_HEAD = 4096
_PAGE = re.compile(r"\s*(?:<\?xml[^>]{0,200}>\s*)?(?:<!doctype\s+html|<(?:html|head|body|meta|title|div|table|main|article|section|p|h1|script)\b)", re.IGNORECASE | re.DOTALL)
_HEADER = re.compile(rb"\n*((?:[A-Za-z][A-Za-z0-9-]{1,60}:[^\n]*\n(?:[ \t][^\n]*\n)*){2,})")
_NAMED = re.compile(rb"^([A-Za-z][A-Za-z0-9-]{1,60}):", re.MULTILINE)
_MAIL_NAMES = frozenset({b"from", b"to", b"subject", b"date", b"reply-to", b"cc"})
_MACHINE_NAMES = frozenset({b"mime-version", b"content-type", b"message-id", b"received", b"return-path", b"date", b"delivered-to", b"content-transfer-encoding"})
_BOX = re.compile(rb"From \S[^\n]{0,200}\n[A-Za-z][A-Za-z0-9-]{0,60}:")
_SAVED = re.compile(rb"^(?:snapshot-content-location|content-location):", re.IGNORECASE | re.MULTILINE)
_RELATED = re.compile(rb"^content-type:\s{0,9}(?:multipart/related|text/html)", re.IGNORECASE | re.MULTILINE)
_ENDINGS = {
    "html": "html", "htm": "html", "xhtml": "html", "mht": "mhtml", "mhtml": "mhtml", "eml": "eml", "mbox": "mbox", "mbx": "mbox",
    "csv": "csv", "tsv": "csv", "json": "jsonl", "jsonl": "jsonl", "ndjson": "jsonl",
}  # fmt: skip


def load_listings(data: bytes, name: str | None) -> tuple[Draft, ...]:
    r"""Give the listings of a file: at least one. Raises BadListing, one line, for whatever cannot be read.

    >>> [d.title for d in load_listings(b"Old telephone\nBlack, 20 pounds", None)]
    ['Old telephone']
    """
    called = one_line(name, 120) if name else "standard input"
    if len(data) > MOST_BYTES:
        raise BadListing(f"{called} is larger than {MOST_BYTES:,} bytes; give the listing alone, saved without its pictures")
    if not data.strip():
        raise BadListing(f"{called} is empty; paste a title and text, or name a file that holds them")
    refuse_binary(data, called)
    kind = _by_content(data) or _ENDINGS.get(PurePath(name or "").suffix.lower().removeprefix("."), "text")
    return _READERS[kind](data, called)


def _by_content(data: bytes) -> str | None:
    """Give the kind that the first bytes show; None leaves it to the ending."""
    if marked(data) in (None, "utf-8"):
        head = data.removeprefix(b"\xef\xbb\xbf")[: 4 * _HEAD].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        if _BOX.match(head):
            return "mbox"
        header = _HEADER.match(head)
        if header:
            names = {m.lower() for m in _NAMED.findall(header[1])}
            if names & _MACHINE_NAMES and len(names & (_MACHINE_NAMES | _MAIL_NAMES)) > 1:
                return "mhtml" if _RELATED.search(header[1]) and (_SAVED.search(header[1]) or (b"to" not in names and _SAVED.search(head))) else "eml"
    head_text = page_decoded(data[: 4 * _HEAD])[:_HEAD]
    if _PAGE.match(_after_comments(head_text)):
        return "html"
    return "csv?" if rows.looks_like_csv(head_text) else "jsonl?" if head_text.lstrip()[:1] in ("{", "[") else None


def _after_comments(text: str) -> str:
    """Leave out comments before the first tag."""
    while text.lstrip().startswith("<!--"):
        _, end, text = text.partition("-->")
        if not end:
            return ""
    return text


def _page(data: bytes, called: str) -> tuple[Draft, ...]:
    return (read_page(page_decoded(data), called),)


def _one_mail(data: bytes, called: str) -> tuple[Draft, ...]:
    return (mail.read_mail(data, called),)


def _one_mhtml(data: bytes, called: str) -> tuple[Draft, ...]:
    return (mail.read_mhtml(data, called),)


def _box(data: bytes, called: str) -> tuple[Draft, ...]:
    return mail.read_box(data, called) if data.lstrip().startswith(b"From ") else _one_mail(data, called)


def _csv(data: bytes, called: str) -> tuple[Draft, ...]:
    return rows.read_csv(clean(decoded(data)[0]), called)


def _json(data: bytes, called: str) -> tuple[Draft, ...]:
    found = rows.read_json(decoded(data)[0], called)
    if found is None:
        raise BadListing(f"{called} is no JSON with listings; give an object, a list of objects, or one object a line")
    return found


def _json_or_text(data: bytes, called: str) -> tuple[Draft, ...]:
    return rows.read_json(decoded(data)[0], called) or _text(data, called)


def _text(data: bytes, called: str) -> tuple[Draft, ...]:
    """Plain text: title on the first line that holds anything; the text itself is kept as it is."""
    text, encoding = decoded(data)
    if not text.strip():
        raise BadListing(f"{called} is empty; paste a title and text, or name a file that holds them")
    first, _, rest = text.lstrip().partition("\n")
    notices = (f"{called} is not UTF-8; read as Windows-1252",) if encoding == "cp1252" else ()
    return (Draft(one_line(first), clean(rest), "text", taken=(("title", "first line"), ("body", "text")), whole=text, notices=notices),)


_READERS: dict[str, Callable[[bytes, str], tuple[Draft, ...]]] = {
    "html": _page, "mhtml": _one_mhtml, "eml": _one_mail, "mbox": _box, "csv": _csv, "csv?": _csv, "jsonl": _json, "jsonl?": _json_or_text, "text": _text,
}  # fmt: skip
