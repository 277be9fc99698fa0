"""The text report: order of lines, words for chances, nothing that acts on a screen."""

from __future__ import annotations

import copy
import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listingrisk.report.as_json import json_report
from listingrisk.report.text import WIDTH, text_report
from listingrisk.report.visible import QUOTE_LENGTH, quoted, visible
from listingrisk.report.words import chance, money, percent
from listingrisk.tables.lexicon import Lexicon, load_lexicon
from tests.report.appraisals import appraisal

SECTIONS = ["What does not add up", "What was not shown", "What speaks for it", "What to ask", "From worth to bid", "How likely each bad thing is", "What the listing claims", "Cautions"]
WHOLE = """\
Most likely Telephone No. 332 (about 9 in 10).
Most to pay: GBP 50.00 in all, so bid at most GBP 40.50.
Why: This dial does not belong.

Or else: ITI 332 (about 1 in 10). Above: GBP 95.00 is asked, more than the most
to pay, GBP 40.50. Pay about 34 % less than for a right one.

What does not add up
  - This dial does not belong.
    words: "all original"; seen: finger stop shape: straight. Known from memory,
    unchecked.

What was not shown
  - No photo of: the inside with the base off.
  - The inside is not shown.

What speaks for it
  - The drawer is right.

What to ask
  1. Please photograph the inside.
     Settles bell and capacitor. Knowing is worth GBP 6.20.

From worth to bid
  GBP
  worth as claimed         90.00
  deductions expected     -30.00
  margin for being wrong  -10.00
  postage                  -9.50
  bid                      40.50
  Paying that much, the chance that it turns out to be worth less is about 1 in
  3.
  Worth rests on a printed guide, dated and widened; this one: GBP 20.00 to GBP
  110.00 in 8 of 10 cases.

How likely each bad thing is
  dial: not the right type        about 3 in 4
  the whole is another model than claimed  about 1 in 10

What the listing claims
  model:  332
  age:    1930s (perhaps)
  parts:  drawer (missing, perhaps), dial
  flags:  untested
  words:  praise rather than description
  price:  GBP 95.00 asked; postage GBP 9.50

Cautions
  - Unplug it first.
"""


def test_text_whole_report(lexicon: Lexicon) -> None:
    """Every section, word by word (columns of the list of chances apart)."""
    assert [" ".join(line.split()) for line in text_report(appraisal(), lexicon).splitlines()] == [" ".join(line.split()) for line in WHOLE.splitlines()]


def test_text_sections_in_order(lexicon: Lexicon) -> None:
    """As the collector reads: what, how much, why, then the rest."""
    report = text_report(appraisal(), lexicon)
    places = [report.index(f"\n{title}\n") for title in SECTIONS]
    assert places == sorted(places)


def test_text_first_three_lines(lexicon: Lexicon) -> None:
    """What it is, what to pay, why."""
    first, second, third = text_report(appraisal(), lexicon).splitlines()[:3]
    assert first.startswith("Most likely ")
    assert second.startswith("Most to pay: ")
    assert third.startswith("Why: ")


def test_text_without_price_says_how_much_less(lexicon: Lexicon) -> None:
    """No basis of worth: the share stands in the second line."""
    data = appraisal(max_price=None, worth=None, why_no_price="no worth is known", verdict={"code": "no_price", "text": "No price can be given: no worth is known."})
    report = text_report(data, lexicon)
    assert report.splitlines()[1] == "Pay about 34 % less than for a right one."
    assert "From worth to bid" not in report


def test_text_no_bid(lexicon: Lexicon) -> None:
    """Even as a gift too dear."""
    data = appraisal()
    data["max_price"] |= {"bid": None, "breakdown": []}
    assert text_report(data, lexicon).splitlines()[1] == "Most to pay: nothing; even as a gift it would cost more than it is worth."


def test_text_empty_sections_say_so(lexicon: Lexicon) -> None:
    """The two that are never left out."""
    report = text_report(appraisal(findings=[], questions=[]), lexicon)
    assert "What does not add up\n  Nothing found.\n" in report
    assert "What to ask\n  Nothing: no question would change what to pay.\n" in report
    assert "What speaks for it" not in report


def test_text_questions_that_decide_nothing(lexicon: Lexicon) -> None:
    """They are still sent, against regret, and it is said."""
    data = appraisal()
    data["questions"][0]["worth_asking"]["amount"] = 0.2
    report = text_report(data, lexicon)
    assert "No answer is likely to change the decision at this price" in report
    assert "Knowing is worth" not in report


def test_text_four_questions_at_most(lexicon: Lexicon) -> None:
    """A seller does four things."""
    data = appraisal()
    data["questions"] *= 6
    assert "\n  4. " in text_report(data, lexicon)
    assert "\n  5. " not in text_report(data, lexicon)


@pytest.mark.parametrize("subject", ["part", "other", "unclear"])
def test_text_not_a_telephone_is_two_lines(lexicon: Lexicon, subject: str) -> None:
    """What it is taken for, and why; then it stops."""
    data = appraisal(subject=subject, identity=[], risk=[], verdict={"code": "not_this_trade", "text": 'Because the listing says "a lamp".'})
    assert len(text_report(data, lexicon).splitlines()) == 2


