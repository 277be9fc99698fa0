"""Negation, held against sentences labelled by the published rules of Chapman et al. 2001 (doi 10.1006/jbin.2001.1029).

That paper's figures were measured on discharge summaries, other text than ours: they are a yardstick only.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml

from listingrisk.reading.pipeline import Reading, read_text
from listingrisk.reading.zones import Scope
from listingrisk.tables.lexicon import Lexicon

SENTENCES = yaml.safe_load(Path(__file__).with_name("negation_sentences.yaml").read_text(encoding="utf-8"))
FEWEST = 120
PUBLISHED = {"sensitivity": 0.778, "specificity": 0.945, "positive predictive value": 0.845}
"""Chapman et al. 2001, of their algorithm on discharge summaries."""
DENYING = frozenset({"no", "not", "n't", "never", "without", "none", "nothing", "neither", "nor", "cannot", "missing", "absent", "lacks", "lacking", "minus", "free"})
_TARGET = re.compile(r"\[([^\]]+)\]")


@dataclass(frozen=True)
class Outcome:
    """One sentence with its label and what the reader makes of it."""

    text: str
    rule: str
    wanted: bool
    found: bool


def target(marked: str) -> tuple[str, int, int]:
    """The sentence without its brackets and the offsets of the target in it.

    >>> target("No [cracks].")
    ('No cracks.', 3, 9)
    """
    match = _TARGET.search(marked)
    assert match, marked
    return marked[: match.start()] + match[1] + marked[match.end() :], match.start(), match.end() - 2


def tokens(reading: Reading, start: int, end: int) -> tuple[int, int]:
    """The half-open token span that covers two offsets of the untouched text."""
    places = [i for i in range(len(reading.words)) if reading.span(i, i + 1)[0] < end and reading.span(i, i + 1)[1] > start]
    return places[0], places[-1] + 1


def denies(word: str) -> bool:
    """Whether a word denies by itself."""
    return word in DENYING or (word.endswith(("n't", "nt")) and word[:-3].rstrip("'") in {"is", "are", "was", "have", "has", "does", "do", "did", "ca", "wo", "could"})


def within_denying_hit(scope: Scope, first: int, end: int) -> bool:
    """Whether a flag or state that covers the target holds the denial in its own words ("not tested")."""
    words = scope.reading.words
    return any(h.start <= first and end <= h.end and any(map(denies, words[h.start : h.end])) for h in scope.of("flag", "state"))


def said_missing(scope: Scope, end: int, first: int) -> bool:
    """Whether a state that looks back says the target is missing ("the drawer is missing"), with no other part between."""
    for cue in scope.near(first, "state"):
        if cue.entry.value == "missing" and cue.entry.direction == "behind" and 0 <= cue.start - end <= cue.entry.reach and not scope.ended_between(end, cue.start):
            return not any(end <= h.start < cue.start for h in scope.near(first, "slot"))
    return False


def negated(text: str, lexicon: Lexicon) -> bool:
    """Whether the reader takes the marked target of a sentence as denied."""
    plain, start, stop = target(text)
    reading = read_text(plain, lexicon)
    scope = Scope(reading)
    first, end = tokens(reading, start, stop)
    return scope.negated(first) is not None or within_denying_hit(scope, first, end) or said_missing(scope, end, first)


def outcomes(lexicon: Lexicon) -> Iterator[Outcome]:
    """Every sentence, read."""
    for row in SENTENCES:
        yield Outcome(row["text"], row["rule"], row["negated"], negated(row["text"], lexicon))


@pytest.fixture(scope="module")
def read(lexicon) -> list[Outcome]:
    """Every sentence, read once."""
    return list(outcomes(lexicon))


def figures(read: list[Outcome]) -> dict[str, float]:
    """Sensitivity, specificity and positive predictive value."""
    hits = sum(o.wanted and o.found for o in read)
    calm = sum(not o.wanted and not o.found for o in read)
    return {
        "sensitivity": hits / sum(o.wanted for o in read),
        "specificity": calm / sum(not o.wanted for o in read),
        "positive predictive value": hits / max(1, sum(o.found for o in read)),
    }


def test_negation_is_not_below_the_published_figures(read):
    """Sensitivity, specificity and positive predictive value reach those of the paper."""
    ours = figures(read)
    for name, published in PUBLISHED.items():
        print(f"{name}: {ours[name]:.1%} (published for discharge summaries: {published:.1%})")
    for outcome in read:
        if outcome.wanted != outcome.found:
            print(f"  {'missed' if outcome.wanted else 'wrongly denied'} ({outcome.rule}): {outcome.text}")
    assert {name: value for name, value in ours.items() if value < PUBLISHED[name]} == {}


def test_sentences_are_enough_and_balanced():
    """Enough sentences, each with one target, none twice, about half of them denied, every rule with both or its one label."""
    texts = [row["text"] for row in SENTENCES]
    assert len(texts) >= FEWEST
    assert len(set(texts)) == len(texts)
    assert [t for t in texts if len(_TARGET.findall(t)) != 1] == []
    share = sum(row["negated"] for row in SENTENCES) / len(SENTENCES)
    assert 0.4 <= share <= 0.6
    assert {row["rule"] for row in SENTENCES} == {"pre", "post", "list", "double", "plain", "pseudo", "end", "window", "conjunction"}
