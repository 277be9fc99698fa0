"""The cross-check of one telephone against one candidate model: every rule, in one order, one finding per slot and ground."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from listingrisk.claims.claim import Claims, Observation
from listingrisk.crosscheck.date_checks import date_findings
from listingrisk.crosscheck.facts import Facts
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.fit_checks import absence_findings, part_findings, presence_findings, unknown_part_findings
from listingrisk.crosscheck.object_checks import colour_findings, differ_findings, gap_findings, lookalike_findings, name_findings
from listingrisk.crosscheck.tells import tell_findings
from listingrisk.tables.lexicon import Lexicon

_ORDER = ("conflict", "later", "gap", "differ", "confirms")


def crosscheck(claims: Claims, observations: tuple[Observation, ...], model: str | None, lexicon: Lexicon) -> tuple[Finding, ...]:
    """What agrees, what cannot both be so, what is not said, for one candidate model (None: no model known).

    Conflicts first, then later, gaps, differing sources, and what confirms. Deterministic.
    """
    facts = Facts(claims, observations, lexicon, model)
    found = [*part_findings(facts), *unknown_part_findings(facts), *absence_findings(facts), *presence_findings(facts), *date_findings(facts), *name_findings(facts), *colour_findings(facts), *lookalike_findings(facts), *tell_findings(facts), *gap_findings(facts)]
    found += differ_findings(facts, {f.slot for f in found if f.slot})
    return tuple(sorted(_one_per_ground(found), key=lambda f: (_ORDER.index(f.kind), f.slot or "", f.row)))


def _one_per_ground(found: Iterable[Finding]) -> list[Finding]:
    """Say each thing once, and weigh one sight or word only once for one state, however many rows speak of it."""
    kept: list[Finding] = []
    weighed: set[tuple[object, ...]] = set()
    ranked = sorted(found, key=lambda f: _ORDER.index(f.kind))
    said: set[tuple[str, str | None, str]] = set()
    for finding in ranked:
        key = (finding.kind, finding.slot, finding.says)
        if key in said:
            continue
        said.add(key)
        ground = (finding.node, finding.state, finding.because[:1])
        if finding.evidence and ground in weighed:
            finding = replace(finding, evidence=None)
        weighed.add(ground)
        kept.append(finding)
    return kept
