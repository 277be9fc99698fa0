"""The command line: each command parses, calls one public function, prints. Errors are one line, exit code 2."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, assert_never

import typer

from listingrisk.answers import answers_from
from listingrisk.appraise import Appraisal, appraise, given_folder
from listingrisk.errors import BadAnswers, ListingRiskError
from listingrisk.files import STDIN, Given, read_given, write_whole
from listingrisk.reading.listing import Price, Source
from listingrisk.report.as_json import json_report
from listingrisk.report.parts import compare_data, compare_text, find_model, parts_data, parts_text
from listingrisk.report.tables import check_text
from listingrisk.report.text import text_report
from listingrisk.report.visible import visible
from listingrisk.tables.check import check_folder
from listingrisk.tables.find import table_folder
from listingrisk.tables.lexicon import Lexicon, load_lexicon
from listingrisk.worth.buyer import Buyer

DONE, OUR_FAULT, INPUT_WRONG = 0, 1, 2
TRACE = "LISTINGRISK_TRACEBACK"
"""Set to anything, an unexpected error shows its traceback too."""
_USAGE: type[Exception] = typer.BadParameter.__mro__[2]
"""Base of the parser's own errors; which package holds it depends on the version of Typer."""

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, no_args_is_help=False, help="Appraises a listing of an old telephone: what it is, what does not add up, what to ask, the most to pay.")
tables = typer.Typer(rich_markup_mode=None, help="Looks after the tables of knowledge.")
app.add_typer(tables, name="lexicon")


class Format(StrEnum):
    """Forms of a report."""

    text = "text"
    json = "json"


class Purpose(StrEnum):
    """What the telephone is for."""

    display = "display"
    use = "use"
    spares = "spares"


LexiconOption = Annotated[Path | None, typer.Option("--lexicon", metavar="FOLDER", help="Use the tables of this folder, which holds lexicons/ and models/.")]
FormatOption = Annotated[Format, typer.Option("--format", help="Form of the report.")]
OutputOption = Annotated[Path | None, typer.Option("--output", metavar="FILE", help="Write the report to this file instead of showing it.")]


@app.callback()
def _top() -> None:
    """Appraises a listing of an old telephone: what it is, what does not add up, what to ask, the most to pay."""


@app.command()
def check(
    source: Annotated[str, typer.Argument(metavar="SOURCE", help="File of one listing: text, saved page, mail, CSV or JSON; - or nothing reads what is pasted.", show_default=False)] = STDIN,
    answers: Annotated[Path | None, typer.Option(metavar="FILE", help="Photo answers, YAML or JSON.")] = None,
    see: Annotated[list[str] | None, typer.Option(metavar="ID=VALUE", help="One photo answer; may be repeated.")] = None,
    explain: Annotated[bool, typer.Option("--explain", help="Add the sums behind every chance, in decibans.")] = False,
    price: Annotated[str | None, typer.Option(metavar="N", help="Price, where the listing does not give it.")] = None,
    postage: Annotated[str | None, typer.Option(metavar="N", help="Postage; 0 where it is collected.")] = None,
    currency: Annotated[str | None, typer.Option(metavar="CODE", help="Currency of the listing, such as GBP.")] = None,
    rate: Annotated[list[str] | None, typer.Option(metavar="CODE=N", help="What one unit of another currency costs in that of the listing; may be repeated.")] = None,
    auction: Annotated[bool | None, typer.Option("--auction/--fixed", help="How it is sold, where the listing does not tell.", show_default=False)] = None,
    worth: Annotated[str | None, typer.Option(metavar="N", help="What a right one is worth to you.")] = None,
    purpose: Annotated[Purpose, typer.Option(help="What it is for.")] = Purpose.display,
    overpay: Annotated[str | None, typer.Option(metavar="N", help="How many times worse 1 overpaid is than 1 saved, 1 to 10; 2 unless given.")] = None,
    surplus: Annotated[str | None, typer.Option(metavar="N", help="Gain you want on a purchase.")] = None,
    premium: Annotated[str | None, typer.Option(metavar="PERCENT", help="Buyer's premium.")] = None,
    format_: FormatOption = Format.text,
    output: OutputOption = None,
    lexicon: LexiconOption = None,
) -> None:
    """Appraise one listing: a file, or pasted text."""
    shown, weights = given_folder(table_folder(lexicon))
    money = {"price": _number("--price", price), "postage": _number("--postage", postage), "worth": _number("--worth", worth), "surplus": _number("--surplus", surplus)}
    code = _currency(currency, shown)
    buyer = _buyer(money, code, purpose, overpay=_number("--overpay", overpay), premium=_number("--premium", premium, most=100), rates=_rates(rate or (), shown), auction=auction)
    seen = answers_from(answers, see or (), shown)
    given = _given(source)
    asked = Price(money["price"], code, "current_bid" if auction else "asking") if money["price"] is not None else None
    result = appraise(given.text, seen, buyer, shown, weights=weights, source=Source(given.draft.kind if given.draft else "text", given.name, given.sha256), currency=code, price=asked, draft=given.draft)
    _show(_report(result, shown, format_, explain=explain), output)


@app.command()
def parts(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="Id, number or name of a model, such as 332.", show_default=False)],
    compare: Annotated[str | None, typer.Option(metavar="OTHER", help="Set another model beside it.")] = None,
    sources: Annotated[bool, typer.Option("--sources", help="Name the source of each row.")] = False,
    format_: FormatOption = Format.text,
    output: OutputOption = None,
    lexicon: LexiconOption = None,
) -> None:
    """What belongs on a model, slot by slot."""
    shown = load_lexicon(lexicon)
    data = parts_data(find_model(model, shown), shown)
    if compare is not None:
        both = compare_data(data, parts_data(find_model(compare, shown), shown), shown)
        _show(json_report(both) if format_ is Format.json else compare_text(both), output)
    else:
        _show(json_report(data) if format_ is Format.json else parts_text(data, sources=sources), output)


