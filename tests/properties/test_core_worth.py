"""Invariants of worth and price (method L6 to L11)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listingrisk.worth.ceiling import expectile
from listingrisk.worth.frame import Frame
from listingrisk.worth.grid import Grid
from listingrisk.worth.landed import Landing
from listingrisk.worth.value import distribution, quantile
from tests.properties.core_strategies import appraisal, seeds

many = settings(max_examples=200, deadline=None)
percents = st.decimals(0, 40, places=1)


def most(frame, risk, overpay=2.0):
    return expectile(*distribution(frame, risk.mixture, risk.object), overpay)


@many
@given(seeds, st.integers(0, 3), st.integers(1, 10))
def test_cheaper_faults_and_higher_worth_never_lower_the_price(seed, slot, step):
    """L6: lowering a deduction, raising a floor or a worth never lowers the expectile."""
    *_, risk, frame = appraisal(seed)
    base = most(frame, risk)
    costs = frame.grid.costs.copy()
    costs[slot] = np.maximum(costs[slot] - step, 0)
    cheaper = Frame(1.0, frame.worth, frame.floor, Grid(costs, frame.grid.inside_costs, frame.grid.atoms))
    dearer = Frame(1.0, frame.worth + step, frame.floor, frame.grid)
    higher = Frame(1.0, np.maximum(frame.worth, frame.floor[:, None] + step), frame.floor + step, frame.grid)
    for better in (cheaper, dearer, higher):
        assert most(better, risk) >= base - 1e-9


@many
@given(seeds, st.floats(1, 10))
def test_price_lies_between_floor_and_mean(seed, overpay):
    """L7: floor <= expectile <= mean of worth <= mean worth of the classes; quantiles lie within."""
    *_, risk, frame = appraisal(seed)
    values, probabilities = distribution(frame, risk.mixture, risk.object)
    mean = values @ probabilities
    assert frame.floor.min() - 1e-9 <= expectile(values, probabilities, overpay) <= mean + 1e-9
    assert mean <= risk.object @ frame.worth.mean(axis=1) + 1e-9
    for q in quantile(values, probabilities, (0.01, 0.1, 0.5, 0.9, 0.99)):
        assert frame.floor.min() <= q <= frame.worth.max()


@many
@given(seeds, st.floats(1, 9), st.floats(0, 1))
def test_dread_lowers_the_price_and_quantiles_rise(seed, overpay, more):
    """L8: the expectile falls as overpaying is dreaded more, equals the mean at 1; quantiles do not fall with the level."""
    *_, risk, frame = appraisal(seed)
    values, probabilities = distribution(frame, risk.mixture, risk.object)
    assert expectile(values, probabilities, overpay + more) <= expectile(values, probabilities, overpay) + 1e-9
    assert expectile(values, probabilities, 1.0) == pytest.approx(values @ probabilities)
    found = quantile(values, probabilities, tuple(np.linspace(0.01, 0.99, 25)))
    assert found == sorted(found)


@settings(max_examples=80, deadline=None)
@given(seeds, st.integers(2, 5))
def test_scaling_all_money(seed, times):
    """L9: all amounts times k: the price times k, probabilities as they were."""
    *_, risk, frame = appraisal(seed)
    larger = Frame(1.0, frame.worth * times, frame.floor * times, Grid(frame.grid.costs * times, frame.grid.inside_costs * times, frame.grid.atoms))
    assert most(larger, risk) == pytest.approx(times * most(frame, risk), rel=1e-9)
    assert distribution(larger, risk.mixture, risk.object)[1].sum() == pytest.approx(1)


@many
@given(seeds, st.integers(1, 50), st.floats(1, 6))
def test_adding_a_constant_shifts_the_price_by_it(seed, constant, overpay):
    """L10: shift equivariance."""
    *_, risk, frame = appraisal(seed)
    shifted = replace(frame, worth=frame.worth + constant, floor=frame.floor + constant)
    assert most(shifted, risk, overpay) == pytest.approx(most(frame, risk, overpay) + constant, abs=1e-7)


@many
@given(st.integers(0, 300000), st.integers(0, 5000), percents, percents)
def test_landed_cost_and_its_inverse(budget, postage, premium, vat):
    """L11: landed cost never falls with the price; the highest price is within the budget and one more is not."""
    cost = Landing("GBP", postage, "listing", premium, vat)
    price = cost.highest_price_minor(budget)
    if price is None:
        assert cost.landed_minor(0) > budget
        return
    assert price >= 0
    assert cost.landed_minor(price) <= budget < cost.landed_minor(price + 1)
    assert cost.landed_minor(price) <= cost.landed_minor(price + 7)


@many
@given(st.integers(0, 300000), st.integers(0, 5000), percents, percents, st.integers(0, 900), st.decimals(0, 9, places=1))
def test_dearer_landing_never_raises_the_bid(budget, postage, premium, vat, more, dearer):
    """L11: more postage, premium or tax never raises the highest price."""
    base = Landing("GBP", postage, "listing", premium, vat).highest_price_minor(budget)
    for other in (Landing("GBP", postage + more, "listing", premium, vat), Landing("GBP", postage, "listing", premium + dearer, vat), Landing("GBP", postage, "listing", premium, vat + dearer)):
        found = other.highest_price_minor(budget)
        assert found is None or (base is not None and found <= base)


def test_percentages_are_exact():
    """A premium of 12.5 % on 99.99 is 12.50, half a penny up."""
    assert Landing("GBP", 0, "listing", Decimal("12.5"), Decimal(0)).landed_minor(9999) == 9999 + 1250
