"""What is offered: a telephone, a part alone, something else, or words that fit no single thing; and lots of several."""

from __future__ import annotations

import re

from listingrisk.claims.claim import ModelClaim, PartClaim, Quote, Subject
from listingrisk.reading.listing import Lot, LotItem
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope

_NUMBERS = {"two": 2, "three": 3, "four": 4, "five": 5, "2": 2, "3": 3, "4": 4, "5": 5, "pair": 2, "both": 2, "6": 6, "six": 6}
_ITEM = re.compile(r"(?:phone|telephone|no\.?|number|item|lot)?\s*(?:[1-9]|one|two|three|four|five|six)\s*[-:.)]", re.IGNORECASE)
_BITS = frozenset({"bits", "box", "lot", "assorted", "mixed", "oddments", "parts", "spares"})


def subject(reading: Reading, scope: Scope, parts: list[PartClaim], models: list[ModelClaim]) -> tuple[Subject, tuple[Quote, ...]]:
    """What is offered, and the words that say so. The title counts most: it names what is sold."""
    title = [h for h in scope.of("subject") if reading.line[h.start] == 0]
    others = [h for h in title if h.entry.value == "other"]
    phones = [h for h in title if h.entry.value == "telephone" and not scope.negated(h.start, 2)]
    named = any(m.id or m.candidates for m in models if m.standing != "negated")
    if others and not _only_beside(scope, others, phones) and not _after_the_telephone(reading, others, phones, models):
        return "other", tuple(Quote(*reading.quote(h.start, h.end)) for h in others[:1])
    made_of = _made_into(reading, scope)
    if made_of:
        return "other", made_of
    offered = [m for m in models if m.standing == "asserted" and reading_line(reading, m.start) == 0]
    lone = _lone_part(reading, scope, title, named=bool(offered))
    if lone:
        return "part", lone
    if phones and not _bits(reading):
        return "telephone", tuple(Quote(*reading.quote(h.start, h.end)) for h in phones[:1])
    if _bits(reading) and len({p.slot for p in parts}) >= 3 and not named:
        return "unclear", ()
    if named or any(h.entry.value == "telephone" for h in scope.of("subject")):
        return "telephone", ()
    return ("unclear", ()) if parts else ("other", ())


def _only_beside(scope: Scope, others: list, phones: list) -> bool:  # type: ignore[type-arg]
    """Whether the other thing is only company for the telephone ("telephone and directory", "no lamp")."""
    return all(scope.negated(o.start, 2) or any(p.start < o.start and "with" in scope.reading.words[p.end : o.start] for p in phones) for o in others)


def _after_the_telephone(reading: Reading, others: list, phones: list, models: list[ModelClaim]) -> bool:  # type: ignore[type-arg]
    """Whether a telephone is named well before the other thing ("328 with its knobs £110. The desk lamp is £25")."""
    first = min(o.start for o in others)
    named = [m for m in models if m.standing != "negated" and m.start < reading.span(first, first + 1)[0]]
    ended = any(reading.clause[p.start] != reading.clause[first] for p in phones if p.start < first)
    return ended or any(reading.original[m.end : reading.span(first, first + 1)[0]].count(".") for m in named)


def reading_line(reading: Reading, place: int) -> int:
    """The line of a place in the untouched text."""
    return reading.original.count("\n", 0, place)


def _made_into(reading: Reading, scope: Scope) -> tuple[Quote, ...]:
    for hit in scope.of("subject"):
        if hit.entry.value == "other" and any(w in ("made", "from", "upcycled", "converted", "into") for w in reading.words[max(0, hit.start - 4) : hit.end + 4]):
            if any(w in ("lamp", "light", "clock") for w in reading.words[hit.start : hit.end]):
                return (Quote(*reading.quote(hit.start, hit.end)),)
    return ()


def _lone_part(reading: Reading, scope: Scope, title: list, *, named: bool) -> tuple[Quote, ...]:  # type: ignore[type-arg]
    """A part alone: "handset only", "bell set no 26 ..., no phone", a title that names a part and no telephone."""
    words = reading.words
    slots = [h for h in scope.of("slot", "part_name") if reading.line[h.start] == 0]
    for hit in title:
        if hit.entry.value == "part_cue" and words[hit.end - 1] == "only" and any(0 <= hit.start - s.end <= 2 for s in slots):
            return (Quote(*reading.quote(slots[0].start, hit.end)),)
    if any(h.entry.value == "part_cue" and words[h.start] in ("no", "without") for h in scope.of("subject")) and slots:
        return (Quote(*reading.quote(slots[0].start, slots[0].end)),)
    if named:
        return ()
    phones = [h for h in title if h.entry.value == "telephone"]
    leads = slots and (slots[0].start <= 4)
    if leads and not phones:
        return (Quote(*reading.quote(slots[0].start, slots[0].end)),)
    if leads and any(words[i] in ("for", "from", "off", "fits") for i in range(slots[0].end, phones[0].start)):
        return (Quote(*reading.quote(slots[0].start, slots[0].end)),)
    return ()


def _bits(reading: Reading) -> bool:
    title = [w for i, w in enumerate(reading.words) if reading.line[i] == 0]
    return "bits" in title or ("box" in title and bool({"of", "lot"} & set(title)) and "bell" not in title) or "spares" in title and "or" not in title


def lot(reading: Reading, scope: Scope, models: list[ModelClaim]) -> Lot | None:
    """Several telephones in one lot, split where the text numbers or separates them."""
    count = _count(reading, scope)
    if count is None:
        return None
    items = _items(reading, models)
    return Lot(max(count, len(items)), tuple(items))


def _count(reading: Reading, scope: Scope) -> int | None:
    words = reading.words
    for hit in scope.of("lot"):
        if hit.entry.value == "item" or reading.line[hit.start] > 2:
            continue
        near = words[max(0, hit.start - 2) : hit.end + 4]
        for word in near:
            if word in _NUMBERS:
                return _NUMBERS[word]
    return None


def _items(reading: Reading, models: list[ModelClaim]) -> list[LotItem]:
    """Spans by the headings of the text: lines or sentences that begin with a number, or that each name another model."""
    text = reading.original
    starts = [m.start() for m in re.finditer(r"(?m)^[^\S\n]*(?:(?:phone|telephone|item|no\.?|number|lot)\s*(?:[1-9]|one|two|three|four)\b|[1-9][.):-]\s|first\b|second\b|third\b)", text, re.IGNORECASE)]
    if len(starts) < 2:
        body = text.find("\n") + 1
        named = [m for m in models if m.start >= body and m.standing != "negated" and (m.id or m.candidates)]
        distinct: dict[str, int] = {}
        for claim in named:
            distinct.setdefault(claim.id or claim.candidates[0], _sentence_start(text, claim.start, body))
        starts = sorted(set(distinct.values()))
    if len(starts) < 2:
        return []
    ends = [*starts[1:], len(text)]
    # the last telephone ends with its paragraph: what follows speaks of the lot
    after = text.find("\n\n", starts[-1])
    if after > 0:
        ends[-1] = after
    return [LotItem(text[s:e].strip().split("\n")[0][:60], s, e) for s, e in zip(starts, ends, strict=True)]


def _sentence_start(text: str, place: int, floor: int) -> int:
    found = max(text.rfind(". ", floor, place) + 2, text.rfind("\n", floor, place) + 1, floor)
    return min(found, place)
