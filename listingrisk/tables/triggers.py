"""The small language of the tells' triggers: conditions joined by ` and ` (grammar in lexicons/README.md)."""

from __future__ import annotations

import re
from functools import lru_cache

from listingrisk.tables.records import Condition


class BadTrigger(ValueError):
    """The text is not a trigger."""


_WORD = r"[A-Za-z0-9_./-]+"
_FORMS = {
    "see": re.compile(rf"(?P<subject>{_WORD})(?P<operator>=)(?P<value>{_WORD}|\d+:\d+)\Z"),
    "mark": re.compile(r"(?P<subject>\w+)(?P<operator>~)(?P<value>.+)\Z"),
    "mark_year": re.compile(r"(?P<subject>\w+)(?P<operator>[<>])(?P<value>\d{4})\Z"),
    "slot": re.compile(r"(?P<subject>\w+)(?P<operator>=)(?P<value>present|missing|replaced|broken|reproduction)\Z"),
    "era": re.compile(r"(?P<subject>)(?P<operator>[<>])(?P<value>\d{4})\Z"),
    "claim": re.compile(r"(?P<subject>)(?P<operator>)(?P<value>original|complete)\Z"),
    **{kind: re.compile(rf"(?P<subject>)(?P<operator>)(?P<value>{_WORD})\Z") for kind in ("part", "flag", "denied", "sign", "colour", "model")},
}


@lru_cache(maxsize=4096)
def parse_trigger(text: str) -> tuple[Condition, ...]:
    """Read a trigger; '' is none. Raises BadTrigger that quotes the piece that cannot be read."""
    return tuple(_condition(piece.strip()) for piece in text.split(" and ")) if text.strip() else ()


def _condition(piece: str) -> Condition:
    denied = piece.startswith("not ")
    kind, _, rest = piece.removeprefix("not ").partition(" ")
    form = _FORMS.get(kind)
    found = form.match(rest) if form else None
    if not found:
        raise BadTrigger(f"{piece!r} is no condition")
    return Condition(kind, found["subject"], found["operator"], found["value"], denied)
