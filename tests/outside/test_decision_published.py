"""The decision core against published worked examples; each figure is printed in the source named beside it."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest

from listingrisk.odds import decibans, likelihood_ratio, update, verbal_strength
from listingrisk.questions.choose import add, best_set, nothing_chosen, option_for, worth_with
from listingrisk.questions.deal import Deal
from listingrisk.questions.value import Field, Lens, Stake
from listingrisk.risk.add import group_sum
from listingrisk.risk.assess import assess
from listingrisk.worth.ceiling import expectile
from listingrisk.worth.frame import Frame
from listingrisk.worth.grid import Grid
from listingrisk.worth.landed import Landing
from listingrisk.worth.value import distribution, quantile
from tests.risk.stub import node_set, shipped

CERTAIN = (0.999999, 5e-7, 5e-7)


def one_point(*, worth, floor, costs, step=1.0):
    """A frame with one worth and one class: costs is slot x state."""
    width = max(len(c) for c in costs)
    table = np.array([[[x] for x in (*c, *([0] * (width - len(c))))] for c in costs], dtype=np.int64)
    four = np.full((4, 1), worth, dtype=np.int64)
    return Frame(step, four, np.full(4, floor, dtype=np.int64), Grid(table, np.zeros((3, 1), dtype=np.int64), np.ones(1)))


def stake_of(prior, payoff, *, price, overpay=1.0):
    """A decision with these payoffs against walking away, as a telephone bought at `price`."""
    best = max(payoff)
    order = np.argsort([-x for x in payoff])
    model = node_set([("slot", np.asarray(prior)[order])])
    costs = [best - payoff[i] for i in order]
    frame = one_point(worth=best + price, floor=min(payoff) + price, costs=[costs])
    return Stake(Field(assess((), (), model, shipped()), frame), Deal(np.array([float(price)]), np.ones(1), price), overpay), order


def evsi_of(stake, order, table):
    """EVSI of a test; `table` rows are states in the source's order, columns answers (the last is what is left over)."""
    told = np.asarray(table)[order].T
    shown = [np.concatenate([np.zeros(0), row]) for row in told[:-1]]
    lens = Lens((0,), np.array(shown)[:, None, None, :], 1.0, None)
    return stake.evsi(stake.field.answers(lens))


CASES = [
    # id, prior, payoff, alternative, likelihoods, value now, EVSI, EVPI
    # Raiffa 1968, Shenoy 1992, as in Hugin's Oil Wildcatter page: 22.5 with the test of 10, EVPI 35
    ("wildcatter", (0.5, 0.3, 0.2), (-70, 50, 200), 0, [[0.1, 0.3, 0.6], [0.3, 0.4, 0.3], [0.5, 0.4, 0.1]], 20, 12.5, 35),
    # Hillier and Lieberman ch. 15 (Goferbroke): 100 without, 153 before the survey's cost, EVE 53, EVPI 142.5
    ("goferbroke", (0.25, 0.75), (700, -100), 90, [[0.6, 0.4], [0.2, 0.8]], 100, 53, 142.5),
    # Samuelson and Marks ch. 13: 120 without, 140 with the test, EVPI 120
    ("imperfect-test", (0.4, 0.6), (600, -200), 0, [[0.75, 0.25], [1 / 3, 2 / 3]], 120, 20, 120),
    # the same chapter, irrelevant information: 120 with and without
    ("worthless-test", (0.4, 0.6), (600, -200), 0, [[0.25, 0.75], [1 / 6, 5 / 6]], 120, 0, 120),
    # SAS/OR DTREE, oil wildcatter with sounding test: EVPI 155, the sounding of 60 does not pay
    ("sas-wildcatter", (0.5, 0.3, 0.2), (-310, 390, 890), 0, [[0.1, 0.3, 0.6], [0.3, 0.4, 0.3], [0.5, 0.4, 0.1]], 140, 40.1, 155),
]


@pytest.mark.parametrize(("name", "prior", "payoff", "alternative", "table", "now", "evsi", "evpi"), CASES, ids=[c[0] for c in CASES])
def test_decision_trees(name, prior, payoff, alternative, table, now, evsi, evpi):
    """Value without, worth of the test and of perfect information agree with the printed figures."""
    stake, order = stake_of(prior, [x - alternative for x in payoff], price=1000)
    assert stake.now + alternative == pytest.approx(now, abs=1e-6)
    three = np.array(table)
    if three.shape[1] == 2:
        three = np.column_stack([three[:, 0], np.zeros(len(three)), three[:, 1]])
    assert evsi_of(stake, order, three) == pytest.approx(evsi, abs=1e-6)
    perfect = np.eye(len(prior))
    if len(prior) == 2:
        perfect = np.column_stack([perfect[:, 0], np.zeros(2), perfect[:, 1]])
    assert evsi_of(stake, order, perfect) == pytest.approx(evpi, abs=1e-6)


