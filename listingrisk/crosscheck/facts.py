"""What is said and seen of one telephone, arranged for the checks: per slot, with the quotes and observations behind it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from listingrisk.claims.claim import Blanket, Claims, Observation, PartClaim, Quote
from listingrisk.crosscheck.observations import CANNOT_SEE
from listingrisk.dates import Years, years
from listingrisk.tables.lexicon import Lexicon

Because = Quote | Observation
_WORD = re.compile(r"[A-Za-z]+|\d+(?:/\d+)?|[^\sA-Za-z0-9]")
_TWO_FIGURES, _FOUR_FIGURES = 2, 4
_CENTURY = 1900


@dataclass(frozen=True)
class MarkRead:
    """A mark as read: where, its letters, its year, and whether it dates a refurbishing."""

    where: str
    text: str
    year: int | None
    refurbished: bool
    because: Because


@dataclass(frozen=True)
class Attribute:
    """One observation value, seen or said, and what it rests on."""

    observation: str
    value: str
    because: Because

    @property
    def seen(self) -> bool:
        """Whether the buyer saw it, rather than read it."""
        return isinstance(self.because, Observation)


@dataclass(frozen=True)
class Facts:
    """One telephone: claims of its text, the buyer's observations, and the candidate model they are held against."""

    claims: Claims
    observations: tuple[Observation, ...]
    lexicon: Lexicon
    model: str | None

    @cached_property
    def seen(self) -> dict[str, Observation]:
        """Observations that carry weight, by id."""
        return {o.id: o for o in self.observations if o.value != CANNOT_SEE}

    @cached_property
    def parts(self) -> tuple[PartClaim, ...]:
        """Claims about fitted parts."""
        return tuple(p for p in self.claims.parts if not p.spare)

    @cached_property
    def words(self) -> tuple[str, ...]:
        """Words of the signs that the text gives, lower case."""
        return tuple(w for s in self.claims.signs for w in s.quote.lower().split())

    def at(self, slot: str) -> list[PartClaim]:
        """Claims about one slot."""
        return [p for p in self.parts if p.slot == slot]

    @cached_property
    def attributes(self) -> tuple[Attribute, ...]:
        """Everything seen or described, observations first; what is seen stands before what is said of the same."""
        found = [Attribute(o.id, o.value, o) for o in self.seen.values() if not o.id.startswith("marks.")]
        known = {a.observation for a in found}
        for part in self.parts:
            if part.state in ("missing", "uncertain"):
                continue
            found += [Attribute(key, value, quote(part)) for key, value in part.attributes if key not in known and key in self.lexicon.observations]
        return tuple(dict.fromkeys(found))

    def told_changed(self, slot: str) -> PartClaim | None:
        """The claim that openly tells that the part there is not the first one."""
        return next((p for p in self.at(slot) if p.state in ("replaced", "reproduction")), None)

    def said_original(self, slot: str) -> Quote | None:
        """The words that claim this slot original: of the part itself, or of all, unless excepted or openly told changed."""
        if self.told_changed(slot):
            return None
        own = next((p for p in self.at(slot) if p.original and p.standing == "asserted"), None)
        if own:
            return quote(own)
        blanket = self.blanket("original", slot)
        return Quote(blanket.quote, blanket.start, blanket.end) if blanket else None

    def blanket(self, kind: str, slot: str) -> Blanket | None:
        """The asserted utterance over all slots that takes in this one."""
        return next((b for b in self.claims.blankets if b.kind == kind and b.standing == "asserted" and slot not in b.excepted), None)

    @cached_property
    def era(self) -> Years | None:
        """The years claimed, asserted or not."""
        return years(self.claims.era.edtf) if self.claims.era else None

    @property
    def era_asserted(self) -> bool:
        """Whether the years are claimed outright."""
        return self.claims.era is not None and self.claims.era.standing == "asserted"

    @cached_property
    def told_reworked(self) -> bool:
        """Whether the words or a mark tell that it was reworked, or the year claimed is only that of the base:
        then a part younger than that year breaks no claim."""
        if any(f.flag == "restored" and f.standing != "negated" for f in self.claims.flags) or any(m.refurbished for m in self.marks):
            return True
        return self.era is not None and any(self.era.first <= (m.year or 0) <= self.era.last for m in self.mark_years("base"))

    @cached_property
    def era_quote(self) -> Quote | None:
        """The words of the claimed years."""
        era = self.claims.era
        return Quote(era.quote, era.start, era.end) if era else None

    @cached_property
    def marks(self) -> tuple[MarkRead, ...]:
        """Marks the buyer read, then marks the words give."""
        found = [self._mark(o.id.partition(".")[2], o.value, o) for o in self.seen.values() if o.id.startswith("marks.")]
        found += [self._mark(m.where or "", m.text, Quote(m.quote, m.start, m.end)) for m in self.claims.marks]
        return tuple(found)

    def _mark(self, where: str, text: str, because: Because) -> MarkRead:
        words = [w.lower() for w in _WORD.findall(text)]
        makers = {m.code.lower() for m in self.lexicon.marks.values() if m.kind == "maker"}
        menders = {m.code.lower() for m in self.lexicon.marks.values() if m.kind == "refurbisher"}
        year = None
        for place, word in enumerate(words):
            before = words[place - 1] if place else ""
            figures = word.partition("/")[0]
            if len(figures) == _FOUR_FIGURES and figures.startswith(("18", "19", "20")):
                year = int(figures)
            elif len(figures) == _TWO_FIGURES and figures.isdecimal() and (before in makers | menders or len(words) <= 4 and place == len(words) - 1):
                year = _CENTURY + int(figures)
        return MarkRead(where, text, year, bool(menders & set(words)), because)

    def mark_years(self, where: str) -> list[MarkRead]:
        """Dated marks at a place that do not date a refurbishing."""
        return [m for m in self.marks if m.where == where and m.year and not m.refurbished]

    @cached_property
    def made(self) -> Years | None:
        """The years this telephone is held to be of: its base mark, else the years claimed."""
        base = self.mark_years("base")
        return Years(base[0].year or 0, base[0].year or 0) if base else self.era


def quote(claim: PartClaim) -> Quote:
    """The quote of a claim."""
    return Quote(claim.quote, claim.start, claim.end)
