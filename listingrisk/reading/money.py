"""Price, postage, kind of sale and place, as written. The price of the postage or of another thing is not the price."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from listingrisk.reading.listing import Money, Price, PriceKind, Sale
from listingrisk.reading.pipeline import Reading
from listingrisk.reading.zones import Scope
from listingrisk.tables.lexicon import Lexicon

_AMOUNT = r"\d{1,3}(?:[ ,.']\d{3})+(?:[.,]\d{2})?|\d{1,7}(?:[.,]\d{1,2}(?!\d))?"
_POUND_WORDS = r"quid|pounds?|gbp|euros?|eur|dollars?|bucks|usd|aud|cad|nzd|chf|sek|nok|dkk|kr|vb|€|£|p\b"
_MONEY = re.compile(
    rf"(?P<pre>US\$|A\$|AU\$|C\$|CA\$|NZ\$|[£€$]|\b(?:GBP|EUR|USD|AUD|CAD|NZD|CHF|SEK|NOK|DKK)\b)\s?(?P<a>{_AMOUNT})(?P<postsign>\s?(?:canadian|australian|aud|cad|usd|nzd))?"
    rf"|(?<![\w.,/#-])(?P<b>{_AMOUNT})\s?(?P<post>{_POUND_WORDS})(?![\w])(?P<after>\s?(?:canadian|australian))?",
    re.IGNORECASE,
)
_BARE = re.compile(rf"(?:price|asking|postage|p&p|carriage|postage is)\s*[:=]?\s*(?P<a>{_AMOUNT})(?![\w%/])", re.IGNORECASE)
_UNITS = {word: value for value, word in enumerate("one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(), 1)}
_TENS = {word: 10 * value for value, word in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), 2)}
_COINS = {"tenner": 10, "fiver": 5}
_IN_WORDS = re.compile(
    rf"\b(?:a\s+)?(?P<coin>tenner|fiver)\b|\b(?:(?P<tens>{'|'.join(_TENS)})(?:[\s-](?P<unit>{'|'.join(_UNITS)}))?|(?P<small>{'|'.join(_UNITS)})|a)(?P<hundred>\s+hundred)?(?:\s+and\s+(?P<more>{'|'.join(_TENS)}))?\s+(?P<post>quid|pounds?|euros?)\b",
    re.IGNORECASE,
)
_DOLLAR_WORDS = {"canadian": "CAD", "australian": "AUD", "aud": "AUD", "cad": "CAD", "usd": "USD", "nzd": "NZD"}


@dataclass(frozen=True)
class Amount:
    """One amount of money in a text: half-open span in the mended text, value, currency or None for a bare `$`."""

    start: int
    end: int
    value: Decimal
    currency: str | None
    bare: bool = False


@dataclass(frozen=True)
class Terms:
    """What a text says of price, postage, sale and place."""

    price: Price | None
    postage: Money | None
    sale: Sale
    place: str | None
    collect_only: bool = False


def terms(reading: Reading, scope: Scope, lexicon: Lexicon, currency: str | None = None) -> Terms:
    """Read the money of a listing; `currency` is used for amounts whose sign leaves it open."""
    place, home = _place(reading, scope, lexicon)
    found = [_settle(a, currency or home) for a in amounts(reading.mended.text)]
    roles = {a: _role(reading, scope, a) for a in found}
    postage = _postage(reading, scope, roles)
    asked = [a for a in found if roles[a] == "price"]
    best = min(asked, key=lambda a: _price_rank(reading, scope, a)) if asked else None
    kind, sale = _kind(reading, scope, best)
    price = Price(best.value, best.currency, kind) if best else None
    if postage is None and (any(h.entry.value == "free" for h in scope.of("postage")) or _included(reading, scope, best)):
        postage = Money(Decimal(0), price.currency if price else currency or home)
    collect = any(h.entry.value == "collect" for h in scope.of("postage"))
    return Terms(price, postage, sale, place, collect)


def amounts(text: str) -> list[Amount]:
    """Every amount of money in a text, in order of place.

    >>> [(a.value, a.currency) for a in amounts("£1,250.00, post 7.50 euros, 99p start")]
    [(Decimal('1250.00'), 'GBP'), (Decimal('7.50'), 'EUR'), (Decimal('0.99'), 'GBP')]
    """
    found = []
    for match in _MONEY.finditer(text):
        value = number(match["a"] or match["b"])
        if value is None:
            continue
        sign = (match["pre"] or match["post"]).strip().lower()
        if sign == "p":
            value /= 100
        word = (match["postsign"] or match["after"] or "").strip().lower()
        found.append(Amount(match.start(), match.end(), value, _currency(sign, word)))
    found += [a for match in _IN_WORDS.finditer(text) if (a := _spelled(match))]
    taken = [(a.start, a.end) for a in found]
    for match in _BARE.finditer(text):
        value = number(match["a"])
        if value is not None and not any(s < match.end("a") and match.start("a") < e for s, e in taken):
            found.append(Amount(match.start("a"), match.end("a"), value, None, bare=True))
    return sorted(found, key=lambda a: a.start)


def _spelled(match: re.Match[str]) -> Amount | None:
    """ "a tenner", "twenty-five quid", "two hundred pounds"."""
    if match["coin"]:
        return Amount(match.start(), match.end(), Decimal(_COINS[match["coin"].lower()]), "GBP")
    low = {key: (match[key] or "").lower() for key in ("tens", "unit", "small", "more")}
    value = _TENS.get(low["tens"], 0) + _UNITS.get(low["unit"], 0) + _UNITS.get(low["small"], 0)
    if match["hundred"]:
        value = max(value, 1) * 100 + _TENS.get(low["more"], 0)
    return Amount(match.start(), match.end(), Decimal(value), _currency(match["post"].lower(), "")) if value else None


def number(written: str) -> Decimal | None:
    """The value of an amount with thousands and decimals in either manner; None where it is no number.

    >>> number("1.250,00"), number("1,250"), number("8,90")
    (Decimal('1250.00'), Decimal('1250'), Decimal('8.90'))
    """
    text = written.replace(" ", "").replace("'", "")
    last = max(text.rfind(","), text.rfind("."))
    if last >= 0 and len(text) - last - 1 in (1, 2):
        text = text[:last].replace(",", "").replace(".", "") + "." + text[last + 1 :]
    else:
        text = text.replace(",", "").replace(".", "")
    try:
        return Decimal(text)
    except InvalidOperation:
        return None


def _currency(sign: str, word: str) -> str | None:
    if word in _DOLLAR_WORDS:
        return _DOLLAR_WORDS[word]
    plain = {"£": "GBP", "quid": "GBP", "pound": "GBP", "pounds": "GBP", "p": "GBP", "€": "EUR", "euro": "EUR", "euros": "EUR", "vb": "EUR", "us$": "USD", "a$": "AUD", "au$": "AUD", "c$": "CAD", "ca$": "CAD", "nz$": "NZD"}
    if sign in plain:
        return plain[sign]
    return sign.upper() if len(sign) == 3 and sign.isalpha() else None


def _settle(amount: Amount, home: str | None) -> Amount:
    if amount.currency is None and home:
        return Amount(amount.start, amount.end, amount.value, home, amount.bare)
    return amount


# Roles -------------------------------------------------------------------------------------------------------------------


def _tokens(reading: Reading, amount: Amount) -> tuple[int, int]:
    first = min(bisect_right(reading.ends, amount.start), len(reading.ends) - 1)
    last = bisect_left(reading.starts, amount.end)
    return first, max(last, first + 1)


def _role(reading: Reading, scope: Scope, amount: Amount) -> str:
    """price, postage or other: by the nearest money word in the clause, words before counting more than words after."""
    first, end = _tokens(reading, amount)
    best: tuple[float, str] | None = None
    for hit in scope.near(first, "price", "postage", "other_item"):
        if hit.end <= first:
            gap = float(first - hit.end)
        elif hit.start >= end:
            gap = hit.start - end + 0.5
        else:
            continue
        role = {"not_price": "other"}.get(hit.entry.value) or {"postage": "postage", "other_item": "other"}.get(hit.entry.kind, "price")
        if hit.entry.value == "included" and hit.start >= end:
            if hit.start - end <= 1:
                return "price"  # "£28 delivered"
            continue
        if hit.entry.kind == "postage" and hit.entry.value in ("free", "collect"):
            if hit.entry.value == "free" and 0 <= hit.start - end <= 1:
                return "price"  # "£28 inc post": the price, with nothing more for the post
            continue
        if hit.entry.direction == "behind" and hit.end <= first:
            continue
        if hit.entry.value == "not_price" and gap > 3:
            continue
        if role == "postage" and hit.start >= end and reading.words[end : end + 1] in (["+"], ["plus"], ["and"], [","], ["&"], ["collected"], ["collect"]):
            continue
        if role == "postage" and hit.end <= first and _separated(reading, hit.end, first):
            continue
        limit = 14 if hit.entry.kind == "other_item" else 5
        if gap <= limit and (best is None or gap < best[0]):
            best = (gap, role)
    return best[1] if best else "other" if _other_thing(reading, scope, first, end) else "price"


def _included(reading: Reading, scope: Scope, best: Amount | None) -> bool:
    """Whether the price is said to be delivered or posted."""
    if best is None:
        return False
    _, end = _tokens(reading, best)
    return any(h.entry.value == "included" and 0 <= h.start - end <= 1 for h in scope.near(min(end, len(reading.words) - 1), "postage"))


def _separated(reading: Reading, start: int, end: int) -> bool:
    return any(reading.words[i] in (",", ";", "/") for i in range(start, end))


def _other_thing(reading: Reading, scope: Scope, first: int, end: int) -> bool:
    """Whether the clause speaks of another thing than a telephone ("brass bell push, £8")."""
    return scope.zone_at(first, "other_item", "history") is not None


def _price_rank(reading: Reading, scope: Scope, amount: Amount) -> tuple[int, int, int]:
    """Asked-for amounts first (a price word near), then those in the title, then the first at a clause's start."""
    first, end = _tokens(reading, amount)
    near = any(h.entry.value != "not_price" and not (h.entry.value == "offers" and h.end <= first) and (0 <= first - h.end <= 3 or 0 <= h.start - end <= 3) for h in scope.near(first, "price"))
    posted = any(0 <= h.start - end <= 6 for h in scope.near(first, "postage"))
    starts = first == 0 or reading.clause[first - 1] != reading.clause[first]
    thing = _names_another(reading, scope, first)
    return (0 if near else 1 if posted or starts else 2) + (3 if thing else 0), reading.line[first] != 0, amount.start


