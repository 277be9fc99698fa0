"""What belongs on a model: found by id, number or name; slot by slot."""

from __future__ import annotations

import pytest

from listingrisk.errors import BadAnswers
from listingrisk.report.parts import compare_data, compare_text, find_model, parts_data, parts_text, span
from listingrisk.tables.lexicon import Lexicon


@pytest.mark.parametrize("words", ["uk-332", "332", "Telephone No. 332", "telephone no 332", "Tele 332"])
def test_find_model_by_id_number_or_name(lexicon: Lexicon, words: str) -> None:
    """However it is called."""
    assert find_model(words, lexicon).id == "uk-332"


def test_find_model_ambiguous_names_the_candidates(lexicon: Lexicon) -> None:
    """Pyramid is three."""
    with pytest.raises(BadAnswers) as error:
        find_model("pyramid", lexicon)
    assert str(error.value).startswith("'pyramid' is the name of several models; give the id of one: ")
    assert "uk-162 (Telephone No. 162)" in str(error.value)


def test_find_model_unknown_names_close_ones(lexicon: Lexicon) -> None:
    """A slip of the finger."""
    with pytest.raises(BadAnswers, match=r"^no model is called '3332'; did you mean .*uk-332"):
        find_model("3332", lexicon)


@pytest.mark.parametrize("model", ["uk-332", "uk-396", "in-iti-332", "uk-746"])
def test_parts_every_row_of_fits_is_shown(lexicon: Lexicon, model: str) -> None:
    """No row is lost, and every slot stands once."""
    data = parts_data(lexicon.models[model], lexicon)
    assert sum(len(slot["parts"]) for slot in data["slots"]) == sum(1 for fit in lexicon.fits.values() if fit.model == model)
    slots = [slot["slot"] for slot in data["slots"]]
    assert slots == sorted(set(slots), key=lambda s: lexicon.slots[s].order)
    assert all(row["source"] in data["sources"] for slot in data["slots"] for row in slot["parts"])


def test_parts_text_says_what_and_when(lexicon: Lexicon) -> None:
    """Name, fit, years, and what is unsure."""
    text = parts_text(parts_data(lexicon.models["uk-332"], lexicon))
    assert text.startswith("Telephone No. 332 (uk-332), made 1937 to 1959\n")
    assert "(unsure)" in text
    assert "http" not in text
    assert max(map(len, text.splitlines())) <= 80


def test_parts_text_says_where_nothing_belongs(lexicon: Lexicon) -> None:
    """An empty slot is a fact too."""
    model, slot = next((f.model, f.slot) for f in lexicon.fits.values() if f.fit == "absent" and lexicon.nothing_belongs(f.model, f.slot))
    text = parts_text(parts_data(lexicon.models[model], lexicon))
    assert f"\n{lexicon.slots[slot].name}\n  nothing belongs here\n" in text


def test_parts_sources_have_addresses(lexicon: Lexicon) -> None:
    """Only when asked."""
    assert "http" in parts_text(parts_data(lexicon.models["uk-332"], lexicon), sources=True)


def test_compare_shows_what_differs(lexicon: Lexicon) -> None:
    """And what does not."""
    one, other = (parts_data(lexicon.models[m], lexicon) for m in ("uk-332", "in-iti-332"))
    data = compare_data(one, other, lexicon)
    assert data["how_to_tell"]
    assert "To tell them apart: " in compare_text(data)
    same = compare_data(one, one, lexicon)
    assert not any(slot["only_first"] or slot["only_second"] for slot in same["slots"])


@pytest.mark.parametrize(("edtf", "words"), [("1937/1959", "1937 to 1959"), ("1953~/..", "from about 1953"), ("../1960", "until 1960"), ("19XX", "1900s"), ("1940-06/1947", "1940-06 to 1947")])
def test_span_in_words(edtf: str, words: str) -> None:
    """EDTF for reading."""
    assert span(edtf) == words
