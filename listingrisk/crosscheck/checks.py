"""The rows of checks.csv: which rules run, on which slots, observations and flags, what they say and what it weighs."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import NamedTuple
from weakref import WeakKeyDictionary

from listingrisk.tables.lexicon import Lexicon
from listingrisk.tables.records import Tell

EVERY = "*"
_PLACE = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True, slots=True)
class Check:
    """One outcome of a rule, or one subject of it. A row that is taken out switches off what it stands for."""

    id: str
    rule: str
    """Kind of rule, known to code."""
    finding: str
    """conflict, later, confirms, gap or differ; '' for a row that only names a subject."""
    slot: str
    observation: str
    value: str
    """Value of the observation, a variant, or a sign, by the rule."""
    model: str
    other: str
    flag: str
    years: str
    """Years of slack."""
    says: str
    """Template of the sentence: {slot} {part} {model} {other} {year} {when}."""
    state: str
    """Node and state as in tells; the node `slot` stands for the slot of the finding."""
    evidence: str
    """Row of models/evidence.csv where it rests on something seen."""
    evidence_said: str
    """The same where it rests on words alone."""
    source: str
    certainty: str


class Basis(NamedTuple):
    """The table row that a finding stands on."""

    row: str
    source: str
    certainty: str


class Checks:
    """The checks of one lexicon, by id and by rule."""

    def __init__(self, lexicon: Lexicon) -> None:
        names = [f.name for f in fields(Check)]
        self._lexicon_models = lexicon.models
        self._triggered = tuple(t for t in lexicon.tells.values() if t.trigger and t.finding)
        self._tells: dict[str | None, tuple[Tell, ...]] = {}
        self.shown = {slot: frozenset(s.observation for p in lexicon.parts_of_slot(slot) for s in lexicon.part_signs(p.id)) for slot in lexicon.slots}
        """Observations that parts of a slot show, by slot."""
        self.by_id = {row["id"]: Check(**{name: row[name] for name in names}) for row in lexicon.rows("checks")}
        self._by_rule: dict[str, list[Check]] = defaultdict(list)
        for check in self.by_id.values():
            self._by_rule[check.rule].append(check)
        self._slots = {rule: frozenset(c.slot for c in rows if c.slot) for rule, rows in self._by_rule.items()}
        self._flags = {rule: frozenset(c.flag for c in rows if c.flag) for rule, rows in self._by_rule.items()}

    def tells_of(self, model: str | None) -> tuple[Tell, ...]:
        """Tells with a trigger that speak of a model, by its id, its family or for all."""
        if model not in self._tells:
            row = self._lexicon_models.get(model or "")
            wanted = {EVERY, row.id, row.family} if row else {EVERY}
            self._tells[model] = tuple(t for t in self._triggered if wanted & set(t.models))
        return self._tells[model]

    def of(self, rule: str) -> tuple[Check, ...]:
        """Every row of a rule."""
        return tuple(self._by_rule.get(rule, ()))

    def slots(self, rule: str) -> frozenset[str]:
        """Slots that a rule names."""
        return self._slots.get(rule, frozenset())

    def flags(self, rule: str) -> frozenset[str]:
        """Flags that a rule names."""
        return self._flags.get(rule, frozenset())

    def slack(self, rule: str) -> int:
        """Years of slack of a rule."""
        return next((int(c.years) for c in self.of(rule) if c.years), 0)

    def kin(self, model: str) -> frozenset[str]:
        """Models whose marks are right on this one, itself among them (rebuilt or relabelled by the administration)."""
        return frozenset((model, *(c.other for c in self.of("kin") if c.model == model)))


_CACHE: WeakKeyDictionary[Lexicon, Checks] = WeakKeyDictionary()


def checks_of(lexicon: Lexicon) -> Checks:
    """The checks of a lexicon, built once."""
    if lexicon not in _CACHE:
        _CACHE[lexicon] = Checks(lexicon)
    return _CACHE[lexicon]


def sentence(template: str, words: Mapping[str, str]) -> str:
    """The template with its places filled; a place with no word stays empty.

    >>> sentence("{part} does not belong on a {model}", {"part": "Dial No. 8", "model": "Telephone No. 332"})
    'Dial No. 8 does not belong on a Telephone No. 332'
    """
    return _PLACE.sub(lambda place: words.get(place[1], ""), template)