def test_mammography():
    """Eddy 1982, Gigerenzer: prior 1 %, sensitivity 80 %, false alarms 9.6 %: 7.8 % after a positive test."""
    assert update([0.99, 0.01], [0.0, decibans(0.8, 0.096)])[1] == pytest.approx(0.078, abs=5e-4)


def test_mri():
    """Fagan's nomogram, Evid Based Med 2013;18:125: prior 2 %, 75 %, specificity 96 %: about 28 % and 0.6 %."""
    assert update([0.98, 0.02], [0.0, decibans(0.75, 0.04)])[1] == pytest.approx(0.28, abs=5e-3)
    assert update([0.98, 0.02], [0.0, decibans(0.25, 0.96)])[1] == pytest.approx(0.006, abs=1e-3)


def test_decibans_of_good_and_turing():
    """culturalcognition.net/?p=771: a ban is a ratio of ten, a deciban a tenth of it; odds of 5 to 4 are about one."""
    assert likelihood_ratio(10) == pytest.approx(10)
    assert likelihood_ratio(1) == pytest.approx(1.2589, abs=5e-5)
    assert decibans(0.5, 0.4) == pytest.approx(0.969, abs=5e-4)


@pytest.mark.parametrize(
    ("ratio", "words"),
    # lrcfs-ap2.dundee.ac.uk/lr_book, table 5.3: at least X but less than Y
    [(1, "none"), (1.5, "none"), (2, "weak"), (9.99, "weak"), (10, "moderate"), (99, "moderate"), (100, "moderately strong"), (999, "moderately strong"), (1000, "strong"), (9999, "strong"), (1e4, "very strong"), (999999, "very strong"), (1e6, "extremely strong")],
)
def test_verbal_scale(ratio, words):
    """ENFSI guideline for evaluative reporting, 2015."""
    assert verbal_strength(ratio) == words


def test_two_copies_of_one_clue():
    """Own case of method_cases.yaml, checked with pyagrum there: prior 10 %, ratio 5 twice from one cause: 35.71 %."""
    weight = 10 * math.log10(5)
    assert update([0.9, 0.1], [0.0, group_sum([(weight, 0.0), (weight, 0.0)])])[1] == pytest.approx(0.3571, abs=1e-4)


@pytest.mark.parametrize(("overpay", "price"), [(1.0, 90.0), (2.0, 81.8182), (3.0, 75.0)])
def test_expectile_of_two_points(overpay, price):
    """Worth 100 with probability .9, else nothing; scipy.stats.expectile gives the same (method_cases: expectile-two-point)."""
    from scipy import stats

    found = expectile(np.array([0.0, 100.0]), np.array([0.1, 0.9]), overpay)
    assert found == pytest.approx(price, abs=1e-3)
    assert found == pytest.approx(float(stats.expectile([0.0, 100.0], alpha=1 / (1 + overpay), weights=[0.1, 0.9])), abs=1e-6)


def test_expectile_against_scipy_on_random_worths():
    """scipy.stats.expectile on 50 random distributions."""
    from scipy import stats

    rng = np.random.default_rng(4)
    for _ in range(50):
        values, weights, overpay = np.sort(rng.uniform(0, 300, 12)), rng.dirichlet(np.ones(12)), rng.uniform(1, 10)
        assert expectile(values, weights, overpay) == pytest.approx(float(stats.expectile(values, alpha=1 / (1 + overpay), weights=weights)), abs=1e-6)


def test_small_convolution():
    """Own case of method_cases.yaml by itertools.product: mean 139.97725, lower decile 80, 3.744 % at the floor."""
    slots = [((0.7, 0.2, 0.1), (0, 25, 60)), ((0.9, 0.1), (0, 40)), ((0.5, 0.5), (0, 10)), ((0.8, 0.15, 0.05), (0, 30, 90)), ((0.6, 0.4), (0, 15)), ((0.95, 0.05), (0, 120))]
    model = node_set([(f"slot{i}", p) for i, (p, _) in enumerate(slots)])
    frame = one_point(worth=180, floor=35, costs=[c for _, c in slots])
    values, probabilities = distribution(frame, assess((), (), model, shipped()).mixture, np.array([1.0, 0, 0, 0]))
    assert values @ probabilities == pytest.approx(139.97725, abs=1e-9)
    assert quantile(values, probabilities, (0.1,)) == [80.0]
    assert probabilities[values == 35].sum() == pytest.approx(0.03744, abs=1e-9)


