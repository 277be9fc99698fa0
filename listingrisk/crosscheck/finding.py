"""Findings: what agrees, what cannot both be so, what is not said; each tied to quotes or observations and to a row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from listingrisk.claims.claim import Observation, Quote

Kind = Literal["conflict", "later", "confirms", "gap", "differ"]


@dataclass(frozen=True)
class Finding:
    """One finding of the cross-check."""

    kind: Kind
    slot: str | None
    model: str | None
    says: str
    """One sentence for the report, about the object, never about a person."""
    because: tuple[Quote | Observation, ...]
    row: str
    """`table:row id`, such as `fits:uk-332.dial.uk-dial-21.service`."""
    source: str
    """Id of the source of that row."""
    certainty: Literal["sure", "likely", "unsure"] = "sure"
    rule: str = ""
    """Which row of checks.csv made it (the kind of rule)."""
    node: str | None = None
    """Node of the risk model that the finding is evidence for, None for a note only."""
    state: str | None = None
    """State of that node the finding speaks for (ok, wrong_type, missing, reproduction, other_model, ...)."""
    evidence: str | None = None
    """Row of models/evidence.csv that weighs it."""
    text: str = ""
    """Extra machine-readable detail, such as the part id concerned."""
