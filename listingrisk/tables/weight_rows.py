"""One frozen record per kind of row of models/; field names are the columns (see models/README.md)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from listingrisk.odds import decibans


class Range(NamedTuple):
    """Low, middle and high of a number that is not known better (P10, P50, P90)."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True, slots=True)
class Prior:
    """How common a state is before anything is said or seen; `given` names a state of inside, '' for any."""

    id: str
    node: str
    state: str
    given: str
    scope: str
    share: Range
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """A kind of evidence: what it speaks for and the two probabilities of seeing it."""

    id: str
    what: str
    node: str
    state: str
    p_state: float
    p_ref: float
    group: str
    gamma: float
    seen: str
    source: str
    grade: str

    @property
    def weight_db(self) -> float:
        """Weight for its state against the reference, in decibans, derived from the two probabilities."""
        return decibans(self.p_state, self.p_ref)


@dataclass(frozen=True, slots=True)
class Signal:
    """What an observation, a flag or a stance is evidence for, or which utterance it is (`how` ok or admits)."""

    id: str
    kind: str
    signal: str
    value: str
    node: str
    state: str
    how: str
    evidence: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class Utterance:
    """How often words of one kind are said of a right and of a faulty slot."""

    outcome: str
    words: str
    p_ok: float
    p_bad: float
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class Deduction:
    """What a fault takes off: the cost to put it right (None: it cannot be) or the share of worth lost."""

    id: str
    slot: str
    state: str
    scope: str
    purpose: str
    cost: Range | None
    currency: str
    date: str
    lost: Range
    lost_of: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class ClassShare:
    """What an object that is not what is claimed is worth, as a share of the claimed or the plain worth."""

    object: str
    share: Range
    of: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class Floor:
    """What it fetches as found or for parts, as a share of the plain worth."""

    object: str
    purpose: str
    share: float
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class Resale:
    """What a part fetches by itself, net of the cost of selling."""

    id: str
    slot: str
    scope: str
    amount: Range
    currency: str
    date: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class WorthRow:
    """What whole telephones fetch."""

    id: str
    model: str
    colour: str
    condition: str
    low: float
    high: float
    currency: str
    date: str
    basis: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class ColourRatio:
    """What a colour fetches against the plain one."""

    id: str
    model: str
    colour: str
    low: float
    high: float
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class UsualWorth:
    """Usual worth of a kind of telephone, to turn costs into shares."""

    scope: str
    amount: float
    currency: str


@dataclass(frozen=True, slots=True)
class Answering:
    """What may come back when a question of a kind is asked."""

    kind: str
    no_reply: float
    vague: float
    fault_bad: float
    fault_ok: float
    evidence_fault: str
    evidence_ok: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """A slot that every telephone of a kind has; only where slot `needs` applies, not where `unless` has a fit."""

    slot: str
    needs: str
    unless: str


@dataclass(frozen=True, slots=True)
class Asking:
    """What a photo of a view can show of a slot, and what it costs the seller."""

    view: str
    slot: str
    kind: str
    minutes: float
    states: tuple[str, ...]
    ask: str


@dataclass(frozen=True, slots=True)
class LandedRow:
    """What is paid besides the price, by the currency of the place of sale."""

    currency: str
    postage: float
    premium_percent: float
    vat_percent: float
    date: str
    source: str
    grade: str
