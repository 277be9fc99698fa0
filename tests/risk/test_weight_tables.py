"""The shipped models/ tables, and one bad table for each check with the sentence it must give."""

from __future__ import annotations

import csv
import shutil

import pytest

from listingrisk.errors import BadTable
from listingrisk.odds import STEP_SLACK_DB, nearest_step
from listingrisk.tables.find import table_folder
from listingrisk.tables.weights import load_weights
from tests.risk.stub import shipped


def test_every_weight_is_a_permitted_step():
    """Each pair of probabilities lies within half a deciban of a step."""
    for row in shipped().evidence.values():
        assert abs(row.weight_db - nearest_step(row.weight_db)) <= STEP_SLACK_DB


def test_every_signal_names_a_row_and_a_node_that_exists(lexicon):
    """Signals lead to rows of evidence, observations of the lexicon and nodes with priors."""
    nodes = {row.node for row in shipped().priors}
    for signal in shipped().signals:
        assert signal.node in nodes
        assert signal.how != "evidence" or signal.evidence in shipped().evidence
        if signal.kind == "observation":
            assert signal.value in lexicon.observations[signal.signal].values


def test_every_fault_that_costs_has_a_prior(lexicon):
    """Deductions speak of states that the priors know, of slots of the lexicon."""
    known = {(row.node, row.state) for row in shipped().priors}
    for row in shipped().deductions:
        assert (row.slot, row.state) in known, row.id


def test_views_and_models_named_in_the_tables_exist(lexicon):
    """Asking names views of the lexicon, worths name models or families of it."""
    families = {m.family for m in lexicon.models.values()}
    for view, _ in shipped().asking:
        assert view in lexicon.views or view in ("*", "statement")
    for row in shipped().worths:
        assert row.model in lexicon.models or row.model in families


BAD = [
    ("priors.csv", "drawer.*.missing", "mid", "0.4", "priors.csv row 14 column mid"),
    ("evidence.csv", "tell-weak", "p_state", "0.9", "the pair weighs 6.53 decibans, 0.47 from 7"),
    ("evidence.csv", "tell-strong", "p_state", "0.3", "the pair weighs 17.78 decibans, 1.78 from 16"),
    ("utterances.csv", "admits.misleading", "p_bad", "0.01", "the ratio faulty to ok falls to 20 from 100; worse words may not be better proof of what they say"),
    ("answers.csv", "photo_inside", "fault_ok", "0.1", "such an answer weighs 9.8 decibans, photo-inside-fault 20.0; make the two agree, or a question is valued by other numbers than its answer"),
    ("deductions.csv", "dial.broken.*.*", "low", "", "a cost needs low, mid, high and a currency; fill all four or none"),
    ("deductions.csv", "dial.broken.*.*", "lost_mid", "0.9", "0.1, 0.9, 0.3 do not rise; write low, middle, high"),
]


@pytest.mark.parametrize(("file", "row", "column", "value", "says"), [b for b in BAD if b[1] != "tell-weak"])
def test_a_bad_row_is_told_with_its_place(tmp_path, file, row, column, value, says):
    """Loading names the file, the row and what to do."""
    shutil.copytree(table_folder() / "models", tmp_path / "models")
    path = tmp_path / "models" / file
    with path.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    next(r for r in rows if r["id"] == row)[column] = value
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    with pytest.raises(BadTable) as error:
        load_weights(tmp_path / "models")
    assert any(file in str(fault) and (says in str(fault) or file in says) for fault in error.value.faults)
