"""README says what the program does now: its commands, its help, its report, its example."""

from __future__ import annotations

import re

import pytest

from tests.docs import readme

TEXT = readme.README.read_text(encoding="utf-8")
COMMANDS = ("", "check", "parts", "lexicon", "lexicon check")


@pytest.mark.parametrize("command", COMMANDS)
def test_readme_help_is_that_of_the_program(command: str) -> None:
    """The help text of each command, whatever the width and the version of the parser."""
    blocks = {m["command"]: m["body"] for m in readme.HELP.finditer(TEXT)}
    assert readme.plain(blocks[command]) == readme.plain(readme.help_text(command))


def test_readme_shows_every_command() -> None:
    """No block of help too many or too few."""
    assert [m["command"] for m in readme.HELP.finditer(TEXT)] == list(COMMANDS)


def test_readme_report_is_that_of_the_program() -> None:
    """The printed appraisal; `python -m tests.docs.readme` writes it anew after a change of tables."""
    found = readme.REPORT.search(TEXT)
    assert found
    assert found["body"] == readme.report_text()


def test_readme_shares_are_those_of_the_tables() -> None:
    """Rows by kind of source, to two points; `python -m tests.docs.readme` writes them anew."""
    found = readme.SHARES.search(TEXT)
    assert found
    written, now = (dict(re.findall(r"\| ([a-z ]+) \| (?:below )?(\d+) % \|", text)) for text in (found["body"], readme.shares_text()))
    assert written.keys() == now.keys()
    assert all(abs(int(written[kind]) - int(now[kind])) <= 2 for kind in now)


def test_readme_python_example_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """The example does what it says."""
    blocks = re.findall(r"```python\n(.*?)```", TEXT, re.DOTALL)
    assert blocks
    for block in blocks:
        exec(compile(block, "README.md", "exec"), {})
    assert capsys.readouterr().out.strip() in {"above", "within", "close"}


@pytest.mark.parametrize("heading", ["Try it", "Test it"])
def test_readme_command_is_one_line(heading: str) -> None:
    """.ci/run takes the one fenced line below the heading."""
    section = TEXT.split(f"## {heading}\n")[1].split("\n## ")[0]
    lines = re.findall(r"```\n(.*?)```", section, re.DOTALL)
    assert len(lines) == 1
    assert len(lines[0].strip().splitlines()) == 1


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "lexicons/README.md", "models/README.md"])
def test_documents_name_only_files_that_exist(name: str) -> None:
    """A path in backticks that looks like a file or folder of the checkout is there."""
    text = (readme.TOP / name).read_text(encoding="utf-8")
    for path in re.findall(r"`((?:[a-z_.]+/)+(?:[\w-]+\.\w+)?|[\w-]+\.(?:csv|md|py|toml))`", text):
        places = [readme.TOP, readme.TOP / "lexicons", readme.TOP / "models", readme.TOP / "listingrisk", readme.TOP / "tests"]
        assert any((place / path).exists() for place in places), path
