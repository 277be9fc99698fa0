"""What is said and seen of one telephone, arranged for the checks: per slot, with the quotes and observations behind it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from listingrisk.claims.claim import Blanket, Claims, ModelClaim, Observation, PartClaim, Quote
from listingrisk.crosscheck.checks import Basis, Check, Checks, checks_of, sentence
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.observations import CANNOT_SEE
from listingrisk.dates import Years, years
from listingrisk.tables.lexicon import Lexicon

Because = Quote | Observation
_WORD = re.compile(r"[A-Za-z]+|\d+(?:/\d+)?|[^\sA-Za-z0-9]")
_TWO_FIGURES, _FOUR_FIGURES, _SHORT_MARK = 2, 4, 4
_CENTURY = 1900
_MARKS = "marks."
_SLOT = "slot"


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
    def checks(self) -> Checks:
        """The rows that say which rules run."""
        return checks_of(self.lexicon)

    @cached_property
    def seen(self) -> dict[str, Observation]:
        """Observations that carry weight, by id."""
        return {o.id: o for o in self.observations if o.value != CANNOT_SEE}

    @cached_property
    def parts(self) -> tuple[PartClaim, ...]:
        """Claims about fitted parts."""
        return tuple(p for p in self.claims.parts if not p.spare)

    def at(self, slot: str) -> list[PartClaim]:
        """Claims about one slot."""
        return [p for p in self.parts if p.slot == slot]

    @cached_property
    def attributes(self) -> tuple[Attribute, ...]:
        """Everything seen or described, observations first; what is seen stands before what is said of the same."""
        found = [Attribute(o.id, o.value, o) for o in self.seen.values() if not o.id.startswith(_MARKS)]
        known = {a.observation for a in found}
        for part in self.parts:
            if part.state in ("missing", "uncertain") or part.standing == "negated":
                continue
            found += [Attribute(key, value, quote(part)) for key, value in part.attributes if key not in known and self.tells_of(key, part.slot)]
        return tuple(dict.fromkeys(found))

    def tells_of(self, observation: str, slot: str) -> bool:
        """Whether an observation is of this slot, of a piece of it, or of what it is a piece of."""
        row = self.lexicon.observations.get(observation)
        return row is not None and slot in (row.slot, self.lexicon.slots[row.slot].part_of)

    # Told and claimed ------------------------------------------------------------------------------------------

    def told_changed(self, slot: str) -> Quote | None:
        """The words that openly tell that the part there is not the first one, or that the whole is made up of parts."""
        whole = self.lexicon.slots[slot].part_of
        kin = {slot, whole, *(s.id for s in self.lexicon.slots.values() if s.part_of == slot)}
        told = (quote(p) for p in self.parts if p.slot in kin and p.state in ("replaced", "reproduction") and p.standing != "negated")
        return next(told, None) or self.flagged("told_mixed")

    def flagged(self, rule: str) -> Quote | None:
        """The words of a flag that a rule names, unless denied."""
        flags = self.checks.flags(rule)
        return next((Quote(f.quote, f.start, f.end) for f in self.claims.flags if f.flag in flags and f.standing != "negated"), None)

    @cached_property
    def told_refurbished(self) -> Because | None:
        """What tells that it was worked on since it was made: a refurbisher's mark, a flag, a sign of the rule."""
        mark = next((m.because for m in self.marks if m.refurbished), None)
        signs = {c.value for c in self.checks.of("told_refurbished") if c.value}
        sign = next((Quote(s.quote, s.start, s.end) for s in self.claims.signs if s.sign in signs and s.standing != "negated"), None)
        return mark or sign or self.flagged("told_refurbished")

    def said_original(self, slot: str) -> Quote | None:
        """The words that claim this slot original: of the part itself, or of all, unless excepted or openly told changed."""
        if self.told_changed(slot):
            return None
        own = self.own_original(slot)
        blanket = self.blanket("original", slot)
        return own or (Quote(blanket.quote, blanket.start, blanket.end) if blanket else None)

    def own_original(self, slot: str) -> Quote | None:
        """The words that call the very part at a slot original."""
        return next((quote(p) for p in self.at(slot) if p.original and p.standing == "asserted"), None)

    def blanket(self, kind: str, slot: str) -> Blanket | None:
        """The asserted utterance over all slots that takes in this one."""
        return next((b for b in self.claims.blankets if b.kind == kind and b.standing == "asserted" and slot not in b.excepted), None)

    @cached_property
    def named(self) -> dict[str, ModelClaim]:
        """Models that the words name as this telephone's own, by id; of names that overlap the first, longest one counts."""
        found: dict[str, ModelClaim] = {}
        end = 0
        for claim in sorted(self.claims.models, key=lambda m: (m.start, -m.end)):
            if claim.start >= end and claim.standing != "negated" and claim.id:
                found.setdefault(claim.id, claim)
            end = max(end, claim.end)
        return found

    @cached_property
    def claimed(self) -> bool:
        """Whether the words call it the candidate model: by name, or where no type is named by a nickname that fits it."""
        if self.named:
            return self.model in self.named
        return any(self.model in m.candidates for m in self.claims.models if m.standing != "negated")

    # Years -----------------------------------------------------------------------------------------------------

    @cached_property
    def era(self) -> Years | None:
        """The years claimed, asserted or not."""
        return years(self.claims.era.edtf) if self.claims.era else None

    @property
    def era_asserted(self) -> bool:
        """Whether the years are claimed outright."""
        return self.claims.era is not None and self.claims.era.standing == "asserted"

    @cached_property
    def era_quote(self) -> Quote | None:
        """The words of the claimed years."""
        era = self.claims.era
        return Quote(era.quote, era.start, era.end) if era else None

    @cached_property
    def marks(self) -> tuple[MarkRead, ...]:
        """Marks the buyer read, then marks the words give."""
        found = [self._mark(o.id.removeprefix(_MARKS), o.value, o) for o in self.seen.values() if o.id.startswith(_MARKS)]
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
            elif len(figures) == _TWO_FIGURES and figures.isdecimal() and (before in makers | menders or (len(words) <= _SHORT_MARK and place == len(words) - 1)):
                year = _CENTURY + int(figures)
        return MarkRead(where, text, year, bool(menders & set(words)), because)

    def mark_years(self, where: str) -> list[MarkRead]:
        """Dated marks at a place that do not date a refurbishing."""
        return [m for m in self.marks if m.where == where and m.year and not m.refurbished]

    @cached_property
    def base(self) -> str:
        """Place whose mark dates the telephone: the observation of the rule `base_mark`."""
        return next((c.observation.removeprefix(_MARKS) for c in self.checks.of("base_mark")), "")

    @cached_property
    def made(self) -> Years | None:
        """The years this telephone is held to be of: its base mark, else the years claimed."""
        base = self.mark_years(self.base)
        return Years(base[0].year or 0, base[0].year or 0) if base else self.era

    # Findings --------------------------------------------------------------------------------------------------

    def find(self, check: str, because: tuple[Because, ...], basis: Basis, *, slot: str | None = None, detail: str = "", **words: str) -> Iterator[Finding]:
        """The finding of a row of checks.csv; none where that row is not in the table."""
        row = self.checks.by_id.get(check)
        if row is not None:
            yield self._finding(row, tuple(dict.fromkeys(because)), basis, slot, detail, words)

    def _finding(self, row: Check, because: tuple[Because, ...], basis: Basis, slot: str | None, detail: str, words: dict[str, str]) -> Finding:
        model = self.lexicon.models.get(self.model or "")
        names = {"model": model.name if model else "this telephone", "slot": self.lexicon.slots[slot].name if slot else "", **words}
        node, _, state = row.state.partition(".")
        node = (slot or "") if node == _SLOT else node
        evidence = row.evidence if any(isinstance(b, Observation) for b in because) else row.evidence_said
        found = Finding(
            "gap", slot, self.model, sentence(row.says, names), because, basis.row, basis.source, "sure", row.rule, node or None, state or None, evidence or None, detail
        )
        kind = "later" if row.finding == "conflict" and basis.certainty == "unsure" else row.finding
        return replace(found, kind=kind, certainty=basis.certainty)  # type: ignore[arg-type]


def quote(claim: PartClaim | ModelClaim) -> Quote:
    """The quote of a claim."""
    return Quote(claim.quote, claim.start, claim.end)


def basis(table: str, row: object) -> Basis:
    """The basis of a record that has id, source and certainty."""
    return Basis(f"{table}:{row.id}", row.source, row.certainty)  # type: ignore[attr-defined]
