"""JSON made by a stranger: nesting is counted before it is parsed."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any

from listingrisk.errors import BadListing
from listingrisk.reading.sources.limits import JSON_DEPTH

_MARKS = re.compile(r'"(?:[^"\\]|\\.)*+"?|[\[{]|[\]}]', re.DOTALL)


def parsed(text: str, called: str) -> Any:
    """Give the value of a JSON text; numbers are exact. ValueError where it is no JSON, BadListing beyond JSON_DEPTH."""
    depth = 0
    for mark in _MARKS.finditer(text):
        sign = mark[0][0]
        if sign in "[{":
            depth += 1
            if depth > JSON_DEPTH:
                raise BadListing(f"{called} has JSON nested more than {JSON_DEPTH} deep; give a flat list of listings")
        elif sign in "]}":
            depth -= 1
    return json.loads(text, parse_float=Decimal, parse_int=_whole, parse_constant=_refused)


def _whole(digits: str) -> Decimal:
    return Decimal(digits)


def _refused(name: str) -> Any:
    raise ValueError(name)
