"""CSV tables described by a Data Package (Table Schema): read, check field by field, collect every fault.

Only what the tables use of Table Schema is checked: required, enum, pattern, unique, minimum, maximum, the types
string, integer and number, and foreign keys. tests/outside/ holds the same files against a reference library.
"""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from listingrisk.errors import BadTable, Fault

HEADER_ROWS = 1
Row = dict[str, str]


@dataclass(frozen=True)
class Table:
    """One table: its file name and its rows, each a mapping of column to text ('' where empty)."""

    name: str
    file: str
    rows: tuple[Row, ...]
    key: str


def row_number(index: int) -> int:
    """Row as an editor counts it, of the record at this index."""
    return index + HEADER_ROWS + 1


def read_package(folder: Path) -> tuple[dict[str, Table], list[Fault]]:
    """Read every table that `folder/datapackage.json` describes, with all faults found.

    Raises BadTable where the description itself cannot be read.
    """
    description = folder / "datapackage.json"
    try:
        package = json.loads(description.read_text(encoding="utf-8"))
        resources = [(r["name"], r["path"], r["schema"]) for r in package["resources"]]
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise BadTable([_fault(str(description), f"cannot be read ({error})", "give a folder with lexicons/ and models/")]) from error
    tables: dict[str, Table] = {}
    faults: list[Fault] = []
    for name, path, schema in resources:
        table, found = _read_table(folder, name, path, schema)
        tables[name] = table
        faults += found
    for name, _, schema in resources:
        faults += _foreign_keys(tables, name, schema)
    return tables, faults


def _fault(file: str, what: str, do: str, row: int | None = None, column: str | None = None) -> Fault:
    return Fault(file, row, column, what, do)


def _read_table(folder: Path, name: str, path: str, schema: dict[str, Any]) -> tuple[Table, list[Fault]]:
    key = schema["primaryKey"][0]
    empty = Table(name, path, (), key)
    columns = [field["name"] for field in schema["fields"]]
    try:
        with (folder / path).open(encoding="utf-8", newline="") as handle:
            lines = list(csv.reader(handle, strict=True))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        return empty, [_fault(path, f"cannot be read ({error})", "save it as UTF-8 CSV")]
    if not lines or lines[0] != columns:
        return empty, [_fault(path, f"header is not {','.join(columns)}", "restore the header", row=1)]
    rows, faults = [], []
    for index, line in enumerate(lines[1:]):
        if len(line) != len(columns):
            faults.append(_fault(path, f"{len(line)} cells for {len(columns)} columns", "quote cells that hold commas", row_number(index)))
            line = (line + [""] * len(columns))[: len(columns)]
        rows.append(dict(zip(columns, line, strict=True)))
    for field in schema["fields"]:
        faults += _check_field(path, rows, field)
    faults += _check_order(path, rows, key)
    return Table(name, path, tuple(rows), key), faults


def _check_field(path: str, rows: list[Row], field: dict[str, Any]) -> list[Fault]:
    name, limits = field["name"], field.get("constraints", {})
    pattern = re.compile(limits["pattern"]) if "pattern" in limits else None
    allowed = limits.get("enum")
    faults: list[Fault] = []
    seen: dict[str, int] = {}
    for index, row in enumerate(rows):
        value, where = row[name], row_number(index)
        if not value:
            if limits.get("required"):
                faults.append(_fault(path, "is empty", "fill it in", where, name))
            continue
        if value != value.strip():
            faults.append(_fault(path, f"{value!r} has stray spaces", "remove them", where, name))
        if allowed and value not in allowed:
            faults.append(_fault(path, f"{value!r} is not one of {', '.join(allowed)}", "use one of these", where, name))
        if pattern and not pattern.fullmatch(value):
            faults.append(_fault(path, f"{value!r} is not of the form {limits['pattern']}", "write it in that form", where, name))
        if field["type"] in ("integer", "number"):
            faults += _check_number(path, value, field["type"], limits, where, name)
        if limits.get("unique") and seen.setdefault(value, where) != where:
            faults.append(_fault(path, f"{value!r} stands in row {seen[value]} too", "give each row its own", where, name))
    return faults


def _check_number(path: str, value: str, kind: str, limits: dict[str, Any], row: int, column: str) -> list[Fault]:
    try:
        number = int(value) if kind == "integer" else float(value)
    except ValueError:
        return [_fault(path, f"{value!r} is not a{'n integer' if kind == 'integer' else ' number'}", "write digits", row, column)]
    low, high = limits.get("minimum", float("-inf")), limits.get("maximum", float("inf"))
    if not low <= number <= high:  # a number that is not finite fails here too, unless no bound is set
        return [_fault(path, f"{value} is outside {low} to {high}", "give a number within", row, column)]
    return []


def _check_order(path: str, rows: list[Row], key: str) -> list[Fault]:
    for index in range(1, len(rows)):
        if rows[index][key] < rows[index - 1][key]:
            return [_fault(path, f"{rows[index][key]!r} stands after {rows[index - 1][key]!r}", "sort the rows by this column", row_number(index), key)]
    return []


def _foreign_keys(tables: dict[str, Table], name: str, schema: dict[str, Any]) -> list[Fault]:
    table = tables[name]
    faults = []
    for foreign in schema.get("foreignKeys", ()):
        column, target = foreign["fields"][0], foreign["reference"]["resource"]
        known = {row[foreign["reference"]["fields"][0]] for row in tables[target].rows}
        for index, row in enumerate(table.rows):
            if row[column] and row[column] not in known:
                faults.append(_fault(table.file, f"{row[column]!r} is not in {tables[target].file}", f"add it there or name one of {tables[target].file}", row_number(index), column))
    return faults
