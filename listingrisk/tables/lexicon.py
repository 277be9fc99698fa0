"""The loaded knowledge: read only, indexed by id; two lexicons in one process do not meet."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from pathlib import Path
from typing import Any, TypeVar

from listingrisk.dates import NotADate, Years, overlap, years
from listingrisk.errors import BadTable, Fault
from listingrisk.tables import records
from listingrisk.tables.find import table_folder
from listingrisk.tables.schema import Row, Table, read_package, row_number
from listingrisk.tables.triggers import BadTrigger, parse_trigger

T = TypeVar("T")
FIT_ORDER = ("original", "service", "later", "wrong")
"""Best first: the most favourable row that holds is the one that speaks for a part."""
_INTEGERS = {"order"}
_BOOLEANS = {"genuine"}
_SPLIT = {"values": " ", "models": " ", "slots": " ", "views": "; ", "sources": " "}


class Lexicon:
    """Everything the tables say about telephones.

    Public attributes are dictionaries of records by id; the methods are the look-ups that stages need.
    """

    def __init__(self, tables: dict[str, Table], digest: str, folder: Path) -> None:
        """Build the records and indexes. Raises BadTable where a date or a trigger cannot be read."""
        self.tables = tables
        self.digest = digest
        self.folder = folder
        self.faults: list[Fault] = []
        self.sources = self._records("sources", records.SourceRow)
        self.views = self._records("views", records.View)
        self.slots = self._records("slots", records.Slot)
        self.observations = self._records("observations", records.ObservationRow)
        self.models = self._records("models", records.Model)
        self.parts = self._records("parts", records.Part)
        self.names = self._records("names", records.Name)
        self.fits = self._records("fits", records.Fit)
        self.signs = self._records("signs", records.SignRow)
        self.marks = self._records("marks", records.Mark)
        self.tells = self._records("tells", records.Tell)
        self.colours = self._records("colours", records.Colour)
        self.lookalikes = self._records("lookalikes", records.Lookalike)
        self.disagreements = self._records("disagreements", records.Disagreement)
        self.cautions = self._records("cautions", records.Caution)
        self._check_dates()
        if self.faults:
            raise BadTable(self.faults)
        self._by_fit: dict[tuple[str, str], list[records.Fit]] = defaultdict(list)
        for fit in self.fits.values():
            self._by_fit[fit.model, fit.slot].append(fit)
        self._part_signs: dict[str, list[records.SignRow]] = defaultdict(list)
        self._model_signs: dict[str, list[records.SignRow]] = defaultdict(list)
        for sign in self.signs.values():
            (self._part_signs[sign.part] if sign.part else self._model_signs[sign.model]).append(sign)
        self._slot_parts: dict[str, list[records.Part]] = defaultdict(list)
        for part in self.parts.values():
            self._slot_parts[part.slot].append(part)

    def _records(self, table: str, record: type[T]) -> dict[str, T]:
        built: dict[str, T] = {}
        fields = record.__dataclass_fields__  # type: ignore[attr-defined]
        for index, row in enumerate(self.tables[table].rows):
            try:
                built[row["id"]] = record(**{name: _value(name, row) for name in fields})
            except BadTrigger as error:
                self.faults.append(Fault(self.tables[table].file, row_number(index), "trigger", str(error), "see Triggers in lexicons/README.md"))
        return built

    def _check_dates(self) -> None:
        for table, columns in (("models", ("made", "refurbished_until")), ("parts", ("made",)), ("fits", ("when",)), ("sources", ("seen",))):
            for index, row in enumerate(self.tables[table].rows):
                for column in columns:
                    try:
                        _ = row[column] and years(row[column])
                    except NotADate:
                        self.faults.append(Fault(self.tables[table].file, row_number(index), column, f"{row[column]!r} is not an EDTF date", "write 1937, 1937~, 195X or 1937/1959"))

    # Fits ------------------------------------------------------------------------------------------------------

    def fits_at(self, model: str, slot: str) -> tuple[records.Fit, ...]:
        """Every row of fits of this model and slot."""
        return tuple(self._by_fit.get((model, slot), ()))

    def slots_of(self, model: str) -> tuple[str, ...]:
        """Slots that have a row of fits on this model, in the order of slots."""
        known = {fit.slot for fit in self.fits.values() if fit.model == model}
        return tuple(s.id for s in sorted(self.slots.values(), key=lambda s: s.order) if s.id in known)

    def fit_rows(self, model: str, slot: str, part: str) -> tuple[records.Fit, ...]:
        """Rows that speak of this part there, best fit first."""
        rows = [f for f in self._by_fit.get((model, slot), ()) if f.part == part]
        return tuple(sorted(rows, key=lambda f: FIT_ORDER.index(f.fit)))

    def fit_of(self, model: str, slot: str, part: str, when: Years | None = None) -> records.Fit | None:
        """The row that speaks for a part on a model in some years: the most favourable whose years meet `when`.

        None where the tables say nothing. With no years given every row counts. Approximate ends get 2 years of slack.
        """
        for row in self.fit_rows(model, slot, part):
            if when is None or not row.when or overlap(years(row.when), when, slack=2):
                return row
        return None

    def nothing_belongs(self, model: str, slot: str) -> records.Fit | None:
        """The row that says nothing belongs there, where every telephone of the model is so."""
        rows = self._by_fit.get((model, slot), ())
        absent = [f for f in rows if f.fit == "absent"]
        present = [f for f in rows if f.fit in ("original", "service")]
        return absent[0] if absent and not present else None

    # Signs -----------------------------------------------------------------------------------------------------

    def part_signs(self, part: str) -> tuple[records.SignRow, ...]:
        """Observation values that a part shows."""
        return tuple(self._part_signs.get(part, ()))

    def model_signs(self, model: str) -> tuple[records.SignRow, ...]:
        """Observation values that a model shows."""
        return tuple(self._model_signs.get(model, ()))

    def parts_of_slot(self, slot: str) -> tuple[records.Part, ...]:
        """All parts that fill a slot."""
        return tuple(self._slot_parts.get(slot, ()))

    def colour_of(self, model: str, colour: str) -> records.Colour | None:
        """The row that speaks of a colour on a model."""
        return self.colours.get(f"{model}.{colour}")

    def rows(self, table: str) -> tuple[Row, ...]:
        """Plain rows of a table, for the stage that owns it (cues, triggers of its own)."""
        return self.tables[table].rows if table in self.tables else ()


def _value(name: str, row: Row) -> Any:
    text = row[name]
    if name in _INTEGERS:
        return int(text)
    if name in _BOOLEANS:
        return text == "yes"
    if name == "trigger":
        return parse_trigger(text)
    if name in _SPLIT:
        return tuple(piece for piece in text.split(_SPLIT[name]) if piece)
    return text




def load_lexicon(folder: Path | None = None) -> Lexicon:
    """Read lexicons/ from the folder given, else the shipped ones. Raises BadTable with every fault of the rows."""
    place = table_folder(folder) / "lexicons"
    tables, faults = read_package(place)
    if faults:
        raise BadTable(faults)
    return Lexicon(tables, digest(place), place)


def digest(place: Path) -> str:
    """Short digest of every table in a folder, so that a report can say which tables were used."""
    summary = hashlib.sha256()
    for path in sorted(place.glob("*.csv")):
        summary.update(path.name.encode() + b"\0" + path.read_bytes())
    return summary.hexdigest()[:12]
