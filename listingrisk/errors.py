"""Errors of listingrisk.

ListingRiskError
├── BadTable     a row of lexicons/ or models/ is wrong
├── BadListing   the listing cannot be read
├── BadAnswers   a photo answer or a buyer's option is wrong
└── BadRecord    a file of the user's own cannot be read or written

Each is one line that says what is wrong, where and what to do; the command line prints it and exits with 2.
"""

from __future__ import annotations

from dataclasses import dataclass


class ListingRiskError(Exception):
    """Base of every error that is the input's, not the program's."""


class BadListing(ListingRiskError):
    """The listing cannot be read."""


class BadAnswers(ListingRiskError):
    """A photo answer or an option of the buyer is wrong."""


class BadRecord(ListingRiskError):
    """A file of the user's own cannot be read or written."""


@dataclass(frozen=True)
class Fault:
    """One fault of one table: file, row and column as an editor counts them (the header is row 1)."""

    file: str
    row: int | None
    column: str | None
    what: str
    do: str

    def __str__(self) -> str:
        """One line: where, what, what to do."""
        where = self.file
        if self.row is not None:
            where += f" row {self.row}"
        if self.column:
            where += f" column {self.column}"
        return f"{where}: {self.what}; {self.do}"


class BadTable(ListingRiskError):
    """One or more rows of the tables are wrong; `faults` holds them all."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]) -> None:
        """Keep every fault; the message shows the first and how many follow."""
        self.faults = tuple(faults)
        more = len(self.faults) - 1
        tail = f" (and {more} more: listingrisk lexicon check lists them)" if more > 0 else ""
        super().__init__(f"{self.faults[0]}{tail}")
