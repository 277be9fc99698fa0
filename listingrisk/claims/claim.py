"""What the listing says and what the buyer saw: the records that reading hands on.

Offsets count Unicode code points of `Listing.text` as decoded, before any mending: `text[start:end] == quote`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Standing = Literal["asserted", "hedged", "negated"]
State = Literal["present", "missing", "replaced", "broken", "reproduction", "uncertain"]
Subject = Literal["telephone", "part", "other", "unclear"]
Stance = Literal["describes_well", "open_about_not_knowing", "vague", "sales_talk"]


@dataclass(frozen=True)
class Cue:
    """The words and the rule (row of a cue table) that decided a standing or a state."""

    text: str
    start: int
    end: int
    rule: str


@dataclass(frozen=True)
class Quote:
    """An exact piece of the listing's text."""

    quote: str
    start: int
    end: int


@dataclass(frozen=True)
class ModelClaim:
    """A model is named. `id` is None where the words fit several rows (then `candidates`, likeliest first)."""

    id: str | None
    name: str
    standing: Standing
    quote: str
    start: int
    end: int
    candidates: tuple[str, ...] = ()
    variant: str | None = None
    """Variant word of the names table, such as `dialless` for a 332CB."""
    cue: Cue | None = None
    item: int | None = None
    """Which telephone of a lot (0, 1, ...); None where the lot is not split or the words belong to none."""


@dataclass(frozen=True)
class EraClaim:
    """A year or span claimed for this telephone, EDTF."""

    edtf: str
    standing: Standing
    quote: str
    start: int
    end: int
    cue: Cue | None = None
    item: int | None = None


@dataclass(frozen=True)
class PartClaim:
    """The text speaks of a slot. `part` only where the words name or describe one row of parts."""

    slot: str
    part: str | None
    state: State
    standing: Standing
    quote: str
    start: int
    end: int
    original: bool = False
    """The words claim that this very part is the first one ("original dial")."""
    spare: bool = False
    """The thing comes with the telephone but is not fitted ("the old one is in the bag")."""
    attributes: tuple[tuple[str, str], ...] = ()
    """Observation ids and values that the words give, such as ("finger_wheel.material", "metal")."""
    cue: Cue | None = None
    item: int | None = None


@dataclass(frozen=True)
class FlagClaim:
    """A flag of the whole object, such as untested or restored."""

    flag: str
    standing: Standing
    quote: str
    start: int
    end: int
    cue: Cue | None = None
    item: int | None = None


@dataclass(frozen=True)
class MarkClaim:
    """Letters and a year said to be stamped somewhere; `where` is a slot or None."""

    where: str | None
    text: str
    quote: str
    start: int
    end: int
    item: int | None = None


@dataclass(frozen=True)
class Sign:
    """A word of the trade that tells are triggered by (cue kind `sign`), such as bare_brass or star_and_hash."""

    sign: str
    standing: Standing
    quote: str
    start: int
    end: int
    item: int | None = None


@dataclass(frozen=True)
class Blanket:
    """One utterance over every slot: "all original", "complete", "nothing missing". `kind` original or complete.

    `excepted` are the slots named in an exception ("all original apart from the cord").
    """

    kind: Literal["original", "complete"]
    standing: Standing
    quote: str
    start: int
    end: int
    excepted: tuple[str, ...] = ()
    cue: Cue | None = None
    item: int | None = None


@dataclass(frozen=True)
class Observation:
    """What the buyer answered about a photo: a row of observations and one of its values, or free text for marks."""

    id: str
    value: str


@dataclass(frozen=True)
class Claims:
    """Everything a listing says."""

    models: tuple[ModelClaim, ...] = ()
    eras: tuple[EraClaim, ...] = ()
    era: EraClaim | None = None
    """The one used: the narrowest."""
    parts: tuple[PartClaim, ...] = ()
    flags: tuple[FlagClaim, ...] = ()
    marks: tuple[MarkClaim, ...] = ()
    signs: tuple[Sign, ...] = ()
    colours: tuple[Sign, ...] = ()
    """Colour words said of the telephone's body; `sign` holds a colour id of the colour-words table."""
    blankets: tuple[Blanket, ...] = ()
    stance: Stance = "vague"
    stance_because: tuple[Quote, ...] = field(default=())
