"""Reading what the user names and writing what he asks for: bounded, decoded, written beside and renamed."""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from listingrisk.errors import BadListing, BadRecord
from listingrisk.reading.sources.draft import Draft, draft_text
from listingrisk.reading.sources.kinds import load_listings
from listingrisk.reading.sources.limits import MOST_BYTES as SAVED_BYTES

MOST_BYTES = 1_000_000
"""A listing of one telephone is a few thousand; more is not a listing."""
STDIN = "-"
SAVED = (".html", ".htm", ".mht", ".mhtml", ".eml", ".mbox", ".json", ".jsonl", ".csv", ".tsv")
"""Endings of files that are more than plain text."""


@dataclass(frozen=True)
class Given:
    """A text as it was given."""

    text: str
    name: str | None
    sha256: str
    notices: tuple[str, ...] = ()
    """What was assumed in decoding it; goes to standard error."""
    draft: Draft | None = None
    """The page, mail or table row the text was taken from; None for plain text."""


def read_given(source: str) -> Given:
    """The text of a file, or of standard input for `-`. Raises BadListing, one line."""
    if source == STDIN:
        return _decoded(_bounded(sys.stdin.buffer, "standard input"), None)
    path = Path(source)
    if path.is_dir():
        raise BadListing(f"{source} is a folder; name the file of one listing in it")
    try:
        with path.open("rb") as handle:
            raw = _bounded(handle, source)
    except FileNotFoundError as error:
        raise BadListing(f"there is no file {source}; name a file, or give - and paste the text") from error
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise BadListing(f"{source} cannot be read ({why}); name a text file") from error
    return _saved(raw, path.name) if path.suffix.lower() in SAVED else _decoded(raw, path.name)


def _saved(raw: bytes, name: str) -> Given:
    """The one listing of a saved page, mail or table. Raises BadListing where it holds several."""
    drafts = load_listings(raw, name)
    if len(drafts) > 1:
        raise BadListing(f"{name} holds {len(drafts)} listings; give one at a time")
    draft = drafts[0]
    return Given(draft_text(draft), name, hashlib.sha256(raw).hexdigest(), draft.notices, draft)


def _bounded(handle: BinaryIO, name: str) -> bytes:
    most = SAVED_BYTES if Path(name).suffix.lower() in SAVED else MOST_BYTES
    raw = handle.read(most + 1)
    if len(raw) > most:
        raise BadListing(f"{name} is larger than {most:,} bytes; give the text of one listing")
    return raw


def _decoded(raw: bytes, name: str | None) -> Given:
    digest = hashlib.sha256(raw).hexdigest()
    called = name or "standard input"
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Given(raw.decode("utf-16", errors="replace"), name, digest)
    if b"\0" in raw:
        raise BadListing(f"{called} holds zero bytes, so it is no text; save the listing as plain text")
    try:
        return Given(raw.decode("utf-8-sig"), name, digest)
    except UnicodeDecodeError:
        return Given(raw.decode("cp1252", errors="replace"), name, digest, (f"{called} is not UTF-8; read as Windows-1252",))


def write_whole(path: Path, text: str) -> None:
    """Write a file beside its place and rename it: the old file or the new one, never half. Raises BadRecord."""
    beside = ""
    try:
        if path.is_dir():
            raise BadRecord(f"--output {path} is a folder; name a file in it")
        handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n") as out:
            out.write(text)
            out.flush()
            os.fsync(out.fileno())
        Path(beside).chmod(_mode(path))
        Path(beside).replace(path)
    except OSError as error:
        if beside:
            Path(beside).unlink(missing_ok=True)
        raise BadRecord(f"--output {path} cannot be written ({error.strerror}); name a file in a folder you may write to") from error


def _mode(path: Path) -> int:
    """Permissions of the file that is replaced, else those of any new file."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
