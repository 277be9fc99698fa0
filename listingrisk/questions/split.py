"""Which question splits the candidate models first (method A11): where no model is likely enough, the model comes before the parts."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from listingrisk.questions.rank import SHARE, Question
from listingrisk.tables.lexicon import Lexicon

STAMP = "marks.base"
STAMP_SETTLES = 0.9
"""How often a legible stamp on the base settles the model (common practice)."""
SHOWN = {"always": 0.95, "usually": 0.8, "sometimes": 0.5, "never": 0.02}
"""Chance that a telephone of the model shows the sign, by how often the tables say it does."""
MOST = 4


def splitting_questions(candidates: Sequence[tuple[str, float]], lexicon: Lexicon, seen: set[str]) -> tuple[Question, ...]:
    """The observations that tell most between the candidates, one a view, the stamp under the base among them.

    `candidates` are model ids with probabilities; `seen` the ids already answered. Worth is the share of the doubt
    (entropy) that the answer is expected to remove.
    """
    gains = {key: gain for key in lexicon.observations if key not in seen and (gain := _gain(candidates, lexicon, key)) > 0}
    chosen: list[str] = []
    for key in sorted(gains, key=lambda k: (-gains[k], k)):
        if lexicon.observations[key].view not in {lexicon.observations[c].view for c in chosen}:
            chosen.append(key)
    return tuple(_question(key, gains[key], lexicon) for key in chosen[:MOST])


def _gain(candidates: Sequence[tuple[str, float]], lexicon: Lexicon, key: str) -> float:
    whole = sum(p for _, p in candidates)
    if whole <= 0:
        return 1.0 if key == STAMP else 0.0
    shares = [p / whole for _, p in candidates]
    doubt = _entropy(shares)
    if key == STAMP:
        return STAMP_SETTLES
    if doubt == 0:
        return 0.0
    tables = [_answers(lexicon, model, key) for model, _ in candidates]
    values = {v for t in tables for v in t}
    if len(values) < 2:
        return 0.0
    left = 0.0
    for value in values:
        joint = [share * table.get(value, 1 / len(values)) for share, table in zip(shares, tables, strict=True)]
        told = sum(joint)
        left += told * _entropy([j / told for j in joint]) if told else 0.0
    return (doubt - left) / doubt


def _answers(lexicon: Lexicon, model: str, key: str) -> Mapping[str, float]:
    """Chance of each answer on a telephone of the model; {} where the tables say nothing."""
    shown = {s.value: SHOWN[s.share] for s in lexicon.model_signs(model) if s.observation == key}
    values = [v for v in lexicon.observations[key].values if v != "cannot_see"]
    if not shown or not values:
        return {}
    rest = max(0.0, 1.0 - sum(shown.values()))
    others = [v for v in values if v not in shown]
    table = {**shown, **{v: rest / len(others) for v in others}} if others else dict(shown)
    whole = sum(table.values())
    return {v: p / whole for v, p in table.items()}


def _entropy(shares: Sequence[float]) -> float:
    return -sum(p * math.log(p) for p in shares if p > 0)


def _question(key: str, gain: float, lexicon: Lexicon) -> Question:
    row = lexicon.observations[key]
    view = lexicon.views[row.view]
    return Question(f"model:{key}", f"{view.ask} It would show {row.ask}.", (row.slot,) if row.slot else (), row.view, gain, SHARE, "settles which model it is", observations=(key,), kind="identity")
