"""An appraisal on a screen of 80 columns, from its plain data; words only, decided nowhere but here.

First line what it most likely is, second the most to pay, third why; then what does not add up and the rest. Every
string passes `visible`, so that nothing a stranger wrote acts on the terminal.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from listingrisk.report.explain import explain_lines
from listingrisk.report.parts import span
from listingrisk.report.visible import quoted, visible
from listingrisk.report.words import CLAIM_STATES, FLAGS, GOOD, PRICES, SOURCES, STANCES, SUBJECTS, chance, money, observation_words, percent, state_words
from listingrisk.tables.lexicon import Lexicon

WIDTH = 80
MOST_QUESTIONS = 4
"""A seller does four things at most, willingly (common practice)."""
MOST_GAPS, MOST_CONFIRMS, MOST_DIFFER, MOST_BAD, MOST_REASONS, MOST_CAUTIONS = 8, 6, 2, 12, 3, 5
LEAST_BAD = 0.03
"""A bad thing less likely than this is not listed."""
LIKELY_BAD = 0.3
"""A bad thing at least this likely is worth naming in the third line."""
DECISIVE = 0.01
"""An answer worth less than this share of the price changes nothing (method F5)."""
OUTSIDE_RISK = ("words",)
"""A property of the words is shown by --explain only."""
Data = Mapping[str, Any]
Priors = Mapping[str, Mapping[str, float]]


def text_report(appraisal: Data, lexicon: Lexicon, priors: Priors | None = None) -> str:
    """The whole report. `priors` (state probabilities by node before anything was said) adds the sums of --explain."""
    if appraisal["subject"] != "telephone":
        return _not_a_telephone(appraisal)
    lines = _headline(appraisal, lexicon)
    for title, body in _sections(appraisal, lexicon):
        if body:
            lines += ["", title, *body]
    if priors is not None:
        lines += ["", "How each chance comes about", *explain_lines(appraisal["risk"], priors, lexicon, WIDTH)]
    return "\n".join(lines) + "\n"


def _sections(appraisal: Data, lexicon: Lexicon) -> Iterable[tuple[str, list[str]]]:
    yield "What does not add up", _findings(appraisal, "conflict", lexicon) or ["  Nothing found."]
    yield "Later or changed, and openly so", _findings(appraisal, "later", lexicon)
    yield "What was not shown", _not_shown(appraisal, lexicon)
    yield "What speaks for it", _short(_says(appraisal, "confirms"), MOST_CONFIRMS)
    yield "Where sources disagree", _short(_says(appraisal, "differ"), MOST_DIFFER)
    yield "What to ask", _questions(appraisal) or ["  Nothing: no question would change what to pay."]
    yield "From worth to bid", _breakdown(appraisal)
    yield "The telephones of the lot", _lot(appraisal, lexicon)
    yield "How likely each bad thing is", _bad_things(appraisal, lexicon)
    yield "What the listing claims", _claims(appraisal, lexicon)
    yield "Cautions", _short([str(caution["text"]) for caution in sorted(appraisal["cautions"], key=lambda c: _urgency(c, appraisal, lexicon))], MOST_CAUTIONS)


# The first lines ---------------------------------------------------------------------------------------------------------


def _not_a_telephone(appraisal: Data) -> str:
    said = visible(appraisal["verdict"]["text"])
    taken = SUBJECTS.get(appraisal["subject"], appraisal["subject"])
    return "\n".join(_wrap(f"Not appraised: this is taken for {taken}.") + (_wrap(said) if said else [])) + "\n"


def _headline(appraisal: Data, lexicon: Lexicon) -> list[str]:
    first = [*_wrap(_likeliest(appraisal, lexicon)), *_wrap(_most_to_pay(appraisal)), *_wrap(f"Why: {_why(appraisal, lexicon)}")]
    rest = [_or_else(appraisal, lexicon), visible(appraisal["verdict"]["text"]), _less(appraisal) if appraisal["max_price"] else ""]
    return [*first, "", *_wrap(" ".join(piece for piece in rest if piece))]


def _likeliest(appraisal: Data, lexicon: Lexicon) -> str:
    lot = appraisal["lot"]
    if lot and lot["count"] > 1:
        names = "; ".join(" or ".join(_name(m, lexicon) for m in item["models"]) or quoted(item["title"], 40) for item in lot["items"])
        return f"Most likely a lot of {lot['count']} telephones" + (f": {names}." if names else ".")
    if not appraisal["identity"] or appraisal["identity"][0]["model"] is None:
        return "Most likely a telephone that these tables do not know."
    first = appraisal["identity"][0]
    return f"Most likely {_name(first['model'], lexicon)} ({chance(first['probability'])})."


def _or_else(appraisal: Data, lexicon: Lexicon) -> str:
    """The second candidate, where it is likely enough to name and the listing is not a lot."""
    second = next((c for c in appraisal["identity"][1:] if c["probability"] >= LEAST_BAD), None)
    if second is None or appraisal["lot"]:
        return ""
    return f"Or else: {_name(second['model'], lexicon)} ({chance(second['probability'])})."


def _name(model: str | None, lexicon: Lexicon) -> str:
    if model is None:
        return "one not in these tables"
    row = lexicon.models.get(model)
    return visible(row.name) if row else visible(model)


def _most_to_pay(appraisal: Data) -> str:
    price = appraisal["max_price"]
    if price is None:
        return _less(appraisal) or "No figure can be given."
    if price["bid"] is None:
        return "Most to pay: nothing; even as a gift it would cost more than it is worth."
    landed, bid = money(price["landed"], price["currency"]), money(price["bid"], price["currency"])
    return f"Most to pay: {landed} in all, so bid at most {bid}."


def _less(appraisal: Data) -> str:
    share = appraisal["less_than_right_one"]
    return f"Pay about {percent(share)} less than for a right one." if share is not None else ""


def _why(appraisal: Data, lexicon: Lexicon) -> str:
    by_slot = {f["slot"]: str(f["says"]) for f in reversed(appraisal["findings"]) if f["kind"] == "conflict"}
    conflicts = [says for says in _says(appraisal, "conflict") if says in by_slot.values()][:2]
    if conflicts:
        return " ".join(_sentence(visible(says)) for says in conflicts)
    later = [_sentence(visible(says)) for says in _says(appraisal, "later")[:1]]
    bad = [f"{words} ({chance(probability)})" for probability, words in _by_chance(appraisal, lexicon) if probability >= LIKELY_BAD][:2]
    weighs = [f"What weighs most: {', '.join(bad)}."] if bad else []
    return " ".join(["Nothing found that does not add up.", *later, *weighs])


def _sentence(text: str) -> str:
    text = text.strip()
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


# Sections ----------------------------------------------------------------------------------------------------------------


def _says(appraisal: Data, kind: str) -> list[str]:
    return list(dict.fromkeys(str(f["says"]) for f in appraisal["findings"] if f["kind"] == kind))


def _findings(appraisal: Data, kind: str, lexicon: Lexicon) -> list[str]:
    lines: list[str] = []
    for finding in appraisal["findings"]:
        if finding["kind"] == kind:
            lines += _item(_sentence(visible(finding["says"])))
            reasons = "; ".join(_reason(b) for b in finding["because"][:MOST_REASONS])
            basis = _known_from(finding["source"], lexicon)
            detail = f"{reasons}. {basis}" if reasons and basis else reasons or basis
            lines += _wrap(detail, "    ") if detail else []
    return lines


def _reason(because: Data) -> str:
    if "quote" in because:
        return f"words: {quoted(because['quote'])}"
    return f"seen: {visible(observation_words(because))}"


def _known_from(source: str, lexicon: Lexicon) -> str:
    row = lexicon.sources.get(source)
    if row is None:
        return ""
    return f"Known from {SOURCES.get(row.kind, row.kind)}" + (f", read {row.seen}." if row.seen else ".")


def _not_shown(appraisal: Data, lexicon: Lexicon) -> list[str]:
    views = [visible(lexicon.views[v].name) if v in lexicon.views else visible(v) for v in appraisal["views"]["missing"]]
    if not appraisal["views"]["shown"]:
        lines = _item("No photo answers were given (--answers, --see), so nothing counts as seen.")
    else:
        lines = _item(f"No photo of: {'; '.join(views)}.") if views else []
    return lines + _short(_says(appraisal, "gap"), MOST_GAPS)


def _short(says: Sequence[str], most: int) -> list[str]:
    lines = [line for text in says[:most] for line in _item(_sentence(visible(text)))]
    left = len(says) - most
    return lines + ([f"  - and {left} more (--format json holds all)."] if left > 0 else [])


def _questions(appraisal: Data) -> list[str]:
    asked = appraisal["questions"][:MOST_QUESTIONS]
    if not asked:
        return []
    decisive = [_decisive(question["worth_asking"], appraisal) for question in asked]
    lines = [] if any(decisive) else _wrap("No answer is likely to change the decision at this price; these lessen the chance of regret most.", "  ")
    for number, (question, decides) in enumerate(zip(asked, decisive, strict=True), 1):
        lines += _wrap(f"{number}. {visible(question['text'])}", "  ", "     ")
        why = _sentence(visible(question["why"])) if question["why"] else ""
        about = " ".join(piece for piece in (why, _worth_asking(question["worth_asking"]) if decides else "") if piece)
        lines += _wrap(about, "     ") if about else []
    return lines


def _decisive(worth: Data | None, appraisal: Data) -> bool:
    """Whether an answer is worth at least one part in a hundred of what is asked (of the most to pay, where nothing is)."""
    if not worth:
        return False
    if worth["unit"] == "share_of_worth":
        return bool(worth["amount"] >= DECISIVE)
    asked = appraisal["listing"]["price"] or {}
    most = appraisal["max_price"] or {}
    return bool(worth["amount"] >= max(DECISIVE * (asked.get("amount") or most.get("bid") or 0), DECISIVE))


def _worth_asking(worth: Data) -> str:
    if worth["unit"] == "share_of_worth":
        return f"Knowing is worth {percent(worth['amount'])} of the worth of a right one."
    return f"Knowing is worth {money(worth['amount'], worth['unit'])}."


def _urgency(caution: Data, appraisal: Data, lexicon: Lexicon) -> tuple[int, bool]:
    """What a word of the listing called for first, then what opening it calls for, then the parts in question."""
    row = next((c for c in lexicon.cautions.values() if c.text == caution["text"]), None)
    if row is None:
        return 3, False
    found = {f["slot"] for f in appraisal["findings"] if f["kind"] in ("conflict", "later") and f["slot"]}
    touched = bool(found & set(row.slots))
    return (0 if row.when.startswith("sign:") else 1 if row.when == "open" else 2), not touched


def _breakdown(appraisal: Data) -> list[str]:
    price = appraisal["max_price"]
    if price is None:
        return []
    rows = [(textwrap.shorten(visible(line["what"]), WIDTH - 30), f"{line['amount']:,.2f}") for line in price["breakdown"]]
    lines = _table(rows)
    if rows:
        lines.insert(0, f"  {price['currency']}")
    if price["bid"] is not None:
        lines += _wrap(f"Paying that much, the chance that it turns out to be worth less is {chance(price['overpay_probability'])}.", "  ")
    worth = appraisal["worth"]
    if worth:
        ends = [money(worth["quantiles"][q], worth["currency"]) for q in ("0.1", "0.9")]
        basis = {"buyer": "your own figure", "sales": "your own sales", "guide": "a printed guide, dated and widened"}.get(worth["basis"], worth["basis"])
        lines += _wrap(f"Worth rests on {basis}; this one: {ends[0]} to {ends[1]} in 8 of 10 cases.", "  ")
    if price["close_call"]:
        lines += _wrap("A close call: with another dread of overpaying the advice would change.", "  ")
    return lines


def _table(rows: Sequence[tuple[str, str]]) -> list[str]:
    if not rows:
        return []
    left, right = max(len(a) for a, _ in rows), max(len(b) for _, b in rows)
    return [f"  {a:<{left}}  {b:>{right}}" for a, b in rows]


def _lot(appraisal: Data, lexicon: Lexicon) -> list[str]:
    lot = appraisal["lot"]
    if not lot:
        return []
    lines: list[str] = []
    for item in lot["items"]:
        price = item["max_price"]
        paid = f"at most {money(price['landed'], price['currency'])} in all" if price else "no price of its own"
        names = " or ".join(_name(m, lexicon) for m in item["models"]) or "model not settled"
        lines += _item(f"{quoted(item['title'], 40)}: {names}; {paid}.")
    return lines or ["  The text does not tell them apart."]


def _bad_things(appraisal: Data, lexicon: Lexicon) -> list[str]:
    found = _by_chance(appraisal, lexicon)
    rows = [(words, chance(probability)) for probability, words in found[:MOST_BAD]]
    left = len(found) - MOST_BAD
    return _table_left(rows) + ([f"  and {left} less likely"] if left > 0 else [])


def _by_chance(appraisal: Data, lexicon: Lexicon) -> list[tuple[float, str]]:
    """Bad states worth a line, likeliest first, in words."""
    found = [
        (probability, _bad_words(node["node"], state, lexicon))
        for node in appraisal["risk"]
        for state, probability in node["states"].items()
        if state not in GOOD and probability >= LEAST_BAD and node["node"] not in OUTSIDE_RISK
    ]
    return sorted(found, key=lambda pair: -pair[0])


def _table_left(rows: Sequence[tuple[str, str]]) -> list[str]:
    width = max((len(a) for a, _ in rows), default=0)
    return [f"  {a:<{width}}  {b}" for a, b in rows]


def _bad_words(node: str, state: str, lexicon: Lexicon) -> str:
    words = state_words(node, state)
    if node in ("object", "works", "arrives_whole"):
        return {"object": f"the whole is {words}"}.get(node, words)
    name = "inside" if node == "inside" else visible(lexicon.slots[node].name) if node in lexicon.slots else node
    return f"{name}: {words}"


def _claims(appraisal: Data, lexicon: Lexicon) -> list[str]:
    claims, listing = appraisal["claims"], appraisal["listing"]
    models = list(dict.fromkeys(_claimed(m["name"], m["standing"]) for m in claims["models"]))
    era = claims["era"]
    rows = [
        ("model", ", ".join(models) or "none named"),
        ("age", _claimed(span(era["edtf"]), era["standing"]) if era else "not said"),
        ("parts", ", ".join(_part_words(claims["parts"], lexicon)) or "none named"),
        ("flags", ", ".join(dict.fromkeys(_claimed(FLAGS.get(f["flag"], f["flag"]), f["standing"]) for f in claims["flags"])) or "none"),
        ("words", STANCES.get(claims["stance"]["value"], claims["stance"]["value"])),
        ("price", _price(listing)),
    ]
    return [line for name, text in rows for line in _wrap(f"{name + ':':<7} {visible(text)}", "  ", " " * 10)]


def _claimed(what: str, standing: str) -> str:
    what = what.replace("_", " ")
    return {"hedged": f"{what} (perhaps)", "negated": f"not {what}"}.get(standing, what)


def _part_words(parts: Iterable[Data], lexicon: Lexicon) -> list[str]:
    told: dict[str, list[str]] = {}
    for part in parts:
        state = CLAIM_STATES.get(part["state"], str(part["state"]))
        text = f"not {state or 'there'}" if part["standing"] == "negated" else state
        text = f"{text or 'there'}, perhaps" if part["standing"] == "hedged" else text
        states = told.setdefault(part["slot"], [])
        if text not in states:
            states.append(text)
    order = sorted(told, key=lambda s: lexicon.slots[s].order if s in lexicon.slots else 99)
    return [_slot_words(slot, [t for t in told[slot] if t], lexicon) for slot in order]


def _slot_words(slot: str, states: Sequence[str], lexicon: Lexicon) -> str:
    name = lexicon.slots[slot].name if slot in lexicon.slots else slot
    return f"{name} ({'; '.join(states)})" if states else name


def _price(listing: Data) -> str:
    price, postage = listing["price"], listing["postage"]
    text = f"{money(price['amount'], price['currency'])} {PRICES.get(price['kind'], price['kind'])}" if price else "none asked"
    return text + (f"; postage {money(postage['amount'], postage['currency'])}" if postage else "")


# Lines -------------------------------------------------------------------------------------------------------------------


def _item(text: str) -> list[str]:
    return _wrap(f"- {text}", "  ", "    ")


def _wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest, break_on_hyphens=False) or [first.rstrip()]
