"""Slots the text speaks of, with their state: which state cue governs which mention of a part.

A mention is a word for a slot or the name of a part. State cues bind to the mention they stand beside (direction and
reach are rows of cues.csv), over a list ("bell and coil removed"); negation turns a fault into its denial.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from listingrisk.claims.claim import PartClaim, Standing, State
from listingrisk.claims.cues import cue_of
from listingrisk.reading.phrases import Entry, Hit
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope
from listingrisk.tables.lexicon import Lexicon

_YES = frozenset({"yes", "y", "yep", "aye"})
_NO = frozenset({"no", "none", "nope", "n"})
_CORD_LINK = frozenset({"to", "up", "on", "for", "of", "from", "the", "its", "a", "into", "onto"})
_CORDS = frozenset({"handset_cord", "line_cord"})
DEFAULT_SLOT = "case"
_ANSWER = Entry("cues:answer", "state", "", "behind", 0)
_SKIP = frozenset({"the", "a", "an", "its", "of", "only", "just", "on", "this", "that", "these", "it", "is", "are", "both", "has", "have", "was", "were", "been", "be", "also", "all", "very", "quite", "bit", "little", "small", "nice", "old", "rather", "slightly", "now", "to", "some", "one", "two", "any"})
_LINK = frozenset({"and", "or", "&", "nor", "/", "+", "plus"})
_TO = frozenset({"to", "in", "on", "of", "from", "off", "out", "across", "through", "inside", "under", "around", "round", "along", "into"})
_NEAR = frozenset({"near", "by", "beside", "next", "behind", "above", "below", "at"})
_NEW_SUBJECT = frozenset({"the", "my", "our", "your", "i", "we"})
_PLACES = frozenset({"corner", "edge", "side", "back", "front", "rim", "end", "rear", "top", "left", "right", "underneath", "lip", "inside", "underside"})


@dataclass
class Mention:
    """One place where the text speaks of a slot (or of both cords)."""

    start: int
    end: int
    slots: tuple[str, ...]
    part: str | None
    attributes: tuple[tuple[str, str], ...]
    hedged_slot: bool = False
    states: list[tuple[State, Hit, Hit | None]] = field(default_factory=list)
    """State, its cue, and the negation over it."""
    original: Hit | None = None
    spare: Hit | None = None


def part_claims(reading: Reading, scope: Scope, lexicon: Lexicon, kinds: frozenset[str]) -> list[PartClaim]:
    """Every part claim of a text; `kinds` are the kinds (candlestick, desk, ...) of the models it may speak of."""
    mentions = [m for m in _mentions(reading, scope, lexicon, kinds) if not _elsewhere(scope, m)]
    _answer(reading, scope, mentions)
    _bind_states(scope, mentions)
    faults = _bind_faults(reading, scope, mentions)
    _bind_others(scope, mentions)
    claims = [c for m in mentions for c in _claims(reading, scope, m)]
    claims += faults
    claims += _gutted(reading, scope)
    claims += _kept_old_ones(reading, scope, mentions)
    return _merged(claims)


def _elsewhere(scope: Scope, mention: Mention) -> bool:
    return scope.zone_at(mention.start, "hypothetical", "history", "other_item", "comparison") is not None


# Mentions ------------------------------------------------------------------------------------------------------------


def _mentions(reading: Reading, scope: Scope, lexicon: Lexicon, kinds: frozenset[str]) -> list[Mention]:
    found = [_slot_mention(reading, scope, hit, kinds) for hit in scope.of("slot") if hit.entry.direction != "on_kind" or kinds & set(hit.entry.extra.partition(";")[0].split())]
    for hit in scope.of("part_name"):
        part = lexicon.parts.get(hit.entry.value)
        if part is not None and hit.entry.direction != "word":
            found.append(Mention(hit.start, hit.end, (part.slot,), part.id, ()))
    found.sort(key=lambda m: (m.start, -m.end))
    merged: list[Mention] = []
    for mention in found:
        last = merged[-1] if merged else None
        if last and mention.start < last.end and set(mention.slots) & set(last.slots):
            last.part = last.part or mention.part
            continue
        merged.append(mention)
    merged = [m for i, m in enumerate(merged) if not (_heading(reading, merged, i) or _end_of_a_cord(reading, merged, i))]
    for mention in merged:
        _name_part(reading, scope, lexicon, mention)
        _describe(reading, scope, mention)
    return merged


def _heading(reading: Reading, mentions: list[Mention], index: int) -> bool:
    """ "Cords: line cord replaced, ...": a heading whose parts follow one by one."""
    mention = mentions[index]
    after = mentions[index + 1] if index + 1 < len(mentions) else None
    headed = mention.end < len(reading.words) and reading.words[mention.end] == ":"
    return headed and after is not None and bool(set(after.slots) & set(mention.slots)) and after.start - mention.end <= 6


def _end_of_a_cord(reading: Reading, mentions: list[Mention], index: int) -> bool:
    """ "black lead up to the handset" speaks of the cord, not of the handset."""
    mention, before = mentions[index], mentions[index - 1] if index else None
    if before is None or not set(before.slots) <= _CORDS or set(mention.slots) & _CORDS:
        return False
    between = reading.words[before.end : mention.start]
    return bool(between) and len(between) <= 4 and all(w in _CORD_LINK for w in between) and between[0] != "of"


def _answer(reading: Reading, scope: Scope, mentions: Sequence[Mention]) -> None:
    """ "Drawer? No.", "Bell: yes": a heading or question answered by the next word."""
    for mention in mentions:
        after = reading.words[mention.end : mention.end + 2]
        if not after or after[0] not in ("?", ":", "-", "="):
            continue
        mention.states += [(h.entry.value, h, None) for h in (scope.near(mention.end + 1, "state") if mention.end + 1 < len(reading.words) else ()) if h.start == mention.end + 1 and after[0] == "?" and "@" not in h.entry.value][:1]  # type: ignore[arg-type]
        if len(after) == 2 and after[1] in _YES | _NO and not mention.states:
            row = Hit(mention.end + 1, mention.end + 2, _ANSWER)
            mention.states.append(("missing" if after[1] in _NO else "present", row, None))


def _kept_old_ones(reading: Reading, scope: Scope, mentions: Sequence[Mention]) -> list[PartClaim]:
    """ "the old one is in a bag", "the originals come with it": the parts replaced before are there as well, loose."""
    claims: list[PartClaim] = []
    for hit in scope.of("spare"):
        first = hit.start
        while first > 0 and scope.same_clause(first - 1, hit.start):
            first -= 1
        if not {"one", "ones", "originals", "1"} & set(reading.words[first : hit.start]) or any(first <= m.start < hit.start and not m.states for m in mentions[_first_at(mentions, first) : _first_at(mentions, hit.start)]):
            continue
        swapped = [m for m in mentions[max(0, _first_at(mentions, hit.start) - 8) : _first_at(mentions, hit.start)] if any(s in ("replaced", "reproduction") and not d for s, _, d in m.states)]
        for mention in swapped[-1:]:
            quote, start, end = reading.quote(hit.start, hit.end)
            claims += [PartClaim(slot, None, "present", _standing(scope, hit.start, hit.end), quote, start, end, spare=True, cue=cue_of(reading, hit)) for slot in mention.slots]
    return claims


def _slot_mention(reading: Reading, scope: Scope, hit: Hit, kinds: frozenset[str]) -> Mention:
    slots = tuple(hit.entry.value.split())
    hedged = False
    wanted_kinds, _, attributes = hit.entry.extra.partition(";")
    if hit.entry.direction == "by_kind":
        second = bool(kinds & set(wanted_kinds.split()))
        slots = (slots[1],) if second else (slots[0],)
    elif hit.entry.direction == "either":
        slot = _which_cord(reading, scope, hit)
        slots, hedged = ((slot,), False) if slot else ((slots[0],), True)
    pairs = tuple((a.split("=", 1)[0], a.split("=", 1)[1]) for a in attributes.split())
    mention = Mention(hit.start, hit.end, slots, None, tuple(p for p in pairs if p[0] != "state"), hedged)
    mention.states = [(value, hit, None) for key, value in pairs if key == "state"]  # type: ignore[misc]
    return mention


_HANDSET_WORDS = frozenset({"handset", "receiver", "earpiece", "ear", "mouthpiece", "curly", "coiled", "coil", "spring", "spiral"})
_LINE_WORDS = frozenset({"wall", "plug", "socket", "line", "bt", "terminal", "block", "rosette", "jack", "bare"})


def _which_cord(reading: Reading, scope: Scope, hit: Hit) -> str | None:
    """Handset or line cord, by the nearest telling word of its clause; None where nothing tells."""
    clause = reading.clause[hit.start]
    cords = {i for h in scope.near(hit.start, "slot") if h is not hit and "cord" in h.entry.value for i in range(h.start, h.end)}
    best: tuple[int, str] | None = None
    for token in range(max(0, hit.start - 10), min(len(reading.words), hit.end + 10)):
        word = reading.words[token]
        if reading.clause[token] != clause or hit.start <= token < hit.end:
            continue
        distance = hit.start - token if token < hit.start else token - hit.end + 1
        if token in cords:
            continue
        slot = "handset_cord" if word in _HANDSET_WORDS else "line_cord" if word in _LINE_WORDS else None
        if slot and distance <= 9 and (best is None or distance < best[0]):
            best = (distance, slot)
    return best[1] if best else None


def _name_part(reading: Reading, scope: Scope, lexicon: Lexicon, mention: Mention) -> None:
    """A part number beside its slot word ("dial is a No 10") names the part; the words join the quote."""
    if mention.part:
        return
    for hit in scope.near(mention.start, "part_name"):
        part = lexicon.parts.get(hit.entry.value)
        if part is None or part.slot not in mention.slots or not scope.same_clause(hit.start, mention.start):
            continue
        gap = hit.start - mention.end if hit.start >= mention.end else mention.start - hit.end
        if 0 <= gap <= 4:
            mention.part = part.id
            return


def _describe(reading: Reading, scope: Scope, mention: Mention) -> None:
    """Attributes said of the mention: adjectives just before it, or words after "is" in its clause."""
    pairs = list(mention.attributes)
    for hit in scope.near(mention.start, "attribute"):
        if not set(hit.entry.extra.split()) & set(mention.slots) or not scope.same_clause(hit.start, mention.start):
            continue
        before = 0 <= mention.start - hit.end <= 3
        after = 0 <= hit.start - mention.end <= 4
        if (before or after) and not scope.negated(hit.start, 2):
            identity, _, value = hit.entry.value.partition("=")
            if identity not in dict(pairs):
                pairs.append((identity, value))
    mention.attributes = tuple(pairs)


# States --------------------------------------------------------------------------------------------------------------


def _bind_states(scope: Scope, mentions: Sequence[Mention]) -> None:
    spans: dict[tuple[int, int], list[Hit]] = {}
    for hit in scope.of("state"):
        spans.setdefault((hit.start, hit.end), []).append(hit)
    for hits in spans.values():
        ahead = next((h for h in hits if h.entry.direction == "ahead"), None)
        behind = next((h for h in hits if h.entry.direction == "behind"), None)
        target, cue = _target(scope, mentions, ahead, behind)
        if target is None or cue is None:
            continue
        if _surface(scope, mentions[target], cue) or _gone_soft(scope, cue):
            continue
        denied = scope.negated(cue.start, 3)
        if cue.entry.value == "missing" and _piece_between(scope, mentions[target], cue):
            mentions[target].states.append(("broken", cue, denied))
            continue
        for mention in _group(scope, mentions, target, forward=cue is ahead):
            mention.states.append((cue.entry.value.partition("@")[0], cue, denied))  # type: ignore[arg-type]


def _surface(scope: Scope, mention: Mention, cue: Hit) -> bool:
    """Whether what is gone or worn is only a finish ("the glow of the dial is long gone")."""
    low, high = min(mention.start, cue.start) - 3, max(mention.end, cue.end)
    return any(low <= h.start < high and h.entry.value == "surface" and scope.same_clause(h.start, mention.start) and h.end <= cue.start for h in scope.near(mention.start, "attach"))


def _gone_soft(scope: Scope, cue: Hit) -> bool:
    """Whether "gone" goes on to a quality ("gone slack", "gone dull"): nothing is missing."""
    words = scope.reading.words
    if words[cue.end - 1] != "gone" or cue.end >= len(words) or not scope.same_clause(cue.start, cue.end):
        return False
    return words[cue.end].isalpha() and words[cue.end] not in _LINK | {"from", "but", "so", "now", "i", "it", "missing", "too", "long", "years", "when", "before", "as", "which", "though"}


def _piece_between(scope: Scope, mention: Mention, cue: Hit) -> bool:
    """Whether only a piece of the part is gone ("case screw missing"): then the part is there, and not whole."""
    low, high = min(mention.end, cue.end), max(mention.start, cue.start)
    return any(low <= h.start < high for h in scope.near(mention.start, "attach") if h.entry.value == "piece")


def _covers(one: Hit, other: Hit) -> bool:
    return one.start >= other.start and one.end <= other.end


def _target(scope: Scope, mentions: Sequence[Mention], ahead: Hit | None, behind: Hit | None) -> tuple[int | None, Hit | None]:
    """The mention a cue governs: the one it touches; on a tie a fault follows its part and a new thing precedes it."""
    if ahead and scope.numbering(ahead):
        return None, None
    forward = _next(scope, mentions, ahead) if ahead else None
    backward = _previous(scope, mentions, behind) if behind else None
    if forward is None or ahead is None:
        if behind is None and ahead is not None:
            return _predicate(scope, mentions, ahead), ahead
        return backward, behind
    if backward is None or behind is None:
        return forward, ahead
    gap_forward = _gap(scope, ahead.end, mentions[forward].start)
    gap_backward = _gap(scope, mentions[backward].end, behind.start)
    if gap_backward == 0 and (gap_forward > 0 or ahead.entry.value in ("broken", "missing")):
        return backward, behind
    if gap_forward == 0 or gap_forward < gap_backward:
        return forward, ahead
    return backward, behind


def _predicate(scope: Scope, mentions: Sequence[Mention], cue: Hit) -> int | None:
    """ "the line cord is a new one": an adjective that nothing follows speaks of what stands just before it."""
    index = _previous(scope, mentions, cue)
    if index is None or cue.entry.value == "missing":
        return None
    between = scope.reading.words[mentions[index].end : cue.start]
    return index if between and len(between) <= 3 and all(w in _SKIP or w == ":" for w in between) else None


def _gap(scope: Scope, start: int, end: int) -> int:
    """Words between two places that are neither articles nor descriptions."""
    described = {i for h in scope.near(min(start, len(scope.reading.words) - 1), "attribute", "colour", "original") for i in range(h.start, h.end)}
    return sum(1 for i in range(start, end) if scope.reading.words[i] not in _SKIP and i not in described)


def _first_at(mentions: Sequence[Mention], place: int) -> int:
    """Index of the first mention that starts at a place or after it."""
    return bisect_left(mentions, place, key=lambda m: m.start)


def _next(scope: Scope, mentions: Sequence[Mention], cue: Hit) -> int | None:
    for index in range(_first_at(mentions, cue.start), len(mentions)):
        mention = mentions[index]
        if cue.gapped and cue.start <= mention.start and mention.end <= cue.end:
            return index
        if mention.start < cue.end:
            continue
        if not scope.same_clause(cue.start, mention.start) or scope.ended_between(cue.end, mention.start):
            return None
        if {",", "with"} & set(scope.reading.words[cue.end : mention.start]) or _blocked(scope, cue.end, mention.start):
            return None
        return index if _gap(scope, cue.end, mention.start) <= cue.entry.reach else None
    return None


def _previous(scope: Scope, mentions: Sequence[Mention], cue: Hit) -> int | None:
    for index in range(_first_at(mentions, cue.start) - 1, -1, -1):
        mention = mentions[index]
        if mention.end > cue.start:
            continue
        if not scope.same_clause(cue.start, mention.start):
            return None
        only = cue.entry.value.partition("@")[2]
        if only and not set(only.split(",")) & set(mention.slots):
            continue
        between = scope.reading.words[mention.end : cue.start]
        if not only and any(w in _NEW_SUBJECT for w in between):
            return None
        return index if len(between) <= cue.entry.reach else None
    return None


def _blocked(scope: Scope, start: int, end: int) -> bool:
    """Whether another state or fault stands between a cue and what follows ("no cracks in the handset")."""
    return any(start <= h.start < end for h in scope.near(min(start, len(scope.reading.words) - 1), "state", "fault", "flag"))


def _group(scope: Scope, mentions: Sequence[Mention], index: int, *, forward: bool) -> list[Mention]:
    """The mention and those listed with it by "and" or "or" ("bell and coil removed")."""
    chosen = [mentions[index]]
    step = 1 if forward else -1
    place = index + step
    while 0 <= place < len(mentions):
        first, second = sorted((mentions[place], chosen[-1]), key=lambda m: m.start)
        between = [w for w in scope.reading.words[first.end : second.start] if w not in _SKIP]
        joined = bool(between) and all(w in _LINK or w == "," for w in between) and any(w in _LINK for w in between)
        listed = between == [","] and len(chosen) > 1
        if not (joined or listed) or mentions[place].states:
            break
        chosen.append(mentions[place])
        place += step
    return chosen


# Cracks and chips ----------------------------------------------------------------------------------------------------


def _bind_faults(reading: Reading, scope: Scope, mentions: Sequence[Mention]) -> list[PartClaim]:
    """Bind fault nouns to the mention they are on; a crack or chip on nothing named is on the case."""
    loose: list[PartClaim] = []
    for hit in scope.of("fault"):
        if scope.zone_at(hit.start, "hypothetical", "history", "other_item", "comparison"):
            continue
        denied = scope.negated(hit.start) or _free_of(scope, hit)
        mention = _fault_target(reading, scope, mentions, hit)
        if mention is not None:
            mention.states.append(("broken", hit, denied))
        elif denied is None and hit.entry.reach:
            loose.append(_loose_fault(reading, scope, hit))
    return loose


def _free_of(scope: Scope, hit: Hit) -> Hit | None:
    """ "chip-free", "crackless"."""
    words = scope.reading.words
    after = hit.end + 1 if hit.end < len(words) and words[hit.end] == "-" else hit.end
    if after < len(words) and words[after] in ("free", "less"):
        return Hit(after, after + 1, hit.entry)
    return None


def _fault_target(reading: Reading, scope: Scope, mentions: Sequence[Mention], hit: Hit) -> Mention | None:
    words = reading.words
    first = _first_at(mentions, hit.start)
    ahead = next((m for m in mentions[first : first + 3] if m.end > hit.end and m.start >= hit.start and scope.same_clause(hit.start, m.start) and m.start - hit.end <= 9), None)
    behind = next((m for m in reversed(mentions[max(0, first - 3) : first]) if m.end <= hit.start and scope.same_clause(hit.start, m.start) and hit.start - m.end <= hit.entry.reach), None)
    if ahead is not None and not scope.ended_between(hit.end, ahead.start):
        between = words[hit.end : ahead.end]
        near = any(w in _NEAR for w in between) and "feet" in ahead.slots
        if any(w in _TO or w in _NEAR for w in between) and not {",", "where"} & set(between) and not near:
            return ahead
    if behind is not None and not scope.ended_between(behind.end, hit.start):
        if "," not in words[behind.end : hit.start]:
            return behind
        if any(w in _PLACES for w in words[hit.end : hit.end + 4]):
            return next(m for m in mentions[max(0, first - 20) : first] if scope.same_clause(m.start, hit.start))
    return None


def _loose_fault(reading: Reading, scope: Scope, hit: Hit) -> PartClaim:
    quote, start, end = reading.quote(hit.start, hit.end)
    return PartClaim(DEFAULT_SLOT, None, "broken", _standing(scope, hit.start, hit.end), quote, start, end, cue=cue_of(reading, hit))


# Other words over mentions ---------------------------------------------------------------------------------------------


def _bind_others(scope: Scope, mentions: Sequence[Mention]) -> None:
    for hit in scope.of("original"):
        if scope.negated(hit.start, 3):
            continue
        pick = _next if hit.entry.direction == "ahead" else _previous
        index = pick(scope, mentions, hit)
        if index is not None and mentions[index].original is None:
            mentions[index].original = hit
    for hit in scope.of("spare"):
        pick = _next if hit.entry.direction == "ahead" else _previous
        index = pick(scope, mentions, hit)
        if index is not None:
            mentions[index].spare = hit
    for hit in scope.of("exception"):
        state = _exception_state(scope, hit)
        if state is None:
            continue
        index = _next(scope, mentions, replace_reach(hit, 8))
        if index is not None and not mentions[index].states:
            for mention in _group(scope, mentions, index, forward=True):
                mention.states.append((state, hit, None))


def replace_reach(hit: Hit, reach: int) -> Hit:
    """The same hit with another reach."""
    return Hit(hit.start, hit.end, replace(hit.entry, reach=reach))


def _exception_state(scope: Scope, hit: Hit) -> State | None:
    """What an exception says of what it names: after "all original" replaced, after "complete" missing."""
    for blanket in reversed(scope.near(hit.start, "blanket")):
        if blanket.end <= hit.start and scope.same_clause(blanket.start, hit.start):
            return "replaced" if blanket.entry.value.startswith("original") else "missing"
    return None


def _gutted(reading: Reading, scope: Scope) -> list[PartClaim]:
    for hit in scope.of("blanket"):
        if hit.entry.value == "gutted" and not scope.zone_at(hit.start, *("hypothetical", "other_item", "comparison")) and not _denied_gutting(scope, hit):
            quote, start, end = reading.quote(hit.start, hit.end)
            standing = _standing(scope, hit.start, hit.end)
            slots = ("induction_coil", "capacitor", "bell") if standing == "asserted" else ("chassis",)
            state: State = "missing" if standing == "asserted" else "uncertain"
            return [PartClaim(slot, None, state, standing, quote, start, end, cue=cue_of(reading, hit)) for slot in slots]
    return []


def _denied_gutting(scope: Scope, hit: Hit) -> bool:
    denied = scope.negated(hit.start, 3)
    return denied is not None and not _covers(denied, hit)


# Claims ----------------------------------------------------------------------------------------------------------------


def _claims(reading: Reading, scope: Scope, mention: Mention) -> list[PartClaim]:
    quote, start, end = reading.quote(mention.start, mention.end)
    hedge = scope.hedged(mention.start, mention.end)
    base: Standing = "hedged" if hedge or mention.hedged_slot else "asserted"
    claims = []
    states = mention.states or [("present", None, None)]  # type: ignore[list-item]
    if any(state != "present" and not denied for state, _, denied in states):
        states = [s for s in states if s[0] != "present" and not s[2]]
    for state, cue, denied in states:
        said: State = "present" if denied else state
        if "chassis" in mention.slots and said == "present":
            said, base = "uncertain", "hedged"  # talk of the insides as a whole settles no part
        shown = denied or cue
        if said == "missing" and mention.slots == (DEFAULT_SLOT,):
            said = "broken"  # the body itself is what is offered: only a piece of it can be gone
        for slot in mention.slots:
            claims.append(
                PartClaim(
                    slot,
                    mention.part,
                    said,
                    base,
                    quote,
                    start,
                    end,
                    original=mention.original is not None and said == "present",
                    spare=mention.spare is not None,
                    attributes=mention.attributes,
                    cue=cue_of(reading, shown) if shown else (cue_of(reading, hedge) if hedge else None),
                )
            )
    return claims


def _standing(scope: Scope, start: int, end: int) -> Standing:
    return "hedged" if scope.hedged(start, end) else "asserted"



def _merged(claims: list[PartClaim]) -> list[PartClaim]:
    """One claim per slot, state and place."""
    seen: dict[tuple[str, str, int], PartClaim] = {}
    for claim in claims:
        seen.setdefault((claim.slot, claim.state, claim.start), claim)
    return sorted(seen.values(), key=lambda c: (c.start, c.slot, c.state))