def test_text_explain_adds_the_sums(lexicon: Lexicon) -> None:
    """Where a node started, each term, and where it ends."""
    report = text_report(appraisal(), lexicon, {"dial": {"ok": 0.85, "service": 0.07, "wrong_type": 0.08}})
    assert "How each chance comes about" in report
    assert "+16.0 db  a near photo shows it (guess, group photo)" in report
    assert "before  8 %" in report


def test_text_no_source_address_and_no_scores(lexicon: Lexicon) -> None:
    """Kind and date of a source only; no figures out of a hundred."""
    report = text_report(appraisal(), lexicon)
    assert "http" not in report
    assert not re.search(r"\d+\s*/\s*100|\bscore|\bstars?\b|\bgrade\b", report)


def poisoned(value: Any, poison: str) -> Any:
    """The same data with poison in every text of strangers."""
    if isinstance(value, dict):
        return {k: (v + poison if k in ("quote", "title", "text", "name", "says", "why", "what") and isinstance(v, str) else poisoned(v, poison)) for k, v in value.items()}
    if isinstance(value, list):
        return [poisoned(v, poison) for v in value]
    return value


POISON = "\x1b[2J\x1b]0;x\x07\u202e\u2066\u200b\u200d\ufeff\x00\x7f\x9b[bold]red[/bold]\r\n\u2028"


def test_text_hostile_text_is_shown_not_obeyed(lexicon: Lexicon) -> None:
    """Escape sequences, overrides of direction, zero width and markup appear as text."""
    report = text_report(poisoned(appraisal(), POISON), lexicon, {})
    assert not set(report) & set(POISON.replace("\n", "").replace("[bold]red[/bold]", "").replace("[2J", "").replace("]0;x", ""))
    assert "\\x1b[2J" in report
    assert "<U+202E>" in report
    assert "[bold]red[/bold]" in report


def test_text_lines_stay_within_eighty_columns(lexicon: Lexicon) -> None:
    """Long words are broken, lines are not."""
    report = text_report(poisoned(appraisal(), " x" * 50 + "y" * 300), lexicon, {})
    assert max(len(line) for line in report.splitlines()) <= WIDTH


def test_json_hostile_text_is_escaped_and_comes_back() -> None:
    """JSON acts on no screen either, and loses nothing."""
    data = poisoned(appraisal(), POISON + "\ud800")
    report = json_report(data)
    assert all(c == "\n" or c.isprintable() for c in report)
    assert json.loads(report) == data


@given(st.text())
def test_visible_leaves_nothing_that_acts(text: str) -> None:
    """Whatever comes, what goes out is printable."""
    assert all(c == " " or c.isprintable() for c in visible(text) if c not in "\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000")
    assert len(quoted(text)) <= QUOTE_LENGTH + 2


@pytest.mark.parametrize(
    ("probability", "words"),
    [(0.0, "fewer than 1 in 100"), (0.02, "about 1 in 50"), (0.2, "about 1 in 5"), (0.5, "about 1 in 2"), (0.66, "about 2 in 3"), (0.9, "about 9 in 10"), (1.0, "more than 99 in 100")],
)
def test_words_chance(probability: float, words: str) -> None:
    """Frequencies, never certain and never impossible."""
    assert chance(probability) == words


@given(st.floats(0, 1), st.floats(0, 1))
def test_words_chance_never_falls_when_probability_rises(one: float, other: float) -> None:
    """A likelier thing is never said to be rarer."""
    low, high = sorted((one, other))
    assert _said(chance(low)) <= _said(chance(high))


def _said(words: str) -> float:
    good, of = map(int, re.findall(r"\d+", words))
    return good / of if not words.startswith("fewer") else 0.0


def test_words_percent_and_money() -> None:
    """Never 100 % for less than all; decimals of the currency."""
    assert percent(0.999) == "99 %"
    assert percent(0.001) == "less than 1 %"
    assert money(1234.5, "GBP") == "GBP 1,234.50"
    assert money(1234, "JPY") == "JPY 1,234"


def test_text_report_leaves_its_data_alone(lexicon: Lexicon) -> None:
    """The report reads, it does not write."""
    data = appraisal()
    before = copy.deepcopy(data)
    text_report(data, lexicon, {})
    assert data == before


def test_text_lot_names_each_telephone() -> None:
    """A lot: each item with its own price."""
    lot = {"count": 2, "items": [{"title": "one", "start": 0, "end": 3, "models": ["uk-706"], "max_price": {"landed": 20.0, "currency": "GBP"}}, {"title": "two", "start": 4, "end": 7, "models": [], "max_price": None}]}
    report = text_report(appraisal(lot=lot), load_lexicon())
    assert report.splitlines()[0].startswith("Most likely a lot of 2 telephones: Telephone No. 706;")
    assert '- "one": Telephone No. 706; at most GBP 20.00 in all.' in report
    assert '- "two": model not settled; no price of its own.' in report
