"""Checks of models/ that hold across rows; each fault says where and what to do."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import pairwise

from listingrisk.errors import Fault
from listingrisk.odds import STEP_SLACK_DB, decibans, nearest_step
from listingrisk.tables.schema import Row, Table, row_number

SUM_SLACK = 1e-6
"""Priors are written with few decimals; their sum may miss 1 by this."""
WORDS = ("reliable", "careless", "misleading")
"""States of the words, good to bad."""
OUTCOMES = ("ok", "admits")
_RANGES = {"priors": "", "deductions": "lost_", "classes": "", "resale": ""}


def check_weights(tables: Mapping[str, Table]) -> list[Fault]:
    """Every fault of the rows of models/ taken together."""
    checks = (_prior_sums, _ranges, _steps, _utterances, _answers, _costs)
    return [fault for check in checks for fault in check(tables)]


def _prior_sums(tables: Mapping[str, Table]) -> Iterator[Fault]:
    sums: dict[tuple[str, str, str], float] = defaultdict(float)
    first: dict[tuple[str, str, str], int] = {}
    for index, row in enumerate(tables["priors"].rows):
        key = row["node"], row["given"], row["scope"]
        sums[key] += float(row["mid"])
        first.setdefault(key, row_number(index))
    for key, total in sums.items():
        if abs(total - 1) > SUM_SLACK:
            yield Fault(tables["priors"].file, first[key], "mid", f"the states of {' '.join(k for k in key if k)} sum to {total:.4g}", "make them sum to 1")


def _ranges(tables: Mapping[str, Table]) -> Iterator[Fault]:
    for name, prefix in _RANGES.items():
        for index, row in enumerate(tables[name].rows):
            low, mid, high = (float(row[prefix + end]) for end in ("low", "mid", "high"))
            if not low <= mid <= high:
                yield Fault(tables[name].file, row_number(index), prefix + "mid", f"{low:g}, {mid:g}, {high:g} do not rise", "write low, middle, high")


def _steps(tables: Mapping[str, Table]) -> Iterator[Fault]:
    for index, row in enumerate(tables["evidence"].rows):
        weight = decibans(float(row["p_state"]), float(row["p_ref"]))
        step = nearest_step(weight)
        if abs(weight - step) > STEP_SLACK_DB:
            yield Fault(tables["evidence"].file, row_number(index), "p_state", f"the pair weighs {weight:.2f} decibans, {abs(weight - step):.2f} from {step:g}", f"bring it within {STEP_SLACK_DB} of 0, 3, 5, 7, 10, 13, 16 or 20")


def _utterances(tables: Mapping[str, Table]) -> Iterator[Fault]:
    file = tables["utterances"].file
    found = {(r["outcome"], r["words"]): (row_number(i), float(r["p_ok"]), float(r["p_bad"])) for i, r in enumerate(tables["utterances"].rows)}
    for outcome in OUTCOMES:
        missing = [words for words in WORDS if (outcome, words) not in found]
        if missing:
            yield Fault(file, None, "words", f"{outcome} has no row for {', '.join(missing)}", "add it")
            continue
        ratios = [found[outcome, words][2] / found[outcome, words][1] for words in WORDS]
        for words, (before, after) in zip(WORDS[1:], pairwise(ratios), strict=True):
            if after < before - SUM_SLACK:
                yield Fault(file, found[outcome, words][0], "p_bad", f"the ratio faulty to ok falls to {after:.3g} from {before:.3g}", "worse words may not be better proof of what they say")


def _answers(tables: Mapping[str, Table]) -> Iterator[Fault]:
    weighed = {r["id"]: decibans(float(r["p_state"]), float(r["p_ref"])) for r in tables["evidence"].rows}
    for index, row in enumerate(tables["answers"].rows):
        fault_bad, fault_ok = float(row["fault_bad"]), float(row["fault_ok"])
        if row["evidence_fault"]:
            yield from _same(tables["answers"].file, index, row, "evidence_fault", decibans(fault_bad, fault_ok), weighed)
            yield from _same(tables["answers"].file, index, row, "evidence_ok", decibans(1 - fault_bad, 1 - fault_ok), weighed)


def _same(file: str, index: int, row: Row, column: str, weight: float, weighed: Mapping[str, float]) -> Iterator[Fault]:
    if row[column] in weighed and abs(weighed[row[column]] - weight) > STEP_SLACK_DB:
        yield Fault(file, row_number(index), column, f"such an answer weighs {weight:.1f} decibans, {row[column]} {weighed[row[column]]:.1f}", "make the two agree, or a question is valued by other numbers than its answer")


def _costs(tables: Mapping[str, Table]) -> Iterator[Fault]:
    file = tables["deductions"].file
    for index, row in enumerate(tables["deductions"].rows):
        ends = [row[end] for end in ("low", "mid", "high")]
        if any(ends) and not (all(ends) and row["currency"]):
            yield Fault(file, row_number(index), "low", "a cost needs low, mid, high and a currency", "fill all four or none")
        elif all(ends) and not float(ends[0]) <= float(ends[1]) <= float(ends[2]):
            yield Fault(file, row_number(index), "mid", f"{', '.join(ends)} do not rise", "write low, middle, high")
