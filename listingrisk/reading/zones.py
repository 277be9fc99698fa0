"""What governs what: longest hits, zones (hypothetical, history, other item ...), negation and hedging.

Half-open token spans throughout. Every answer is the hit that decided, so that a claim can keep its cue.
"""

from __future__ import annotations

from bisect import bisect_left

from listingrisk.reading.phrases import Entry, Hit
from listingrisk.reading.pipeline import Reading

INDEPENDENT = frozenset({"sign", "model_cue", "not_model"})
"""Kinds that neither hide other hits nor are hidden by them."""
LAYERS = frozenset({"era", "age", "stance"})
"""Kinds that hide, and are hidden by, only their own kind."""
YIELDING = frozenset({"subject", "place", "sale"})
"""Kinds that hide nothing, though a longer hit hides them."""
ZONES = frozenset({"hypothetical", "history", "other_item", "comparison", "origin"})
_DENYING = frozenset({"no", "not", "without", "n't", "lacks", "lacking", "missing", "minus", "never"})
_NEW_STATEMENT = frozenset({"the", "it", "its", "my", "this", "i", "we", "all", "there"})
_LIST_WORDS = frozenset({"and", "or", "&", ",", "nor", "the", "a", "an", "any", "its", "/", "of", "kind", "plus", "+", "other", "sort"})

_QUESTION = Entry("cues:question-mark", "hedge", "", "behind", 0)


