"""Which questions to send: at most four, within what a seller does willingly (method F3 to F5).

Greedy over sets, beginning with a pair where no single question is worth asking, then one pass of swaps; a set's worth counts what its answers say together. Inside a set a photograph
has four answers (nothing useful, all well, its dearest slot amiss, something else amiss), so that a set is never valued
too high.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np

from listingrisk.odds import FloatArray
from listingrisk.questions.value import SAFE, Field, Lens, Stake
from listingrisk.worth.grid import ComplexArray

MOST_QUESTIONS = 4
"""A seller does four things at most (common practice)."""
MOST_CANDIDATES = 8
"""Sets are looked for among the best few single questions."""


@dataclass(frozen=True, eq=False)
class Option:
    """One question ready to be put into sets: its answers as factors on the mixture."""

    position: int
    slots: frozenset[int]
    factors: ComplexArray
    """Per answer, what it does to the coefficients: answer x component x frequency; sums to 1 over answers."""
    object: FloatArray | None
    """Per answer, its likelihood by class of object; None where it says nothing of it."""
    minutes: float
    single: float
    """What it is worth alone."""


def option_for(field: Field, lens: Lens, position: int, minutes: float, single: float) -> Option:
    """The question's answers as factors that sum to one over the answers, so that a set keeps what averages out."""
    if lens.object is not None:
        told = lens.useful * lens.object
        return Option(position, frozenset(), np.ones((1, 1, 1), dtype=complex), np.vstack([told, 1 - told.sum(axis=0)]), minutes, single)
    looked = _ratios(field, lens)
    main = int(np.argmax([_stakes(field, slot) for slot in lens.slots]))
    others = np.delete(looked[0], main, axis=0).prod(axis=0)
    shown = [looked[0, main] * others, looked[1, main]]
    if len(lens.slots) > 1:
        shown.append(looked[0, main] * (1 - others))
    factors = lens.useful * np.stack(shown)
    return Option(position, frozenset(lens.slots), np.concatenate([factors, 1 - factors.sum(axis=0, keepdims=True)]), None, minutes, single)


def _ratios(field: Field, lens: Lens) -> ComplexArray:
    """What each answer does to a slot's coefficients: answer x slot x component x frequency.

    Where a coefficient all but vanishes the answer counts by its chance alone: that frequency tells nothing of it.
    """
    plain = field.slots[list(lens.slots)]
    states = field.risk.mixture.states[:, list(lens.slots)].transpose(1, 0, 2)
    chance = (lens.likelihood * states[None]).sum(axis=3)[..., None]
    safe = np.abs(plain) > SAFE
    return np.asarray(np.where(safe, field.looked(lens).transpose(1, 0, 2, 3) / np.where(safe, plain, 1.0), chance), dtype=complex)


def _stakes(field: Field, slot: int) -> float:
    """Spread of a slot's deduction: which slot of a photograph matters most."""
    mixture = field.risk.mixture
    probability = mixture.weight @ mixture.states[:, slot]
    cost = field.frame.grid.costs[slot].mean(axis=1)
    return float(probability @ cost**2 - (probability @ cost) ** 2)


@dataclass(frozen=True, eq=False)
class Chosen:
    """Questions asked together."""

    stake: Stake
    options: tuple[Option, ...]
    worth: float
    before: Chosen | None = None
    """The same without the last one."""

    @property
    def minutes(self) -> float:
        """What the set costs the seller."""
        return sum(option.minutes for option in self.options)

    @cached_property
    def tensor(self) -> ComplexArray:
        """The mixture after every combination of answers about slots: answers x component x frequency."""
        if self.before is None:
            return self.stake.field.whole[None]
        tensor, option = self.before.tensor, self.options[-1]
        if option.object is not None:
            return tensor
        return np.asarray((tensor[:, None] * option.factors[None]).reshape(-1, *tensor.shape[1:]), dtype=complex)

    @cached_property
    def objects(self) -> FloatArray:
        """Probability of every answer about the object with each class: answers x class."""
        if self.before is None:
            return self.stake.field.risk.object[None]
        return _split(self.before.objects, self.options[-1])


def nothing_chosen(stake: Stake) -> Chosen:
    """The empty set, worth nothing."""
    return Chosen(stake, (), 0.0)


def fits(chosen: Chosen, option: Option) -> bool:
    """Whether an option may join: not in the set, and no slot twice."""
    return all(option.position != o.position and not option.slots & o.slots for o in chosen.options)


