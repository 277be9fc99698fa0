"""Facts of the British telephone trade, each an invented listing put to the whole appraisal."""

from pathlib import Path

import pytest
import yaml

import listingrisk

FACTS = yaml.safe_load(Path(__file__).with_name("facts_british.yaml").read_text(encoding="utf-8"))
FEWEST = 36
FEWEST_CALM = 12


def cases() -> list:
    """The facts as parameters; those the program is known to get wrong must fail."""
    return [pytest.param(fact, id=fact["id"], marks=[pytest.mark.xfail(strict=True, reason=fact["known_failure"])] if "known_failure" in fact else []) for fact in FACTS]


def answering(wanted: dict, findings: list[dict]) -> list[dict]:
    """The findings of the wanted kind and slot; no slot in the wanted means any."""
    slots = wanted["slot"] if isinstance(wanted.get("slot"), list) else [wanted.get("slot")]
    return [f for f in findings if f["kind"] == wanted["kind"] and ("slot" not in wanted or f["slot"] in slots)]


def is_calm(fact: dict) -> bool:
    """Whether the fact is that nothing contradicts."""
    return {"kind": "conflict"} in fact.get("must_not", [])


@pytest.mark.parametrize("fact", cases())
def test_british_fact(fact):
    """The likeliest model and the findings are those the source speaks for."""
    d = listingrisk.appraise(fact["text"], answers={"see": fact.get("see", {})}).to_dict()
    found = [f"{f['kind']} {f['slot']}: {f['says']} ({f['row']})" for f in d["findings"] if f["kind"] != "gap"]
    assert d["identity"][0]["model"] == fact.get("model", d["identity"][0]["model"]), fact["fact"]
    for wanted in fact.get("must", []):
        assert answering(wanted, d["findings"]), f"{fact['fact']} wanted {wanted} among {found}"
    for denied in fact.get("must_not", []):
        assert not answering(denied, d["findings"]), f"{fact['fact']} denied {denied} among {found}"


def test_british_facts_are_enough_and_sourced():
    """Each fact has its source and something to check; enough of them are calm; none stands twice."""
    assert len(FACTS) >= FEWEST
    assert sum(map(is_calm, FACTS)) >= FEWEST_CALM
    assert len({fact["id"] for fact in FACTS}) == len(FACTS)
    assert [f["id"] for f in FACTS if "http" not in f["source"] and f["source"] not in ("common practice", "from memory")] == []
    assert [f["id"] for f in FACTS if not f.get("must") and not f.get("must_not")] == []
    assert [f["id"] for f in FACTS if "£" not in f["text"]] == []