@tables.callback()
def _tables() -> None:
    """Looks after the tables of knowledge."""


@tables.command("check")
def lexicon_check(
    folder: Annotated[Path | None, typer.Argument(metavar="FOLDER", help="Folder with lexicons/ and models/; nothing checks the tables in use.", show_default=False)] = None,
    lexicon: LexiconOption = None,
) -> None:
    """Check every row of the tables; faults go to standard error, one a line."""
    checked = check_folder(folder or lexicon)
    for fault in checked.faults:
        _note(str(fault))
    _show(check_text(checked), None)
    if checked.faults:
        raise typer.Exit(INPUT_WRONG)


# Options -----------------------------------------------------------------------------------------------------------------


def _number(option: str, text: str | None, *, most: int | None = None) -> Decimal | None:
    """An option's number: finite and not negative. Raises BadAnswers."""
    if text is None:
        return None
    try:
        number = Decimal(text.strip())
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite():
        raise BadAnswers(f"{option} {visible(text)!r} is not a number; write digits, such as 12.50")
    if number < 0 or number > (most if most is not None else 10**9):
        raise BadAnswers(f"{option} {visible(text)} is {'negative' if number < 0 else 'too large'}; give a number from 0 to {most if most is not None else '1,000,000,000'}")
    return number


def _currency(text: str | None, lexicon: Lexicon, option: str = "--currency") -> str | None:
    """An ISO 4217 code that the tables know. Raises BadAnswers."""
    if text is None:
        return None
    known = sorted(row["code"] for row in lexicon.rows("currencies"))
    if text.strip().upper() not in known:
        raise BadAnswers(f"{option} {visible(text)!r} is not a currency of currencies.csv; use one of {', '.join(known)}")
    return text.strip().upper()


def _rates(given: Sequence[str], lexicon: Lexicon) -> dict[str, Decimal]:
    found = {}
    for text in given:
        code, sign, number = text.partition("=")
        rate = _number("--rate", number) if sign else None
        if rate is None or rate == 0:
            raise BadAnswers(f"--rate {visible(text)!r} is not of the form CODE=N with N above 0; write for example --rate EUR=0.85")
        found[_currency(code, lexicon, "--rate") or code] = rate
    return found


def _buyer(money: Mapping[str, Decimal | None], currency: str | None, purpose: Purpose, *, overpay: Decimal | None, premium: Decimal | None, rates: Mapping[str, Decimal], auction: bool | None) -> Buyer:
    if overpay is not None and not 1 <= overpay <= 10:
        raise BadAnswers(f"--overpay {overpay} is outside 1 to 10; give a number within")
    return Buyer(
        currency=currency, worth=money["worth"], purpose=purpose.value, overpay=None if overpay is None else float(overpay), surplus=money["surplus"],
        premium_percent=premium, postage=money["postage"], rates=dict(rates), auction=auction,
    )  # fmt: skip


def _given(source: str) -> Given:
    if source == STDIN and sys.stdin.isatty():
        _note("paste the listing, title first; end with Ctrl-D on a line of its own")
    given = read_given(source)
    for notice in given.notices:
        _note(notice)
    return given


# Output ------------------------------------------------------------------------------------------------------------------


def _report(result: Appraisal, lexicon: Lexicon, form: Format, *, explain: bool) -> str:
    data = result.to_dict()
    match form:
        case Format.text:
            return text_report(data, lexicon, _priors(result) if explain else None)
        case Format.json:
            return json_report(data)
        case _:
            assert_never(form)


def _priors(result: Appraisal) -> dict[str, dict[str, float]]:
    """State probabilities by node before anything was said."""
    risk = result.one.risk
    nodes = risk.nodes if risk is not None else ()
    return {node.node: dict(zip(node.states, map(float, node.prior), strict=True)) for node in nodes}


def _show(report: str, output: Path | None) -> None:
    if output is not None:
        write_whole(output, report)
        return
    _forgiving(sys.stdout)
    sys.stdout.write(report)
    sys.stdout.flush()


def _note(line: str) -> None:
    _forgiving(sys.stderr)
    sys.stderr.write(f"listingrisk: {visible(line)}\n")


def _forgiving(stream: Any) -> None:
    """What the terminal cannot encode is written out rather than failing."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="backslashreplace")


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and exit: 0 done, 2 the input or an option is wrong, 1 our fault."""
    sys.exit(run(list(sys.argv[1:] if arguments is None else arguments)))


def run(arguments: list[str]) -> int:
    """Run the command line; the exit code."""
    try:
        code = app(args=arguments or ["--help"], prog_name="listingrisk", standalone_mode=False)
    except ListingRiskError as error:
        _note(str(error))
        return INPUT_WRONG
    except _USAGE as error:
        _note(f"{error.format_message()} Try listingrisk --help.")  # type: ignore[attr-defined]
        return INPUT_WRONG
    except (typer.Abort, KeyboardInterrupt):
        _note("stopped")
        return INPUT_WRONG
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # whoever read the report has gone
        return DONE
    except Exception as error:  # noqa: BLE001 - the last resort: one line, never a traceback
        if os.environ.get(TRACE):
            traceback.print_exc()
        _note(f"our fault, please report it: {type(error).__name__}: {' '.join(str(error).split())[:200]} (set {TRACE}=1 to see where)")
        return OUR_FAULT
    return code if isinstance(code, int) else DONE
