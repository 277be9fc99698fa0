"""Mails: one message, a box of several, and pages saved as one message (RFC 2557)."""

from __future__ import annotations

import email
import re
from dataclasses import replace
from email.errors import HeaderParseError, MessageError
from email.header import decode_header
from email.message import Message
from email.policy import compat32

from listingrisk.errors import BadListing
from listingrisk.reading.sources.decode import clean, decoded, one_line, page_decoded
from listingrisk.reading.sources.draft import Draft
from listingrisk.reading.sources.limits import MAIL_LINES, MIME_CONTAINERS, MIME_DEPTH, MIME_HEADER, MIME_PARTS, ROWS
from listingrisk.reading.sources.page import read_page

_TYPE = re.compile(rb"^content-type:", re.IGNORECASE | re.MULTILINE)
_CONTAINER = re.compile(rb"^content-type:\s{0,9}(?:multipart|message)/", re.IGNORECASE | re.MULTILINE)
_HEADER_ENDS = re.compile(rb"\n(?![ \t])")
_BOX = re.compile(rb"^From [^\n]{1,200}\n(?=[A-Za-z][A-Za-z0-9-]{0,60}:|>?From )", re.MULTILINE)
_QUOTED_FROM = re.compile(rb"^>(>*From )", re.MULTILINE)
_PREFIX = re.compile(r"^(?:\s*(?:re|fwd?|aw|wg|tr|sv|vs|rv|enc|i)\s*(?:\[\d{1,3}\])?\s*:)+\s*", re.IGNORECASE)
_FORWARDING = re.compile(r"^\s*(?:(?:fwd?|wg|tr|fw|rv)\s*:)", re.IGNORECASE)
_SEPARATOR = re.compile(r"^[>\s]*-{2,}\s*(?:forwarded message|begin forwarded message|weitergeleitete nachricht|message transféré|original message|ursprüngliche nachricht)\b.{0,80}$|^[>\s]*begin forwarded message:\s*$", re.IGNORECASE)
_ONLY_REPLY = re.compile(r"original message|ursprüngliche nachricht", re.IGNORECASE)
_HEADER_LINE = re.compile(r"^\*?(?:from|von|de|date|sent|gesendet|datum|subject|betreff|objet|to|an|cc|kopie|reply-to|resent-from)\*?\s?:", re.IGNORECASE)
_SUBJECT_LINE = re.compile(r"^\*?(?:subject|betreff|objet)\*?\s?:\s*(.{1,300})", re.IGNORECASE)
_WROTE = re.compile(r"^(?:on|am|le)\b.{5,200}\b(?:wrote|schrieb|écrit)\b.{0,80}:\s*$", re.IGNORECASE)
_QUOTE = re.compile(r"^(?:>\s?)+")
_SHORTEST_PLAIN = 20
_SEPARATOR_WITHIN = 40
_UNCODED = frozenset({"x-uuencode", "uuencode", "uue", "x-uue"})


def read_box(data: bytes, called: str) -> tuple[Draft, ...]:
    """Every message of a box; one that cannot be read keeps its place with its fault."""
    plain = _unix(data)
    _lines_bounded(plain, called)
    marks = list(_BOX.finditer(plain))
    if len(marks) > ROWS:
        raise BadListing(f"{called} holds more than {ROWS:,} mails; split it")
    if not marks:
        return (read_mail(plain, called),)
    starts = [m.end() for m in marks]
    ends = [m.start() for m in marks[1:]] + [len(plain)]
    found = []
    for number, (start, end) in enumerate(zip(starts, ends, strict=True), 1):
        where = f"message {number}"
        try:
            found.append(replace(read_mail(_QUOTED_FROM.sub(rb"\1", plain[start:end]), f"{called} {where}"), where=where))
        except BadListing as error:
            found.append(Draft("", "", "eml", where=where, fault=str(error)))
    return tuple(found)


