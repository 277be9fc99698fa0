"""The one place where text written by strangers becomes text for a screen."""

from __future__ import annotations

import unicodedata

QUOTE_LENGTH = 70
"""Characters of a quote that a report shows."""
_BLANKS = "\t\n\r\v\f\x85\u2028\u2029"
_FILLERS = frozenset("\u115f\u1160\u3164\uffa0")
"""Letters by category that show as nothing."""
_HIDDEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))


def visible(text: str) -> str:
    r"""Text with everything that could act on a terminal, or hide, written out; line ends and tabs become spaces.

    Control characters show as `\x1b`, overrides of direction, joiners and the like as `<U+202E>`.

    >>> visible("a\x1b[31m\u202e b")
    'a\\x1b[31m<U+202E> b'
    """
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character in _BLANKS:
        return " "
    if character.isascii() and character.isprintable():
        return character
    kind = unicodedata.category(character)
    if kind == "Cc":
        return f"\\x{ord(character):02x}"
    return f"<U+{ord(character):04X}>" if kind in _HIDDEN or character in _FILLERS else character


def quoted(text: str, length: int = QUOTE_LENGTH) -> str:
    """A quote for the screen: visible, spaces joined, shortened in the middle of nothing, in quotation marks.

    >>> quoted("a  b")
    '"a b"'
    """
    shown = visible(" ".join(text.split()))
    if len(shown) > length:
        shown = shown[: length - 4].rstrip() + " ..."
    return f'"{shown}"'
