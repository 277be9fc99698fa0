"""The cue a claim keeps: the words and the table row that decided it."""

from __future__ import annotations

from listingrisk.claims.claim import Cue
from listingrisk.reading.phrases import Hit
from listingrisk.reading.pipeline import Reading


def cue_of(reading: Reading, hit: Hit) -> Cue:
    """A hit as a cue, with its place in the untouched text."""
    text, start, end = reading.quote(hit.start, hit.end)
    return Cue(text, start, end, hit.entry.row)
