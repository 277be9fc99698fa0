"""Which slots a model has."""

from __future__ import annotations

import numpy as np
import pytest

from listingrisk.risk.nodes import nodes_for
from tests.risk.stub import shipped


def slots(lexicon, model, **options):
    return set(nodes_for(model, lexicon, shipped(), **options).index)


def test_a_332_has_its_bell_inside_and_a_232_in_a_box(lexicon):
    """Bell and coil inside a 332; a 232 has a bell set and no bell nor capacitor of its own."""
    assert {"bell", "capacitor", "drawer", "finger_stop"} <= slots(lexicon, "uk-332")
    assert "bell_set" not in slots(lexicon, "uk-332")
    assert "bell_set" in slots(lexicon, "uk-232")
    assert not {"bell", "capacitor"} & slots(lexicon, "uk-232")


def test_a_collected_telephone_does_not_break_in_the_post(lexicon):
    """No node arrives_whole where it is collected."""
    assert "arrives_whole" in slots(lexicon, "uk-332")
    assert "arrives_whole" not in slots(lexicon, "uk-332", collected=True)


def test_a_scarce_colour_is_a_claim_until_seen(lexicon):
    """Prior of a right case is at most a quarter in a scarce colour, and the ordinary one else."""
    scarce = nodes_for("uk-232", lexicon, shipped(), colour="jade-green")
    usual = nodes_for("uk-232", lexicon, shipped(), colour="black")
    assert scarce.colour_standing == "scarce"
    assert scarce.slots[scarce.index["case"]].prior[0] <= 0.25
    assert usual.slots[usual.index["case"]].prior[0] > 0.7


@pytest.mark.parametrize("model", ["uk-332", "uk-232", "uk-746", "uk-706", "uk-150", "uk-162"])
def test_every_prior_is_a_distribution_and_inside_is_ordered(lexicon, model):
    """Priors sum to one; a slot inside is worse by likelihood ratio when inside is stripped (promise B)."""
    nodes = nodes_for(model, lexicon, shipped())
    for node in nodes.slots:
        assert node.prior.sum() == pytest.approx(1)
        if node.given_inside is not None:
            good = node.given_inside[:, 0]
            assert good[0] > good[1] > good[2]
            ratios = node.given_inside[1:, 1:] / node.given_inside[:-1, 1:]
            assert (ratios > (good[1:] / good[:-1])[:, None] - 1e-12).all()
    assert np.isfinite(nodes.given).all()
