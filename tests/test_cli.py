"""The command line: exit codes, one line for each error, nothing heavy for help, nothing acted on."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from listingrisk import cli
from tests.docs.readme import TOP

DEMO = TOP / "demo_listings"
RIGHT = str(DEMO / "01-signal-box-332.txt")


def run(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    code = cli.run(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


def listings() -> list[Path]:
    """The demo listings."""
    return sorted(DEMO.glob("*.txt"))


@pytest.mark.parametrize("path", listings(), ids=lambda p: p.stem)
def test_check_every_demo_listing(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With its answers where it has any; text and JSON."""
    answers = path.with_suffix("").with_suffix(".answers.yaml")
    more = ["--answers", str(answers)] if answers.is_file() else []
    code, out, err = run("check", str(path), *more, "--explain", capsys=capsys)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    code, out, err = run("check", str(path), *more, "--format", "json", capsys=capsys)
    assert (code, err) == (0, "")
    data = json.loads(out)
    assert data["schema"] == "listingrisk.appraisal/1"
    assert data["listing"]["source"]["name"] == path.name
    check_shape(data)


def check_shape(data: dict[str, object]) -> None:
    """The keys of the schema, quotes in their place, probabilities that sum to 1."""
    assert list(data) == [
        "schema", "listing", "subject", "lot", "identity", "claims", "observations", "findings", "risk", "worth", "max_price", "less_than_right_one", "why_no_price", "questions", "views", "cautions", "verdict",
    ]  # fmt: skip
    text = data["listing"]["text"]  # type: ignore[index]
    for quote in quotes(data):
        assert text[quote["start"] : quote["end"]] == quote["quote"]
    for node in data["risk"]:  # type: ignore[attr-defined]
        assert sum(node["states"].values()) == pytest.approx(1)
    if data["subject"] == "telephone":
        assert sum(c["probability"] for c in data["identity"]) == pytest.approx(1)  # type: ignore[attr-defined]
        assert 0 <= data["less_than_right_one"] <= 1  # type: ignore[operator]


def quotes(value: object) -> list[dict[str, object]]:
    """Everything that has a quote with a place."""
    if isinstance(value, dict):
        own = [value] if {"quote", "start", "end"} <= set(value) else []
        return own + [q for v in value.values() for q in quotes(v)]
    return [q for v in value for q in quotes(v)] if isinstance(value, list) else []


BAD = [
    (["check", "/nowhere/x.txt"], "there is no file /nowhere/x.txt; name a file, or give - and paste the text"),
    (["check", "/"], "/ is a folder; name the file of one listing in it"),
    (["check", RIGHT, "--see", "finger_stop.shape=round"], "--see: photo answer finger_stop.shape='round' is not one of its values: curved, straight, cannot_see"),
    (["check", RIGHT, "--see", "finger_stop.shap=curved"], "--see: photo answer 'finger_stop.shap' is not known; did you mean finger_stop.shape"),
    (["check", RIGHT, "--see", "finger"], "--see 'finger' is not of the form ID=VALUE; write for example --see finger_stop.shape=straight"),
    (["check", RIGHT, "--answers", "/nowhere/a.yaml"], "/nowhere/a.yaml cannot be read (No such file or directory); name a file of photo answers"),
    (["check", RIGHT, "--price", "nan"], "--price 'nan' is not a number; write digits, such as 12.50"),
    (["check", RIGHT, "--price", "inf"], "--price 'inf' is not a number; write digits, such as 12.50"),
    (["check", RIGHT, "--worth", "-3"], "--worth -3 is negative; give a number from 0 to 1,000,000,000"),
    (["check", RIGHT, "--postage", "1e30"], "--postage 1e30 is too large; give a number from 0 to 1,000,000,000"),
    (["check", RIGHT, "--overpay", "99"], "--overpay 99 is outside 1 to 10; give a number within"),
    (["check", RIGHT, "--premium", "101"], "--premium 101 is too large; give a number from 0 to 100"),
    (["check", RIGHT, "--rate", "EUR"], "--rate 'EUR' is not of the form CODE=N with N above 0; write for example --rate EUR=0.85"),
    (["check", RIGHT, "--rate", "EUR=0"], "--rate 'EUR=0' is not of the form CODE=N with N above 0; write for example --rate EUR=0.85"),
    (["check", RIGHT, "--currency", "XXX"], "--currency 'XXX' is not a currency of currencies.csv; use one of AUD,"),
    (["check", RIGHT, "--lexicon", "/nowhere"], "/nowhere: holds no lexicons/datapackage.json; name a folder that holds lexicons/ and models/"),
    (["check", RIGHT, "--output", "/nowhere/x"], "--output /nowhere/x cannot be written (No such file or directory); name a file in a folder you may write to"),
    (["check", RIGHT, "--output", "/"], "--output / is a folder; name a file in it"),
    (["check", RIGHT, "--purpose", "eating"], "Invalid value for '--purpose'"),
    (["check", RIGHT, "--no-such"], "No such option: --no-such"),
    (["nonesuch"], "No such command 'nonesuch'."),
    (["parts", "pyramid"], "'pyramid' is the name of several models; give the id of one: "),
    (["parts", "\x1b[31m"], "no model is called"),
    (["parts"], "Missing argument 'MODEL'"),
    (["lexicon", "check", "/nowhere"], "/nowhere: holds no lexicons/datapackage.json; name a folder that holds lexicons/ and models/"),
]


