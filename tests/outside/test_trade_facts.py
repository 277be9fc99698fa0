"""Facts that books and collectors' pages state, each as a small listing, read and cross-checked with the shipped tables."""

from pathlib import Path

import pytest
import yaml

from listingrisk.claims.from_text import read
from listingrisk.crosscheck.check import crosscheck
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.identity import identify
from listingrisk.crosscheck.observations import validate_observations
from listingrisk.tables.lexicon import load_lexicon

FACTS = yaml.safe_load(Path(__file__).with_name("trade_facts.yaml").read_text(encoding="utf-8"))
LEXICON = load_lexicon()
FEWEST = 36


def findings(fact: dict) -> tuple[Finding, ...]:
    """What the cross-check finds for the likeliest model of the listing."""
    found = read(fact["text"], LEXICON)
    observations = validate_observations(fact.get("see", {}), LEXICON)
    model = identify(found.claims, observations, LEXICON)[0].model
    return crosscheck(found.claims, observations, model, LEXICON)


def answers(wanted: str, found: tuple[Finding, ...]) -> list[str]:
    """The findings of the kind and place that are wanted, each as one line."""
    kind, place = wanted.split()
    return [f"{f.kind} {f.slot or 'object'}: {f.says} ({f.row})" for f in found if f.kind == kind and place in ("*", f.slot or "object")]


@pytest.mark.parametrize("fact", FACTS, ids=[f["id"] for f in FACTS])
def test_trade_fact_is_found(fact):
    """What the source says is found, and nothing is found that it denies."""
    found = findings(fact)
    for wanted in fact.get("must", []):
        assert answers(wanted, found), f"{fact['fact']}\n  no {wanted} among\n  " + "\n  ".join(answers("conflict *", found) + answers("later *", found) + answers("confirms *", found))
    for denied in fact.get("must_not", []):
        assert not answers(denied, found), fact["fact"]


def test_trade_facts_are_sourced():
    """Every fact names a row of sources; there are enough of them, and none stands twice."""
    assert len(FACTS) >= FEWEST
    assert len({f["id"] for f in FACTS}) == len(FACTS)
    assert [f["id"] for f in FACTS if f["source"] not in LEXICON.sources] == []
    assert [f["id"] for f in FACTS if not f.get("must") and not f.get("must_not")] == []
