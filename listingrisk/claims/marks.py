"""Letters and a year said to be stamped on a part ("332L PL 48 on the base", "handset marked S 38")."""

from __future__ import annotations

import re

from listingrisk.claims.claim import MarkClaim
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope
from listingrisk.tables.lexicon import Lexicon

_UNDER = frozenset({"under", "underneath", "bottom", "underside", "base"})
_TWO = re.compile(r"\d{2}(?:/\d)?\Z")
_JOINED = re.compile(r"(?P<code>[a-z]{1,3})-?(?P<year>\d{2})(?:/\d)?\Z")
_YEAR = re.compile(r"19\d{2}\Z")


def mark_claims(reading: Reading, scope: Scope, lexicon: Lexicon) -> list[MarkClaim]:
    """Marks with a maker's or refurbisher's code and a two-figure year, or a stamped year, with the place they are on."""
    codes = {m.code.lower() for m in lexicon.marks.values() if m.kind in ("maker", "refurbisher")}
    places = {row.slot: row.id.partition(".")[2] for row in lexicon.observations.values() if row.id.startswith("marks.")}
    found = []
    words = reading.words
    for token, word in enumerate(words):
        end = _mark_end(words, token, codes)
        if end is None and _YEAR.match(word) and any(0 <= token - h.start <= 6 for h in scope.near(token, "mark_place")):
            end = token + 1
        if end is None:
            continue
        where = _place(reading, scope, token, places)
        if where is None and not scope.near(token, "mark_place"):
            continue
        quote, start, stop = reading.quote(token, end)
        found.append(MarkClaim(where, quote, quote, start, stop))
    return found


def _mark_end(words: list[str], token: int, codes: set[str]) -> int | None:
    word = words[token]
    joined = _JOINED.match(word)
    if joined and joined["code"] in codes:
        return token + 1
    if word in codes and token + 1 < len(words) and (_TWO.match(words[token + 1]) or _YEAR.match(words[token + 1])):
        return token + 2
    return None


def _place(reading: Reading, scope: Scope, token: int, places: dict[str, str]) -> str | None:
    """The part nearest in the clause; "underneath" means the base."""
    best: tuple[int, str] | None = None
    for hit in scope.near(token, "slot"):
        place = places.get(hit.entry.value.split()[0])
        if place:
            distance = min(abs(hit.start - token), abs(hit.end - 1 - token))
            if best is None or distance < best[0]:
                best = (distance, place)
    if best:
        return best[1]
    clause = reading.clause[token]
    near = range(max(0, token - 20), min(len(reading.words), token + 20))
    if any(reading.words[i] in _UNDER for i in near if reading.clause[i] == clause):
        return "base"
    return None
