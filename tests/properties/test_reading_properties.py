"""Properties of the reader that hold for any text at all."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listingrisk.claims.from_text import read
from listingrisk.errors import ListingRiskError
from listingrisk.reading.mend import mend
from listingrisk.tables.lexicon import load_lexicon

LEXICON = load_lexicon()
PHRASES = [p for table, column in (("cues", "phrase"), ("slot_words", "phrase")) for row in LEXICON.rows(table) for p in row[column].split("|")]
ODD = ["332", "£35", "<p>", "&amp;", "(", ")", "no.", "?", "\n", "\x1b[31m", "\u202e", "Â£5", "1938", "1/232", "🙂", "c.1932", "\x00", "ﬁ", "İ", "ß"]
TEXTS = st.one_of(st.text(max_size=300), st.lists(st.sampled_from([*PHRASES, *ODD]), max_size=40).map(" ".join))
SETTINGS = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))


@SETTINGS
@given(TEXTS)
def test_every_quote_is_the_text_between_its_offsets(text: str) -> None:
    """Whatever is read, its quote and its cue's words are exactly what stands between their offsets in the original."""
    try:
        found = read(text, LEXICON).claims
    except ListingRiskError:
        assert not text.strip()
        return
    for claim in (*found.parts, *found.flags, *found.models, *found.eras, *found.marks, *found.signs, *found.colours, *found.blankets):
        assert text[claim.start : claim.end] == claim.quote
        cue = getattr(claim, "cue", None)
        if cue is not None:
            assert text[cue.start : cue.end] == cue.text


@SETTINGS
@given(TEXTS)
def test_reading_is_deterministic(text: str) -> None:
    """The same text gives the same claims."""
    if text.strip():
        assert read(text, LEXICON) == read(text, LEXICON)


@SETTINGS
@given(st.text(max_size=200))
def test_mending_keeps_every_place(text: str) -> None:
    """Each mended character has a place in the original, and places never go back."""
    mended = mend(text)
    places = [mended.span(i, i + 1) for i in range(len(mended.text))]
    assert all(0 <= start <= end <= len(text) for start, end in places)
    assert [p[0] for p in places] == sorted(p[0] for p in places)
