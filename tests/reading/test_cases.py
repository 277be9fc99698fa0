"""Ugly sentences as data: what the words claim, slot by slot (tests/cases/README.md)."""

from __future__ import annotations

import pathlib

import pytest
import yaml

from listingrisk.claims.from_text import read
from listingrisk.tables.lexicon import Lexicon

CASES = pathlib.Path(__file__).parent.parent / "cases"
KNOWN = set((CASES / "known_failures.txt").read_text(encoding="utf-8").split())


def _cases() -> list:
    found = []
    for name in ("open", "kept"):
        for case in yaml.safe_load((CASES / f"{name}.yaml").read_text(encoding="utf-8")):
            marks = [pytest.mark.xfail(strict=True)] if case["id"] in KNOWN else []
            found.append(pytest.param(case, id=case["id"], marks=marks))
    return found


@pytest.mark.parametrize("case", _cases())
def test_cases_are_read_as_labelled(case: dict, lexicon: Lexicon) -> None:
    """Subject, models, part states and flags are those a person labelled."""
    found = read(case["text"], lexicon)
    assert found.subject == case["subject"]
    if case["subject"] != "telephone":
        return
    free = {i for m in case["models"] for i in m.get("candidates") or ()}
    models = {m["id"] for m in case["models"] if m["id"]}
    assert {m.id for m in found.claims.models if m.id} - (free - models) == models
    assert {(p.slot, p.state) for p in found.claims.parts} == {(p["slot"], p["state"]) for p in case["parts"]}
    assert {(f.flag, f.standing == "negated") for f in found.claims.flags} == {(f["flag"], f["standing"] == "negated") for f in case["flags"]}


