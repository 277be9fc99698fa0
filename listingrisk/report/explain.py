"""The sums behind the chances: for each node where it started, every addend in decibans, and where it ends."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

from listingrisk.odds import decibans
from listingrisk.report.visible import quoted, visible
from listingrisk.report.words import percent, state_words
from listingrisk.tables.lexicon import Lexicon

LEAST_DB = 0.05
"""Addends that would print as 0.0 are left out."""
HEAD = (
    "A deciban is a tenth of a power of ten of the odds against the first state named: 3 doubles them, 10 makes them ten times. The sum is what the addends below come to; "
    "several of one cause (group) count less than their sum. Printed figures are rounded."
)


def explain_lines(risk: Iterable[Mapping[str, Any]], priors: Mapping[str, Mapping[str, float]], lexicon: Lexicon, width: int) -> list[str]:
    """One block a node that anything moved: a line a state (before, sum, after), then its addends by size."""
    lines = textwrap.wrap(HEAD, width, initial_indent="  ", subsequent_indent="  ")
    still: list[str] = []
    for node in risk:
        terms = [t for t in node["terms"] if abs(t["weight_db"]) >= LEAST_DB]
        name = lexicon.slots[node["node"]].name if node["node"] in lexicon.slots else str(node["node"]).replace("_", " ")
        if terms:
            lines += ["", f"  {name}", *_node(node, terms, priors.get(node["node"], {}), width)]
        else:
            still.append(name)
    if still:
        lines += ["", *textwrap.wrap(f"Nothing moved: {', '.join(still)}.", width, initial_indent="  ", subsequent_indent="  ")]
    return lines


def _node(node: Mapping[str, Any], terms: list[Mapping[str, Any]], prior: Mapping[str, float], width: int) -> list[str]:
    lines = []
    first = next(iter(node["states"]))
    for state, probability in node["states"].items():
        before = f"before {percent(prior[state]):>4}, sum {_together(node['states'], prior, state, first):+6.1f} db," if state in prior else ""
        lines.append(f"    {state_words(node['node'], state):<28} {before} now {percent(probability)}")
        for term in sorted((t for t in terms if t["state"] == state), key=lambda t: -abs(t["weight_db"])):
            lines += textwrap.wrap(_term(term), width, initial_indent="      ", subsequent_indent=" " * 17)
    return lines


def _together(states: Mapping[str, float], prior: Mapping[str, float], state: str, first: str) -> float:
    """What moved a state against the first, in decibans, from where both began and ended."""
    return decibans(states[state] / prior[state], states[first] / prior[first])


def _term(term: Mapping[str, Any]) -> str:
    says, quote = visible(term["says"]), quoted(term["quote"], 40) if term["quote"] else ""
    told = f"said: {quote}" if quote and says.lower() == str(term["quote"]).lower() else f"{says} {quote}".rstrip()
    return f"{term['weight_db']:+6.1f} db  {told} ({visible(term['grade'])}, group {visible(term['group'])})"
