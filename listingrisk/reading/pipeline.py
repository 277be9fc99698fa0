"""The reading pipeline: spaCy's blank English tokenizer and our own components, built from the lexicon.

Order: normal_words (spelling, case) -> phrases (words of the tables) -> clauses (where one statement ends).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any
from weakref import WeakKeyDictionary

from listingrisk.reading.mend import Mended, mend
from listingrisk.reading.phrases import Hit, Phrases
from listingrisk.tables.lexicon import Lexicon

_ENDS = {".", "!", "?", ";", "…", "!!", "!!!", "...", "??"}
LONGEST_CLAUSE = 80
"""Tokens after which a statement ends even without a full stop, so that work stays in proportion to the text."""
_DASH = {"-", "--", "|", "/", "~"}
_INFIX = re.compile(r"(?<=[a-zA-Z]{2})[.!?](?=[A-Z])|(?<=[a-z]),(?=[a-zA-Z])|[;:!?|()\[\]\"]|\.\.+|(?<=[a-zA-Z])-(?=[a-zA-Z])|(?<=\w)/(?=[a-zA-Z]{2})|(?<=[£$€])(?=\d)|(?<=\d),(?=\s)")
_PREFIX = re.compile(r"(?:c|ca)\.(?=\d)|[\"'(\[{£$€#~@<>*=+:;,!?-]|\.\.+|\.(?=[a-zA-Z])")
_SUFFIX = re.compile(r"(?:n't|'s|[\"')\]},:;!?>=£$€]|\.\.+|(?<=[a-zA-Z0-9%)])\.)$|(?<=[a-zA-Z])-$|(?<=\d)(?:mm|cm|kg|inch|in|g|ft|m|volts|v|lbs|oz)$|(?<=\d)-$|%$|\"$")
_KEEP = re.compile(r"(?:no|vol|approx|c|ca|incl|orig|ref|est|inc|tel|nr|st|mr|mrs|dr|p)\.$|(?:[a-z]\.){2,}$", re.IGNORECASE)


@dataclass
class Reading:
    """One read text: tokens, hits and clauses; the claims stage works on this and nothing else."""

    original: str
    mended: Mended
    words: list[str]
    """Normalised tokens."""
    starts: list[int]
    ends: list[int]
    """Offsets of the tokens in the mended text."""
    clause: list[int]
    """Number of the clause of each token."""
    line: list[int]
    """Number of the line of each token."""
    hits: list[Hit]
    shapes: list[str] = field(default_factory=list)
    """Tokens as written (mended)."""

    def span(self, first: int, end: int) -> tuple[int, int]:
        """Offsets in the untouched text of a half-open token span, without stray white space at its ends."""
        start, stop = self.mended.span(self.starts[first], self.ends[end - 1])
        text = self.original
        while stop > start and text[stop - 1].isspace():
            stop -= 1
        while start < stop and text[start].isspace():
            start += 1
        return start, stop

    def quote(self, first: int, end: int) -> tuple[str, int, int]:
        """The exact words of a token span with their offsets."""
        start, stop = self.span(first, end)
        return self.original[start:stop], start, stop


class NormalWords:
    """Component: the norm of each token is its lower-case form, mended by the table of spellings."""

    def __init__(self, lexicon: Lexicon) -> None:
        """Take the one-word spellings of the table."""
        self._right: dict[str, str] = {}
        for row in lexicon.rows("spellings"):
            for wrong in row["wrong"].split("|"):
                self._right[wrong] = row["right"]

    def __call__(self, doc: Any) -> Any:
        """Set `norm_` of every token."""
        right = self._right
        for token in doc:
            lower = token.text.lower()
            token.norm_ = right.get(lower, lower)
        return doc


def clauses(doc: Any) -> Any:
    """Component: number the clauses and lines of a document (`doc.user_data`).

    A clause ends at a full stop, at a line's end, at a semicolon, a dash with spaces, a bracket; commas do not end one.
    """
    numbers, lines = [], []
    clause = line = begun = 0
    for token in doc:
        text = token.text
        if token.is_space:
            breaks = text.count("\n")
            if breaks:
                line += breaks
                clause += 1
                begun = token.i
            numbers.append(clause)
            lines.append(line)
            continue
        numbers.append(clause)
        lines.append(line)
        ends = text in _ENDS or (text in ("(", ")") and not _short_aside(doc, token.i)) or _full_stop_no(doc, token.i) or (text in _DASH and token.i and doc[token.i - 1].whitespace_)
        if ends or token.i - begun >= LONGEST_CLAUSE:
            clause += 1
            begun = token.i
    doc.user_data["clause"] = numbers
    doc.user_data["line"] = lines
    return doc


def _short_aside(doc: Any, place: int) -> bool:
    """Whether a bracket belongs to an aside of three words at most ("the dial (No 12) is new")."""
    inside = doc[max(0, place - 4) : place] if doc[place].text == ")" else doc[place + 1 : place + 5]
    return any(token.text == ("(" if doc[place].text == ")" else ")") for token in inside)


def _full_stop_no(doc: Any, place: int) -> bool:
    """ "no." that no figure follows ends a sentence."""
    if doc[place].text.lower() != "no.":
        return False
    return place + 1 >= len(doc) or not doc[place + 1].text[:1].isdecimal()


def _tokenizer(nlp: Any) -> Any:
    from spacy.tokenizer import Tokenizer

    exceptions = {word: [{"ORTH": word}] for word in ("no.", "No.", "NO.", "w/o", "c.", "p&p", "P&P", "o.n.o.", "n.o.s.", "l@@k", "L@@K")}
    return Tokenizer(nlp.vocab, rules=exceptions, prefix_search=_PREFIX.match, suffix_search=_SUFFIX.search, infix_finditer=_INFIX.finditer)


class Pipeline:
    """spaCy's blank English tokenizer and our own components (plain callables Doc -> Doc), in order."""

    def __init__(self, lexicon: Lexicon) -> None:
        """Build the components from the tables of a lexicon; no trained model is used."""
        import spacy
        from spacy.attrs import IS_SPACE, LOWER, NORM

        nlp = spacy.blank("en")
        # of every new word only what our components use is worked out (shape, prefix and the like take half the loading)
        vocab: Any = nlp.vocab
        vocab.lex_attr_getters = {key: vocab.lex_attr_getters[key] for key in (IS_SPACE, LOWER, NORM)}
        nlp.tokenizer = _tokenizer(nlp)
        normal = NormalWords(lexicon)
        self.tokenizer = nlp.tokenizer
        self.components = (normal, Phrases(nlp, normal, lexicon), clauses)

    def __call__(self, text: str) -> Any:
        """Tokenise a mended text and run every component on it."""
        doc = self.tokenizer(text)
        for component in self.components:
            doc = component(doc)
        return doc


_PIPELINES: WeakKeyDictionary[Lexicon, Pipeline] = WeakKeyDictionary()


def pipeline_for(lexicon: Lexicon) -> Pipeline:
    """The pipeline of this lexicon, built once."""
    if lexicon not in _PIPELINES:
        _PIPELINES[lexicon] = Pipeline(lexicon)
    return _PIPELINES[lexicon]


def read_text(text: str, lexicon: Lexicon) -> Reading:
    """Tokenise, normalise, find the tables' words and the clauses of a text."""
    mended = mend(text)
    doc = pipeline_for(lexicon)(mended.text)
    starts = [token.idx for token in doc]
    return Reading(
        original=text,
        mended=mended,
        words=[token.norm_ for token in doc],
        starts=starts,
        ends=[token.idx + len(token) for token in doc],
        clause=doc.user_data["clause"],
        line=doc.user_data["line"],
        hits=doc.user_data["hits"],
        shapes=[token.text for token in doc],
    )
