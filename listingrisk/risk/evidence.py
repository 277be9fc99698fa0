"""Claims, findings and observations to evidence rows and utterances: which row of the tables speaks to which node."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from listingrisk.claims.claim import Blanket, Claims, FlagClaim, Observation, PartClaim, Quote
from listingrisk.crosscheck.finding import Finding
from listingrisk.dates import NotADate, Years, years
from listingrisk.risk.add import EvidenceRow, Outcome, Said, SaidOfAll
from listingrisk.risk.mixture import HEDGED
from listingrisk.risk.nodes import SLOT_STATES, LexiconLike, Purpose
from listingrisk.tables.weight_rows import Evidence, Signal
from listingrisk.tables.weights import ANY, Weights

CAUSE = "@cause"
"""Group of a row that stands for the quote or observation it came from."""
PRESENT, BLANKED = ".present", "blanked"
"""Ending of the observation whether a part is there, and its value where a plate fills the place (contract)."""
CANNOT_SEE = "cannot_see"
"""An answer that carries no weight."""
CHANGED: tuple[str, ...] = ("service", "wrong_type", "repro")
"""States that "replaced" admits where no part is named; the prior decides between them."""
COMPLETE: tuple[str, ...] = tuple(state for state in SLOT_STATES if state not in ("missing", "not_included"))
"""States in which a slot is filled: what "complete" says of all of them."""
_FIT_STATE = {"original": "ok", "service": "service", "later": "wrong_type", "wrong": "wrong_type"}
_SAID_OK, _ADMITS, _NOTHING = "ok", "admits", ""


@dataclass(frozen=True)
class _Origin:
    """What an evidence row came from."""

    cause: str
    says: str
    quote: str | None
    seen: bool


def collect(
    claims: Claims, findings: Iterable[Finding], observations: Iterable[Observation], model_id: str, lexicon: LexiconLike, weights: Weights, *, purpose: Purpose = "display"
) -> tuple[tuple[EvidenceRow, ...], tuple[Said | SaidOfAll, ...]]:
    """Evidence rows and utterances for one candidate model.

    Findings name their own row of evidence; observations, flags and the stance go through the table of signals; claims
    about slots become utterances (contract: Claim to slot). "Cannot see" gives no row. The order of nothing matters.
    """
    when = _era(claims)
    observations = tuple(observations)
    flagged = [found for flag in claims.flags for found in _from_flag(flag, weights)]
    said = [row for row in flagged if isinstance(row, Said)]
    parts = _without_blanked(claims.parts, observations)
    said += [told for part in parts if (told := _from_part(part, model_id, lexicon, when, purpose)) is not None]
    spoken = {utterance.slot for utterance in said}
    of_all = [over for blanket in claims.blankets if (over := _from_blanket(blanket, lexicon)) is not None]
    rows = [row for finding in findings if _counts(finding, model_id, spoken) for row in _from_finding(finding, weights)]
    rows += [row for observation in observations for row in _from_observation(observation, weights)]
    rows += _once([row for row in flagged if isinstance(row, EvidenceRow)])
    rows += _from_stance(claims, weights)
    return tuple(dict.fromkeys(rows)), tuple(dict.fromkeys([*said, *of_all]))


def _without_blanked(parts: Iterable[PartClaim], observations: Sequence[Observation]) -> list[PartClaim]:
    """A slot that a plate fills is not missing its part: what the plate means is for the fits to say."""
    parts = list(parts)
    shown = [(o.id, o.value) for o in observations] + [pair for part in parts for pair in part.attributes]
    blanked = {sign.removesuffix(PRESENT) for sign, value in shown if value == BLANKED and sign.endswith(PRESENT)}
    return [part for part in parts if part.slot not in blanked or part.state != "missing"]


def _once(rows: Sequence[EvidenceRow]) -> list[EvidenceRow]:
    """The strongest of rows that say the same again: a word repeated is one word."""
    best: dict[tuple[str, str, str], EvidenceRow] = {}
    for row in rows:
        kept = best.setdefault((row.node, row.state, row.id), row)
        if abs(row.weight_db) > abs(kept.weight_db):
            best[row.node, row.state, row.id] = row
    return list(best.values())


def _counts(finding: Finding, model_id: str, spoken: set[str]) -> bool:
    """Whether a finding is evidence of its own: words about a slot already count as an utterance, and only once."""
    if finding.model not in (None, model_id):
        return False
    seen = any(isinstance(reason, Observation) for reason in finding.because)
    return seen or finding.node not in spoken


def evidence_row(row: Evidence, node: str, state: str, origin: _Origin, *, hedged: bool = False) -> EvidenceRow:
    """A row of the evidence table applied to a node."""
    group = origin.cause if row.group == CAUSE else row.group
    weight = row.weight_db * (HEDGED if hedged else 1.0)
    seen = origin.seen if row.seen == "either" else row.seen == "yes"
    return EvidenceRow(node, state, weight, group, row.gamma, origin.says, row.source, row.grade, origin.quote, row.id, seen)


def _from_finding(finding: Finding, weights: Weights) -> Iterator[EvidenceRow]:
    row = weights.evidence.get(finding.evidence or "")
    if row is None or not finding.node or not finding.state:
        return
    seen = [o for o in finding.because if isinstance(o, Observation)]
    quotes = [q for q in finding.because if isinstance(q, Quote)]
    cause = f"seen {seen[0].id}" if seen else f"said at {quotes[0].start}" if quotes else finding.row
    yield evidence_row(row, finding.node, finding.state, _Origin(cause, finding.says, quotes[0].quote if quotes else None, bool(seen)))


def _from_observation(observation: Observation, weights: Weights) -> Iterator[EvidenceRow]:
    if observation.value == CANNOT_SEE:
        return
    for signal in weights.signals_of("observation", observation.id, observation.value):
        row = weights.evidence[signal.evidence]
        yield evidence_row(row, signal.node, signal.state, _Origin(f"seen {observation.id}", row.what, None, seen=True))


def _from_flag(flag: FlagClaim, weights: Weights) -> Iterator[EvidenceRow | Said]:
    standing = "negated" if flag.standing == "negated" else "asserted"
    for signal in weights.signals_of("flag", flag.flag, standing):
        yield _flagged(signal, flag, weights)


def _flagged(signal: Signal, flag: FlagClaim, weights: Weights) -> EvidenceRow | Said:
    hedged = flag.standing == "hedged"
    if signal.how == "ok":
        return Said(signal.node, "ok", ("ok",), hedged, flag.quote, flag.quote)
    if signal.how == "admits":
        return Said(signal.node, "admits", (signal.state,), hedged, flag.quote, flag.quote)
    row = weights.evidence[signal.evidence]
    return evidence_row(row, signal.node, signal.state, _Origin(f"said at {flag.start}", row.what, flag.quote, seen=False), hedged=hedged)


def _from_stance(claims: Claims, weights: Weights) -> Iterator[EvidenceRow]:
    quote = claims.stance_because[0].quote if claims.stance_because else None
    if claims.stance == "sales_talk" and claims.parts:
        return  # sales talk beside parts that are named says nothing of the words (method A7 e)
    for signal in weights.signals_of("stance", claims.stance, "asserted"):
        row = weights.evidence[signal.evidence]
        yield evidence_row(row, signal.node, signal.state, _Origin("manner", row.what, quote, seen=False))


def _era(claims: Claims) -> Years | None:
    try:
        return years(claims.era.edtf) if claims.era else None
    except NotADate:
        return None


def _from_part(part: PartClaim, model_id: str, lexicon: LexiconLike, when: Years | None, purpose: Purpose) -> Said | None:
    if part.spare:
        return None
    outcome, states = _reading(part, _fit_state(part, model_id, lexicon, when, purpose))
    if outcome == _NOTHING:
        return None
    spoken: Outcome = "ok" if outcome == _SAID_OK else "admits"
    return Said(part.slot, spoken, states, part.standing == "hedged", part.quote, part.quote)


def _fit_state(part: PartClaim, model_id: str, lexicon: LexiconLike, when: Years | None, purpose: Purpose) -> str | None:
    if not part.part:
        return None
    row = lexicon.fit_of(model_id, part.slot, part.part, when)
    if row is None:
        return _out_of_its_years(part, model_id, lexicon)
    if row.fit == "later" and purpose == "use":
        return "service"
    return _FIT_STATE.get(str(row.fit))


def _out_of_its_years(part: PartClaim, model_id: str, lexicon: LexiconLike) -> str | None:
    """A part that belongs there, but not in the years claimed, was fitted in service; None where the tables are silent."""
    row = lexicon.fit_of(model_id, part.slot, part.part or "")
    if row is None:
        return None
    return "service" if row.fit in ("original", "service") else _FIT_STATE.get(str(row.fit))


def _reading(part: PartClaim, fit: str | None) -> tuple[str, tuple[str, ...]]:
    """Outcome and states of a claim (contract: Claim to slot)."""
    denied = part.standing == "negated"
    if part.state == "uncertain":
        return _NOTHING, ()
    if part.state == "present":
        if denied:
            return _ADMITS, ("missing",)
        return (_SAID_OK, ("ok",)) if fit in (None, "ok") else (_ADMITS, (fit,))
    if denied:
        return _SAID_OK, ("ok",)
    if part.state == "replaced":
        return (_SAID_OK, ("ok",)) if fit == "ok" else (_ADMITS, (fit,) if fit else CHANGED)
    return _ADMITS, ({"missing": "missing", "broken": "broken", "reproduction": "repro"}[part.state],)


def _from_blanket(blanket: Blanket, lexicon: LexiconLike) -> SaidOfAll | None:
    if blanket.standing == "negated":
        return None
    slots = tuple(slot for slot in lexicon.slots if slot not in blanket.excepted)
    good = ("ok",) if blanket.kind == "original" else COMPLETE
    return SaidOfAll(blanket.kind, slots, good, blanket.standing == "hedged", blanket.quote, blanket.quote)


def asked_without_answer(slots: Sequence[str], node_states: dict[str, tuple[str, ...]], weights: Weights) -> tuple[EvidenceRow, ...]:
    """Rows for slots that were asked about in words and left unanswered: stronger than silence (method A6)."""
    row = weights.evidence["asked-no-answer"]
    return tuple(
        evidence_row(row, slot, state, _Origin("asked", row.what, None, seen=False)) for slot in slots for state in node_states.get(slot, ())[1:] if row.node == ANY
    )
