"""Flags of the whole object, blanket utterances, signs, and the stance of the words."""

from __future__ import annotations

from listingrisk.claims.claim import Blanket, FlagClaim, PartClaim, Quote, Sign, Stance, Standing
from listingrisk.claims.cues import cue_of
from listingrisk.reading.phrases import Hit
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope

_OF_A_PART = frozenset({"working", "not_working", "reproduction", "working_rings", "repainted", "restored"})
_AWAY = ("hypothetical", "other_item", "comparison")
_TEST_WORDS = frozenset({"tested", "test", "bench", "exchange", "line", "week", "yesterday", "today", "month", "calls", "dials", "speaks"})
CHECKABLE = 3
"""Statements about parts from which words count as describing well (common practice of the trade)."""


def flag_claims(reading: Reading, scope: Scope, parts: list[PartClaim]) -> list[FlagClaim]:
    """Every flag, with its standing and the cue that decided it."""
    claims = []
    for hit in scope.of("flag"):
        claim = _flag(reading, scope, hit)
        if claim:
            claims.append(claim)
    claims += _cracks(reading, scope)
    return _unique(_half_working(claims))


def _flag(reading: Reading, scope: Scope, hit: Hit) -> FlagClaim | None:
    flag = hit.entry.value
    if flag == "cracked":
        return None  # read with the parts: a crack is a fault noun or a state
    if scope.zone_at(hit.start, *_AWAY) and flag not in ("for_spares", "sold_as_seen", "no_returns", "returns_ok"):
        return None
    if flag in _OF_A_PART and _speaks_of_a_part(reading, scope, hit):
        return None
    denied = _denied(scope, hit)
    standing: Standing = "hedged" if scope.hedged(hit.start, hit.end) else "asserted"
    cue_hit = denied or hit
    if flag == "working_rings":
        flag, standing = "working", "asserted" if _tested(reading, hit) else "hedged"
        if denied:
            flag, denied, standing = "not_working", None, "hedged"
    elif flag == "returns_ok":
        flag, denied = "no_returns", hit
    elif flag == "dates_match":
        flag, denied = "mismatch", hit
    if denied:
        standing = "negated"
    quote, start, end = reading.quote(hit.start, hit.end)
    return FlagClaim(flag, standing, quote, start, end, cue_of(reading, cue_hit))


def _denied(scope: Scope, hit: Hit) -> Hit | None:
    denied = scope.negated(hit.start, 3)
    return denied if denied and not hit.start <= denied.start < hit.end else None


def _tested(reading: Reading, hit: Hit) -> bool:
    clause = reading.clause[hit.start]
    near = range(max(0, hit.start - 20), min(len(reading.words), hit.end + 20))
    return any(reading.words[i] in _TEST_WORDS for i in near if reading.clause[i] == clause)


_SUBJECT_LINK = frozenset({"is", "are", "still", "was", "all", "both", "it", "also", "now", "been", "has", "fully", "does", "do", "the", "not", "properly", "to", "be", "and", "looks", "well", "a", "may", "have", ","})


def _speaks_of_a_part(reading: Reading, scope: Scope, hit: Hit) -> bool:
    """Whether the flag word is said of a part ("dial works", "reproduction cords", "drawer repainted")."""
    for slot in scope.near(hit.start, "slot", "part_name"):
        if slot.entry.direction == "word":
            continue
        if slot.end <= hit.start:
            between = reading.words[slot.end : hit.start]
            if len(between) <= 4 and all(w in _SUBJECT_LINK - {",", "it"} for w in between):
                return True
        elif hit.end <= slot.start and hit.entry.value in ("reproduction", "working", "restored", "repainted"):
            between = reading.words[hit.end : slot.start]
            if len(between) <= 2 and "," not in between and not {"order", "phone", "telephone", "with"} & set(between):
                return True
    return False


def _cracks(reading: Reading, scope: Scope) -> list[FlagClaim]:
    claims = []
    cracks = [h for h in scope.of("fault") if h.entry.value == "cracked"]
    cracks += [h for h in scope.of("state") if reading.words[h.end - 1] in ("cracked", "crack", "cracks")]
    for hit in cracks:
        if scope.zone_at(hit.start, *_AWAY, "history"):
            continue
        words = reading.words
        after = words[hit.end : hit.end + 2]
        denied = scope.negated(hit.start) or (hit if after[:1] == ["free"] or after == ["-", "free"] else None) or _answered_no(reading, hit)
        standing: Standing = "negated" if denied else "hedged" if scope.hedged(hit.start, hit.end) else "asserted"
        quote, start, end = reading.quote(hit.start, hit.end)
        claims.append(FlagClaim("cracked", standing, quote, start, end, cue_of(reading, denied or hit)))
    return claims