def worth_with(stake: Stake, chosen: Chosen, options: Sequence[Option]) -> FloatArray:
    """The worth of the set with each option added."""
    slotted = [o for o in options if o.object is None]
    found = {o.position: _worth(stake, chosen.tensor, _split(chosen.objects, o)) for o in options if o.object is not None}
    if slotted:
        functional = _functional(stake, chosen.objects)
        told = np.concatenate([o.factors[:-1] for o in slotted])
        summed = np.matmul(chosen.tensor.transpose(2, 0, 1), told.transpose(2, 1, 0)).transpose(2, 1, 0)
        hopes = (summed @ functional).real
        before = (chosen.tensor.sum(axis=1) @ functional).real
        at = 0
        for option in slotted:
            mine = hopes[at : at + len(option.factors) - 1]
            at += len(mine)
            found[option.position] = _gain(stake, mine) + _gain(stake, before - mine.sum(axis=0)) - stake.now
    return np.array([found[o.position] for o in options])


def _functional(stake: Stake, objects: FloatArray) -> ComplexArray:
    """Functionals under every answer about the object: frequency x (answer x deal price)."""
    classes, _, frequencies = stake.by_class.shape
    mixed = objects @ stake.by_class.reshape(classes, -1)
    return np.asarray(mixed.reshape(-1, frequencies).T, dtype=complex)


def _gain(stake: Stake, hopes: FloatArray) -> float:
    """Gain summed over all answers; the last axis holds answers about the object times deal prices."""
    return float(stake.gain(hopes.reshape(-1, len(stake.deal.weights))).sum())


def _split(objects: FloatArray, option: Option) -> FloatArray:
    if option.object is None:
        return objects
    return np.asarray((objects[:, None] * option.object[None]).reshape(-1, objects.shape[1]), dtype=float)


def _worth(stake: Stake, tensor: ComplexArray, objects: FloatArray) -> float:
    return _gain(stake, (tensor.sum(axis=1) @ _functional(stake, objects)).real) - stake.now


def add(chosen: Chosen, option: Option, worth: float = 0.0) -> Chosen:
    """The set with one more question; `worth` is what it is then worth."""
    return Chosen(chosen.stake, (*chosen.options, option), worth, chosen)


def best_set(stake: Stake, options: Sequence[Option], *, budget_minutes: float, each: float, most: int = MOST_QUESTIONS) -> Chosen:
    """The set with the highest worth less the buyer's time, within the seller's patience. Greedy, then one pass of swaps."""
    pool = sorted(options, key=lambda o: (-o.single, o.position))[:MOST_CANDIDATES]
    chosen = _greedy(stake, nothing_chosen(stake), pool, budget_minutes, each, most)
    for leaving in chosen.options:
        without = nothing_chosen(stake)
        for option in chosen.options:
            if option is not leaving:
                without = add(without, option)
        fresh = [o for o in pool if o.position not in {c.position for c in chosen.options}]
        swapped = _greedy(stake, without, fresh, budget_minutes, each, len(chosen.options))
        if len(swapped.options) > len(without.options) and _net(swapped, each) > _net(chosen, each) + 1e-9:
            return swapped
    return chosen


def _net(chosen: Chosen, each: float) -> float:
    return chosen.worth - each * len(chosen.options)


def _greedy(stake: Stake, chosen: Chosen, pool: Sequence[Option], budget: float, each: float, most: int) -> Chosen:
    while len(chosen.options) < most:
        open_ = [o for o in pool if fits(chosen, o) and chosen.minutes + o.minutes <= budget]
        if not open_:
            return chosen
        worths = worth_with(stake, chosen, open_)
        net = worths - chosen.worth - each
        best = int(np.argmax(net))
        if net[best] <= 0:
            pair = None if chosen.options else _pair(stake, open_, budget, each, most)
            if pair is None:
                return chosen
            chosen = pair
        else:
            chosen = add(chosen, open_[best], float(worths[best]))
    return chosen


def _pair(stake: Stake, pool: Sequence[Option], budget: float, each: float, most: int) -> Chosen | None:
    """The best two questions together, where none is worth asking alone: two may decide what neither does."""
    best: Chosen | None = None
    for first in pool if most > 1 else ():
        begun = add(nothing_chosen(stake), first)
        others = [o for o in pool if o.position > first.position and fits(begun, o) and begun.minutes + o.minutes <= budget]
        for other, worth in zip(others, worth_with(stake, begun, others), strict=True):
            if worth - 2 * each > (_net(best, each) if best else 0.0):
                best = add(begun, other, float(worth))
    return best


def exhaustive_set(stake: Stake, options: Sequence[Option], *, budget_minutes: float, each: float, most: int = MOST_QUESTIONS) -> Chosen:
    """The best set by trying them all; for few options, and to judge `best_set` by."""
    best = nothing_chosen(stake)
    for size in range(1, most + 1):
        for combination in combinations(options, size):
            chosen = nothing_chosen(stake)
            for option in combination:
                if not fits(chosen, option):
                    break
                chosen = add(chosen, option)
            else:
                if chosen.minutes <= budget_minutes:
                    whole = replace(chosen, worth=_worth(stake, chosen.tensor, chosen.objects))
                    best = max(best, whole, key=lambda c: _net(c, each))
    return best
