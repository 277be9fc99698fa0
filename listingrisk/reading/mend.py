"""Mend a text step by step, keeping for every character the place it came from in the untouched original.

Steps run only on text that needs them: HTML left-overs, mojibake, typographic signs. Offsets are code points.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass

_CELL = re.compile(r"<\s*/\s*(?:td|th|dt)\s*>\s{0,20}<\s*(?:td|dd)\b[^<>]{0,200}>", re.IGNORECASE)
_BLOCK_TAG = re.compile(r"<\s*/?\s*(?:p|br|li|ul|ol|div|tr|td|th|table|h[1-6])\b[^<>]{0,200}>", re.IGNORECASE)
_TAG = re.compile(r"<\s*/?\s*[a-zA-Z][^<>]{0,200}>")
_ENTITY = re.compile(r"&(?:#\d{1,7}|#x[0-9a-fA-F]{1,6}|[a-zA-Z][a-zA-Z0-9]{1,31});")
_MOJIBAKE = re.compile(r"(?:[ÂÃâÅÄ][\u0080-\u00bf€‚ƒ„…†‡ˆ‰Š‹Œ‘’“”•–—˜™š›œž ]{1,3})+")
_SIGNS = {"\u2018": "'", "\u2019": "'", "\u02bc": "'", "\u201c": '"', "\u201d": '"', "\u00a0": " ", "\u2013": "-", "\u2014": "-", "\u2212": "-", "\u00ad": " ", "\u200b": " ", "\u00d7": "x", "*": " ", "•": "\n", "✔": "\n", "✓": "\n", "▪": "\n", "●": "\n", "►": "\n", "✅": "\n", "\t": " "}
_SIGN = re.compile("[" + re.escape("".join(_SIGNS)) + "]")
LONGEST_RUN = 80
"""Signs without a space that are read; what follows in the run is passed over (no word is longer)."""
_RUN = re.compile(rf"\S{{{LONGEST_RUN + 1},}}")
_DOTTED_TABLE = re.compile(r"(?<=\w)\.{2,}(?=\w)")


@dataclass(frozen=True)
class Mended:
    """A mended text; `origin[i]` is the place in the original of its i-th character (None: the same place)."""

    text: str
    origin: tuple[int, ...] | None = None
    length: int = 0

    def span(self, start: int, end: int) -> tuple[int, int]:
        """The half-open span of the original behind a non-empty span of the mended text."""
        if self.origin is None:
            return start, end
        return self.origin[start], self.origin[end]


def mend(text: str) -> Mended:
    """Mend a text. Never raises; what cannot be mended stays as it is.

    >>> mended = mend("Price Â£35")
    >>> mended.text, mended.span(6, 7)
    ('Price £35', (6, 8))
    """
    mended = Mended(text, None, len(text))
    if "<" in text:
        mended = _replace(mended, _CELL, lambda found: ": ")
        mended = _replace(mended, _BLOCK_TAG, lambda found: "\n")
        mended = _replace(mended, _TAG, lambda found: " ")
    if "&" in text:
        mended = _replace(mended, _ENTITY, lambda found: html.unescape(found) if html.unescape(found) != found else found)
    if not mended.text.isascii():
        mended = _replace(mended, _MOJIBAKE, _unmangle)
    mended = _replace(mended, _SIGN, lambda found: _SIGNS[found])
    mended = _replace(mended, _DOTTED_TABLE, lambda found: " ")
    blanked = _RUN.sub(lambda found: found.group()[:LONGEST_RUN] + " " * (len(found.group()) - LONGEST_RUN), mended.text)
    return Mended(blanked, mended.origin, mended.length)


def _unmangle(found: str) -> str:
    import ftfy

    fixed = ftfy.fix_encoding(found)
    if fixed != found:
        return fixed
    return found.replace("Â", "", 1) if found.startswith("Â") else found


def _replace(mended: Mended, pattern: re.Pattern[str], new: object) -> Mended:
    if not pattern.search(mended.text):
        return mended
    pieces: list[str] = []
    origin: list[int] = []
    place = 0
    old = mended.origin if mended.origin is not None else range(len(mended.text) + 1)
    for found in pattern.finditer(mended.text):
        text = new(found.group())  # type: ignore[operator]
        pieces += [mended.text[place : found.start()], text]
        origin += old[place : found.start()]
        # every new character stands for the whole piece it replaces; the next one starts after it
        origin += [old[found.start()]] * len(text)
        place = found.end()
    pieces.append(mended.text[place:])
    origin += old[place:]
    return Mended("".join(pieces), tuple(origin), mended.length)
