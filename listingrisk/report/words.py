"""Words for numbers, states and codes: one table each, so that every report says the same thing the same way."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from listingrisk.amounts import decimals

_CHANCES = (
    (1, 50), (1, 30), (1, 20), (1, 15), (1, 10), (1, 8), (1, 6), (1, 5), (1, 4), (1, 3), (2, 5), (1, 2),
    (3, 5), (2, 3), (3, 4), (4, 5), (9, 10), (19, 20), (49, 50),
)  # fmt: skip
LEAST_SHOWN, MOST_SHOWN = 0.01, 0.99
"""Outside these a chance is said as fewer or more than so many in 100 (never 0, never certain)."""
STATES = {
    "object": {"as_claimed": "what it is claimed to be", "other_model": "another model than claimed", "assembled": "put together from parts", "reproduction": "a reproduction"},
    "words": {"reliable": "words that can be relied on", "careless": "careless words", "misleading": "misleading words"},
    "inside": {"untouched": "untouched", "worked_on": "worked on", "stripped": "stripped"},
    "works": {"works": "works", "faulty": "does not work"},
    "arrives_whole": {"whole": "arrives whole", "broken_in_post": "broken in the post"},
    "": {
        "ok": "right", "service": "put on in service", "wrong_type": "not the right type", "repro": "a copy",
        "broken": "broken", "missing": "missing", "not_included": "not sold with it", "absent": "none belongs there",
    },
}  # fmt: skip
"""State of a node in words; '' holds those of the slots."""
GOOD = frozenset(("as_claimed", "reliable", "untouched", "works", "whole", "ok", "service", "absent"))
"""States that are no bad thing; put on in service is usual repair."""
CLAIM_STATES = {"present": "", "missing": "missing", "replaced": "replaced", "broken": "broken", "reproduction": "a copy", "uncertain": "uncertain"}
STANCES = {
    "describes_well": "describes what is there",
    "open_about_not_knowing": "says openly what is not known",
    "vague": "says little",
    "sales_talk": "praise rather than description",
}
FLAGS = {"for_spares": "for spares", "sold_as_seen": "sold as seen", "no_returns": "no returns", "not_working": "not working", "mismatch": "parts that do not match"}
PRICES = {
    "asking": "asked", "offers_around": "or offers near it", "starting": "starting price", "current_bid": "bid so far", "buy_now": "to buy now",
    "guide": "guide price", "reserve": "reserve",
}  # fmt: skip
SUBJECTS = {"part": "a part on its own", "other": "something else than a telephone", "unclear": "unclear: it may not be a telephone at all"}
SOURCES = {"page": "a page", "book": "a handbook", "standard": "a standard", "memory": "memory, unchecked", "common practice": "common practice of the trade"}


def chance(probability: float) -> str:
    """A probability as a frequency, the nearest of a short list on the scale of odds.

    >>> chance(0.21), chance(0.88), chance(0.003)
    ('about 1 in 5', 'about 9 in 10', 'fewer than 1 in 100')
    """
    if probability < LEAST_SHOWN:
        return "fewer than 1 in 100"
    if probability > MOST_SHOWN:
        return "more than 99 in 100"
    odds = math.log(probability / (1 - probability))
    good, of = min(_CHANCES, key=lambda c: abs(odds - math.log(c[0] / (c[1] - c[0]))))
    return f"about {good} in {of}"


def money(amount: float, currency: str | None) -> str:
    """An amount with its currency.

    >>> money(1295, "GBP"), money(980, "JPY"), money(5, None)
    ('GBP 1,295.00', 'JPY 980', '5.00 (currency not known)')
    """
    if currency is None:
        return f"{amount:,.2f} (currency not known)"
    return f"{currency} {amount:,.{decimals(currency)}f}"


def percent(share: float) -> str:
    """Round a share to whole percent, never 0 % for something and never 100 % for less than all."""
    whole = round(share * 100)
    if 0 < share < LEAST_SHOWN / 2:
        return "less than 1 %"
    return f"{min(whole, 99) if share < 1 else whole} %"


def state_words(node: str, state: str) -> str:
    """Say a state of a node in words."""
    return STATES.get(node, {}).get(state) or STATES[""].get(state, state.replace("_", " "))


def observation_words(seen: Mapping[str, Any]) -> str:
    """Say what the buyer saw, in words.

    >>> observation_words({"id": "finger_stop.shape", "value": "straight"})
    'finger stop shape: straight'
    """
    name = str(seen["id"]).replace(".", " ").replace("_", " ")
    value = str(seen["value"])
    return f"{name}: {value if str(seen['id']).startswith('marks.') else value.replace('_', ' ')}"
