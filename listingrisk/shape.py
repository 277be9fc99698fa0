"""The plain data of one appraisal (schema listingrisk.appraisal/1): the shape of `--format json` and of `to_dict`.

Every report is written from it, so that text and JSON cannot tell different things.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Protocol

import numpy as np

from listingrisk.claims.claim import Claims, Cue, Observation, PartClaim, Quote
from listingrisk.claims.from_text import Read
from listingrisk.crosscheck.finding import Finding
from listingrisk.crosscheck.identity import Candidate
from listingrisk.questions.rank import Question
from listingrisk.reading.listing import Money, Price
from listingrisk.risk.assess import NodeRisk, Risk
from listingrisk.risk.nodes import INSIDE, OBJECT, WORDS, WORKS
from listingrisk.tables.records import Caution
from listingrisk.worth.ceiling import MaxPrice, expectile
from listingrisk.worth.value import Worth

SCHEMA = "listingrisk.appraisal/1"
FIRST_NODES = (OBJECT, WORDS, WORKS, INSIDE)
"""Nodes beside the slots, in the order they are given."""
DREAD = (1.0, 3.0)
"""A verdict that differs between these factors of overpaying is a close call (method N9)."""
OPEN_KINDS = ("starting", "current_bid")
"""Prices that are only a lower bound of what it will fetch."""


class OneLike(Protocol):
    """The appraisal of one telephone."""

    @property
    def identity(self) -> tuple[Candidate, ...]:
        """Likeliest first."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Of the cross-check."""

    @property
    def risk(self) -> Risk | None:
        """None where no model is likely enough."""

    @property
    def worth(self) -> Worth | None:
        """None where no basis is known."""

    @property
    def max_price(self) -> MaxPrice | None:
        """None where no price can be given."""

    @property
    def less_than_right_one(self) -> float | None:
        """Share from 0 to 1."""

    @property
    def why_no_price(self) -> str | None:
        """One sentence."""

    @property
    def questions(self) -> tuple[Question, ...]:
        """In sending order."""


