"""One frozen record per kind of row; field names are the columns of the tables (see lexicons/README.md)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from listingrisk.dates import Years


@dataclass(frozen=True, slots=True)
class SourceRow:
    """Where a fact comes from."""

    id: str
    kind: str
    title: str
    address: str
    seen: str
    supports: str


@dataclass(frozen=True, slots=True)
class View:
    """What a photo shows and how to ask for it."""

    id: str
    name: str
    ask: str
    order: int


@dataclass(frozen=True, slots=True)
class Slot:
    """A place on a telephone where a part belongs."""

    id: str
    name: str
    place: str
    view: str
    order: int
    part_of: str
    """Slot whose part this one is a piece of, '' for none."""


@dataclass(frozen=True, slots=True)
class ObservationRow:
    """What the buyer can answer about a photo; no values means free text."""

    id: str
    slot: str
    view: str
    values: tuple[str, ...]
    ask: str
    how: str
    source: str


@dataclass(frozen=True, slots=True)
class Model:
    """A type of telephone."""

    id: str
    name: str
    country: str
    kind: str
    family: str
    genuine: bool
    made: str
    refurbished_until: str
    administration: str
    makers: str
    material: str
    dialless: str
    marks: str
    note: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Part:
    """A known thing that fills a slot."""

    id: str
    slot: str
    name: str
    made: str
    recognise: str
    genuine: bool
    note: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Name:
    """Words that name a model or a part."""

    id: str
    name: str
    model: str
    part: str
    use: str
    variant: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Fit:
    """A part on a model in some years; `part` is '' where nothing belongs there."""

    id: str
    model: str
    slot: str
    part: str
    fit: str
    when: str
    when_basis: str
    share: str
    note: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class SignRow:
    """An observation value that a model or a part shows, and how often."""

    id: str
    model: str
    part: str
    observation: str
    value: str
    share: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Stamped letters and what they mean."""

    id: str
    code: str
    kind: str
    means: str
    example: str
    model: str
    country: str
    source: str
    certainty: str


class Condition(NamedTuple):
    """One condition of a trigger: kind (see, mark, part, ...), subject, operator and value, perhaps denied."""

    kind: str
    subject: str
    operator: str
    value: str
    denied: bool


@dataclass(frozen=True, slots=True)
class Tell:
    """A sign of what an object is or what was done to it; no conditions means shown only."""

    id: str
    sign: str
    means: str
    models: tuple[str, ...]
    slot: str
    strength: str
    trigger: tuple[Condition, ...]
    finding: str
    state: str
    needs: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour a model came in, or never came in."""

    id: str
    model: str
    colour: str
    standing: str
    finish: str
    note: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Lookalike:
    """A model taken for another, and how to tell."""

    id: str
    model: str
    other: str
    how: str
    view: str
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Something sources disagree on."""

    id: str
    topic: str
    model: str
    slot: str
    views: tuple[str, ...]
    sources: tuple[str, ...]
    source: str
    certainty: str


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, and when to say so."""

    id: str
    topic: str
    slots: tuple[str, ...]
    when: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words of a reading table and what they mean there."""

    id: str
    phrase: str
    kind: str
    value: str
    source: str


class FitAnswer(NamedTuple):
    """What the tables say of a part on a model: the best row, and the years it holds (None: any)."""

    row: Fit
    years: Years | None