def read_mail(data: bytes, called: str) -> Draft:
    """Give the listing of one mail: subject and text. Raises BadListing."""
    message = _parsed(data, called)
    parts = _parts(message, called)
    inner = next((p for p in parts if p.get_content_type() == "message/rfc822" and p.is_multipart()), None)
    if inner is not None and parts[0] is not inner:
        message = inner.get_payload(0)  # type: ignore[assignment]
        parts = _parts(message, called)
    subject = _header(message, "Subject")
    title = one_line(_PREFIX.sub("", subject))
    texts = [p for p in parts if p.get_content_type() == "text/plain" and not _attached(p)]
    pages = [p for p in parts if p.get_content_type() in ("text/html", "application/xhtml+xml") and not _attached(p)]
    written = _plain_text(texts[0]) if texts else ""
    body, inner_subject = _body_start(written, forwarded=bool(_FORWARDING.match(subject)))
    if pages and len(body.strip()) < _SHORTEST_PLAIN:
        draft = read_page(_page_text(pages[0]), called, "eml", title=title)
        body, inner_subject = _body_start(draft.body, forwarded=bool(_FORWARDING.match(subject)))
        return replace(draft, title=draft.title if title else one_line(_PREFIX.sub("", inner_subject)) or draft.title, body=body)
    title_from = "mail header subject"
    if not title:
        title, title_from = one_line(_PREFIX.sub("", inner_subject)), "forwarded subject"
    if not title:
        first, _, rest = body.lstrip().partition("\n")
        title, title_from, body = one_line(first), "first line", rest
    if not title and not body.strip():
        raise BadListing(f"{called} is a mail without a subject and text; give the mail that holds the listing")
    return Draft(title, body.strip("\n"), "eml", taken=(("title", title_from), ("body", "mail text/plain")))


def read_mhtml(data: bytes, called: str) -> Draft:
    """Give the listing of a page saved as one message: the root part by `start`, else the first page. Raises BadListing."""
    message = _parsed(data, called)
    parts = _parts(message, called)
    pages = [p for p in parts if p.get_content_type() in ("text/html", "application/xhtml+xml")]
    start = _parameter(message, "start")
    named = [p for p in parts if start and str(p.get("Content-ID", "")).strip() == start]
    if named and named[0].is_multipart():
        below = [p for p in named[0].walk() if p.get_content_type() == "text/html"]
        named = below or named
    root = next((p for p in named if p in pages), pages[0] if pages else None)
    if root is None:
        raise BadListing(f"{called} is a saved page without a part that is HTML; save the page again, or paste its text")
    return read_page(_page_text(root), called, "mhtml")


# MIME --------------------------------------------------------------------------------------------------------------------


def _unix(data: bytes) -> bytes:
    return data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")


def _lines_bounded(data: bytes, called: str) -> None:
    if data.count(b"\n") > MAIL_LINES:
        raise BadListing(f"{called} has more than {MAIL_LINES:,} lines; give the mail of one listing")


def _parsed(data: bytes, called: str) -> Message:
    """Give the message, after what makes parsing slow or deep has been refused."""
    plain = _unix(data).lstrip(b"\n")
    _lines_bounded(plain, called)
    for count, mark in enumerate(_TYPE.finditer(plain)):
        if count > 2 * MIME_PARTS:
            raise BadListing(f"{called} has more than {MIME_PARTS} parts; save the text of the listing alone")
        if not _HEADER_ENDS.search(plain, mark.end(), mark.end() + MIME_HEADER) and len(plain) > mark.end() + MIME_HEADER:
            raise BadListing(f"{called} has a Content-Type of more than {MIME_HEADER:,} characters; save the text of the listing alone")
    if len(_CONTAINER.findall(plain)) > MIME_CONTAINERS:
        raise BadListing(f"{called} has more than {MIME_CONTAINERS} mails and parts within each other; save the text of the listing alone")
    try:
        return email.message_from_bytes(plain, policy=compat32)
    except (MessageError, ValueError, LookupError, RecursionError) as error:
        raise BadListing(f"{called} cannot be read as a mail ({type(error).__name__}); paste its text instead") from error


def _parts(message: Message, called: str) -> list[Message]:
    """All parts in order. Raises BadListing beyond MIME_DEPTH or MIME_PARTS."""
    found: list[Message] = []
    waiting = [(message, 0)]
    while waiting:
        part, depth = waiting.pop()
        found.append(part)
        if depth > MIME_DEPTH:
            raise BadListing(f"{called} has parts nested more than {MIME_DEPTH} deep; save the text of the listing alone")
        if len(found) > MIME_PARTS:
            raise BadListing(f"{called} has more than {MIME_PARTS} parts; save the text of the listing alone")
        inner = part.get_payload() if part.is_multipart() else []
        waiting += [(each, depth + 1) for each in reversed(inner) if isinstance(each, Message)] if isinstance(inner, list) else []
    return found


