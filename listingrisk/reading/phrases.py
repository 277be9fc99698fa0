"""The words of the tables, found in a text: one phrase matcher over normalised tokens, and the hits it gives."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from listingrisk.tables.lexicon import Lexicon

GAP = "…"
MOST_GAP = 4


@dataclass(frozen=True, slots=True)
class Entry:
    """One phrase row as the reader uses it: its table and kind, what it stands for, and how it governs."""

    row: str
    kind: str
    value: str
    direction: str = ""
    reach: int = 0
    extra: str = ""


@dataclass(frozen=True, slots=True)
class Hit:
    """A phrase found: half-open token span and the entry behind it."""

    start: int
    end: int
    entry: Entry
    gapped: bool = False
    """Whether other words stand inside (phrases with …): such a hit hides nothing."""


def _alternatives(phrase: str) -> Iterator[str]:
    for piece in phrase.split("|"):
        if piece.strip():
            yield piece.strip()


def entries(lexicon: Lexicon) -> Iterator[tuple[str, Entry]]:
    """Every phrase of the reading tables with its entry."""
    for row in lexicon.rows("cues"):
        entry = Entry(f"cues:{row['id']}", row["kind"], row["value"], row["direction"], int(row["reach"] or 0))
        for phrase in _alternatives(row["phrase"]):
            yield phrase, entry
    for row in lexicon.rows("slot_words"):
        entry = Entry(f"slot_words:{row['id']}", "slot", row["slots"], row["role"], 0, f"{row['kinds']};{row['attributes']}")
        for phrase in _alternatives(row["phrase"]):
            yield phrase, entry
    for row in lexicon.rows("attribute_words"):
        entry = Entry(f"attribute_words:{row['id']}", "attribute", row["attribute"], "", 0, row["slots"])
        for phrase in _alternatives(row["phrase"]):
            yield phrase, entry
    for row in lexicon.rows("sign_words"):
        entry = Entry(f"sign_words:{row['id']}", "sign", row["sign"])
        for phrase in _alternatives(row["phrase"]):
            yield phrase, entry
    for row in lexicon.rows("colour_words"):
        yield row["word"], Entry(f"colour_words:{row['id']}", "colour", row["colour"])
    for row in lexicon.rows("names"):
        if row["use"] != "number":
            kind = "part_name" if row["part"] else "model_name"
            yield row["name"], Entry(f"names:{row['id']}", kind, row["part"] or row["model"], row["use"], 0, row["variant"])


_PLAIN = re.compile(r"[a-z]+(?: [a-z]+)*\Z")
"""Phrases that the tokenizer would only split at spaces."""


def _document(nlp: Any, phrase: str) -> Any:
    """A phrase as tokens; plain words are split without the tokenizer, which is the slow part of loading."""
    from spacy.tokens import Doc

    return Doc(nlp.vocab, words=phrase.split(" ")) if _PLAIN.match(phrase) else nlp.make_doc(phrase)


class Phrases:
    """Finds the tables' phrases in a document of normalised tokens; longest first, and a phrase only once per kind."""

    def __init__(self, nlp: Any, normal: Any, lexicon: Lexicon) -> None:
        """Build the matcher over every phrase; phrases with a gap are kept apart."""
        from spacy.matcher import PhraseMatcher

        self._entries: dict[int, list[Entry]] = defaultdict(list)
        self._gaps: dict[str, list[tuple[tuple[str, ...], tuple[str, ...], Entry]]] = defaultdict(list)
        self._matcher = PhraseMatcher(nlp.vocab, attr="NORM")
        by_phrase: dict[str, list[Entry]] = defaultdict(list)
        for phrase, entry in entries(lexicon):
            by_phrase[phrase.lower()].append(entry)
        for phrase, found in by_phrase.items():
            if GAP in phrase:
                first, last = (normal(nlp.make_doc(piece.strip())) for piece in phrase.split(GAP, 1))
                words = tuple(t.norm_ for t in first), tuple(t.norm_ for t in last)
                self._gaps[words[0][0]] += [(*words, entry) for entry in found]
                continue
            doc = normal(_document(nlp, phrase))
            self._matcher.add(phrase, [doc])
            self._entries[nlp.vocab.strings[phrase]] += [e for e in found if e not in self._entries[nlp.vocab.strings[phrase]]]

    def __call__(self, doc: Any) -> Any:
        """spaCy component: put the hits into `doc.user_data["hits"]`, in order of place, longest first."""
        spans = [(start, end, entry, False) for key, start, end in self._matcher(doc) for entry in self._entries[key]]
        spans += self._gapped([t.norm_ for t in doc])
        spans.sort(key=lambda s: (s[0], -s[1]))
        doc.user_data["hits"] = [Hit(*span) for span in spans]
        return doc

    def _gapped(self, words: list[str]) -> Iterator[tuple[int, int, Entry, bool]]:
        if not self._gaps:
            return
        for start, word in enumerate(words):
            for first, last, entry in self._gaps.get(word, ()):
                after = start + len(first)
                if tuple(words[start:after]) != first:
                    continue
                for gap in range(MOST_GAP + 1):
                    end = after + gap + len(last)
                    if tuple(words[after + gap : end]) == last:
                        yield start, end, entry, True
                        break