def _answered_no(reading: Reading, hit: Hit) -> Hit | None:
    """ "Light crack? no, only a scratch"."""
    after = reading.words[hit.end : hit.end + 2]
    return Hit(hit.end, hit.end + 2, hit.entry) if after == ["?", "no"] else None


def _half_working(claims: list[FlagClaim]) -> list[FlagClaim]:
    return claims


def _unique(claims: list[FlagClaim]) -> list[FlagClaim]:
    seen: dict[tuple[str, str, int], FlagClaim] = {}
    for claim in sorted(claims, key=lambda c: (c.start, c.end)):
        seen.setdefault((claim.flag, claim.standing, claim.start), claim)
    return list(seen.values())


# Blankets and signs -----------------------------------------------------------------------------------------------------


def blankets(reading: Reading, scope: Scope, parts: list[PartClaim]) -> list[Blanket]:
    """Utterances over the whole telephone ("all original", "nothing missing"), with what they except."""
    found = []
    for hit in scope.of("blanket"):
        kind = _blanket_kind(reading, scope, hit)
        if kind is None or scope.zone_at(hit.start, *_AWAY):
            continue
        denied = _denied(scope, hit)
        standing: Standing = "negated" if denied else "hedged" if scope.hedged(hit.start, hit.end) else "asserted"
        quote, start, end = reading.quote(hit.start, hit.end)
        excepted = tuple(sorted({p.slot for p in parts if p.cue and p.cue.rule.startswith("cues:exception") and p.start > start}))
        found.append(Blanket(kind, standing, quote, start, end, excepted, cue_of(reading, denied or hit)))  # type: ignore[arg-type]
    return found


def _blanket_kind(reading: Reading, scope: Scope, hit: Hit) -> str | None:
    value = hit.entry.value
    if value == "original_title":
        # a bare "original" is said of the whole telephone only in a title, and only where no part stands beside it
        beside = any(abs(s.start - hit.end) <= 2 or abs(hit.start - s.end) <= 1 for s in scope.near(hit.start, "slot", "part_name"))
        return "original" if reading.line[hit.start] == 0 and not beside else None
    if value == "complete" and reading.words[hit.start] == "complete" and hit.end - hit.start == 1:
        if any(s.end <= hit.start and hit.start - s.end <= 2 for s in scope.near(hit.start, "slot")):
            return None
        if reading.words[hit.end : hit.end + 1] == ["with"]:
            return None
    return value if value in ("original", "complete") else None


def signs(reading: Reading, scope: Scope, kind: str) -> list[Sign]:
    """Words that tells are triggered by (kind `sign`) or colour words (kind `colour`)."""
    found = []
    for hit in scope.of(kind):
        if scope.zone_at(hit.start, *_AWAY):
            continue
        denied = scope.negated(hit.start, 3)
        inside = denied is not None and hit.start <= denied.start < hit.end
        standing: Standing = "negated" if denied and not inside else "hedged" if scope.hedged(hit.start, hit.end) else "asserted"
        quote, start, end = reading.quote(hit.start, hit.end)
        found.append(Sign(hit.entry.value, standing, quote, start, end))
    return found


# Stance -----------------------------------------------------------------------------------------------------------------


def stance(reading: Reading, scope: Scope, parts: list[PartClaim], flags: list[FlagClaim], wholes: list[Blanket]) -> tuple[Stance, tuple[Quote, ...]]:
    """How the words stand: three or more checkable statements about parts, else open ignorance, else sales talk, else vague."""
    places = {(p.slot, p.start) for p in parts}
    slots = {p.slot for p in parts}
    if len(places) >= CHECKABLE and len(slots) >= 2:
        return "describes_well", tuple(Quote(p.quote, p.start, p.end) for p in parts[:CHECKABLE])
    ignorance = _quotes(reading, scope, "ignorance")
    praise = _quotes(reading, scope, "praise") + tuple(Quote(b.quote, b.start, b.end) for b in wholes if b.kind == "original" and b.standing == "asserted")
    if ignorance and len(ignorance) >= len(praise):
        return "open_about_not_knowing", ignorance
    if len(praise) >= 2:
        return "sales_talk", praise
    return "vague", ()


def _quotes(reading: Reading, scope: Scope, value: str) -> tuple[Quote, ...]:
    return tuple(Quote(*reading.quote(h.start, h.end)) for h in scope.of("stance") if h.entry.value == value)
