"""How fast a listing is read, beside spaCy's blank tokenizer with one PhraseMatcher over all shipped names.

Run by hand: python -m tests.benchmarks.bench_reading [TEXTS]. Medians of five rounds on one core; ratios are what counts.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable

import spacy
from spacy.matcher import PhraseMatcher

from listingrisk.claims.from_text import read
from listingrisk.tables.lexicon import Lexicon, load_lexicon

ROUNDS = 5
WORDS = 150
SEED = 7


def texts(lexicon: Lexicon, count: int) -> list[str]:
    """Invented listings of 150 words from the tables' own words, seeded."""
    dice = random.Random(SEED)
    slots = [p for row in lexicon.rows("slot_words") for p in row["phrase"].split("|")]
    cues = [p for row in lexicon.rows("cues") for p in row["phrase"].split("|") if "…" not in p]
    plain = "the a of with from in it was very old black phone house and for on this has been there you can see".split()
    found = []
    for number in range(count):
        words = [f"GPO 332 bakelite telephone number {number}\n"]
        while sum(len(w.split()) for w in words) < WORDS:
            words.append(dice.choice(plain) if dice.random() < 0.75 else dice.choice(slots if dice.random() < 0.5 else cues))
            if dice.random() < 0.1:
                words[-1] += "."
        found.append(" ".join([*words, f"£{dice.randint(10, 300)}"]))
    return found


def median_ms(work: Callable[[str], object], listings: list[str]) -> float:
    """Median over rounds of the mean time for one listing, in milliseconds."""
    rounds = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        for text in listings:
            work(text)
        rounds.append((time.perf_counter() - start) / len(listings) * 1000)
    return statistics.median(rounds)


def main() -> None:
    """Print both times and their ratio."""
    lexicon = load_lexicon()
    listings = texts(lexicon, int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
    nlp = spacy.blank("en")
    matcher = PhraseMatcher(nlp.vocab, attr="LOWER")
    matcher.add("names", [nlp.make_doc(name.name) for name in lexicon.names.values()])
    read(listings[0], lexicon)
    ours = median_ms(lambda text: read(text, lexicon), listings)
    theirs = median_ms(lambda text: matcher(nlp.make_doc(text)), listings)
    print(f"reading {ours:.2f} ms a listing, blank tokenizer and one PhraseMatcher {theirs:.2f} ms, ratio {ours / theirs:.1f}")


if __name__ == "__main__":
    main()
