"""The rows of checks.csv: what code asks for is there, what is there is asked for, and names of other tables exist."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

from listingrisk.crosscheck.checks import checks_of
from listingrisk.tables.find import table_folder
from listingrisk.tables.lexicon import load_lexicon
from listingrisk.tables.weights import load_weights

LEXICON = load_lexicon()
WEIGHTS = load_weights(table_folder(None) / "models")
CHECKS = checks_of(LEXICON)
CODE = "\n".join(path.read_text(encoding="utf-8") for path in sorted(Path(inspect.getfile(checks_of)).parent.glob("*.py")))
ASKED = set(re.findall(r'"([a-z]+(?:-[a-z]+)*\.[a-z-]+)"', CODE)) | {f"part-fit.{fit}{tail}" for fit in ("service", "later") for tail in ("", "-told", "-claimed")}
PLACES = {"slot", "part", "model", "other", "named", "year", "when", "made", "colour", "how", "parts", "signs", "topic", "views"}


def test_checks_that_say_something_are_asked_for():
    """Every row with a sentence is an outcome that code knows, and no outcome is without its row."""
    said = {c.id for c in CHECKS.by_id.values() if c.says}
    assert said - ASKED == set()
    assert {a for a in ASKED if a.partition(".")[0] in {s.partition(".")[0] for s in said}} - set(CHECKS.by_id) == set()


def test_checks_name_rows_of_the_weights():
    """Evidence of either kind is a row of models/evidence.csv."""
    evidence = WEIGHTS.evidence
    assert [c.id for c in CHECKS.by_id.values() for e in (c.evidence, c.evidence_said) if e and e not in evidence] == []


def test_checks_of_what_weighs_itself_are_the_signals():
    """The answers that give a finding no weight of its own are those that the risk model weighs by themselves."""
    signals = {(s.signal, s.value) for s in WEIGHTS.signals if s.kind == "observation"}
    assert {(c.observation, c.value) for c in CHECKS.of("weighs_itself")} <= signals


def test_checks_fill_only_places_that_code_fills():
    """A template names no place that stays empty."""
    assert {place for c in CHECKS.by_id.values() for place in re.findall(r"\{(\w+)\}", c.says)} <= PLACES


def test_checks_code_names_no_slot_and_no_part():
    """Code knows kinds of rules: no slot, part or model of the tables stands in it."""
    words = set(re.findall(r'"([a-z0-9_-]+)"', CODE))
    kinds = {m.kind for m in LEXICON.models.values()}
    assert (words - kinds) & (set(LEXICON.slots) | set(LEXICON.parts) | set(LEXICON.models)) == set()