class Scope:
    """The hits of one reading, cleaned, with the questions that claims ask of them."""

    def __init__(self, reading: Reading, refurbishers: frozenset[str] = frozenset()) -> None:
        """Keep the longest hits and index them; `refurbishers` are stamped letters that date a refurbishing."""
        self.reading = reading
        self.refurbishers = refurbishers
        self.hits = longest(reading.hits)
        self.kinds: dict[str, list[Hit]] = {}
        for hit in self.hits:
            self.kinds.setdefault(hit.entry.kind, []).append(hit)
        self._by_clause: dict[tuple[str, int], list[Hit]] = {}
        for hit in self.hits:
            self._by_clause.setdefault((hit.entry.kind, reading.clause[hit.start]), []).append(hit)
        self._ends = sorted(h.start for h in self.of("end"))
        self._zones: dict[int, list[tuple[str, int, int, Hit]]] = {}
        for kind in sorted(ZONES):
            for hit in self.of(kind):
                self._zones.setdefault(reading.clause[hit.start], []).append(self._zone(hit))
        self.negations: dict[int, list[Hit]] = {}
        for hit in self._negations():
            self.negations.setdefault(reading.clause[hit.start], []).append(hit)

    def _negations(self) -> list[Hit]:
        """Words that deny what follows; "No. 12" is a number, and "has no" denies the faults it stands before."""
        words = [h for h in self.of("negation") if h.entry.direction == "ahead"]
        denying = {self.reading.words[h.start] for h in words} | _DENYING
        words += [h for h in self.of("state") if h.entry.value == "missing" and h.entry.direction == "ahead" and denying & set(self.reading.words[h.start : h.end])]
        return sorted((h for h in words if not self.numbering(h)), key=lambda h: h.start)

    def numbering(self, hit: Hit) -> bool:
        """Whether "no" stands for number ("No 12", "No. 332")."""
        words = self.reading.words
        after = words[hit.end : hit.end + 2]
        return words[hit.end - 1] in ("no", "no.") and bool(after) and (after[0][:1].isdecimal() or after[0] in (",", "!") or (after[0] in (".", ":") and after[1:] != [] and after[1][:1].isdecimal()))

    def of(self, *kinds: str) -> list[Hit]:
        """Hits of some kinds, in order of place."""
        found = [hit for kind in kinds for hit in self.kinds.get(kind, ())]
        return sorted(found, key=lambda h: h.start) if len(kinds) > 1 else found

    def near(self, token: int, *kinds: str) -> list[Hit]:
        """Hits of some kinds in the clause of a token, in order of place."""
        clause = self.reading.clause[token]
        found = [hit for kind in kinds for hit in self._by_clause.get((kind, clause), ())]
        return sorted(found, key=lambda h: h.start) if len(kinds) > 1 else found

    def same_clause(self, one: int, other: int) -> bool:
        """Whether two tokens stand in one clause."""
        return self.reading.clause[one] == self.reading.clause[other]

    def ended_between(self, start: int, end: int) -> bool:
        """Whether a word such as "but" stands between two places."""
        place = bisect_left(self._ends, start)
        return place < len(self._ends) and self._ends[place] < end

    def _zone(self, hit: Hit) -> tuple[str, int, int, Hit]:
        words, clause = self.reading.words, self.reading.clause
        number = clause[hit.start]
        if hit.entry.direction == "behind":
            start = hit.start
            while start > 0 and clause[start - 1] == number and hit.start - start < hit.entry.reach and not self._is_end(start - 1):
                start -= 1
            return hit.entry.kind, start, hit.start, hit
        end = hit.end
        while end < len(words) and clause[end] == number and end - hit.end < hit.entry.reach and not self._is_end(end):
            end += 1
        return hit.entry.kind, hit.end, end, hit

    def _is_end(self, token: int) -> bool:
        place = bisect_left(self._ends, token)
        return place < len(self._ends) and self._ends[place] == token

    def zone_at(self, token: int, *kinds: str) -> Hit | None:
        """The zone cue of one of these kinds that governs a token."""
        for kind, start, end, hit in self._zones.get(self.reading.clause[token], ()):
            if kind in kinds and start <= token < end:
                return hit
        return None

    def negated(self, start: int, reach: int = 5) -> Hit | None:
        """The negation that governs what begins at `start`: before it, in its clause, nothing but list words or few words between."""
        for hit in reversed(self.negations.get(self.reading.clause[start], ())):
            if hit.end <= start and self.same_clause(hit.start, start):
                if self.ended_between(hit.end, start) or self._excepted_between(hit.end, start):
                    return None
                between = self.reading.words[hit.end : start]
                if (len(between) <= reach and "," not in between and not _starts_anew(between)) or self._listed(hit.end, start):
                    return hit
                return None
        return None

    def _excepted_between(self, start: int, end: int) -> bool:
        """Whether an exception stands between: "no faults except the crack" denies no crack."""
        return any(start <= h.start < end for h in self.near(start, "exception")) if start < end else False

    def _listed(self, start: int, end: int) -> bool:
        """Whether everything between is a list of faults ("no cracks, chips or repairs")."""
        covered: set[int] = set()
        for hit in self.near(start, "fault", "attribute", "colour", "slot"):
            if start <= hit.start and hit.end <= end:
                covered.update(range(hit.start, hit.end))
        words = self.reading.words
        if any(words[i] == "and" and words[i + 1] in _NEW_STATEMENT for i in range(start, end)):
            return False  # "no chips to the case and the dial turns": another statement begins
        loose = [i for i in range(start, end) if i not in covered and words[i] not in _LIST_WORDS]
        return len(loose) <= 2

    def hedged(self, start: int, end: int) -> Hit | None:
        """The hedge or hearsay that governs a span: before it within reach, or after it at the end of its clause."""
        for hit in self.near(start, "hedge", "hearsay"):
            ahead = hit.end <= start and start - hit.end <= hit.entry.reach and not self.ended_between(hit.end, start)
            behind = hit.start >= end and hit.start - end <= 6
            if (ahead and hit.entry.direction != "behind") or (behind and hit.entry.direction != "ahead"):
                return hit
        words = self.reading.words
        if end < len(words) and words[end] == "?":
            return Hit(end, end + 1, _QUESTION)
        return None


def _starts_anew(words: list[str]) -> bool:
    return any(one == "and" and other in _NEW_STATEMENT for one, other in zip(words, words[1:], strict=False))


def longest(hits: list[Hit]) -> list[Hit]:
    """Drop every hit that lies inside a longer one of its layer, unless it is of an independent kind.

    Years and stance are layers of their own: "repainted in" hides no flag. Several entries of one span all stay. Hits
    come sorted by start, longest first.
    """
    gaps = [h for h in hits if h.gapped and h.entry.kind == "state"]
    kept: list[Hit] = []
    holders: dict[str, tuple[int, int]] = {}
    hider = ""
    for hit in hits:
        kind = hit.entry.kind
        if kind in INDEPENDENT or hit.gapped:
            kept.append(hit)
            continue
        if kind == "state" and any(g.start <= hit.start and hit.end <= g.end for g in gaps):
            continue
        layer = kind if kind in LAYERS else "main"
        holder = holders.get(layer, (-1, -1))
        if hit.end <= holder[1] and (hit.start, hit.end) != holder and not (kind == "subject" and hider == "false_cue"):
            continue
        kept.append(hit)
        if hit.end > holder[1] and kind not in YIELDING:
            holders[layer] = (hit.start, hit.end)
            hider = kind if layer == "main" else hider
    return kept
