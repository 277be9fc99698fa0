"""What belongs on a model, slot by slot, as plain data and as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from listingrisk.dates import FOREVER, years
from listingrisk.errors import BadAnswers
from listingrisk.report.visible import visible
from listingrisk.tables.lexicon import FIT_ORDER, Lexicon
from listingrisk.tables.records import Fit, Model

SCHEMA = "listingrisk.parts/1"
WIDTH = 80
FIT_WORDS = {"original": "original", "service": "in service", "later": "later", "wrong": "wrong", "absent": "none"}
MARK_OF = {"unsure": " (unsure)", "likely": "", "sure": ""}
Data = Mapping[str, Any]


def find_model(words: str, lexicon: Lexicon) -> Model:
    """The model that an id, a number or a name means.

    Raises BadAnswers where none does, or several do; it then names the candidates.
    """
    wanted = _plain(words)
    if words in lexicon.models:
        return lexicon.models[words]
    ids = {row.model for row in lexicon.names.values() if row.model and _plain(row.name) == wanted}
    ids |= {model.id for model in lexicon.models.values() if wanted in (_plain(model.name), _plain(model.id))}
    ids |= {model.id for model in lexicon.models.values() if _plain(model.id).split(" ")[1:] == wanted.split(" ")} if not ids else set()
    if len(ids) == 1:
        return lexicon.models[ids.pop()]
    if ids:
        told = ", ".join(f"{found} ({lexicon.models[found].name})" for found in sorted(ids))
        raise BadAnswers(f"{visible(words)!r} is the name of several models; give the id of one: {told}")
    near = _near(wanted, lexicon)
    raise BadAnswers(f"no model is called {visible(words)!r}; {'did you mean ' + ', '.join(near) + '?' if near else 'give an id of models.csv, a number or a name'}")


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").replace(".", " ").split())


def _near(wanted: str, lexicon: Lexicon) -> list[str]:
    known = {_plain(row.name): row.model for row in lexicon.names.values() if row.model} | {_plain(m.id): m.id for m in lexicon.models.values()}
    return list(dict.fromkeys(known[name] for name in get_close_matches(wanted, sorted(known), n=5, cutoff=0.6)))[:3]


def parts_data(model: Model, lexicon: Lexicon) -> dict[str, Any]:
    """What the tables say of every slot of a model, best fit first; a slot they do not speak of is left out."""
    slots: list[dict[str, Any]] = []
    for slot in lexicon.slots_of(model.id):
        rows = [_fit(row, lexicon) for row in sorted(lexicon.fits_at(model.id, slot), key=_order)]
        slots.append({"slot": slot, "name": lexicon.slots[slot].name, "nothing_belongs": lexicon.nothing_belongs(model.id, slot) is not None, "parts": rows})
    colours: list[dict[str, str]] = [{"colour": c.colour, "standing": c.standing, "source": c.source} for c in lexicon.colours.values() if c.model == model.id]
    named = {model.source, *(row["source"] for s in slots for row in s["parts"]), *(c["source"] for c in colours)}
    return {
        "schema": SCHEMA,
        "model": {"id": model.id, "name": model.name, "country": model.country, "kind": model.kind, "made": model.made, "dialless": model.dialless or None, "source": model.source},
        "slots": slots,
        "colours": colours,
        "sources": {source: _source(source, lexicon) for source in sorted(named)},
    }


def _order(fit: Fit) -> tuple[int, int, str]:
    first = years(fit.when).first if fit.when else 0
    return ("absent", *FIT_ORDER).index(fit.fit), first, fit.id


def _fit(row: Fit, lexicon: Lexicon) -> dict[str, Any]:
    part = lexicon.parts.get(row.part)
    return {
        "part": row.part or None,
        "name": part.name if part else None,
        "fit": row.fit,
        "when": row.when or None,
        "share": row.share or None,
        "recognise": part.recognise if part else None,
        "note": row.note or None,
        "certainty": row.certainty,
        "row": f"fits:{row.id}",
        "source": row.source,
    }


def _source(source: str, lexicon: Lexicon) -> dict[str, str]:
    row = lexicon.sources.get(source)
    return {"kind": row.kind, "title": row.title, "address": row.address, "seen": row.seen} if row else {}


# Text --------------------------------------------------------------------------------------------------------------------


def parts_text(data: Data, *, sources: bool = False) -> str:
    """The parts of one model for a screen of 80 columns; `sources` adds a numbered list of them with addresses."""
    numbers = {source: n for n, source in enumerate(data["sources"], 1)} if sources else {}
    model = data["model"]
    tail = f" [{numbers[model['source']]}]" if sources and model["source"] in numbers else ""
    lines = _wrap(f"{model['name']} ({model['id']}), made {span(model['made'])}{tail}")
    if model["dialless"]:
        lines += _wrap({"all": "Left the works without a dial.", "some": "Some left the works without a dial."}.get(model["dialless"], ""))
    for slot in data["slots"]:
        lines += ["", slot["name"], *_slot(slot, numbers)]
    if data["colours"]:
        lines += ["", "colours", *_colours(data["colours"])]
    if sources:
        lines += ["", "Sources", *_sources(data["sources"], numbers)]
    return "\n".join(lines) + "\n"


def _slot(slot: Data, numbers: Mapping[str, int]) -> list[str]:
    lines = ["  nothing belongs here"] if slot["nothing_belongs"] else []
    for row in slot["parts"]:
        if row["fit"] == "absent" and slot["nothing_belongs"]:
            continue
        name = row["name"] or "no part at all"
        some = ", some variants" if row["share"] == "some" else ""
        when = f", {span(row['when'])}" if row["when"] else ""
        tail = f" [{numbers[row['source']]}]" if row["source"] in numbers else ""
        lines += _wrap(f"{FIT_WORDS[row['fit']]:<11}{name}{when}{some}{MARK_OF[row['certainty']]}{tail}", "  ", " " * 13)
    return lines


def _colours(colours: Iterable[Data]) -> list[str]:
    told: dict[str, list[str]] = {}
    for row in colours:
        told.setdefault(row["standing"], []).append(row["colour"].replace("_", " "))
    return [line for standing, names in told.items() for line in _wrap(f"{standing:<11}{', '.join(names)}", "  ", " " * 13)]


def _sources(sources: Mapping[str, Data], numbers: Mapping[str, int]) -> list[str]:
    lines = []
    for source, row in sources.items():
        told = "; ".join(piece for piece in (row.get("title", source), row.get("address", ""), f"read {row['seen']}" if row.get("seen") else "") if piece)
        lines += _wrap(f"[{numbers[source]}] {told}", "  ", "      ")
    return lines


def span(edtf: str) -> str:
    """Years for reading: 1937 to 1959, from 1981, until 1960, about 1937.

    >>> span("1937/1959~"), span("1981/.."), span("195X"), span("")
    ('1937 to about 1959', 'from 1981', '1950s', 'in years not known')
    """
    if not edtf:
        return "in years not known"
    low, sign, high = edtf.partition("/")
    if not sign:
        return _year(low)
    if high in ("", "..") or years(edtf).last == FOREVER:
        return f"from {_year(low)}"
    return f"until {_year(high)}" if low in ("", "..") else f"{_year(low)} to {_year(high)}"


def _year(text: str) -> str:
    about = "about " if text[-1:] in ("~", "%", "?") else ""
    bare = text.rstrip("~%?")
    return about + (bare.replace("XX", "00s").replace("X", "0s") if "X" in bare else bare)


# Two models --------------------------------------------------------------------------------------------------------------


def compare_data(one: Data, other: Data, lexicon: Lexicon) -> dict[str, Any]:
    """Where two models differ: parts by slot that belong on the one only, on the other only, and on both."""
    names = {slot["slot"]: slot["name"] for data in (other, one) for slot in data["slots"]}
    ours, theirs = _belonging(one), _belonging(other)
    order = sorted(names, key=lambda s: lexicon.slots[s].order)
    slots = [
        {
            "slot": slot, "name": names[slot],
            "only_first": _named(ours.get(slot, {}), theirs.get(slot, {})), "only_second": _named(theirs.get(slot, {}), ours.get(slot, {})),
            "both": [{"part": p, "name": n} for p, n in ours.get(slot, {}).items() if p in theirs.get(slot, {})],
        }
        for slot in order
    ]  # fmt: skip
    pair = {one["model"]["id"], other["model"]["id"]}
    tells = [{"how": row.how, "view": row.view, "source": row.source} for row in lexicon.lookalikes.values() if {row.model, row.other} == pair]
    return {"schema": "listingrisk.compare/1", "first": one["model"], "second": other["model"], "slots": slots, "how_to_tell": tells}


def _belonging(data: Data) -> dict[str, dict[str, str]]:
    return {
        slot["slot"]: {row["part"] or "none": row["name"] or "nothing" for row in slot["parts"] if row["fit"] in ("original", "service", "absent")}
        for slot in data["slots"]
    }


def _named(own: Mapping[str, str], theirs: Mapping[str, str]) -> list[dict[str, str]]:
    return [{"part": part, "name": name} for part, name in own.items() if part not in theirs]


def compare_text(data: Data) -> str:
    """Two models beside each other: only what differs, then how to tell them apart."""
    first, second = data["first"], data["second"]
    width = max(len(first["id"]), len(second["id"]), len("both")) + 2
    lines = [line for m in (first, second) for line in _wrap(f"{m['name']} ({m['id']}), made {span(m['made'])}")]
    for tell in data["how_to_tell"]:
        lines += _wrap(f"To tell them apart: {tell['how']}.")
    for slot in data["slots"]:
        if slot["only_first"] or slot["only_second"]:
            lines += ["", slot["name"]]
            for name, rows in ((first["id"], slot["only_first"]), (second["id"], slot["only_second"]), ("both", slot["both"])):
                if rows:
                    lines += _wrap(f"{name:<{width}}{'; '.join(row['name'] for row in rows)}", "  ", " " * (width + 2))
    same = [slot["name"] for slot in data["slots"] if slot["both"] and not slot["only_first"] and not slot["only_second"]]
    if same:
        lines += ["", *_wrap(f"The same on both: {', '.join(same)}.")]
    return "\n".join(lines) + "\n"


def _wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    return textwrap.wrap(visible(text), WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest, break_on_hyphens=False, break_long_words=False)
