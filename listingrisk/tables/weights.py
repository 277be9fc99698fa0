"""Weights: the tables of models/ as frozen records, with the checks that hold across rows.

Loading collects every fault and raises BadTable once. What the records mean is told in weight_rows.py and
models/README.md; the mathematics they serve is in method sections A to F (see DEVELOPERS.md).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from listingrisk.errors import BadTable
from listingrisk.tables import weight_rows as rows
from listingrisk.tables.lexicon import digest
from listingrisk.tables.schema import Row, Table, read_package
from listingrisk.tables.weight_checks import check_weights
from listingrisk.tables.weight_rows import Range

T = TypeVar("T")
ANY = "*"
"""The scope of a row that holds for every model."""
SCARCE = "scarce"
"""The scope of a row that holds where a scarce colour is claimed."""


@dataclass(frozen=True, eq=False)
class Weights:
    """Every number of judgement, read only. Compared and hashed by identity, so that results can be cached by it."""

    settings: Mapping[str, float]
    setting_currency: Mapping[str, str]
    priors: tuple[rows.Prior, ...]
    evidence: Mapping[str, rows.Evidence]
    signals: tuple[rows.Signal, ...]
    utterances: Mapping[tuple[str, str], rows.Utterance]
    deductions: tuple[rows.Deduction, ...]
    classes: Mapping[str, rows.ClassShare]
    floors: tuple[rows.Floor, ...]
    resale: tuple[rows.Resale, ...]
    worths: tuple[rows.WorthRow, ...]
    colour_ratios: tuple[rows.ColourRatio, ...]
    usual_worths: tuple[rows.UsualWorth, ...]
    answers: Mapping[str, rows.Answering]
    asking: Mapping[tuple[str, str], rows.Asking]
    assumed: Mapping[str, tuple[rows.Assumed, ...]]
    landed: Mapping[str, rows.LandedRow]
    digest: str = ""

    @cached_property
    def _priors_by_node(self) -> dict[str, dict[str, list[rows.Prior]]]:
        found: dict[str, dict[str, list[rows.Prior]]] = defaultdict(lambda: defaultdict(list))
        for prior in self.priors:
            found[prior.node][prior.scope].append(prior)
        return found

    @cached_property
    def _deductions_by_slot(self) -> dict[tuple[str, str, str], list[rows.Deduction]]:
        found: dict[tuple[str, str, str], list[rows.Deduction]] = defaultdict(list)
        for row in self.deductions:
            found[row.slot, row.state, row.purpose].append(row)
        return found

    def priors_of(self, node: str, scopes: Iterable[str]) -> tuple[rows.Prior, ...]:
        """Rows of a node in the first scope (narrowest first) that has any; () where the tables hold none."""
        by_scope = self._priors_by_node.get(node, {})
        return next((tuple(by_scope[scope]) for scope in scopes if scope in by_scope), ())

    def deduction_of(self, slot: str, state: str, purpose: str, scopes: tuple[str, ...]) -> rows.Deduction | None:
        """The narrowest row for a fault: by purpose first, then by scope; None where the fault costs nothing."""
        for wanted in (purpose, ANY):
            found = {row.scope: row for row in self._deductions_by_slot.get((slot, state, wanted), ())}
            for scope in scopes:
                if scope in found:
                    return found[scope]
        return None

    def signals_of(self, kind: str, signal: str, value: str) -> tuple[rows.Signal, ...]:
        """What an observation's value, a flag's standing or a stance is evidence for."""
        return tuple(self._signals_by_key.get((kind, signal, value), ()))

    @cached_property
    def _signals_by_key(self) -> dict[tuple[str, str, str], list[rows.Signal]]:
        found: dict[tuple[str, str, str], list[rows.Signal]] = defaultdict(list)
        for row in self.signals:
            found[row.kind, row.signal, row.value].append(row)
        return found

    def asking_of(self, view: str, slot: str) -> rows.Asking:
        """What a photo of this view shows of this slot: the narrowest row."""
        for key in ((view, slot), (view, ANY), (ANY, slot)):
            if key in self.asking:
                return self.asking[key]
        return self.asking[ANY, ANY]

    def floor_share(self, state: str, purpose: str) -> float:
        """Share of the plain worth that such an object fetches as found."""
        found = {row.purpose: row.share for row in self.floors if row.object == state}
        return found.get(purpose, found.get(ANY, 0.0))


def first_in_scope(found: Iterable[T], scopes: tuple[str, ...], scope_of: Callable[[T], str]) -> T | None:
    """The row whose scope stands first in `scopes`, None where none does."""
    by_scope = {scope_of(row): row for row in found}
    return next((by_scope[scope] for scope in scopes if scope in by_scope), None)


def load_weights(folder: Path) -> Weights:
    """Read the tables of a models folder.

    Raises BadTable with every fault: of single cells (Table Schema) first, then of rows taken together: priors of a node
    that do not sum to 1, weights off the permitted steps, utterances whose ratio falls from reliable to misleading,
    answers that disagree with the rows that weigh them.
    """
    tables, faults = read_package(folder)
    if faults:
        raise BadTable(faults)
    faults = check_weights(tables)
    if faults:
        raise BadTable(faults)
    return build_weights(tables, digest(folder))


def build_weights(tables: Mapping[str, Table], digest_text: str = "") -> Weights:
    """Records of tables that were read and checked cell by cell."""
    return Weights(
        settings=MappingProxyType({r["id"]: float(r["value"]) for r in tables["settings"].rows}),
        setting_currency=MappingProxyType({r["id"]: r["unit"] for r in tables["settings"].rows}),
        priors=tuple(rows.Prior(r["id"], r["node"], r["state"], r["given"], r["scope"], _range(r), r["source"], r["grade"]) for r in tables["priors"].rows),
        evidence=MappingProxyType({r["id"]: _evidence(r) for r in tables["evidence"].rows}),
        signals=tuple(rows.Signal(*(r[c] for c in ("id", "kind", "signal", "value", "node", "state", "how", "evidence", "source", "grade"))) for r in tables["signals"].rows),
        utterances=MappingProxyType({(r["outcome"], r["words"]): rows.Utterance(r["outcome"], r["words"], float(r["p_ok"]), float(r["p_bad"]), r["source"], r["grade"]) for r in tables["utterances"].rows}),
        deductions=tuple(_deduction(r) for r in tables["deductions"].rows),
        classes=MappingProxyType({r["object"]: rows.ClassShare(r["object"], _range(r), r["of"], r["source"], r["grade"]) for r in tables["classes"].rows}),
        floors=tuple(rows.Floor(r["object"], r["purpose"], float(r["share"]), r["source"], r["grade"]) for r in tables["floors"].rows),
        resale=tuple(rows.Resale(r["id"], r["slot"], r["scope"], _range(r), r["currency"], r["date"], r["source"], r["grade"]) for r in tables["resale"].rows),
        worths=tuple(_worth(r) for r in tables["worths"].rows),
        colour_ratios=tuple(rows.ColourRatio(r["id"], r["model"], r["colour"], float(r["low"]), float(r["high"]), r["source"], r["grade"]) for r in tables["colour_ratios"].rows),
        usual_worths=tuple(rows.UsualWorth(r["scope"], float(r["amount"]), r["currency"]) for r in tables["usual_worths"].rows),
        answers=MappingProxyType({r["kind"]: _answering(r) for r in tables["answers"].rows}),
        asking=MappingProxyType({(r["view"], r["slot"]): rows.Asking(r["view"], r["slot"], r["kind"], float(r["minutes"]), tuple(r["states"].split()), r["ask"]) for r in tables["asking"].rows}),
        assumed=MappingProxyType(_assumed(tables["assumed"].rows)),
        landed=MappingProxyType({r["currency"]: _landed(r) for r in tables["landed"].rows}),
        digest=digest_text,
    )


def _range(row: Row, prefix: str = "") -> Range:
    return Range(float(row[prefix + "low"]), float(row[prefix + "mid"]), float(row[prefix + "high"]))


def _evidence(r: Row) -> rows.Evidence:
    return rows.Evidence(r["id"], r["what"], r["node"], r["state"], float(r["p_state"]), float(r["p_ref"]), r["group"], float(r["gamma"]), r["seen"], r["source"], r["grade"])


def _deduction(r: Row) -> rows.Deduction:
    cost = _range(r) if r["low"] else None
    return rows.Deduction(r["id"], r["slot"], r["state"], r["scope"], r["purpose"], cost, r["currency"], r["date"], _range(r, "lost_"), r["lost_of"], r["source"], r["grade"])


def _worth(r: Row) -> rows.WorthRow:
    return rows.WorthRow(r["id"], r["model"], r["colour"], r["condition"], float(r["low"]), float(r["high"]), r["currency"], r["date"], r["basis"], r["source"], r["grade"])


def _answering(r: Row) -> rows.Answering:
    return rows.Answering(r["kind"], float(r["no_reply"]), float(r["vague"]), float(r["fault_bad"]), float(r["fault_ok"]), r["evidence_fault"], r["evidence_ok"])


def _landed(r: Row) -> rows.LandedRow:
    return rows.LandedRow(r["currency"], float(r["postage"]), float(r["premium_percent"]), float(r["vat_percent"]), r["date"], r["source"], r["grade"])


def _assumed(table: Iterable[Row]) -> dict[str, tuple[rows.Assumed, ...]]:
    found: dict[str, list[rows.Assumed]] = defaultdict(list)
    for row in table:
        found[row["kind"]].append(rows.Assumed(row["slot"], row["needs"], row["unless"]))
    return {kind: tuple(slots) for kind, slots in found.items()}
