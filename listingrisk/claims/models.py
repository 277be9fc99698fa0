"""Models the text names: numbers with a cue beside them, nicknames, ranges; in other items negated, on lone parts hedged."""

from __future__ import annotations

import re
from collections import defaultdict
from weakref import WeakKeyDictionary

from listingrisk.claims.claim import Cue, ModelClaim, Standing
from listingrisk.claims.cues import cue_of
from listingrisk.reading.phrases import Hit
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope
from listingrisk.tables.lexicon import Lexicon
from listingrisk.tables.records import Name

_NUMBER = re.compile(r"(?:\d/)?[a-z]{0,3}\d{1,4}[a-z]{0,4}(?:/\d)?\Z")
_CERTAINTY = {"sure": 0, "likely": 1, "unsure": 2}
_CUE_REACH = 4
_DETERMINERS = frozenset({"this", "a", "an", "my", "another", "other", "one", "old", "tidy", "plain", "the"})
_SIGNS = frozenset("£$€#")
_OLD_NUMBER = frozenset({"struck", "crossed", "scratched", "overstamped"})
_INDEX: WeakKeyDictionary[Lexicon, dict[str, list[Name]]] = WeakKeyDictionary()


def _numbers(lexicon: Lexicon) -> dict[str, list[Name]]:
    if lexicon not in _INDEX:
        index: dict[str, list[Name]] = defaultdict(list)
        for name in lexicon.names.values():
            if name.model and name.use == "number":
                index[name.name.lower()].append(name)
        _INDEX[lexicon] = index
    return _INDEX[lexicon]


def model_claims(reading: Reading, scope: Scope, lexicon: Lexicon) -> list[ModelClaim]:
    """Every model the text names, in order of place."""
    claims = _named(reading, scope, lexicon) + _numbered(reading, scope, lexicon)
    if not claims:  # nothing named at all: a number that opens or ends a statement names the telephone
        claims = _numbered(reading, scope, lexicon, lenient=True)
    claims.sort(key=lambda c: (c.start, -(c.end - c.start)))
    kept: list[ModelClaim] = []
    for claim in claims:
        if kept and claim.start < kept[-1].end:
            continue
        kept.append(claim)
    return kept


def _named(reading: Reading, scope: Scope, lexicon: Lexicon) -> list[ModelClaim]:
    spans: dict[tuple[int, int], list[Name]] = defaultdict(list)
    for hit in scope.of("model_name"):
        row = lexicon.names[hit.entry.row.partition(":")[2]]
        spans[hit.start, hit.end].append(row)
    return [c for (start, end), rows in spans.items() if (c := _claim(reading, scope, start, end, rows, rows[0].id))]


def _numbered(reading: Reading, scope: Scope, lexicon: Lexicon, *, lenient: bool = False) -> list[ModelClaim]:
    numbers = _numbers(lexicon)
    taken = {i for h in scope.of("model_name", "part_name", "slot") for i in range(h.start, h.end)}
    claims = []
    for token, word in enumerate(reading.words):
        rows = numbers.get(word)
        if not rows or token in taken or not _NUMBER.match(word):
            continue
        if _means_a_model(reading, scope, token, rows, lenient=lenient):
            claim = _claim(reading, scope, token, token + 1, rows, rows[0].id)
            if claim:
                claims.append(claim)
    return claims


def _means_a_model(reading: Reading, scope: Scope, token: int, rows: list[Name], *, lenient: bool) -> bool:
    """A number is a model only with a cue near it; never a price, a measure, a stock or telephone number."""
    words = reading.words
    before = words[token - 1] if token else ""
    after = words[token + 1] if token + 1 < len(words) else ""
    if before in _SIGNS and before != "#" or before.isdecimal() or (after.isdecimal() and len(after) > 2):
        return False
    for hit in _around(scope, token, "not_model"):
        if hit.entry.value != "style" and (hit.start == token + 1 or hit.end == token or (token - hit.end == 1 and words[hit.end] not in _DETERMINERS)):
            return False
    if words[token].isalnum() and not words[token].isdecimal() and len(words[token]) > 3:
        return True  # letters after or before the number (332L, N1014) are a cue of their own
    if "/" in words[token]:
        return True
    if (before in _DETERMINERS and words[token][:3].isdecimal()) or _alone(reading, token):
        return True
    if lenient and len(words[token]) >= 3 and _at_an_end(reading, token):
        return True
    for hit in _around(scope, token, "model_cue", "slot", "colour", "attribute"):
        gap = token - hit.end if hit.end <= token else hit.start - token - 1
        if 0 <= gap <= _CUE_REACH and reading.line[hit.start] == reading.line[token]:
            return True
    return False


def _at_an_end(reading: Reading, token: int) -> bool:
    """Whether a number opens or ends its clause."""
    clause = reading.clause
    opens = token == 0 or clause[token - 1] != clause[token]
    return opens or token + 1 >= len(clause) or clause[token + 1] != clause[token] or reading.words[token + 1] in (".", ",")


def _around(scope: Scope, token: int, *kinds: str) -> list[Hit]:
    """Hits in the clauses of a token and its neighbours."""
    last = len(scope.reading.words) - 1
    places = {scope.reading.clause[i]: i for i in (max(0, token - _CUE_REACH), token, min(last, token + _CUE_REACH))}
    return [hit for place in places.values() for hit in scope.near(place, *kinds)]


def _alone(reading: Reading, token: int) -> bool:
    """Whether the number is the whole of its clause, or opens or ends one beside nothing but a colon or a full stop."""
    clause = reading.clause[token]
    beside = [w for i, w in enumerate(reading.words[max(0, token - 3) : token + 4], max(0, token - 3)) if i != token and reading.clause[i] == clause]
    return all(w in (".", ":", ",", "!", "a", "one", "the") or not w.strip() for w in beside)


def _claim(reading: Reading, scope: Scope, start: int, end: int, rows: list[Name], row: str) -> ModelClaim | None:
    if _style(reading, scope, start, end):
        return None
    quote, first, last = reading.quote(start, end)
    models = list(dict.fromkeys(r.model for r in sorted(rows, key=lambda r: _CERTAINTY[r.certainty])))
    standing, cue = _standing(reading, scope, start, end)
    single = models[0] if len(models) == 1 else None
    variant = rows[0].variant or None
    return ModelClaim(single, quote, standing, quote, first, last, () if single else tuple(models), variant, cue or Cue(quote, first, last, f"names:{row}"))


def _style(reading: Reading, scope: Scope, start: int, end: int) -> bool:
    """Whether "style" follows or "in the manner of" precedes: no claim of identity."""
    for hit in scope.near(start, "not_model"):
        if hit.entry.value == "style" and (0 <= hit.start - end <= 1 or 0 <= start - hit.end <= 2 or (0 <= hit.start - end <= 3 and not {",", ":"} & set(reading.words[end : hit.start + 2]))):
            return True
    return False


def _standing(reading: Reading, scope: Scope, start: int, end: int) -> tuple[Standing, Cue | None]:
    other = scope.zone_at(start, "other_item", "comparison")
    if other:
        return "negated", cue_of(reading, other)
    struck = any(w in _OLD_NUMBER for w in reading.words[end : end + 3])
    if struck:
        return "negated", None
    denied = scope.negated(start, 2)
    if denied:
        return "negated", cue_of(reading, denied)
    origin = scope.zone_at(start, "origin")
    if origin:
        return "hedged", cue_of(reading, origin)
    hedge = scope.hedged(start, end)
    return ("hedged", cue_of(reading, hedge)) if hedge else ("asserted", None)
