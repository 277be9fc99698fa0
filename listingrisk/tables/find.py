"""Where the tables are: the folder given, else the installed copy, else the checkout."""

from __future__ import annotations

from pathlib import Path

from listingrisk.errors import BadTable, Fault

_PACKAGE = Path(__file__).resolve().parent.parent


def table_folder(given: Path | None = None) -> Path:
    """The folder that holds lexicons/ and models/. Raises BadTable where `given` holds neither."""
    places = [given] if given is not None else [_PACKAGE / "data", _PACKAGE.parent]
    for place in places:
        if (place / "lexicons" / "datapackage.json").is_file():
            return place
    raise BadTable([Fault(str(places[0]), None, None, "holds no lexicons/datapackage.json", "name a folder that holds lexicons/ and models/")])