def test_two_questions_worth_nothing_singly():
    """Own case evsi-not-submodular: worth 100, 30, 30, 0 at a price of 75: each alone 0, both 6.25."""
    model = node_set([("a", (0.5, 0.5)), ("b", (0.5, 0.5))])
    frame = one_point(worth=100, floor=0, costs=[(0, 70), (0, 70)])
    stake = Stake(Field(assess((), (), model, shipped()), frame), Deal(np.array([75.0]), np.ones(1), 75.0), 1.0)
    perfect = [Lens((i,), np.array([[[[1.0, 0.0]]], [[[0.0, 1.0]]]]), 1.0, None) for i in (0, 1)]
    assert [stake.evsi(stake.field.answers(lens)) for lens in perfect] == pytest.approx([0.0, 0.0], abs=1e-9)
    # even chances make some coefficients vanish, where a set is valued a little low; the pair is found all the same
    options = [option_for(stake.field, lens, i, 1.0, 0.0) for i, lens in enumerate(perfect)]
    found = best_set(stake, options, budget_minutes=9.0, each=0.0)
    assert len(found.options) == 2
    assert 6.25 * 0.97 <= found.worth <= 6.25 + 1e-9


def test_two_questions_worth_something_together():
    """The same, with parts of unequal chance so that no coefficient vanishes: the pair equals enumeration by hand."""
    model = node_set([("a", (0.6, 0.4)), ("b", (0.7, 0.3))])
    frame = one_point(worth=100, floor=0, costs=[(0, 70), (0, 70)])
    stake = Stake(Field(assess((), (), model, shipped()), frame), Deal(np.array([75.0]), np.ones(1), 75.0), 1.0)
    lenses = [Lens((i,), np.array([[[[1.0, 0.0]]], [[[0.0, 1.0]]]]), 1.0, None) for i in (0, 1)]
    options = [option_for(stake.field, lens, i, 1.0, 0.0) for i, lens in enumerate(lenses)]
    pair = worth_with(stake, add(nothing_chosen(stake), options[0]), [options[1]])[0]
    assert pair == pytest.approx(0.6 * 0.7 * 25, abs=1e-9)  # only "both right" is bought: 100 - 75
    assert stake.now == pytest.approx(0.0, abs=1e-9)


def test_information_has_no_negative_worth_with_a_loss_averse_buyer():
    """Own case chance-constraint-negative-voi: a 10 % limit on overpaying makes an answer worth -8.33; here it is worth 0."""
    stake, order = stake_of((0.95, 0.05), (40, -60), price=60, overpay=2.0)
    signal = np.array([[17 / 57, 0.0, 40 / 57], [1.0, 0.0, 0.0]])  # P(bad | signal) = .15 with probability 1/3, else 0
    assert evsi_of(stake, order, signal) == pytest.approx(0.0, abs=1e-9)


def test_surplus_of_an_auction_is_the_integral_of_the_rival():
    """Own case auction-surplus-is-integral-of-G: worth 60, rival uniform on 20 to 120: (60 - 20)^2 / 200 = 8."""
    model = node_set([("slot", (0.5, 0.5))])
    frame = one_point(worth=60, floor=0, costs=[(0, 0)])
    prices = 20 + (np.arange(2000) + 0.5) / 20
    deal = Deal(prices, np.full(2000, 1 / 2000), 70.0)
    assert Stake(Field(assess((), (), model, shipped()), frame), deal, 1.0).now == pytest.approx(8.0, abs=1e-3)


def test_buyers_premium():
    """grahambuddauctions.co.uk: hammer 100, 24 % premium and 20 % VAT on it: 128.80."""
    assert Landing("GBP", 0, "listing", Decimal(24), Decimal(20)).landed_minor(10000) == 12880


def test_buyers_premium_under_the_margin_scheme():
    """harrypickup.co.uk: hammer 1,000 at 25 % and VAT on the premium is 1,300, and 1,300 buys no more than 1,000."""
    cost = Landing("GBP", 0, "listing", Decimal(25), Decimal(20))
    assert cost.landed_minor(100000) == 130000
    assert cost.highest_price_minor(130000) == 100000
