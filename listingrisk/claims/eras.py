"""Years the text claims for this telephone, as EDTF; never a year of buying at auction, a guarantee, a patent or a style."""

from __future__ import annotations

import re
from dataclasses import dataclass

from listingrisk.claims.claim import EraClaim, Standing
from listingrisk.claims.cues import cue_of
from listingrisk.dates import FOREVER, years
from listingrisk.reading.phrases import Hit
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope

_YEAR = re.compile(r"(?:18[7-9]|19\d|20[0-2])\d\Z")
_DECADE = re.compile(r"(?P<century>18|19|20)?(?P<decade>\d)0'?s\Z")
_RANGE = re.compile(r"(?P<a>(?:18|19|20)\d\d)-(?P<b>\d{2}|(?:18|19|20)\d\d)\Z")
_WORDS = {"twenties": 192, "thirties": 193, "forties": 194, "fifties": 195, "sixties": 196, "seventies": 197, "eighties": 198}
_PART = {"early": (0, 3), "late": (6, 9), "mid": (4, 6), "middle": (4, 6), "later": (5, 9)}
_ABOUT = frozenset({"c", "c.", "circa", "ca", "ca.", "around", "about", "approx", "approximately", "approx."})
_DATED = frozenset({"dated", "date", "made", "datestamp", "stamped", "from", "manufactured"})
_NEVER_WORDS = frozenset({"style", "styled", "esque", "inspired", "look", "replica", "patent", "guarantee", "technology", "scratched", "scribed"})


@dataclass(frozen=True)
class _Found:
    start: int
    end: int
    edtf: str


def era_claims(reading: Reading, scope: Scope) -> list[EraClaim]:
    """Every year or span the text claims for the telephone, in order of place."""
    claims = []
    for found in [*_years(reading), *_ages(scope)]:
        claim = _claim(reading, scope, found)
        if claim:
            claims.append(claim)
    return sorted(claims, key=lambda c: c.start)


def narrowest(claims: list[EraClaim]) -> EraClaim | None:
    """The one used: asserted before hedged, then the narrowest, then the first."""
    if not claims:
        return None

    def width(claim: EraClaim) -> tuple[int, int, int]:
        span = years(claim.edtf)
        open_end = span.last == FOREVER or span.first == 0
        return (claim.standing != "asserted", 500 if open_end else span.last - span.first, claim.start)

    return min(claims, key=width)


def _years(reading: Reading) -> list[_Found]:
    words = reading.words
    found = []
    token = 0
    while token < len(words):
        hit = _year_at(words, token)
        if hit:
            found.append(hit)
            token = hit.end
        else:
            token += 1
    return found


def _year_at(words: list[str], token: int) -> _Found | None:
    word = words[token].strip("'")
    before = words[token - 1] if token else ""
    about = "~" if before in _ABOUT else ""
    span = _RANGE.match(word)
    if span:
        end = span["b"] if len(span["b"]) == 4 else span["a"][:2] + span["b"]
        return _Found(token, token + 1, f"{span['a']}/{end}") if span["a"] <= end else None
    if _YEAR.match(word):
        after = words[token + 1 : token + 3]
        if after[:1] == ["'s"] or after[:1] == ["s"]:
            return _decade(words, token, 2, int(word) // 10)
        if len(after) == 2 and after[0] in ("-", "/", "to") and _YEAR.match(after[1]) and after[1] > word:
            return _Found(token, token + 3, f"{word}/{after[1]}")
        return _Found(token, token + 1, word + about)
    decade = _DECADE.match(word)
    if decade:
        if not decade["century"] and decade["decade"] in "01":
            return None
        return _decade(words, token, 1, int((decade["century"] or "19") + decade["decade"]))
    if word.isdecimal() and len(word) == 2 and words[token + 1 : token + 2] in (["'s"], ["s"]) and word[1] == "0" and word[0] in "23456789":
        return _decade(words, token, 2, 190 + int(word[0]))
    if word in _WORDS:
        return _decade(words, token, 1, _WORDS[word])
    if word.isdecimal() and len(word) == 2 and int(word) >= 20 and before in ("dated", "made") :
        return _Found(token, token + 1, f"19{word}")
    return None


def _decade(words: list[str], token: int, length: int, decade: int) -> _Found:
    before = words[token - 1] if token else ""
    if before == "-" and token > 1:
        before = words[token - 2]
    if before in _PART:
        low, high = _PART[before]
        return _Found(token, token + length, f"{decade}{low}/{decade}{high}")
    return _Found(token, token + length, f"{decade}X")


def _ages(scope: Scope) -> list[_Found]:
    return [_Found(hit.start, hit.end, hit.entry.value) for hit in scope.of("age")]


def _claim(reading: Reading, scope: Scope, found: _Found) -> EraClaim | None:
    words = reading.words
    if set(words[found.end : found.end + 3]) & _NEVER_WORDS and reading.clause[found.start] == reading.clause[min(found.end, len(words) - 1)]:
        return None
    if found.start and words[found.start - 1] in ("£", "$", "€", "#"):
        return None
    if scope.zone_at(found.start, "other_item", "comparison"):
        return None
    edtf = found.edtf
    standing: Standing = "hedged" if scope.hedged(found.start, found.end) else "asserted"
    cue = None
    governing = _governing(scope, found)
    if governing is not None:
        cue = cue_of(reading, governing)
        if governing.entry.value == "never":
            return None
        if governing.entry.value == "bought":
            edtf, standing = f"../{years(edtf).last}", "hedged"
    if _of_a_part(reading, scope, found) or (governing is None and found.start and words[found.start - 1] == "in" and reading.line[found.start] > 0):
        return None  # "went in a skip in 1977": a year of something else
    if scope.negated(found.start, 2):
        return None
    quote, start, end = reading.quote(found.start, found.end)
    return EraClaim(edtf, standing, quote, start, end, cue)


def _governing(scope: Scope, found: _Found) -> Hit | None:
    """The nearest era cue before the year in its clause."""
    best = None
    for hit in scope.near(found.start, "era"):
        if hit.end <= found.start and found.start - hit.end <= hit.entry.reach:
            rank = (hit.entry.value == "dated", found.start - hit.end)
            if best is None or rank < best[0]:
                best = (rank, hit)
    return best[1] if best else None


def _of_a_part(reading: Reading, scope: Scope, found: _Found) -> bool:
    """A year beside a part ("dial has date 1956"), or after a refurbisher's letters, is not the telephone's."""
    reach = 3 if reading.line[found.start] == 0 else 6
    before = reading.words[found.start - 1] if found.start else ""
    if any(before == code for code in scope.refurbishers):
        return True
    for hit in scope.near(found.start, "slot"):
        if 0 <= found.start - hit.end <= reach and hit.entry.value not in ("base_plate", "case"):
            return "," not in reading.words[hit.end : found.start]
    return any(h.entry.value == "replaced" and h.end <= found.start for h in scope.near(found.start, "state"))
