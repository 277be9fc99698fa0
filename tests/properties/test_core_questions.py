"""Invariants of the worth of questions (method L12 to L16) and brute force (L21)."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listingrisk.questions.choose import add, best_set, exhaustive_set, nothing_chosen, option_for, worth_with
from listingrisk.questions.deal import Deal
from listingrisk.questions.value import Field, Lens, Stake
from tests.properties.core_strategies import appraisal, photo, seeds, stake_of

many = settings(max_examples=200, deadline=None)
some = settings(max_examples=60, deadline=None)


def worth_of(stake, lens):
    return stake.evsi(stake.field.answers(lens))


@many
@given(seeds, st.floats(1, 8))
def test_a_question_is_never_worth_less_than_nothing(seed, overpay):
    """L12, L15: EVSI >= 0, and what is hoped for averages out over the answers, for photographs of one to three slots."""
    rng, risk, stake = stake_of(seed, overpay)
    for slots in ([0], [1, 3], [0, 2, 3]):
        answers = stake.field.answers(photo(rng, risk, slots))
        assert stake.evsi(answers) >= -1e-9
        now = (stake.overall @ stake.field.spectrum).real
        assert stake.hopes(answers).sum(axis=0) == pytest.approx(now, abs=1e-9)


@many
@given(seeds)
def test_knowing_more_is_worth_no_less(seed):
    """L13: a perfect answer is worth at least an imperfect one, a garbled one never more, one without news nothing (L14)."""
    rng, risk, stake = stake_of(seed)
    lens = photo(rng, risk, [1])
    perfect = Lens((1,), np.array([[[[1.0, 0.0, 0.0]]], [[[0.0, 1.0, 0.0]]]]), 1.0, None)
    blur = rng.dirichlet([3, 1], size=2)
    garbled = Lens((1,), np.einsum("ajks,ab->bjks", lens.likelihood, blur), lens.useful, None)
    idle = Lens((1,), np.full_like(lens.likelihood, 0.5), lens.useful, None)
    assert worth_of(stake, garbled) <= worth_of(stake, lens) + 1e-9
    assert worth_of(stake, lens) <= worth_of(stake, perfect) + 1e-9
    assert worth_of(stake, idle) == pytest.approx(0, abs=1e-9)


@some
@given(seeds)
def test_a_set_is_worth_at_least_each_part_of_it(seed):
    """L15: adding a question never lowers what a set is worth."""
    rng, risk, stake = stake_of(seed)
    options = [option_for(stake.field, photo(rng, risk, slots), i, 1.0, 0.0) for i, slots in enumerate(([0], [1, 2], [3]))]
    chosen, before = nothing_chosen(stake), 0.0
    for option in options:
        after = float(worth_with(stake, chosen, [option])[0])
        assert after >= before - 1e-9
        chosen, before = add(chosen, option, after), after


@some
@given(seeds, st.floats(0, 0.5))
def test_no_patience_no_questions_and_greedy_is_near_the_best(seed, each):
    """L15: budget nought gives the empty set; the greedy set never beats trying all of them, and comes near."""
    rng, risk, stake = stake_of(seed)
    options = []
    for i, slots in enumerate(([0], [1], [2, 3])):
        lens = photo(rng, risk, slots)
        options.append(option_for(stake.field, lens, i, float(rng.integers(1, 6)), worth_of(stake, lens)))
    assert best_set(stake, options, budget_minutes=0, each=each).options == ()
    greedy = best_set(stake, options, budget_minutes=8, each=each)
    best = exhaustive_set(stake, options, budget_minutes=8, each=each)
    net = [chosen.worth - each * len(chosen.options) for chosen in (greedy, best)]
    assert net[0] <= net[1] + 1e-9
    assert greedy.minutes <= 8
    assert net[0] >= 0.8 * net[1] - 0.02  # of worths up to 200: a set that no single question opens may be missed


@many
@given(seeds)
def test_fewer_frequencies_break_no_rule(seed):
    """Looking at some frequencies only keeps EVSI >= 0 and the average of the answers."""
    rng, risk, stake = stake_of(seed)
    thin = stake.thinned()
    answers = thin.field.answers(photo(rng, risk, [0, 2]))
    assert thin.evsi(answers) >= -1e-9


@many
@given(seeds, st.floats(0, 200), st.floats(0, 50))
def test_surplus_is_convex_and_rising(seed, price, more):
    """L16: what a deal is worth falls as it gets dearer, by at most the overpay factor a unit, and is never negative."""
    *_, risk, frame = appraisal(seed)
    gains = [Stake(Field(risk, frame), Deal(np.array([p]), np.ones(1), p), 1.0).now for p in (price, price + more / 2, price + more)]
    assert min(gains) >= 0
    assert gains[0] >= gains[1] - 1e-9 >= gains[2] - 2e-9
    assert gains[0] - gains[2] <= more + 1e-9
    assert gains[1] <= (gains[0] + gains[2]) / 2 + 1e-9


@settings(max_examples=25, deadline=None)
@given(seeds, st.floats(1, 4))
def test_worth_and_questions_equal_enumeration(seed, overpay):
    """L21: mean, distribution and EVSI of a photograph of two slots equal the joint written out state by state."""
    rng, model, _, _, risk, frame = appraisal(seed, count=4)
    deal = Deal(rng.uniform(10, 150, 3), rng.dirichlet(np.ones(3)), 80.0)
    stake = Stake(Field(risk, frame), deal, overpay)
    lens = photo(rng, risk, [1, 3])
    hopes, mean = enumerate_hopes(model, risk, frame, lens, deal, overpay)
    from listingrisk.worth.value import mean_worth

    assert mean_worth(frame, risk.mixture, risk.object) == pytest.approx(mean, abs=1e-8)
    expected = np.maximum(hopes, 0) @ deal.weights
    now = np.maximum(hopes.sum(axis=0), 0) @ deal.weights
    assert worth_of(stake, lens) == pytest.approx(expected.sum() - now, abs=1e-8)


def enumerate_hopes(model, risk, frame, lens, deal, overpay):
    """P(answer) E u(V - T) over every component, state, cost atom, class and worth point."""
    mixture, atoms = risk.mixture, frame.grid.atoms
    hopes, mean = np.zeros((5, len(deal.landed))), 0.0
    for k, weight in enumerate(mixture.weight):
        for states in product(range(3), repeat=len(model.slots)):
            p = weight * np.prod([mixture.states[k, i, s] for i, s in enumerate(states)])
            if p == 0:
                continue
            pmf = {0: p}
            for costs in [*(frame.grid.costs[i, s] for i, s in enumerate(states)), frame.grid.inside_costs[mixture.inside[k]]]:
                pmf = _added(pmf, costs, atoms)
            answers = _answers(lens, states)
            for cost, chance in pmf.items():
                for c, share in enumerate(risk.object):
                    for top in frame.worth[c]:
                        value = max(frame.floor[c], top - cost)
                        q = chance * share / frame.worth.shape[1]
                        mean += q * value
                        gain = value - deal.landed
                        hopes += q * answers[:, None] * np.where(gain >= 0, gain, overpay * gain)[None]
    return hopes, mean


def _added(pmf, costs, atoms):
    out: dict[int, float] = {}
    for cost, p in pmf.items():
        for extra, share in zip(costs, atoms, strict=True):
            out[cost + int(extra)] = out.get(cost + int(extra), 0.0) + p * share
    return out


def _answers(lens, states):
    told = [lens.useful * lens.likelihood[a, 0, 0, states[lens.slots[0]]] * lens.likelihood[b, 1, 0, states[lens.slots[1]]] for a, b in product((0, 1), repeat=2)]
    return np.array([*told, 1 - lens.useful])
