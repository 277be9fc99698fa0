"""Properties of the whole path that hold for any text at all."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listingrisk import appraise
from listingrisk.errors import ListingRiskError
from tests.properties.test_reading_properties import TEXTS

SETTINGS = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))


@SETTINGS
@given(TEXTS)
def test_any_text_gives_an_appraisal_or_a_clear_error(text: str) -> None:
    """No text ends in a traceback; what comes out is plain data without infinities."""
    try:
        found = appraise(text).to_dict()
    except ListingRiskError as error:
        assert "\n" not in str(error)
        return
    json.dumps(found, allow_nan=False)
    assert sum(c["probability"] for c in found["identity"]) == pytest.approx(1.0 if found["identity"] else 0.0)


@SETTINGS
@given(st.text(max_size=120))
def test_the_same_text_gives_the_same_bytes(body: str) -> None:
    """The whole path is deterministic."""
    text = f"GPO 332 bakelite telephone £60\n{body}"
    assert json.dumps(appraise(text).to_dict()) == json.dumps(appraise(text).to_dict())


@pytest.mark.parametrize("text", ["", "   \n\t", "\x00", "x" * 200_001], ids=["empty", "blank", "nul", "too long"])
def test_texts_that_cannot_be_read_say_why(text: str) -> None:
    """Nothing to read, or too much, is said in one line; a lone control character is read as what it is."""
    try:
        found = appraise(text)
    except ListingRiskError as error:
        assert str(error).startswith("the listing is")
    else:
        assert found.read.subject in ("other", "unclear")
