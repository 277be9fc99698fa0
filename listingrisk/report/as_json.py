"""The report as JSON: the plain data as it is, one document, text outside ASCII kept."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any


def json_report(data: Mapping[str, Any]) -> str:
    r"""One JSON document with a newline at its end.

    Control characters are escaped by JSON; overrides of direction, other format characters and half surrogates are
    escaped here, so that printing the document acts on no terminal.

    >>> json_report({"a": "\x1b\u202eé"})
    '{\n  "a": "\\u001b\\u202eé"\n}\n'
    """
    text = json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)
    return "".join(c if c == "\n" or c.isprintable() else _escaped(c) for c in text) + "\n"


def _escaped(character: str) -> str:
    return json.dumps(character)[1:-1] if ord(character) != 0x7F else "\\u007f"  # json leaves DEL as it is
