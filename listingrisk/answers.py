"""Photo answers of the buyer: files in YAML or JSON, and `--see ID=VALUE`; every value is the text that is written."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import yaml

from listingrisk.appraise import Answers
from listingrisk.crosscheck.observations import validate_observations
from listingrisk.errors import BadAnswers
from listingrisk.tables.lexicon import Lexicon

MOST_BYTES = 65_536
"""A file of answers holds some dozens of lines."""
SECTIONS = ("views", "see")
VIEW_STATES = ("shown", "not_shown")
HOW = "write `see:` with lines ID: VALUE, and `views:` with lines VIEW: shown or not_shown"
Pairs = dict[str, str]


def answers_from(path: Path | None, seen: Iterable[str], lexicon: Lexicon) -> Answers:
    """The answers of a file (none: nothing answered) and of `--see`, which overrides the file.

    Raises BadAnswers, one line that says what is wrong, where, and what to do.
    """
    answers = read_answers(path, lexicon) if path is not None else Answers()
    spoken = dict(see_option(text) for text in seen)
    _check(spoken, {}, lexicon, "--see")
    return replace(answers, see={**answers.see, **spoken})


def see_option(text: str) -> tuple[str, str]:
    """One `--see ID=VALUE`. Raises BadAnswers where it is not of that form."""
    name, sign, value = text.partition("=")
    if not sign or not name.strip() or not value.strip():
        raise BadAnswers(f"--see {text!r} is not of the form ID=VALUE; write for example --see finger_stop.shape=straight")
    return name.strip(), value.strip()


def read_answers(path: Path, lexicon: Lexicon) -> Answers:
    """The answers of one file. Raises BadAnswers, with the line where there is one."""
    text = _text(path)
    sections = _json(text, path) if text.lstrip().startswith("{") else None
    if sections is None:
        sections = _yaml(text, path)
    see, views = sections.get("see", {}), sections.get("views", {})
    _check(see, views, lexicon, str(path))
    return Answers(see=see, views=views)


def _text(path: Path) -> str:
    try:
        with path.open("rb") as handle:
            raw = handle.read(MOST_BYTES + 1)
    except IsADirectoryError as error:
        raise BadAnswers(f"{path} is a folder; name a file of photo answers") from error
    except OSError as error:
        raise BadAnswers(f"{path} cannot be read ({error.strerror}); name a file of photo answers") from error
    if len(raw) > MOST_BYTES:
        raise BadAnswers(f"{path} is larger than {MOST_BYTES:,} bytes; name a file of photo answers")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadAnswers(f"{path} is not UTF-8 text at byte {error.start}; save it as UTF-8") from error


# YAML, by its nodes: no tags, no aliases, each key with its line ---------------------------------------------------------


def _yaml(text: str, path: Path) -> dict[str, Pairs]:
    try:
        root = yaml.compose(text, Loader=yaml.BaseLoader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"{path} line {mark.line + 1}" if mark else str(path)
        raise BadAnswers(f"{where}: not readable as YAML ({error.problem or error.context}); {HOW}") from error
    except (yaml.YAMLError, RecursionError) as error:
        raise BadAnswers(f"{path}: not readable as YAML; {HOW}") from error
    if root is None:
        raise BadAnswers(f"{path} is empty; {HOW}")
    found: dict[str, Pairs] = {}
    for name, node in _pairs(root, path, "the file"):
        if name not in SECTIONS:
            raise BadAnswers(f"{path} line {_line(node)}: {name!r} is not a section; {HOW}")
        found[name] = {key: _scalar(value, path, key) for key, value in _pairs(node, path, name)}
    return found


def _pairs(node: yaml.Node, path: Path, what: str) -> list[tuple[str, yaml.Node]]:
    if isinstance(node, yaml.ScalarNode) and not node.value:
        return []
    if not isinstance(node, yaml.MappingNode):
        raise BadAnswers(f"{path} line {_line(node)}: {what} does not hold lines of NAME: VALUE; {HOW}")
    seen: dict[str, yaml.Node] = {}
    for key, value in node.value:
        name = _scalar(key, path, "a name")
        if name in seen:
            raise BadAnswers(f"{path} line {_line(key)}: {name!r} is answered twice; keep one")
        seen[name] = value
    return list(seen.items())


def _scalar(node: yaml.Node, path: Path, what: str) -> str:
    if not isinstance(node, yaml.ScalarNode) or not str(node.value).strip():
        raise BadAnswers(f"{path} line {_line(node)}: {what} has no single value; write one word or text after the colon")
    return str(node.value).strip()


def _line(node: yaml.Node) -> int:
    return int(node.start_mark.line) + 1


# JSON --------------------------------------------------------------------------------------------------------------------


def _json(text: str, path: Path) -> dict[str, Pairs] | None:
    """The sections of a JSON file; None where it is not JSON (it may be YAML that starts with a brace)."""
    try:
        data = json.loads(text, parse_float=str, parse_int=str, parse_constant=str, object_pairs_hook=lambda pairs: _no_twins(pairs, path))
    except (ValueError, RecursionError):
        return None
    found: dict[str, Pairs] = {}
    for name, section in data.items():
        if name not in SECTIONS or not isinstance(section, dict):
            raise BadAnswers(f"{path}: {name!r} is not a section; {HOW}")
        found[name] = {key: _json_text(value, path, key) for key, value in section.items()}
    return found


def _no_twins(pairs: list[tuple[str, Any]], path: Path) -> dict[str, Any]:
    names = [name for name, _ in pairs]
    for name in names:
        if names.count(name) > 1:
            raise BadAnswers(f"{path}: {name!r} is answered twice; keep one")
    return dict(pairs)


def _json_text(value: object, path: Path, key: str) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if not isinstance(value, str) or not value.strip():
        raise BadAnswers(f"{path}: {key} has no single value; write one word or text after the colon")
    return value.strip()


# Against the tables ------------------------------------------------------------------------------------------------------


def _check(see: Mapping[str, str], views: Mapping[str, str], lexicon: Lexicon, where: str) -> None:
    try:
        validate_observations(see, lexicon)
    except BadAnswers as error:
        raise BadAnswers(f"{where}: {error}") from error
    for view, state in views.items():
        if view not in lexicon.views:
            near = get_close_matches(view, list(lexicon.views), n=3, cutoff=0.4)
            raise BadAnswers(f"{where}: view {view!r} is not known; use {' or '.join(near) if near else 'one of ' + ', '.join(sorted(lexicon.views))}")
        if state not in VIEW_STATES:
            raise BadAnswers(f"{where}: view {view} is {state!r}; write shown or not_shown")