def _names_another(reading: Reading, scope: Scope, first: int) -> bool:
    return any(h.entry.value == "other" for h in scope.near(first, "subject"))


def _postage(reading: Reading, scope: Scope, roles: dict[Amount, str]) -> Money | None:
    for amount, role in roles.items():
        if role == "postage":
            return Money(amount.value, amount.currency)
    return None


def _kind(reading: Reading, scope: Scope, best: Amount | None) -> tuple[PriceKind, Sale]:
    values = {h.entry.value for h in scope.of("price")}
    auction = bool(scope.of("sale")) or "starting" in values or "current_bid" in values
    if auction and not values & {"buy_now"}:
        kind: PriceKind = "current_bid" if "current_bid" in values else "starting"
        return kind, "auction"
    if "offers" in values:
        return "offers_around", "offers"
    if "buy_now" in values:
        return "buy_now", "fixed"
    if "guide" in values:
        return "guide", "auction"
    return "asking", "fixed" if best else "unknown"


def _place(reading: Reading, scope: Scope, lexicon: Lexicon) -> tuple[str | None, str | None]:
    """A place named, and the currency of its country."""
    first: str | None = None
    for hit in scope.of("place"):
        country, _, name = hit.entry.value.partition(":")
        first = first or name or reading.quote(hit.start, hit.end)[0]
        for row in lexicon.rows("currencies"):
            if country in row["countries"].split() and "$" in row["signs"].split():
                return first, row["code"]  # a bare sign is settled only by a country whose money bears it
    return first, None
