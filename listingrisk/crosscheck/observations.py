"""Photo answers against the table of observations: unknown ids and values are refused with the close ones named."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from listingrisk.claims.claim import Observation
from listingrisk.errors import BadAnswers
from listingrisk.tables.lexicon import Lexicon

CANNOT_SEE = "cannot_see"


def validate_observations(see: Mapping[str, str], lexicon: Lexicon) -> tuple[Observation, ...]:
    """The answers as observations, in the order of their ids. Raises BadAnswers for an unknown id or value."""
    return tuple(_checked(str(key), str(value), lexicon) for key, value in sorted(see.items()))


def _checked(key: str, value: str, lexicon: Lexicon) -> Observation:
    row = lexicon.observations.get(key)
    if row is None:
        raise BadAnswers(f"photo answer {key!r} is not known; {_close(key, list(lexicon.observations))}")
    if row.values and value not in row.values:
        raise BadAnswers(f"photo answer {key}={value!r} is not one of its values: {', '.join(row.values)}")
    return Observation(key, value)


def _close(key: str, known: list[str]) -> str:
    near = get_close_matches(key, known, n=3, cutoff=0.4)
    return f"did you mean {', '.join(near)}?" if near else f"it is one of {', '.join(sorted(known))}"
