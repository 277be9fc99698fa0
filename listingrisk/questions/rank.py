"""Ranked questions of one appraisal, and of several candidates for what the telephone is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from listingrisk.claims.claim import Observation
from listingrisk.questions.ask import Candidate, candidates
from listingrisk.questions.choose import MOST_CANDIDATES, MOST_QUESTIONS, best_set, option_for
from listingrisk.questions.deal import deal_for, open_deal
from listingrisk.questions.value import Field, Lens, Stake, lens_for
from listingrisk.reading.listing import Price
from listingrisk.risk.assess import Risk
from listingrisk.risk.nodes import OBJECT, LexiconLike
from listingrisk.tables.weights import Weights
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.ceiling import overpay_of
from listingrisk.worth.landed import Landing
from listingrisk.worth.value import Worth

SHARE = "share_of_worth"
"""Unit of worth_asking where no basis of worth is known."""


@dataclass(frozen=True)
class Question:
    """One question to send."""

    id: str
    text: str
    slots: tuple[str, ...]
    view: str | None
    worth_asking: float
    """What its answer is worth before it is given: in currency units, or as a share of a right one's worth."""
    unit: str
    """ISO 4217, or share_of_worth."""
    why: str
    decisive: bool = True
    """Whether any answer could change the decision at the price asked; else it is sent against regret."""
    observations: tuple[str, ...] = ()
    kind: str = ""
    minutes: float = 0.0


def rank(
    risk: Risk,
    worth: Worth,
    buyer: Buyer,
    lexicon: LexiconLike,
    weights: Weights,
    *,
    price: Price | None = None,
    cost: Landing | None = None,
    observations: Iterable[Observation] = (),
    shown: Iterable[str] = (),
    most: int = MOST_QUESTIONS,
) -> tuple[Question, ...]:
    """The best questions, at most four, in sending order; () where nothing is left to ask.

    With `most` 1 only single questions are valued (for many listings at once). Where no answer could change the
    decision at the price asked, the questions that tell most at an open price are given, marked not decisive.
    """
    if worth.frame is None:
        return ()
    found = candidates(risk, lexicon, weights, observations=observations, shown=shown)
    times = overpay_of(buyer, weights)
    deal = deal_for(worth, buyer, price, cost, weights)
    field = Field(risk, worth.frame)
    lenses = [lens_for(candidate, risk, weights) for candidate in found]
    answers = [field.answers(lens) for lens in lenses]
    stake = Stake(field, deal, times)
    singles = [stake.evsi(answer) for answer in answers]
    decisive = max(singles, default=0.0) >= weights.settings["decisive_share"] * max(deal.middle, 1e-9)
    told = singles
    if not decisive:
        stake = Stake(field, open_deal(worth, buyer, weights), times)
        told = [stake.evsi(answer) for answer in answers]
    picked = _pick(stake, found, lenses, told, _question_cost(worth, buyer, weights), weights, most)
    picked = _settle_conflicts(picked, found, risk, told, most)
    return tuple(_question(found[i], singles[i], worth, risk, lexicon, decisive=decisive) for i in picked)


def _pick(stake: Stake, found: Sequence[Candidate], lenses: Sequence[Lens], told: Sequence[float], each: float, weights: Weights, most: int) -> list[int]:
    useful = sorted((i for i, gain in enumerate(told) if gain > each), key=lambda i: (-told[i], i))
    if most == 1:
        return useful[:1]
    thin = stake.thinned()
    options = [option_for(thin.field, lenses[i], i, found[i].minutes, told[i]) for i in useful[:MOST_CANDIDATES]]
    chosen = best_set(thin, options, budget_minutes=weights.settings["patience_minutes"], each=each, most=most)
    return [option.position for option in chosen.options]


def _question_cost(worth: Worth, buyer: Buyer, weights: Weights) -> float:
    """What a question costs the buyer in units of the result; nothing where its currency has no rate."""
    if worth.basis is None:
        return 0.0
    return weights.settings["question_cost"] * (buyer.rate(weights.setting_currency["question_cost"]) or 0.0)


def _settle_conflicts(picked: list[int], found: Sequence[Candidate], risk: Risk, told: Sequence[float], most: int) -> list[int]:
    """A slot on which the evidence speaks strongly both ways gets its photograph (method A8)."""
    for node in risk.nodes:
        if not node.conflict or any(node.node in found[i].slots for i in picked):
            continue
        settling = [i for i, c in enumerate(found) if node.node in c.slots and c.view is not None]
        if settling:
            best = max(settling, key=lambda i: (told[i], -i))
            picked = [*picked[: most - 1], best]
    return picked


def _question(candidate: Candidate, gain: float, worth: Worth, risk: Risk, lexicon: LexiconLike, *, decisive: bool) -> Question:
    unit = worth.currency or SHARE
    amount = gain if worth.currency else gain / max(worth.as_claimed, 1e-9)
    return Question(candidate.id, candidate.text, candidate.about, candidate.view, max(amount, 0.0), unit, _why(candidate, risk, lexicon), decisive, candidate.observations, candidate.kind, candidate.minutes)


def _why(candidate: Candidate, risk: Risk, lexicon: LexiconLike) -> str:
    """One sentence: what it settles, and how often something is amiss there, as a frequency."""
    names = [str(lexicon.slots[slot].name) if slot in lexicon.slots else slot for slot in candidate.slots if slot != OBJECT]
    right = 1.0
    for slot, states in zip(candidate.slots, candidate.states, strict=True):
        right *= 1.0 - sum(risk.node(slot).of(state) for state in states)
    what = _listed(names) if names else "what it is"
    return f"settles {what}; {_one_in(1.0 - right)} something is not as it should be there"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _one_in(chance: float) -> str:
    """A chance in words of frequency.

    >>> _one_in(0.21), _one_in(0.7)
    ('in about 1 of 5 such telephones', 'in about 7 of 10 such telephones')
    """
    if chance >= 1 / 3:
        return f"in about {min(9, max(3, round(chance * 10)))} of 10 such telephones"
    return f"in about 1 of {min(50, max(3, round(1 / max(chance, 0.02))))} such telephones"


def pool_questions(found: Sequence[tuple[float, Sequence[Question]]], most: int = MOST_QUESTIONS) -> tuple[Question, ...]:
    """Questions over several models it may be: each worth its mean over them (nothing where it is not asked), best first."""
    whole = sum(p for p, _ in found)
    worth: dict[str, float] = {}
    first: dict[str, Question] = {}
    for share, questions in found:
        for question in questions:
            worth[question.id] = worth.get(question.id, 0.0) + share / whole * question.worth_asking
            first.setdefault(question.id, question)
    best = sorted(worth, key=lambda name: -worth[name])[:most]
    return tuple(replace(first[name], worth_asking=worth[name]) for name in best)

