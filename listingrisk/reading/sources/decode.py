"""Bytes to text: byte order mark, declaration, then UTF-8, then Windows-1252. Nothing here depends on what is installed."""

from __future__ import annotations

import codecs
import html
import re

from listingrisk.errors import BadListing
from listingrisk.reading.sources.limits import TITLE

_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_KNOWN = frozenset(["utf-8", "cp437", "cp850", "cp874", "koi8-r", "koi8-u", "gb2312", "gbk", "gb18030", "big5", "shift_jis", "cp932", "euc_jp", "euc_kr", "cp949", "iso2022_jp", "mac-roman"]) | {f"cp125{n}" for n in range(9)} | {f"iso8859-{n}" for n in range(2, 17)}
_AS_1252 = frozenset({"ascii", "iso8859-1", "latin-1", "cp1252"})
"""Declared so, but written on machines whose set is Windows-1252; browsers read them so too."""
_DECLARED = re.compile(rb"""<meta[^>]{0,300}?charset\s{0,9}=\s{0,9}["']?\s{0,9}([\w:.-]{1,40})|<\?xml[^>]{0,200}?encoding\s{0,9}=\s{0,9}["']([\w:.-]{1,40})""", re.IGNORECASE)
_DECLARED_WITHIN = 4096
_BINARY = ((b"%PDF-", "a PDF"), (b"PK\x03\x04", "a packed file (zip, office document)"), (b"\x1f\x8b", "a packed file (gzip)"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a picture"), (b"GIF8", "a picture"), (b"BM\x00", "a picture"), (b"bplist", "a web archive of one browser"), (b"RIFF", "a picture, sound or film"))
_CONTROLS = re.compile(rb"[\x00-\x08\x0e-\x1a\x1c-\x1f\x7f]")
_MOST_CONTROLS = 0.02
_UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")
_SPACES = re.compile(r"\s+")
_LONG_REFERENCE = re.compile(r"&#[xX]?[0-9a-fA-F]{8,};?")


def refuse_binary(data: bytes, called: str) -> None:
    """Raise BadListing for bytes that are no text."""
    for mark, what in _BINARY:
        if data.startswith(mark):
            raise BadListing(f"{called} is {what}, not text; save the listing as a web page, a mail or plain text")
    if marked(data) in ("utf-16", "utf-32"):
        return
    if b"\0" in data:
        raise BadListing(f"{called} holds zero bytes, so it is no text; save the listing as a web page, a mail or plain text")
    head = data[:65536]
    if len(_CONTROLS.findall(head)) > _MOST_CONTROLS * len(head):
        raise BadListing(f"{called} holds control bytes, so it is no text; save the listing as a web page, a mail or plain text")


def marked(data: bytes) -> str | None:
    """Give the encoding that a byte order mark names."""
    return next((encoding for mark, encoding in _MARKS if data.startswith(mark)), None)


def decoded(data: bytes, declared: str | None = None) -> tuple[str, str]:
    """Give the text, and the encoding that was used.

    >>> decoded("£20".encode("cp1252")), decoded("£20".encode("utf-16"))[0]
    (('£20', 'cp1252'), '£20')
    """
    mark = marked(data)
    if mark is not None:
        return data.decode(mark, errors="replace").removeprefix("\ufeff"), mark
    codec = _codec(declared)
    for encoding in (codec, "utf-8"):
        if encoding is None:
            continue
        try:
            return data.decode(encoding), encoding
        except UnicodeDecodeError:
            continue
    if codec == "utf-8" and _mostly_utf8(data):
        return data.decode("utf-8", errors="replace"), "utf-8"
    return data.decode("cp1252", errors="replace"), "cp1252"


def page_decoded(data: bytes, header: str | None = None) -> str:
    """Give the text of a page: byte order mark, the header's character set, the page's own declaration, then as above."""
    found = _DECLARED.search(data[:_DECLARED_WITHIN])
    inside = (found[1] or found[2]).decode("ascii") if found else None
    return decoded(data, header if _codec(header) else inside)[0]


def _codec(name: str | None) -> str | None:
    """Give a known character set by its name; codecs that are none (punycode, escapes) do not count."""
    if not name:
        return None
    try:
        found = codecs.lookup(name.strip()).name
    except (LookupError, ValueError, UnicodeError):
        return None
    if found in _AS_1252:
        return "cp1252"
    return found if found in _KNOWN else None


def _mostly_utf8(data: bytes) -> bool:
    text = data.decode("utf-8", errors="replace")
    bad = text.count("\ufffd")
    return sum(ord(c) > 127 for c in text) > 2 * bad


def clean(text: str) -> str:
    """Text without control characters and lone surrogates, its line ends as newlines."""
    return _UNSEEN.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))


def one_line(text: str, most: int = TITLE) -> str:
    r"""Give a title: one line, shortened at a word.

    >>> one_line("Old\r\nBcc: all")
    'Old Bcc: all'
    """
    line = _SPACES.sub(" ", clean(text)).strip()
    if len(line) <= most:
        return line
    return line[: most - 1].rsplit(" ", 1)[0] + "…"


def unescaped(text: str) -> str:
    """Character references replaced, once; numbers that name no character become the sign for that.

    >>> unescaped("&pound;20 &amp;amp; &#999999999999999;")
    '£20 &amp; \ufffd'
    """
    return html.unescape(_LONG_REFERENCE.sub("\ufffd", text))
