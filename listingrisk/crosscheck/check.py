"""The cross-check of one telephone against one candidate model: every rule, in one order, one finding per slot and ground."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from listingrisk.claims.claim import Claims, Observation
from listingrisk.crosscheck.date_checks import date_findings
from listingrisk.crosscheck.facts import Because, Facts
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.fit_checks import part_findings, unknown_part_findings
from listingrisk.crosscheck.object_checks import colour_findings, differ_findings, gap_findings, lookalike_findings, name_findings
from listingrisk.crosscheck.presence_checks import absence_findings, presence_findings
from listingrisk.crosscheck.tells import tell_findings
from listingrisk.tables.lexicon import Lexicon

_ORDER = ("conflict", "later", "gap", "differ", "confirms")
_RULES: tuple[Callable[[Facts], Iterator[Finding]], ...] = (
    part_findings,
    unknown_part_findings,
    absence_findings,
    presence_findings,
    date_findings,
    name_findings,
    colour_findings,
    lookalike_findings,
    tell_findings,
    gap_findings,
)


def crosscheck(claims: Claims, observations: tuple[Observation, ...], model: str | None, lexicon: Lexicon) -> tuple[Finding, ...]:
    """What agrees, what cannot both be so, what is not said, for one candidate model (None: no model known).

    Conflicts first, then later, gaps, differing sources, and what confirms. Deterministic.
    """
    facts = Facts(claims, observations, lexicon, model)
    found = [finding for rule in _RULES for finding in rule(facts)]
    found += differ_findings(facts, {f.slot for f in found if f.slot and f.kind != "gap"})
    ranked = sorted(found, key=lambda f: (_ORDER.index(f.kind), f.slot or "", f.row))
    return tuple(_weighed_once(facts, _said_once(ranked)))


def _said_once(ranked: list[Finding]) -> list[Finding]:
    """Leave out what repeats a sentence, and what at the same slot rests on nothing that a graver finding does not."""
    kept: list[Finding] = []
    for finding in ranked:
        graver = [k for k in kept if k.slot == finding.slot and finding.slot and set(finding.because) <= set(k.because) and k.because]
        repeated = any((k.kind, k.slot, k.says) == (finding.kind, finding.slot, finding.says) for k in kept)
        if repeated or (finding.because and any(_covers(k, finding) for k in graver)):
            continue
        kept.append(finding)
    return kept


def _covers(graver: Finding, finding: Finding) -> bool:
    """A conflict covers what else is found on its ground; of one kind, the first finding of a state stands for all."""
    if graver.kind == "conflict" and finding.kind in ("later", "confirms", "gap"):
        return True
    return graver.kind == finding.kind and graver.node == finding.node and graver.state == finding.state


def _weighed_once(facts: Facts, kept: list[Finding]) -> list[Finding]:
    """One sight or word weighs once, on one node: first those of a single ground, then those of several.

    Answers that weigh by themselves in the risk model (rows `weighs_itself`) give a finding no weight of its own.
    """
    itself = {(c.observation, c.value) for c in facts.checks.of("weighs_itself")}
    used: set[Because] = set()
    silent: set[int] = set()
    for place in sorted((i for i, f in enumerate(kept) if f.evidence), key=lambda i: (len(kept[i].because) > 1 and kept[i].slot is None, i)):
        reasons = kept[place].because
        grounds: list[Because] = [b for b in reasons if isinstance(b, Observation)] or [*reasons]
        fresh = [b for b in grounds if b not in used and not (isinstance(b, Observation) and (b.id, b.value) in itself)]
        if not fresh:
            silent.add(place)
        used.update(grounds)
    return [replace(f, evidence=None) if i in silent else f for i, f in enumerate(kept)]
