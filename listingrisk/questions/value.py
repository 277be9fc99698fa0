"""What an answer is worth before it is given (EVSI), exactly, for a photograph of several slots as for a word.

The gain of a buyer who knows what he knows is E max(0, E u(V - T)) over deal prices T, where u counts a loss `overpay`
times; it is convex, so an answer never has negative worth. All answers are means of linear functionals of the mixture,
read off its Fourier coefficients (worth/grid.py). Method F1, F2; Raiffa and Schlaifer 1961 for EVSI.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from listingrisk.odds import FloatArray
from listingrisk.questions.ask import STATEMENT, Candidate
from listingrisk.questions.deal import Deal
from listingrisk.risk.assess import Risk
from listingrisk.risk.nodes import OBJECT, WORDS
from listingrisk.tables.weights import Weights
from listingrisk.worth.frame import Frame
from listingrisk.worth.grid import ComplexArray

MOST_JOINT = 5
"""Slots of one photograph whose answers are told apart; further ones are left out of its worth (a lower bound)."""
THIN = 48
"""Frequencies kept while sets of questions are looked through."""
SAFE = 1e-3
"""A coefficient smaller than this is not divided by; the product is built afresh."""


@dataclass(frozen=True, eq=False)
class Lens:
    """How one answer looks at the slots it shows: likelihood by slot, component and state.

    `object` is the likelihood by class of object, None where the answer says nothing of it.
    """

    slots: tuple[int, ...]
    likelihood: FloatArray
    """answer (ok, fault) x slot x component x state; for a statement ok and admits."""
    useful: float
    """Chance that an answer comes and settles something; a statement carries this in its likelihood and has 1."""
    object: FloatArray | None


@dataclass(frozen=True, eq=False)
class Answers:
    """What is left of the mixture after each answer of one question; sums over answers to what is known now.

    Either coefficients (answer x frequency) or, for a question about the object, likelihoods (answer x class).
    """

    spectrum: ComplexArray | None
    object: FloatArray | None


@dataclass(frozen=True, eq=False)
class Field:
    """One appraisal made ready for questions: coefficients of every slot, at all frequencies or at some."""

    risk: Risk
    frame: Frame
    frequencies: NDArray[np.intp] | None = None
    """The frequencies kept; None for all. Leaving some out blurs worth a little and breaks no rule: EVSI stays >= 0."""

    def kept(self, coefficients: ComplexArray) -> ComplexArray:
        """The frequencies that are looked at."""
        return coefficients if self.frequencies is None else coefficients[..., self.frequencies]

    @cached_property
    def states(self) -> ComplexArray:
        """Coefficients of every slot state: slot x state x frequency."""
        return self.kept(self.frame.grid.states)

    @cached_property
    def _state_parts(self) -> FloatArray:
        return np.ascontiguousarray(self.states).view(float)

    @cached_property
    def slots(self) -> ComplexArray:
        """Coefficients of every slot: slot x component x frequency."""
        mixed = np.matmul(self.risk.mixture.states.transpose(1, 0, 2), self._state_parts)
        return np.ascontiguousarray(mixed).view(complex)

    @cached_property
    def _start(self) -> ComplexArray:
        mixture = self.risk.mixture
        return np.asarray(mixture.weight[:, None] * self.kept(self.frame.grid.inside)[mixture.inside], dtype=complex)

    @cached_property
    def whole(self) -> ComplexArray:
        """Weight times coefficients of the whole deduction: component x frequency."""
        return np.asarray(self._start * self.slots.prod(axis=0), dtype=complex)

    @cached_property
    def spectrum(self) -> ComplexArray:
        """Coefficients of the whole deduction: frequency."""
        return np.asarray(self.whole.sum(axis=0), dtype=complex)

    def without(self, slots: Sequence[int]) -> ComplexArray:
        """`whole` with some slots taken out: component x frequency."""
        taken = self.slots[list(slots)].prod(axis=0)
        if np.abs(taken).min(initial=1.0) > SAFE:
            return np.asarray(self.whole / taken, dtype=complex)
        kept = [i for i in range(len(self.slots)) if i not in set(slots)]
        return np.asarray(self._start * self.slots[kept].prod(axis=0), dtype=complex)

    def looked(self, lens: Lens) -> ComplexArray:
        """Coefficients of each slot under each answer: slot x answer x component x frequency."""
        picked = list(lens.slots)
        states = self.risk.mixture.states[:, picked].transpose(1, 0, 2)
        weighed = (lens.likelihood * states[None]).transpose(1, 0, 2, 3)
        slots, answers, components, width = weighed.shape
        seen = np.matmul(weighed.reshape(slots, answers * components, width), self._state_parts[picked])
        return np.ascontiguousarray(seen).view(complex).reshape(slots, answers, components, -1)

    def answers(self, lens: Lens) -> Answers:
        """What every answer leaves; all combinations for a photograph of several slots, the one that settles nothing last."""
        if lens.object is not None:
            told = lens.useful * lens.object
            return Answers(None, np.vstack([told, 1 - told.sum(axis=0)]))
        left = self.without(lens.slots)[None]
        for seen in self.looked(lens):
            left = (left[:, None] * seen[None]).reshape(-1, *left.shape[1:])
        spectrum = lens.useful * left.sum(axis=1)
        return Answers(np.vstack([spectrum, self.spectrum - spectrum.sum(axis=0)]), None)


@dataclass(frozen=True, eq=False)
class Stake:
    """What is at stake at one deal price: turns what is known into the gain of a buyer who acts well on it."""

    field: Field
    deal: Deal
    overpay: float

    @cached_property
    def by_class(self) -> ComplexArray:
        """Functionals of E u(V - T): class x deal price x frequency."""
        frame = self.field.frame
        least, most = int(frame.floor.min()), int(frame.worth.max())
        gain = np.arange(least, most + 1) * frame.step - self.deal.landed[:, None]
        useful = np.where(gain >= 0, gain, self.overpay * gain)
        return self.field.kept(frame.grid.functional(_by_cost(useful, frame, least)))

    @cached_property
    def overall(self) -> ComplexArray:
        """The same over all classes: deal price x frequency."""
        return np.asarray(np.einsum("c,cat->at", self.field.risk.object, self.by_class), dtype=complex)

    def gain(self, hopes: FloatArray) -> FloatArray:
        """E max(0, hope) over deal prices (last axis)."""
        return np.asarray(np.maximum(hopes, 0.0) @ self.deal.weights, dtype=float)

    @cached_property
    def now(self) -> float:
        """The gain with what is known now."""
        return float(self.gain((self.overall @ self.field.spectrum).real))

    def hopes(self, answers: Answers) -> FloatArray:
        """P(answer) times E u(V - T) after it: answer x deal price; sums over answers to what is hoped for now (L15)."""
        if answers.spectrum is not None:
            return np.asarray((answers.spectrum @ self.overall.T).real, dtype=float)
        by_class = (self.by_class @ self.field.spectrum).real * self.field.risk.object[:, None]
        likelihood = answers.object if answers.object is not None else np.ones((1, len(by_class)))
        return np.asarray(likelihood @ by_class, dtype=float)

    def evsi(self, answers: Answers) -> float:
        """What the answer to one question is worth, in currency units; never negative."""
        return float(self.gain(self.hopes(answers)).sum() - self.now)

    def thinned(self) -> Stake:
        """The same with the frequencies that matter only, for looking through sets of questions."""
        size = np.abs(self.overall).max(axis=0) * np.abs(self.field.whole).sum(axis=0)
        kept = np.sort(np.argsort(-size, kind="stable")[:THIN])
        return Stake(Field(self.field.risk, self.field.frame, kept), self.deal, self.overpay)


def _by_cost(useful: FloatArray, frame: Frame, least: int) -> FloatArray:
    """Means over the worth points of a function of worth, by class, deal price and cost in steps."""
    cells = frame.grid.length
    found = np.zeros((len(frame.floor), len(useful), cells))
    for c, floor in enumerate(frame.floor):
        for top in frame.worth[c]:
            run = min(int(top - floor), cells - 1)
            found[c, :, : run + 1] += useful[:, int(top) - least - run : int(top) - least + 1][:, ::-1]
            found[c, :, run + 1 :] += useful[:, int(floor) - least, None]
    return np.asarray(found / frame.worth.shape[1], dtype=float)


def lens_for(candidate: Candidate, risk: Risk, weights: Weights) -> Lens:
    """How the answers to a question depend on the states, from the table of its kind."""
    if candidate.kind == STATEMENT:
        return _statement_lens(candidate, risk, weights)
    row = weights.answers[candidate.kind]
    useful = 1.0 - row.no_reply - row.vague
    fault = np.array([row.fault_ok, row.fault_bad])
    if candidate.slots == (OBJECT,):
        bad = np.array([state in candidate.states[0] for state in risk.node_set.object.states], dtype=int)
        return Lens((), np.ones((2, 0, 1, risk.node_set.width)), useful, np.array([1 - fault[bad], fault[bad]]))
    kept = _dearest(candidate, risk)
    table = np.zeros((2, len(kept), 1, risk.node_set.width))
    for j, (slot, states) in enumerate(kept):
        node = risk.node_set.slots[risk.node_set.index[slot]]
        bad = np.array([state in states for state in node.states], dtype=int)
        table[:, j, 0, : len(bad)] = [1 - fault[bad], fault[bad]]
    return Lens(tuple(risk.node_set.index[slot] for slot, _ in kept), table, useful, None)


def _dearest(candidate: Candidate, risk: Risk) -> list[tuple[str, tuple[str, ...]]]:
    """The slots of a photograph that are likeliest to show something, where there are too many to tell apart."""
    pairs = list(zip(candidate.slots, candidate.states, strict=True))
    if len(pairs) <= MOST_JOINT:
        return pairs
    doubt = {slot: (p := sum(risk.node(slot).of(state) for state in states)) * (1 - p) for slot, states in pairs}
    kept = sorted(doubt, key=lambda slot: -doubt[slot])[:MOST_JOINT]
    return [(slot, states) for slot, states in pairs if slot in kept]


def _statement_lens(candidate: Candidate, risk: Risk, weights: Weights) -> Lens:
    """Answers in words depend on the kind of words; where nothing is said yet, on their average (exact for one question)."""
    node = risk.node_set.slots[risk.node_set.index[candidate.slots[0]]]
    table = np.zeros((2, len(risk.node_set.words.states), risk.node_set.width))
    for h, words in enumerate(risk.node_set.words.states):
        for a, outcome in enumerate(("ok", "admits")):
            row = weights.utterances[outcome, words]
            table[a, h, : len(node.states)] = [row.p_bad if state in candidate.states[0] else row.p_ok for state in node.states]
    told = bool(risk.said or risk.of_all)
    by_component = table[:, risk.mixture.words] if told else np.einsum("h,ahs->as", risk.node(WORDS).probability, table)[:, None]
    return Lens((risk.node_set.index[candidate.slots[0]],), by_component[:, None], 1.0, None)
