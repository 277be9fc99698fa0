"""What `lexicon check` found, as text."""

from __future__ import annotations

from collections.abc import Mapping

from listingrisk.report.visible import visible
from listingrisk.tables.check import Checked

COUNTRIES = {"XX": "copies and imports"}


def check_text(checked: Checked) -> str:
    """Counts of a checked folder: rows by table, by kind of source, by certainty, models by country; then the verdict."""
    lines = [f"Tables in {visible(str(checked.folder))}"]
    width = max(len(name) for name in checked.tables)
    lines += [f"  {visible(name):<{width}}  {rows:>5}" for name, rows in checked.tables.items()]
    lines += ["", "Rows of lexicons/ by kind of source", *_shares(checked.kinds)]
    lines += ["", "Rows of lexicons/ by certainty", *_shares(checked.certainties)]
    lines += ["", "Models by country", *(f"  {visible(COUNTRIES.get(c, c)):<20} {n:>5}" for c, n in checked.countries.items())]
    faults = len(checked.faults)
    lines += ["", "No faults." if not faults else f"{faults} fault{'s' if faults > 1 else ''}, named on standard error."]
    return "\n".join(lines) + "\n"


def _shares(counts: Mapping[str, int]) -> list[str]:
    whole = sum(counts.values()) or 1
    return [f"  {visible(name):<20} {rows:>5}  {round(100 * rows / whole):>3} %" for name, rows in counts.items()]
