"""From one listing to its appraisal: the only module that knows the order of the stages.

reading -> claims -> cross-check -> risk -> worth -> questions
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any

from listingrisk.claims.claim import Claims, Observation
from listingrisk.claims.from_text import Read, read
from listingrisk.crosscheck.check import crosscheck
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.identity import Candidate, identify
from listingrisk.crosscheck.observations import validate_observations
from listingrisk.questions.rank import Question, pool_questions, rank
from listingrisk.questions.split import splitting_questions
from listingrisk.reading.listing import LotItem, Price, Source
from listingrisk.reading.sources.draft import Draft, apply_stated
from listingrisk.risk.assess import Risk, assess
from listingrisk.risk.evidence import collect
from listingrisk.risk.nodes import nodes_for
from listingrisk.shape import appraisal_dict
from listingrisk.tables.find import table_folder
from listingrisk.tables.lexicon import Lexicon, load_lexicon
from listingrisk.tables.records import Caution
from listingrisk.tables.weights import Weights, load_weights
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.ceiling import Line, MaxPrice, ceiling, less_than_right_one
from listingrisk.worth.landed import landing
from listingrisk.worth.pool import pool_worth
from listingrisk.worth.value import Worth, value

MOST_CANDIDATES = 3
"""Candidate models that the core is run on (method A11)."""
LEAST_CANDIDATE = 0.05
UNDECIDED = 0.5
"""Below this probability of the likeliest model no price is given."""


@dataclass(frozen=True)
class Answers:
    """What the buyer says of the photos: which views are shown, and what he saw."""

    see: Mapping[str, str] = field(default_factory=dict)
    views: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class One:
    """The appraisal of one telephone: of the listing, or of one item of a lot."""

    identity: tuple[Candidate, ...]
    findings: tuple[Finding, ...]
    risk: Risk | None
    worth: Worth | None
    max_price: MaxPrice | None
    less_than_right_one: float | None
    why_no_price: str | None
    questions: tuple[Question, ...]


@dataclass(frozen=True)
class Appraisal:
    """The whole result; `to_dict` gives the JSON of one appraisal."""

    read: Read
    observations: tuple[Observation, ...]
    views_shown: tuple[str, ...]
    views_missing: tuple[str, ...]
    one: One
    items: tuple[One, ...]
    cautions: tuple[Caution, ...]
    lexicon: Lexicon
    purpose: str

    def to_dict(self) -> dict[str, Any]:
        """The appraisal as plain data (schema listingrisk.appraisal/1)."""
        return appraisal_dict(self)


def appraise(text: str, answers: Answers | Mapping[str, Any] | None = None, buyer: Buyer | None = None, lexicon: Lexicon | None = None, *, weights: Weights | None = None, source: Source | None = None, currency: str | None = None, price: Price | None = None, draft: Draft | None = None) -> Appraisal:
    """Appraise one listing.

    `text` is the title, a newline and the body; `answers` the photo answers (`{"see": {...}, "views": {...}}`).
    `price` takes the place of the listing's (without a currency it keeps the listing's own); `draft` is the saved page or
    mail the text came from, whose stated price and postage win over those of the text.
    Raises BadListing for an empty or oversized text, BadAnswers for an unknown observation or value.
    """
    lexicon = lexicon or shipped()[0]
    weights = weights or (shipped()[1] if lexicon is shipped()[0] else load_weights(lexicon.folder.parent / "models"))
    given = answers if isinstance(answers, Answers) else Answers((answers or {}).get("see") or {}, (answers or {}).get("views") or {})
    seen = validate_observations(given.see, lexicon)
    found = read(text, lexicon, source=source, currency=currency)
    found = _priced(apply_stated(found, draft, currency) if draft else found, price)
    shown, missing = _views(given, seen, lexicon)
    if found.subject != "telephone":
        return Appraisal(found, seen, shown, missing, _NOT_APPRAISED, (), (), lexicon, "display")
    if buyer is None:
        buyer = Buyer()
    buyer = replace(buyer, currency=buyer.currency or (found.listing.price.currency if found.listing.price else None))
    items = found.lot.items if found.lot else ()
    parts = tuple(_one(_item_of(found, number), seen if len(items) == 1 else (), buyer, lexicon, weights, number) for number, _ in enumerate(items))
    whole = _one(found, seen, buyer, lexicon, weights, None)
    if parts:
        whole = _sum_of(whole, parts, found)
    return Appraisal(found, seen, shown, missing, whole, parts, _cautions(whole, lexicon, found.claims), lexicon, buyer.purpose)


def _priced(found: Read, price: Price | None) -> Read:
    """The listing with the price that the buyer gives."""
    if price is None:
        return found
    listed = found.listing.price
    currency = price.currency or (listed.currency if listed else None)
    return replace(found, listing=replace(found.listing, price=replace(price, currency=currency)))


@lru_cache(maxsize=1)
def shipped() -> tuple[Lexicon, Weights]:
    """The shipped tables, loaded once."""
    return given_folder(table_folder())


_NOT_APPRAISED = One((), (), None, None, None, None, None, ())


def _one(found: Read, seen: Sequence[Observation], buyer: Buyer, lexicon: Lexicon, weights: Weights, item: int | None) -> One:
    """The stages after reading, for one telephone."""
    identity = identify(found.claims, tuple(seen), lexicon)
    likely = [(c.model, c.probability) for c in identity if c.model and c.probability >= LEAST_CANDIDATE][:MOST_CANDIDATES]
    decided = bool(likely) and likely[0][1] >= UNDECIDED
    splitting = () if decided else splitting_questions(likely, lexicon, {o.id for o in seen})
    if not likely:
        findings = crosscheck(found.claims, tuple(seen), None, lexicon)
        return One(identity, findings, None, None, None, None, "it is not known which model it is, so there is no basis for its worth", splitting)
    runs = [_run(model, probability, found, seen, buyer, lexicon, weights) for model, probability in likely]
    worth = pool_worth([(r.probability, r.worth) for r in runs])
    price, why = _price(worth, likely[0][1], found, buyer, weights)
    asked = splitting or pool_questions([(r.probability, _asked(r, found, seen, buyer, lexicon, weights)) for r in runs])
    share = less_than_right_one(worth, buyer, weights)
    return One(identity, runs[0].findings, runs[0].risk, worth if worth.basis else None, price, share, why, asked)


@dataclass(frozen=True)
class _Run:
    """The core run on one candidate model."""

    probability: float
    findings: tuple[Finding, ...]
    risk: Risk
    worth: Worth


def _run(model: str, probability: float, found: Read, seen: Sequence[Observation], buyer: Buyer, lexicon: Lexicon, weights: Weights) -> _Run:
    findings = crosscheck(found.claims, tuple(seen), model, lexicon)
    nodes = nodes_for(model, lexicon, weights, colour=_colour(found, model, lexicon), purpose=buyer.purpose, collected=buyer.collected)
    claims = found.claims
    if not lexicon.models[model].genuine:  # a copy that is called one is what it is called
        claims = replace(claims, flags=tuple(f for f in claims.flags if f.flag != "reproduction"))
    rows, said = collect(claims, findings, seen, model, lexicon, weights, purpose=buyer.purpose)
    risk = assess(rows, said, nodes, weights)
    return _Run(probability, findings, risk, value(risk, model, weights, buyer))


def _asked(run: _Run, found: Read, seen: Sequence[Observation], buyer: Buyer, lexicon: Lexicon, weights: Weights) -> tuple[Question, ...]:
    cost = landing(buyer, found.listing.postage, weights, run.worth.currency) if run.worth.currency else None
    return rank(run.risk, run.worth, buyer, lexicon, weights, price=found.listing.price, cost=cost, observations=seen)


def _price(worth: Worth, likeliest: float, found: Read, buyer: Buyer, weights: Weights) -> tuple[MaxPrice | None, str | None]:
    """The most to pay, or one sentence that says why there is none."""
    if likeliest < UNDECIDED:
        return None, "it is not settled which model it is: ask what would settle it first"
    listed = found.listing.price
    if buyer.currency is None and (listed is not None or worth.basis is None):
        return None, "the currency is not known: give it with --currency" if listed is not None else (worth.why_no_price or "no currency is known: give it with --currency")
    if worth.basis is None or worth.currency is None:
        return None, worth.why_no_price
    cost = landing(buyer, found.listing.postage, weights, worth.currency)
    return ceiling(worth, buyer, cost, weights), None


def _colour(found: Read, model: str, lexicon: Lexicon) -> str:
    """The colour claimed: the title's before the body's, and of those the first that the tables know on this model."""
    said = [s for s in found.claims.colours if s.standing != "negated"]
    said.sort(key=lambda s: (s.start >= len(found.listing.title), s.start))
    known = [s.sign for s in said if lexicon.colour_of(model, s.sign) is not None]
    return known[0] if known else (said[0].sign if said else "")


def _views(given: Answers, seen: Sequence[Observation], lexicon: Lexicon) -> tuple[tuple[str, ...], tuple[str, ...]]:
    shown = {view for view, state in given.views.items() if state == "shown"}
    shown |= {lexicon.observations[o.id].view for o in seen if o.value != "cannot_see" and o.id in lexicon.observations}
    order = [view.id for view in sorted(lexicon.views.values(), key=lambda v: v.order)]
    return tuple(v for v in order if v in shown), tuple(v for v in order if v not in shown)


# Lots ------------------------------------------------------------------------------------------------------------------


def _item_of(found: Read, number: int) -> Read:
    """The listing as far as it speaks of one telephone of the lot, or of the lot as a whole."""
    claims = found.claims

    def own(claim: Any) -> bool:
        return claim.item in (None, number)

    eras = tuple(e for e in claims.eras if e.item == number)
    kept = replace(
        claims,
        models=tuple(m for m in claims.models if m.item == number),
        eras=eras,
        era=eras[0] if eras else None,
        parts=tuple(p for p in claims.parts if p.item == number),
        flags=tuple(f for f in claims.flags if own(f)),
        marks=tuple(m for m in claims.marks if m.item == number),
        signs=tuple(s for s in claims.signs if own(s)),
        colours=tuple(c for c in claims.colours if own(c)),
        blankets=tuple(b for b in claims.blankets if own(b)),
    )
    return replace(found, claims=kept, lot=None)


def _sum_of(whole: One, parts: Sequence[One], found: Read) -> One:
    """A lot: its price is the sum of what is decidable; what cannot be separated counts as nothing, and that is said."""
    priced = [p for p in parts if p.max_price is not None]
    if not priced or found.lot is None:
        return replace(whole, max_price=None, worth=None, why_no_price=whole.why_no_price or "a lot whose telephones have no basis of worth")
    prices = [p.max_price for p in priced if p.max_price is not None]
    landed = sum((p.landed for p in prices), Decimal(0))
    bids = [p.bid for p in prices if p.bid is not None]
    once = _postage_counted_twice(prices)
    bid = sum(bids, Decimal(0)) + once if bids else None
    lines = [Line(f"telephone {n + 1}, after its postage", p.max_price.bid) for n, p in enumerate(parts) if p.max_price is not None and p.max_price.bid is not None]
    if bid is not None:
        lines += [*([Line("postage paid only once", once)] if once else []), Line("bid", bid)]
    left = found.lot.count - len(priced)
    why = f"{left} of the {found.lot.count} telephones could not be priced and count as nothing" if left else None
    pooled = replace(prices[0], landed=landed, bid=bid, cap_landed=sum((p.cap_landed for p in prices), Decimal(0)), overpay_probability=max(p.overpay_probability for p in prices), breakdown=tuple(lines))
    questions = _asked_of_each(parts)
    findings = tuple(dict.fromkeys(f for p in parts for f in p.findings))
    return replace(whole, max_price=pooled, worth=None, why_no_price=why, questions=questions or whole.questions, findings=findings)


def _asked_of_each(parts: Sequence[One]) -> tuple[Question, ...]:
    """The best questions of the telephones of a lot, each asked once and of every telephone it is good for."""
    asked: dict[str, list[tuple[int, Question]]] = {}
    for number, one in enumerate(parts, 1):
        for question in one.questions:
            asked.setdefault(question.id, []).append((number, question))
    best = sorted(asked.values(), key=lambda found: -sum(q.worth_asking for _, q in found))[:4]
    return tuple(replace(found[0][1], text=f"Of telephone {' and '.join(str(n) for n, _ in found)}: {found[0][1].text}", worth_asking=sum(q.worth_asking for _, q in found)) for found in best)


def _postage_counted_twice(prices: Sequence[MaxPrice]) -> Decimal:
    """Postage is paid once for the lot; each item's sum took it off."""
    taken = [-line.amount for p in prices for line in p.breakdown if line.what == "postage"]
    return sum(taken[1:], Decimal(0))


# Cautions --------------------------------------------------------------------------------------------------------------


def _cautions(one: One, lexicon: Lexicon, claims: Claims) -> tuple[Caution, ...]:
    """What can hurt, where a finding or a question touches it, or where the telephone is to be opened."""
    slots = {f.slot for f in one.findings if f.kind in ("conflict", "later") and f.slot}
    opened = any(q.view in ("base_off", "inside_case") for q in one.questions)
    signs = {s.sign for s in claims.signs}
    said = []
    for caution in lexicon.cautions.values():
        touched = bool(slots & set(caution.slots))
        wanted = caution.when == "open" and opened or caution.when == "finding" and touched or caution.when.startswith("sign:") and caution.when[5:] in signs
        if wanted:
            said.append(caution)
    return tuple(said)


def item_title(item: LotItem) -> str:
    """The heading of one telephone of a lot."""
    return item.title


def given_folder(path: Path) -> tuple[Lexicon, Weights]:
    """The tables of another folder. Raises BadTable where a row is wrong."""
    return load_lexicon(path), load_weights(path / "models")