class AppraisalLike(Protocol):
    """A whole appraisal."""

    @property
    def read(self) -> Read:
        """The listing as read."""

    @property
    def observations(self) -> tuple[Observation, ...]:
        """What the buyer saw."""

    @property
    def views_shown(self) -> tuple[str, ...]:
        """Ids of views."""

    @property
    def views_missing(self) -> tuple[str, ...]:
        """Ids of views."""

    @property
    def one(self) -> OneLike:
        """The whole listing."""

    @property
    def items(self) -> tuple[OneLike, ...]:
        """The telephones of a lot."""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What can hurt."""


def appraisal_dict(appraisal: AppraisalLike) -> dict[str, Any]:
    """The appraisal as plain data: dictionaries, lists, text, numbers, None."""
    found, one = appraisal.read, appraisal.one
    close = _close_call(found.listing.price, one)
    return {
        "schema": SCHEMA,
        "listing": _listing(found),
        "subject": found.subject,
        "lot": _lot(appraisal),
        "identity": [{"model": c.model, "probability": c.probability, "because": [_because(b) for b in c.because]} for c in one.identity],
        "claims": _claims(found.claims),
        "observations": [{"id": o.id, "value": o.value} for o in appraisal.observations],
        "findings": [_finding(f) for f in one.findings],
        "risk": _risk(one.risk),
        "worth": _worth(one.worth),
        "max_price": _max_price(one.max_price, close_call=close),
        "less_than_right_one": one.less_than_right_one,
        "why_no_price": one.why_no_price,
        "questions": [_question(q) for q in one.questions],
        "views": {"shown": list(appraisal.views_shown), "missing": list(appraisal.views_missing)},
        "cautions": [{"text": c.text, "source": c.source} for c in appraisal.cautions],
        "verdict": _verdict(found, one, close_call=close),
    }


# Listing and claims ------------------------------------------------------------------------------------------------------


def _listing(found: Read) -> dict[str, Any]:
    listing = found.listing
    price = listing.price
    return {
        "title": listing.title,
        "text": listing.text,
        "price": {**_money(price), "kind": price.kind} if price else None,
        "postage": _money(listing.postage) if listing.postage else None,
        "sale": listing.sale,
        "place": listing.place,
        "language": listing.language,
        "source": {"kind": listing.source.kind, "name": listing.source.name, "sha256": listing.source.sha256},
    }


def _money(money: Money) -> dict[str, Any]:
    return {"amount": _amount(money.amount), "currency": money.currency}


def _amount(amount: Decimal | float) -> float:
    return round(float(amount), 2)


def _span(claim: Any) -> dict[str, Any]:
    return {"quote": claim.quote, "start": claim.start, "end": claim.end}


def _cue(cue: Cue | None) -> dict[str, Any] | None:
    return {"text": cue.text, "start": cue.start, "end": cue.end, "rule": cue.rule} if cue else None


def _claims(claims: Claims) -> dict[str, Any]:
    eras = [{"edtf": e.edtf, "standing": e.standing, **_span(e), "cue": _cue(e.cue)} for e in claims.eras]
    era = claims.era
    return {
        "models": [
            {"id": m.id, "name": m.name, "standing": m.standing, "candidates": list(m.candidates), **_span(m), "cue": _cue(m.cue), "item": m.item}
            for m in claims.models
        ],
        "era": {"edtf": era.edtf, "standing": era.standing, **_span(era), "cue": _cue(era.cue)} if era else None,
        "eras": eras,
        "parts": [_part(p) for p in claims.parts],
        "flags": [{"flag": f.flag, "standing": f.standing, **_span(f), "cue": _cue(f.cue)} for f in claims.flags],
        "stance": {"value": claims.stance, "because": [_because(q) for q in claims.stance_because]},
    }


def _part(part: PartClaim) -> dict[str, Any]:
    return {"slot": part.slot, "part": part.part, "state": part.state, "standing": part.standing, **_span(part), "cue": _cue(part.cue), "item": part.item}


def _lot(appraisal: AppraisalLike) -> dict[str, Any] | None:
    lot = appraisal.read.lot
    if lot is None:
        return None
    items = []
    for number, item in enumerate(lot.items):
        one = appraisal.items[number] if number < len(appraisal.items) else None
        models = [c.model for c in one.identity[:1] if c.model] if one else []
        price = one.max_price if one else None
        items.append({"title": item.title, "start": item.start, "end": item.end, "models": models, "max_price": _max_price(price, close_call=False)})
    return {"count": lot.count, "items": items}


# Findings, risk, money ---------------------------------------------------------------------------------------------------


def _because(because: object) -> Any:
    if isinstance(because, Quote):
        return _span(because)
    if isinstance(because, Observation):
        return {"id": because.id, "value": because.value}
    return str(because)


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "kind": finding.kind,
        "slot": finding.slot,
        "model": finding.model,
        "says": finding.says,
        "because": [_because(b) for b in finding.because],
        "row": finding.row,
        "source": finding.source,
    }


def _risk(risk: Risk | None) -> list[dict[str, Any]]:
    if risk is None:
        return []
    slots = [node for node in risk.nodes if node.node not in FIRST_NODES]
    first = [node for name in FIRST_NODES for node in risk.nodes if node.node == name]
    return [_node(node) for node in (*first, *slots)]


def _node(node: NodeRisk) -> dict[str, Any]:
    terms = [
        {"says": t.says, "state": t.state, "weight_db": float(t.weight_db), "group": t.group, "source": t.source, "grade": t.grade, "quote": t.quote}
        for t in node.terms
    ]
    return {"node": node.node, "states": dict(zip(node.states, (float(p) for p in node.probability), strict=True)), "terms": terms}


def _worth(worth: Worth | None) -> dict[str, Any] | None:
    if worth is None:
        return None
    quantiles = {f"{level:g}": _amount(amount) for level, amount in worth.quantiles.items()}
    return {"currency": worth.currency, "as_claimed": _amount(worth.as_claimed), "expected": _amount(worth.expected), "quantiles": quantiles, "basis": worth.basis}


def _max_price(price: MaxPrice | None, *, close_call: bool) -> dict[str, Any] | None:
    if price is None:
        return None
    return {
        "currency": price.currency,
        "landed": _amount(price.landed),
        "bid": None if price.bid is None else _amount(price.bid),
        "overpay_probability": float(price.overpay_probability),
        "cap_landed": _amount(price.cap_landed),
        "close_call": close_call,
        "breakdown": [{"what": line.what, "amount": _amount(line.amount)} for line in price.breakdown],
    }


def _question(question: Question) -> dict[str, Any]:
    digits = 4 if question.unit == "share_of_worth" else 2
    return {
        "id": question.id,
        "text": question.text,
        "slots": list(question.slots),
        "slot": question.slots[0] if question.slots else None,
        "view": question.view,
        "worth_asking": {"amount": round(float(question.worth_asking), digits), "unit": question.unit},
        "why": question.why,
    }


# Verdict -----------------------------------------------------------------------------------------------------------------


def _close_call(listed: Price | None, one: OneLike) -> bool:
    """Whether another dread of overpaying (1 or 3 times) would turn the verdict; the premium is left out of account."""
    price, worth = one.max_price, one.worth
    if listed is None or price is None or price.bid is None or worth is None or listed.currency != price.currency:
        return False
    gain = -sum(float(line.amount) for line in price.breakdown if line.what == "gain wanted")
    most = float(price.landed) + gain
    bids = [float(price.bid) + expectile(np.asarray(worth.values), np.asarray(worth.probabilities), dread) - most for dread in DREAD]
    return min(bids) < float(listed.amount) <= max(bids)


def _verdict(found: Read, one: OneLike, *, close_call: bool) -> dict[str, str]:
    code, text = _judged(found, one, close_call=close_call)
    return {"code": code, "text": text}


def _judged(found: Read, one: OneLike, *, close_call: bool) -> tuple[str, str]:
    if found.subject != "telephone":
        return "not_this_trade", _not_this_trade(found)
    price, listed = one.max_price, found.listing.price
    if price is None:
        return "no_price", f"No price can be given: {one.why_no_price or 'there is no basis for its worth'}."
    if price.bid is None:
        return "do_not_bid", "Do not bid: what it costs to bring it home is more than it is worth."
    most = _said(price.bid, price.currency)
    if listed is None or listed.kind == "guide":
        return "no_ask", f"No price is asked; offer {most} at most."
    if listed.currency != price.currency:
        return "no_ask", f"The price asked is in another currency; offer {most} at most."
    asked = _said(listed.amount, price.currency)
    if close_call:
        return "close", f"Close: {asked} is asked and {most} is the most to pay; how much you dread overpaying decides, or an answer to the first question."
    if listed.kind in OPEN_KINDS:
        return _of_auction(float(listed.amount) <= float(price.bid), asked, most)
    if listed.amount <= price.bid:
        return "within", f"Within: {asked} is asked, and {most} is the most to pay."
    return "above", f"Above: {asked} is asked, more than the most to pay, {most}."


def _of_auction(within: bool, asked: str, most: str) -> tuple[str, str]:
    if within:
        return "within", f"Within so far: it stands at {asked}; bid {most} once, and no more."
    return "above", f"Above: it stands at {asked} already, more than the most to pay, {most}."


def _not_this_trade(found: Read) -> str:
    quotes: Sequence[Quote] = found.subject_because
    said = ", ".join(f'"{" ".join(q.quote.split())}"' for q in quotes[:2])
    return f"Because the listing says {said}." if said else "Nothing in the words speaks of a whole old telephone."


def _said(amount: Decimal, currency: str) -> str:
    return f"{currency} {amount:,.2f}"
