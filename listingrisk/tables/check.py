"""Checks across tables, beyond what Table Schema can say: dates, triggers, permitted values, what cannot both hold.

Every fault names file, row, column and what to do. Nothing stops at the first one.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from listingrisk.dates import NotADate, Years, overlap, years
from listingrisk.errors import Fault
from listingrisk.tables.find import table_folder
from listingrisk.tables.records import Condition
from listingrisk.tables.schema import Row, Table, read_package, row_number
from listingrisk.tables.triggers import BadTrigger, parse_trigger
from listingrisk.tables.weight_checks import check_weights

Tables = Mapping[str, Table]
SLACK_YEARS = 2
"""Years by which approximate ends may miss each other."""
CANNOT_SEE = "cannot_see"
ANY = "*"
MARK_PLACES = ("any", "base", "case", "handset", "dial")
FLAGS = ("untested", "working", "not_working", "restored", "converted", "reproduction", "repainted", "cracked", "for_spares", "sold_as_seen", "no_returns", "mismatch")
NODE_STATES = {
    "object": ("as_claimed", "other_model", "assembled", "reproduction"),
    "words": ("reliable", "careless", "misleading"),
    "inside": ("untouched", "worked_on", "stripped"),
    "works": ("works", "faulty"),
    "arrives_whole": ("whole", "broken_in_post"),
}
SLOT_STATES = ("ok", "service", "not_included", "repro", "wrong_type", "broken", "missing")
DATE_COLUMNS = (("models", "made"), ("models", "refurbished_until"), ("parts", "made"), ("fits", "when"), ("sources", "seen"))
PARTLESS = "absent"


@dataclass(frozen=True)
class Checked:
    """What was found in a folder of tables."""

    folder: Path
    faults: tuple[Fault, ...]
    tables: Mapping[str, int]
    """Rows of each table, as folder/name."""
    kinds: Mapping[str, int]
    """Rows by the kind of their source."""
    countries: Mapping[str, int]
    """Models by country."""
    certainties: Mapping[str, int]
    """Rows by certainty."""


def check_folder(folder: Path | None = None) -> Checked:
    """Check lexicons/ and models/ of a folder (none: the shipped ones). Raises BadTable where a description is unreadable."""
    place = table_folder(folder)
    lexicons, faults = read_package(place / "lexicons")
    faults += check_tables(lexicons)
    counts = {f"lexicons/{name}": len(table.rows) for name, table in lexicons.items()}
    if (place / "models" / "datapackage.json").is_file():
        models, found = read_package(place / "models")
        faults += found or [*check_weights(models), *check_weight_names(models, lexicons)]
        counts |= {f"models/{name}": len(table.rows) for name, table in models.items()}
    else:
        faults.append(Fault("models/datapackage.json", None, None, "is not there", "give a folder with lexicons/ and models/"))
    return Checked(place, tuple(faults), counts, _kinds(lexicons), _count(lexicons["models"], "country"), _certainties(lexicons))


def check_tables(tables: Tables) -> list[Fault]:
    """Every fault of the tables of lexicons/ taken together."""
    return [fault for check in CHECKS for fault in check(tables)]


def _at(table: Table, index: int, column: str | None, what: str, do: str) -> Fault:
    return Fault(table.file, row_number(index), column, what, do)


def _keys(tables: Tables, name: str) -> set[str]:
    return {row[tables[name].key] for row in tables[name].rows}


def _span(text: str) -> Years | None:
    try:
        return years(text) if text else None
    except NotADate:
        return None  # told by _dates


# One row -----------------------------------------------------------------------------------------------------------------


def _dates(tables: Tables) -> Iterator[Fault]:
    for name, column in DATE_COLUMNS:
        table = tables[name]
        for index, row in enumerate(table.rows):
            if row[column] and _span(row[column]) is None:
                yield _at(table, index, column, f"{row[column]!r} is not an EDTF date", "write 1937, 1937~, 195X or 1937/1959")


def _model_dates(tables: Tables) -> Iterator[Fault]:
    table = tables["models"]
    for index, row in enumerate(table.rows):
        made, until = _span(row["made"]), _span(row["refurbished_until"])
        if made and until and until.last < made.first:
            yield _at(table, index, "refurbished_until", f"{row['refurbished_until']} lies before {row['made']}, when it was made", "give the last year of refurbishing")


def _sources(tables: Tables) -> Iterator[Fault]:
    table = tables["sources"]
    for index, row in enumerate(table.rows):
        for column in ("address", "seen"):
            if row["kind"] == "page" and not row[column]:
                yield _at(table, index, column, "is empty for a page", "say where it is and when it was read")


def _observations(tables: Tables) -> Iterator[Fault]:
    table = tables["observations"]
    for index, row in enumerate(table.rows):
        values = row["values"].split()
        head = row["id"].partition(".")[0]
        if head not in (row["slot"], "marks"):
            yield _at(table, index, "id", f"{row['id']!r} does not begin with its slot {row['slot']!r}", "name it slot.sign, or marks.place")
        if values and CANNOT_SEE not in values:
            yield _at(table, index, "values", f"lacks {CANNOT_SEE}", "add it: not seeing is an answer")
        for value, times in Counter(values).items():
            if times > 1:
                yield _at(table, index, "values", f"{value!r} stands there {times} times", "keep one")


def _one_of(tables: Tables, name: str, columns: tuple[str, str]) -> Iterator[Fault]:
    table = tables[name]
    for index, row in enumerate(table.rows):
        filled = [column for column in columns if row[column]]
        if len(filled) != 1:
            what = f"{' and '.join(columns)} are both {'filled' if filled else 'empty'}"
            yield _at(table, index, columns[0], what, "fill exactly one")


def _subjects(tables: Tables) -> Iterator[Fault]:
    yield from _one_of(tables, "names", ("model", "part"))
    yield from _one_of(tables, "signs", ("model", "part"))


def _lookalikes(tables: Tables) -> Iterator[Fault]:
    table = tables["lookalikes"]
    for index, row in enumerate(table.rows):
        if row["model"] == row["other"]:
            yield _at(table, index, "other", f"{row['other']!r} is the model itself", "name the other one")


def _currencies(tables: Tables) -> Iterator[Fault]:
    table = tables["currencies"]
    for index, row in enumerate(table.rows):
        if not (len(row["code"]) == 3 and row["code"].isascii() and row["code"].isupper()):
            yield _at(table, index, "code", f"{row['code']!r} is not an ISO 4217 code", "write three capital letters")


# Rows against other rows -------------------------------------------------------------------------------------------------


def _values_of(tables: Tables) -> dict[str, list[str]]:
    return {row["id"]: row["values"].split() for row in tables["observations"].rows}


def _value_fault(observation: str, value: str, values: Mapping[str, list[str]]) -> tuple[str, str] | None:
    """What is wrong with an observation and value, and what to do."""
    if observation not in values:
        return f"{observation!r} is not in observations.csv", "add it there or name one of observations.csv"
    if values[observation] and value not in values[observation]:
        return f"{value!r} is not a value of {observation}", f"use one of {' '.join(values[observation])}"
    return None


def _signs(tables: Tables) -> Iterator[Fault]:
    table, values = tables["signs"], _values_of(tables)
    for index, row in enumerate(table.rows):
        wrong = _value_fault(row["observation"], row["value"], values) if row["observation"] in values else None
        if wrong:
            yield _at(table, index, "value", *wrong)
        if row["value"] == CANNOT_SEE:
            yield _at(table, index, "value", f"{CANNOT_SEE!r} shows nothing", "name what is seen, or take the row out")


def _fit_parts(tables: Tables) -> Iterator[Fault]:
    table = tables["fits"]
    parts = {row["id"]: row for row in tables["parts"].rows}
    for index, row in enumerate(table.rows):
        if (row["fit"] == PARTLESS) == bool(row["part"]):
            what, do = ("names a part that is absent", "leave part empty") if row["part"] else (f"is empty for fit {row['fit']}", "name the part")
            yield _at(table, index, "part", what, do)
        part = parts.get(row["part"])
        if part is None:
            continue
        if part["slot"] != row["slot"]:
            yield _at(table, index, "slot", f"{row['part']} fills {part['slot']}, not {row['slot']}", "name the slot of the part")
        when, made = _span(row["when"]), _span(part["made"])
        if when and made and when.last + SLACK_YEARS * made.approximate < made.first:
            yield _at(table, index, "when", f"{row['when']} ends before {row['part']} was made ({part['made']})", "correct one of the two")
        if row["fit"] == "original" and when and made and not overlap(when, made, slack=SLACK_YEARS):
            yield _at(table, index, "when", f"{row['when']} does not meet {part['made']}, when {row['part']} was made", "correct one of the two")


def _fit_models(tables: Tables) -> Iterator[Fault]:
    table = tables["fits"]
    models = {row["id"]: row for row in tables["models"].rows}
    for index, row in enumerate(table.rows):
        made, when = _span(models.get(row["model"], {}).get("made", "")), _span(row["when"])
        if row["fit"] == "original" and made and when and not overlap(when, made, slack=SLACK_YEARS):
            yield _at(table, index, "when", f"{row['when']} does not meet {models[row['model']]['made']}, when {row['model']} was made", "correct one of the two, or call it service")
        if bool(row["when"]) != bool(row["when_basis"]):
            yield _at(table, index, "when_basis", "when and when_basis are not both filled or both empty", "say own or derived where there are years")
        if not row["id"].startswith(f"{row['model']}.{row['slot']}."):
            yield _at(table, index, "id", f"{row['id']!r} does not begin with its model and slot", f"begin it with {row['model']}.{row['slot']}.")


def _fit_contradictions(tables: Tables) -> Iterator[Fault]:
    table = tables["fits"]
    by_part: dict[tuple[str, str, str], list[tuple[int, Row]]] = defaultdict(list)
    for index, row in enumerate(table.rows):
        by_part[row["model"], row["slot"], row["part"]].append((index, row))
    for (model, slot, part), rows in by_part.items():
        rights = [row for _, row in rows if row["fit"] in ("original", "service")]
        for index, row in rows:
            if row["fit"] == "wrong" and any(_meet(row["when"], right["when"]) for right in rights):
                yield _at(table, index, "fit", f"{part} is both right and wrong at {slot} of {model} in the same years", "keep one, or give each its years")


def _meet(one: str, other: str) -> bool:
    a, b = _span(one), _span(other)
    return a is None or b is None or overlap(a, b)


def _unique(name: str, columns: tuple[str, ...]) -> Callable[[Tables], Iterator[Fault]]:
    def check(tables: Tables) -> Iterator[Fault]:
        table = tables[name]
        seen: dict[tuple[str, ...], int] = {}
        for index, row in enumerate(table.rows):
            key = tuple(row[column] for column in columns)
            first = seen.setdefault(key, index)
            if first != index:
                yield _at(table, index, columns[0], f"says again what row {row_number(first)} says of {' '.join(k for k in key if k)}", "keep one row")

    return check


def _lists(tables: Tables) -> Iterator[Fault]:
    """Columns that hold several ids in one cell."""
    for name, column, target in (("cautions", "slots", "slots"), ("slot_words", "slots", "slots"), ("attribute_words", "slots", "slots"), ("disagreements", "sources", "sources")):
        table, known = tables[name], _keys(tables, target)
        for index, row in enumerate(table.rows):
            for piece in row[column].split():
                if piece not in known:
                    yield _at(table, index, column, f"{piece!r} is not in {tables[target].file}", f"add it there or name one of {tables[target].file}")


def _attributes(tables: Tables) -> Iterator[Fault]:
    table, values = tables["attribute_words"], _values_of(tables)
    for index, row in enumerate(table.rows):
        for piece in row["attribute"].split():
            name, _, value = piece.partition("=")
            wrong = _value_fault(name, value, values)
            if wrong:
                yield _at(table, index, "attribute", *wrong)


def _cautions(tables: Tables) -> Iterator[Fault]:
    table, signs = tables["cautions"], _known_signs(tables)
    for index, row in enumerate(table.rows):
        head, _, sign = row["when"].partition(":")
        if head not in ("open", "finding", "sign") or (head == "sign") != bool(sign):
            yield _at(table, index, "when", f"{row['when']!r} is no occasion", "write open, finding or sign:SIGN")
        elif sign and sign not in signs:
            yield _at(table, index, "when", f"sign {sign!r} is not in sign_words.csv", "add words for it there")


def _colours(tables: Tables) -> Iterator[Fault]:
    table, known = tables["colours"], {row["colour"] for row in tables["colour_words"].rows}
    for index, row in enumerate(table.rows):
        if row["colour"] not in known:
            yield _at(table, index, "colour", f"{row['colour']!r} has no word in colour_words.csv", "add the words for it there")


# Tells -------------------------------------------------------------------------------------------------------------------


def _known_signs(tables: Tables) -> set[str]:
    return {row["sign"] for row in tables["sign_words"].rows}


def _tells(tables: Tables) -> Iterator[Fault]:
    table = tables["tells"]
    models = _keys(tables, "models") | {row["family"] for row in tables["models"].rows} | {ANY}
    slots = _keys(tables, "slots")
    for index, row in enumerate(table.rows):
        for model in row["models"].split():
            if model not in models:
                yield _at(table, index, "models", f"{model!r} is no model, no family and not {ANY}", "name one of models.csv")
        if row["state"] and not _state_known(row["state"], slots):
            yield _at(table, index, "state", f"{row['state']!r} is no node and state", "write node.state, such as dial.wrong_type")
        if row["trigger"] and not row["finding"]:
            yield _at(table, index, "finding", "is empty for a tell with a trigger", "say what kind of finding it makes")


def _state_known(text: str, slots: set[str]) -> bool:
    node, _, state = text.partition(".")
    return state in NODE_STATES.get(node, SLOT_STATES if node in slots else ())


def _triggers(tables: Tables) -> Iterator[Fault]:
    table, values = tables["tells"], _values_of(tables)
    known = {
        "part": (_keys(tables, "parts"), "part", "parts.csv"),
        "model": (_keys(tables, "models"), "model", "models.csv"),
        "sign": (_known_signs(tables), "sign", "sign_words.csv"),
        "colour": ({row["colour"] for row in tables["colour_words"].rows}, "colour", "colour_words.csv"),
        "flag": (set(FLAGS), "flag", "the list of flags"),
        "denied": (set(FLAGS), "flag", "the list of flags"),
    }
    for index, row in enumerate(table.rows):
        try:
            conditions = parse_trigger(row["trigger"])
        except BadTrigger as error:
            yield _at(table, index, "trigger", str(error), "see Triggers in lexicons/README.md")
            continue
        for condition in conditions:
            wrong = _condition_fault(condition, values, known, _keys(tables, "slots"))
            if wrong:
                yield _at(table, index, "trigger", *wrong)


def _condition_fault(condition: Condition, values: Mapping[str, list[str]], known: Mapping[str, tuple[set[str], str, str]], slots: set[str]) -> tuple[str, str] | None:
    if condition.kind == "see":
        return _value_fault(condition.subject, condition.value, values)
    if condition.kind in ("mark", "mark_year") and condition.subject not in MARK_PLACES:
        return f"{condition.subject!r} is no place of a mark", f"use one of {' '.join(MARK_PLACES)}"
    if condition.kind == "slot" and condition.subject not in slots:
        return f"{condition.subject!r} is not in slots.csv", "name one of slots.csv"
    if condition.kind in known:
        names, what, where = known[condition.kind]
        if condition.value not in names:
            return f"{what} {condition.value!r} is not in {where}", "name one that is"
    return None


CHECKS: tuple[Callable[[Tables], Iterator[Fault]], ...] = (
    _dates, _model_dates, _sources, _observations, _subjects, _lookalikes, _currencies, _signs, _fit_parts, _fit_models, _fit_contradictions,
    _unique("colours", ("model", "colour")), _unique("marks", ("code", "kind", "means", "country", "model")), _unique("names", ("name", "model", "part")),
    _unique("signs", ("model", "part", "observation", "value")), _unique("fits", ("model", "slot", "part", "fit", "when")),
    _lists, _attributes, _cautions, _colours, _tells, _triggers,
)  # fmt: skip


# Weights against knowledge -----------------------------------------------------------------------------------------------


def check_weight_names(models: Tables, lexicons: Tables) -> list[Fault]:
    """Every name in models/ that lexicons/ does not know."""
    ids, slots = _keys(lexicons, "models"), _keys(lexicons, "slots")
    families = {row["family"] for row in lexicons["models"].rows}
    scopes = ids | families | {row["kind"] for row in lexicons["models"].rows} | {row["country"] for row in lexicons["models"].rows} | {ANY, "scarce", "any"}
    nodes = slots | set(NODE_STATES)
    known = {
        ("worths", "model"): ids | families, ("colour_ratios", "model"): ids | families,
        ("priors", "node"): nodes, ("priors", "scope"): scopes, ("deductions", "slot"): nodes, ("deductions", "scope"): scopes,
        ("resale", "slot"): nodes | {ANY}, ("resale", "scope"): scopes, ("usual_worths", "scope"): scopes,
        ("evidence", "node"): nodes | {ANY}, ("signals", "node"): nodes | {"", ANY}, ("assumed", "slot"): slots,
        ("asking", "view"): _keys(lexicons, "views") | {ANY, "statement"}, ("asking", "slot"): nodes | {ANY},
    }  # fmt: skip
    found = []
    for (name, column), names in known.items():
        if name in models:
            table = models[name]
            found += [_at(table, i, column, f"{row[column]!r} is not known to lexicons/", "name one that is, or add it there") for i, row in enumerate(table.rows) if row[column] not in names]
    return [*found, *_signals(models["signals"], _values_of(lexicons))]


def _signals(table: Table, values: Mapping[str, list[str]]) -> Iterator[Fault]:
    for index, row in enumerate(table.rows):
        if row["kind"] == "observation":
            wrong = _value_fault(row["signal"], row["value"], values)
            if wrong:
                yield _at(table, index, "value", *wrong)
        if row["kind"] == "flag" and row["signal"] not in FLAGS:
            yield _at(table, index, "signal", f"{row['signal']!r} is no flag", f"use one of {' '.join(FLAGS)}")


# Counts ------------------------------------------------------------------------------------------------------------------


def _count(table: Table, column: str) -> dict[str, int]:
    return dict(Counter(row[column] for row in table.rows).most_common())


def _kinds(tables: Tables) -> dict[str, int]:
    kinds = {row["id"]: row["kind"] for row in tables["sources"].rows}
    rows = [row for table in tables.values() for row in table.rows if "source" in row]
    return dict(Counter(kinds.get(row["source"], "unknown") for row in rows).most_common())


def _certainties(tables: Tables) -> dict[str, int]:
    return dict(Counter(row["certainty"] for table in tables.values() for row in table.rows if "certainty" in row).most_common())
