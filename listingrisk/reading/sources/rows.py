"""Tables of listings: CSV with a header, JSON and JSON Lines. Columns are found by their names."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from listingrisk.errors import BadListing
from listingrisk.reading.sources import values
from listingrisk.reading.sources.decode import one_line
from listingrisk.reading.sources.depth import parsed
from listingrisk.reading.sources.draft import Draft, Stated
from listingrisk.reading.sources.limits import CELL, ROWS
from listingrisk.reading.sources.page import described_text
from listingrisk.reading.sources.schema_org import OFFERS, PRODUCTS, kinds, product

NAMES: Mapping[str, tuple[str, ...]] = {
    "title": ("title", "listingtitle", "itemtitle", "adtitle", "headline", "heading", "name", "itemname", "subject", "item", "titel", "titre"),
    "body": ("description", "body", "text", "listingtext", "itemdescription", "listingdescription", "fulltext", "details", "content", "desc", "beschreibung", "omschrijving", "texte"),
    "price": ("price", "askingprice", "priceamount", "amount", "asking", "currentprice", "currentbid", "buynowprice", "buynow", "startingprice", "startprice", "preis", "prijs", "prix"),
    "currency": ("currency", "pricecurrency", "currencycode", "curr", "währung", "waehrung", "valuta", "devise"),
    "postage": ("postage", "postagecost", "shipping", "shippingcost", "shippingprice", "delivery", "deliverycost", "carriage", "pp", "versand", "versandkosten", "verzendkosten"),
    "condition": ("condition", "itemcondition", "zustand", "staat"),
    "place": ("place", "location", "itemlocation", "town", "city", "area", "areaserved", "region", "country", "ort", "standort", "plaats"),
    "availability": ("availability", "status", "stock"),
}
"""Names of columns by field, the best first; compared without signs and case."""
_LISTS = ("listings", "items", "results", "ads", "adverts", "rows", "data", "itemlistelement", "@graph")
_DELIMITERS = ",;\t|"
_PLAIN = re.compile(r"[\W_]+")


def read_csv(text: str, called: str) -> tuple[Draft, ...]:
    """One draft a row. Raises BadListing where no column holds a title or a text."""
    delimiter, header = _header(text)
    columns = _columns(header)
    if not {"title", "body"} & set(columns):
        raise BadListing(f"{called} has no column named title or description in its first line; name one so")
    found: list[Draft] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for number, row in enumerate(reader):
            if number == 0 or not any(cell.strip() for cell in row):
                continue
            if any(len(cell) > CELL for cell in row):  # the csv module's own limit is the whole process's, and others move it
                raise BadListing(f"{called} line {reader.line_num}: a cell of more than {CELL:,} characters; quote cells that hold line ends or quotation marks")
            if len(found) >= ROWS:
                raise BadListing(f"{called} has more than {ROWS:,} rows; split it")
            found.append(_row(row, header, columns, f"row {number + 1}", called))
    except csv.Error as error:
        raise BadListing(f"{called} line {reader.line_num}: {error}; quote cells that hold line ends or quotation marks") from error
    if not found:
        raise BadListing(f"{called} has a header and no rows; add a row for each listing")
    return tuple(found)


def looks_like_csv(text: str) -> bool:
    """Whether the first line names a title or text and one more known column."""
    columns = _columns(_header(text)[1])
    return len(columns) > 1 and bool({"title", "body"} & set(columns))


def _header(text: str) -> tuple[str, list[str]]:
    """Give the delimiter that finds most known columns, and the header cells."""
    best: tuple[int, int, str, list[str]] = (-1, 0, ",", [])
    for order, delimiter in enumerate(_DELIMITERS):
        try:
            cells = next(csv.reader(io.StringIO(text[:10_000], newline=""), delimiter=delimiter), [])
        except csv.Error:
            continue
        best = max(best, (len(_columns(cells)), -order, delimiter, cells))
    return best[2], best[3]


def _columns(header: Sequence[str]) -> dict[str, int]:
    """Give the number of the column of each field."""
    plain = [_PLAIN.sub("", cell).casefold() for cell in header]
    return {field: plain.index(known[0]) for field, names in NAMES.items() if (known := [n for n in names if n in plain])}


def _row(row: Sequence[str], header: Sequence[str], columns: Mapping[str, int], where: str, called: str) -> Draft:
    if any(cell.strip() for cell in row[len(header) :]):
        return Draft("", "", "csv", where=where, fault=f"{called} {where} has {len(row)} cells and the header {len(header)}; quote cells that hold the delimiter")
    cells = {field: row[at] for field, at in columns.items() if at < len(row) and row[at].strip()}
    return _draft(cells, {field: f"column {one_line(header[at], 60)}" for field, at in columns.items()}, "csv", where, called)


def _draft(cells: Mapping[str, Any], sources: Mapping[str, str], kind: Any, where: str, called: str) -> Draft:
    title, body = one_line(values.words(cells.get("title"))), described_text(values.words(cells.get("body")))
    taken = dict(sources)
    if not title and body:
        first, _, body = body.partition("\n")
        title = one_line(first)
        taken["title"] = "first line"
    if not title:
        return Draft("", "", kind, where=where, fault=f"{called} {where} has no title and no text; fill one of them")
    price, price_sign = values.amount(cells.get("price"))
    fee, fee_sign = values.postage(cells.get("postage"))
    code = values.currency(cells.get("currency")) or price_sign
    stated = Stated(
        price=price, currency=code, postage=fee, postage_currency=fee_sign or (code if fee is not None else None),
        condition=values.last_word(cells.get("condition")), place=values.last_word(cells.get("place")), availability=values.last_word(cells.get("availability")),
    )  # fmt: skip
    held = {field for field, value in asdict(stated).items() if value is not None} | {"title"} | ({"body"} if body else set())
    return Draft(title, body, kind, stated, tuple((field, taken.get(field) or taken["price"]) for field in _ordered(held) if field in taken or "price" in taken), where)


def _ordered(held: set[str]) -> list[str]:
    """Give the fields in the order in which they are shown."""
    return [f for f in ("title", "body", "price", "currency", "postage", "condition", "place", "availability") if f in held]


# JSON --------------------------------------------------------------------------------------------------------------------


def read_json(text: str, called: str) -> tuple[Draft, ...] | None:
    """One draft an object; None where the text is neither JSON nor JSON Lines. Raises BadListing."""
    try:
        objects = _objects(parsed(text, called))
    except ValueError:
        return _read_lines(text, called)
    if objects is None:
        return None
    if not objects:
        raise BadListing(f"{called} holds no listing; give objects with a title and a description")
    if len(objects) > ROWS:
        raise BadListing(f"{called} has more than {ROWS:,} objects; split it")
    alone = len(objects) == 1
    drafts = tuple(_object(each, None if alone else f"item {n}", called) for n, each in enumerate(objects, 1))
    if alone and drafts[0].fault:
        raise BadListing(drafts[0].fault)
    return drafts


def _objects(value: Any) -> list[Any] | None:
    if isinstance(value, list):
        return value if any(isinstance(each, dict) for each in value) or not value else None
    if not isinstance(value, dict):
        return None
    for name, each in value.items():
        if name.casefold() in _LISTS and isinstance(each, list) and any(isinstance(inner, dict) for inner in each):
            return each if not _is_graph(name) else [value]
    return [value]


def _is_graph(name: str) -> bool:
    return name == "@graph"


def _read_lines(text: str, called: str) -> tuple[Draft, ...] | None:
    lines = [(n, line) for n, line in enumerate(text.split("\n"), 1) if line.strip()]
    if not lines or not lines[0][1].lstrip().startswith("{"):
        return None
    if len(lines) > ROWS:
        raise BadListing(f"{called} has more than {ROWS:,} lines; split it")
    found: list[Draft] = []
    for number, line in lines:
        where = f"line {number}"
        try:
            found.append(_object(parsed(line, f"{called} {where}"), where, called))
        except (ValueError, BadListing) as error:
            if not found:
                return None
            why = str(error) if isinstance(error, BadListing) else f"{called} {where} is no JSON object; write one object a line"
            found.append(Draft("", "", "jsonl", where=where, fault=why))
    return tuple(found)


def _object(value: Any, where: str | None, called: str) -> Draft:
    place = where or "the object"
    if not isinstance(value, dict):
        return Draft("", "", "jsonl", where=where, fault=f"{called} {place} is no object; give objects with a title and a description")
    if "@graph" in value or kinds(value) & (PRODUCTS | OFFERS):
        found = product([value], [], "json-ld")
        if found and (found.name or found.description):
            return Draft(one_line(found.name or found.description), described_text(found.description), "jsonl", found.stated, (("title", "json-ld name"), ("body", "json-ld description"), *found.taken), where)
    keys = {_PLAIN.sub("", str(key)).casefold(): key for key in value}
    fields = {field: next((keys[n] for n in names if n in keys and _usable(value[keys[n]])), None) for field, names in NAMES.items()}
    cells = {field: value[key] for field, key in fields.items() if key is not None}
    sources = {field: f"key {one_line(str(key), 60)}" for field, key in fields.items() if key is not None}
    nested = cells.get("price")
    if isinstance(nested, dict):
        cells["price"] = nested.get("amount", nested.get("value"))
        cells.setdefault("currency", nested.get("currency"))
        sources.setdefault("currency", f"{sources['price']}.currency")
    if isinstance(cells.get("postage"), dict):
        cells["postage"] = cells["postage"].get("amount", cells["postage"].get("value"))
    return replace(_draft(cells, sources, "jsonl", place, called), where=where)


def _usable(value: Any) -> bool:
    return value not in (None, "", [], {})
