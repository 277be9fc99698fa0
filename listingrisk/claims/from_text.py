"""One text read: the listing with its terms, its subject and every claim. The same for a listing and for a reply."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from listingrisk.claims.claim import Claims, ModelClaim, PartClaim, Quote, Subject
from listingrisk.claims.eras import era_claims, narrowest
from listingrisk.claims.flags import blankets, flag_claims, signs, stance
from listingrisk.claims.marks import mark_claims
from listingrisk.claims.models import model_claims
from listingrisk.claims.parts import part_claims
from listingrisk.claims.subject import lot, subject
from listingrisk.errors import BadListing
from listingrisk.reading.listing import Listing, Lot, Source
from listingrisk.reading.money import terms
from listingrisk.reading.pipeline import read_text
from listingrisk.reading.zones import Scope
from listingrisk.tables.lexicon import Lexicon

T = TypeVar("T", bound=Any)
LONGEST = 200_000
"""Characters of a listing that are read; a longer text is refused."""


@dataclass(frozen=True)
class Read:
    """A listing as read: what is offered, the claims, the lot."""

    listing: Listing
    subject: Subject
    subject_because: tuple[Quote, ...]
    claims: Claims
    lot: Lot | None


def read(text: str, lexicon: Lexicon, *, source: Source | None = None, currency: str | None = None) -> Read:
    """Read one listing: title on the first line, then the body.

    Raises BadListing where the text is empty or longer than LONGEST.
    """
    if not text.strip():
        raise BadListing("the listing is empty: paste its title and text, or name a file that holds them")
    if len(text) > LONGEST:
        raise BadListing(f"the listing is {len(text):,} characters long, more than the {LONGEST:,} that are read: give the text of one listing")
    reading = read_text(text, lexicon)
    scope = Scope(reading, frozenset(m.code.lower() for m in lexicon.marks.values() if m.kind == "refurbisher"))
    models = model_claims(reading, scope, lexicon)
    parts = part_claims(reading, scope, lexicon, _kinds(models, lexicon))
    what, because = subject(reading, scope, parts, models)
    whole_lot = lot(reading, scope, models) if what == "telephone" else None
    flags = flag_claims(reading, scope, parts)
    wholes = blankets(reading, scope, parts)
    eras = era_claims(reading, scope)
    if what == "part":
        models = [replace(m, standing="hedged") if m.standing == "asserted" else m for m in models]
    manner, manner_because = stance(reading, scope, parts, flags, wholes)
    money = terms(reading, scope, lexicon, currency)
    claims = Claims(
        models=_lot_models(models, whole_lot),
        eras=tuple(_in_item(e, whole_lot) for e in eras),
        era=None if whole_lot and whole_lot.items else narrowest(eras),
        parts=tuple(_in_item(p, whole_lot) for p in _known_parts(parts, models, lexicon)),
        flags=tuple(_in_item(f, whole_lot) for f in flags),
        marks=tuple(_in_item(m, whole_lot) for m in mark_claims(reading, scope, lexicon)),
        signs=tuple(_in_item(s, whole_lot) for s in signs(reading, scope, "sign")),
        colours=tuple(_in_item(s, whole_lot) for s in signs(reading, scope, "colour")),
        blankets=tuple(_in_item(b, whole_lot) for b in wholes),
        stance=manner,
        stance_because=manner_because,
    )
    listing = Listing(
        title=text.split("\n", 1)[0].strip(),
        text=text,
        source=source or Source("text", None, hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()),
        price=money.price,
        postage=money.postage,
        sale=money.sale,
        place=money.place,
    )
    return Read(listing, what, because, claims, whole_lot)


def _kinds(models: list[ModelClaim], lexicon: Lexicon) -> frozenset[str]:
    ids = {i for m in models if m.standing != "negated" for i in ((m.id,) if m.id else m.candidates)}
    return frozenset(lexicon.models[i].kind for i in ids if i in lexicon.models)


def _lot_models(models: list[ModelClaim], whole: Lot | None) -> tuple[ModelClaim, ...]:
    """Each model with the item that names it; a title's model belongs to the item that names it too."""
    placed = [_in_item(m, whole) for m in models]
    owner = {m.id: m.item for m in reversed(placed) if m.id and m.item is not None}
    return tuple(replace(m, item=owner.get(m.id)) if m.item is None and m.id else m for m in placed)


def _in_item(claim: T, whole: Lot | None) -> T:
    if whole is None:
        return claim
    for number, item in enumerate(whole.items):
        if item.start <= claim.start < item.end:
            return replace(claim, item=number)
    return claim


def _known_parts(parts: list[PartClaim], models: list[ModelClaim], lexicon: Lexicon) -> list[PartClaim]:
    """Name the part where the words describe exactly one row that belongs on a model of the text."""
    ids = [m.id for m in models if m.id and m.standing != "negated"]
    return [_known(p, ids, lexicon) for p in parts]


def _known(claim: PartClaim, models: list[str], lexicon: Lexicon) -> PartClaim:
    if claim.part or claim.state in ("missing", "replaced") or not models or not claim.attributes:
        return claim
    said = dict(claim.attributes)
    belonging = {f.part for m in models for f in lexicon.fits_at(m, claim.slot) if f.part and f.fit in ("original", "service")}
    fitting = [p for p in sorted(belonging) if _shows(lexicon, p, said)]
    return replace(claim, part=fitting[0]) if len(fitting) == 1 else claim


def _shows(lexicon: Lexicon, part: str, said: dict[str, str]) -> bool:
    shown = {s.observation: s.value for s in lexicon.part_signs(part) if s.share in ("always", "usually")}
    return all(shown.get(observation) == value for observation, value in said.items())