def _attached(part: Message) -> bool:
    return str(part.get("Content-Disposition", ""))[:60].strip().lower().startswith("attachment")


def _bytes(part: Message) -> bytes:
    if str(part.get("Content-Transfer-Encoding", "")).strip().lower() in _UNCODED:
        return b""
    payload = part.get_payload(decode=True)
    return payload if isinstance(payload, bytes) else b""


def _parameter(part: Message, name: str) -> str:
    value = part.get_param(name)
    return value.strip() if isinstance(value, str) else ""


def _page_text(part: Message) -> str:
    return page_decoded(_bytes(part), _parameter(part, "charset"))


def _plain_text(part: Message) -> str:
    text = clean(decoded(_bytes(part), _parameter(part, "charset"))[0])
    return _flowed(text) if _parameter(part, "format").lower() == "flowed" else text


def _flowed(text: str) -> str:
    """Lines that end in a space go on in the next (RFC 3676)."""
    out: list[str] = []
    going = False
    for line in text.split("\n"):
        body = line.removeprefix(" ")
        if going and not body.startswith(">"):
            out[-1] += body
        else:
            out.append(body)
        going = body.endswith(" ") and body != "-- "
    return "\n".join(out)


def _header(message: Message, name: str) -> str:
    """Give a header as words, its encoded words decoded, on one line."""
    raw = str(message.get(name, ""))[:MIME_HEADER]
    try:
        pieces = decode_header(raw)
    except (HeaderParseError, ValueError):
        pieces = [(raw, None)]
    said = [decoded(each, charset)[0] if isinstance(each, bytes) else _raw_bytes(each) for each, charset in pieces]
    return one_line("".join(said), MIME_HEADER)


def _raw_bytes(text: str) -> str:
    """Bytes that stand undecoded in a header."""
    if text.isascii():
        return text
    return decoded(text.encode("utf-8", "surrogateescape"))[0]


# The start of the body ---------------------------------------------------------------------------------------------------


def _body_start(text: str, *, forwarded: bool) -> tuple[str, str]:
    """Give the body without what forwarding put before it, and the subject that stood there."""
    lines = text.split("\n")
    for number, line in enumerate(lines[:_SEPARATOR_WITHIN]):
        if _SEPARATOR.match(line) and (forwarded or not _ONLY_REPLY.search(line) or not any(x.strip() for x in lines[:number])):
            lines = lines[number + 1 :]
            break
    lines, subject = _headers_off(lines)
    return _signature_off("\n".join(lines)).strip("\n"), subject


def _headers_off(lines: list[str]) -> tuple[list[str], str]:
    """Take header lines, separators and quoting marks off the start, again for a mail forwarded twice."""
    subject = ""
    for _ in range(10):
        lines = _unquoted(_blank_off(lines))
        count = 0
        while count < len(lines) and (_HEADER_LINE.match(lines[count]) or (0 < count < len(lines) - 1 and lines[count].startswith((" ", "\t")))):
            count += 1
        first = lines[0] if lines else ""
        if count >= 2:
            named = [m[1] for m in map(_SUBJECT_LINE.match, lines[:count]) if m]
            subject = named[0] if named else subject
            lines = lines[count:]
        elif _SEPARATOR.match(first) or _WROTE.match(first):
            lines = lines[1:]
        else:
            break
    return lines, subject


def _blank_off(lines: list[str]) -> list[str]:
    return next((lines[i:] for i, line in enumerate(lines) if line.strip()), [])


def _unquoted(lines: list[str]) -> list[str]:
    """Quoting marks off the block of quoted lines at the start."""
    if not lines or not _QUOTE.match(lines[0]):
        return lines
    end = next((i for i, line in enumerate(lines) if line.strip() and not _QUOTE.match(line)), len(lines))
    return _blank_off([_QUOTE.sub("", line) for line in lines[:end]]) + lines[end:]


def _signature_off(text: str) -> str:
    return text.split("\n-- \n", 1)[0]