@pytest.mark.parametrize(("arguments", "sentence"), BAD, ids=[" ".join(Path(a).name for a in args[-2:]).replace("\x1b", "ESC") for args, _ in BAD])
def test_cli_wrong_input_is_one_line(arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What, where, what to do; exit code 2; nothing on standard output."""
    code, out, err = run(*arguments, capsys=capsys)
    assert code == 2
    assert out == ""
    assert err.startswith(f"listingrisk: {sentence}")
    assert len(err.splitlines()) == 1
    assert "\x1b" not in err


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("see:\n  finger_stop.shape: [1\n", "line 3: not readable as YAML"),
        ("see:\n  finger_stop.shape: curved\n  finger_stop.shape: straight\n", "line 3: 'finger_stop.shape' is answered twice; keep one"),
        ("see:\n  finger_stop.shape: [curved]\n", "line 2: finger_stop.shape has no single value; write one word or text after the colon"),
        ("sea:\n  finger_stop.shape: curved\n", "line 2: 'sea' is not a section; write `see:` with lines ID: VALUE"),
        ("- curved\n", "line 1: the file does not hold lines of NAME: VALUE; write `see:`"),
        ("see:\n  bell.present:\n", "line 2: bell.present has no single value"),
        ("", "is empty; write `see:`"),
        ("views: {front: maybe}\n", ": view front is 'maybe'; write shown or not_shown"),
        ("views: {frnt: shown}\n", ": view 'frnt' is not known; use front"),
        ("see: {bell.present: perhaps}\n", ": photo answer bell.present='perhaps' is not one of its values: yes, no, cannot_see"),
        ('{"see": {"bell.present": "yes", "bell.present": "no"}}', "'bell.present' is answered twice; keep one"),
        ('{"see": ["x"]}', "'see' is not a section"),
        ("a: &a [x]\nb: *a\n", "line 1: 'a' is not a section"),
        ("\x00", "not readable as YAML"),
    ],
)
def test_answers_wrong_file_is_one_line(tmp_path: Path, text: str, sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With the line where there is one."""
    path = tmp_path / "a.yaml"
    path.write_text(text, encoding="utf-8")
    code, out, err = run("check", RIGHT, "--answers", str(path), capsys=capsys)
    assert (code, out) == (2, "")
    assert sentence in err
    assert str(path) in err
    assert len(err.splitlines()) == 1


def test_answers_every_value_is_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """yes, no, 12:51 and 0164 are what is written, in YAML and in JSON."""
    written = {"bell.present": "yes", "capacitor.present": "no", "marks.dial": "12:51", "marks.handset": "0164", "marks.case": "1e3"}
    yaml_file, json_file = tmp_path / "a.yaml", tmp_path / "a.json"
    yaml_file.write_text("see:\n" + "".join(f"  {k}: {v}\n" for k, v in written.items()), encoding="utf-8")
    json_file.write_text(json.dumps({"see": {**written, "marks.base": 1952}}), encoding="utf-8")
    for path, more in ((yaml_file, {}), (json_file, {"marks.base": "1952"})):
        code, out, _ = run("check", RIGHT, "--answers", str(path), "--format", "json", capsys=capsys)
        assert code == 0
        assert {o["id"]: o["value"] for o in json.loads(out)["observations"]} == written | more


def test_see_overrides_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last word is the command line's."""
    path = tmp_path / "a.yaml"
    path.write_text("see: {bell.present: no}\n", encoding="utf-8")
    _, out, _ = run("check", RIGHT, "--answers", str(path), "--see", "bell.present=yes", "--format", "json", capsys=capsys)
    assert {"id": "bell.present", "value": "yes"} in json.loads(out)["observations"]


def start(*arguments: str, given: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The program in a process of its own."""
    return subprocess.run([sys.executable, "-m", "listingrisk", *arguments], input=given, capture_output=True, env={**os.environ, "PYTHONPATH": str(TOP), **environment}, check=False, timeout=120)


def test_check_reads_standard_input() -> None:
    """Nothing and - are the same."""
    given = Path(RIGHT).read_bytes()
    assert start("check", given=given).stdout == start("check", "-", given=given).stdout != b""


def test_check_empty_input_is_one_line() -> None:
    """Nothing pasted."""
    done = start("check")
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr == b"listingrisk: the listing is empty: paste its title and text, or name a file that holds them\n"


def test_check_windows_text_with_a_notice() -> None:
    """Pounds of the old code page are pounds."""
    done = start("check", "--format", "json", given="GPO 332 telephone\nAll original. £95".encode("cp1252"))
    assert done.returncode == 0
    assert json.loads(done.stdout)["listing"]["price"] == {"amount": 95.0, "currency": "GBP", "kind": "asking"}
    assert done.stderr == b"listingrisk: standard input is not UTF-8; read as Windows-1252\n"


@pytest.mark.parametrize(("given", "sentence"), [(b"GPO\x00332", b"holds zero bytes, so it is no text"), (b"x" * 1_000_001, b"is larger than 1,000,000 bytes")])
def test_check_what_is_no_listing_is_refused(given: bytes, sentence: bytes) -> None:
    """Binary files and books."""
    done = start("check", given=given)
    assert done.returncode == 2
    assert sentence in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_check_hostile_listing_acts_on_no_screen() -> None:
    """Escape sequences, overrides of direction and markup come out as text."""
    given = "GPO 332 telephone \x1b[31m\x1b]0;x\x07 [bold]\nAll original \u202e dial, no cracks\u200b. £40".encode()
    for more in ((), ("--explain",), ("--format", "json")):
        out = start("check", *more, given=given).stdout.decode()
        assert out
        assert all(c == "\n" or c.isprintable() for c in out)


def test_check_prints_on_a_narrow_screen_encoding() -> None:
    """A terminal that knows no pound sign gets it written out."""
    done = start("check", given="GPO 332 telephone 'dial' £40 — “all original” ☎ broken ☎ drawer".encode(), PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert done.stdout.isascii()


def test_output_is_written_whole(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same report, nothing on the screen, nothing left beside."""
    path = tmp_path / "report.txt"
    path.write_text("old")
    _, shown, _ = run("check", RIGHT, capsys=capsys)
    code, out, err = run("check", RIGHT, "--output", str(path), capsys=capsys)
    assert (code, out, err) == (0, "", "")
    assert path.read_text(encoding="utf-8") == shown
    assert list(tmp_path.iterdir()) == [path]


def test_check_buyer_options_reach_the_sum(capsys: pytest.CaptureFixture[str]) -> None:
    """Worth, postage, premium, surplus and overpay move the most to pay the right way."""

    def landed_and_bid(*more: str) -> tuple[float, float]:
        _, out, _ = run("check", RIGHT, "--worth", "200", "--format", "json", *more, capsys=capsys)
        price = json.loads(out)["max_price"]
        return price["landed"], price["bid"]

    landed, bid = landed_and_bid()
    assert landed_and_bid("--overpay", "5")[0] < landed
    assert landed_and_bid("--surplus", "60")[0] < landed
    assert landed_and_bid("--postage", "30")[1] < bid
    assert landed_and_bid("--premium", "24")[1] < bid


def test_check_price_takes_the_place_of_the_listings(capsys: pytest.CaptureFixture[str]) -> None:
    """A price given decides the verdict."""
    for price, code in (("1", "within"), ("5000", "above")):
        _, out, _ = run("check", RIGHT, "--price", price, "--format", "json", capsys=capsys)
        assert json.loads(out)["verdict"]["code"] == code


def test_check_bare_dollar_needs_a_currency(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """It says so, and gives no price."""
    path = tmp_path / "a.txt"
    path.write_text("Telephone GPO 332, bakelite\nAll original. $95", encoding="utf-8")
    _, out, _ = run("check", str(path), capsys=capsys)
    assert "the currency is not known: give it with --currency" in " ".join(out.split())
    _, out, _ = run("check", str(path), "--currency", "USD", "--worth", "150", "--rate", "GBP=1.25", capsys=capsys)
    assert "Most to pay: USD" in out


def test_help_imports_nothing_heavy() -> None:
    """spaCy, pandas and scikit-learn come when they are used."""
    code = "import sys, listingrisk.cli as c; c.run(['--help']); print(sorted({'spacy', 'pandas', 'sklearn', 'scipy', 'babel'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(TOP)}, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_unexpected_error_is_our_fault_in_one_line(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 1, no traceback."""
    monkeypatch.setattr(cli, "appraise", lambda *_, **__: 1 / 0)
    monkeypatch.delenv(cli.TRACE, raising=False)
    code, out, err = run("check", RIGHT, capsys=capsys)
    assert (code, out) == (1, "")
    assert err == "listingrisk: our fault, please report it: ZeroDivisionError: division by zero (set LISTINGRISK_TRACEBACK=1 to see where)\n"


def test_parts_and_compare(capsys: pytest.CaptureFixture[str]) -> None:
    """Text and JSON of one model and of two."""
    code, out, _ = run("parts", "332", "--sources", capsys=capsys)
    assert code == 0
    assert "Sources\n  [1] " in out
    _, out, _ = run("parts", "332", "--format", "json", capsys=capsys)
    assert json.loads(out)["model"]["id"] == "uk-332"
    _, out, _ = run("parts", "332", "--compare", "162", "--format", "json", capsys=capsys)
    assert json.loads(out)["second"]["id"] == "uk-162"
    assert run("parts", "332", "--compare", "162", capsys=capsys)[0] == 0


def test_lexicon_check_counts(capsys: pytest.CaptureFixture[str]) -> None:
    """Rows by table, kind, certainty and country."""
    code, out, err = run("lexicon", "check", str(TOP), capsys=capsys)
    assert (code, err) == (0, "")
    assert re.search(r"lexicons/models +\d+\n", out)
    assert re.search(r"  memory +\d+ +\d+ %\n", out)
    assert re.search(r"  GB +\d+\n", out)
    assert out.endswith("No faults.\n")


def test_no_arguments_show_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    """A person who types the name alone."""
    assert run(capsys=capsys) == run("--help", capsys=capsys)
