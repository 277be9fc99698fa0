"""The parts of README.md that the program writes: help texts, the printed report, the shares of the sources.

`python -m tests.docs.readme` writes them anew; test_readme.py holds them to what the program says now.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

from listingrisk.tables.check import check_folder

TOP = Path(__file__).resolve().parents[2]
README = TOP / "README.md"
HELP = re.compile(r"```\n\$ listingrisk (?P<command>[a-z ]*?) ?--help\n(?P<body>.*?)```", re.DOTALL)
REPORT = re.compile(r"<!-- report -->\n```\n(?P<body>.*?)```", re.DOTALL)
SHARES = re.compile(r"<!-- shares -->\n(?P<body>(?:\|.*\n)+)")
SHOWN_LINES = 13


def run(*arguments: str) -> str:
    """What the program prints, 80 columns wide."""
    environment = dict(os.environ, COLUMNS="80", TERMINAL_WIDTH="80", NO_COLOR="1", PYTHONPATH=str(TOP))
    done = subprocess.run([sys.executable, "-m", "listingrisk", *arguments], capture_output=True, text=True, env=environment, cwd=TOP, check=True, encoding="utf-8")
    return done.stdout


def help_text(command: str) -> str:
    """The help of a command, without spaces at line ends."""
    return "\n".join(line.rstrip() for line in run(*command.split(), "--help").strip().splitlines()) + "\n"


def report_text() -> str:
    """The first lines of the report of the command under Try it."""
    command = re.search(r"listingrisk check (?P<rest>.*)\n", README.read_text(encoding="utf-8"))
    assert command
    return "\n".join(run("check", *command["rest"].split()).splitlines()[:SHOWN_LINES]).rstrip() + "\n"


def shares_text() -> str:
    """Rows of lexicons/ by kind of source."""
    kinds = check_folder(TOP).kinds
    whole = sum(kinds.values())
    rows = "".join(f"| {kind} | {round(100 * rows / whole) or 'below 1'} % |\n" for kind, rows in kinds.items())
    return f"| kind of source | share of the rows of lexicons/ |\n|---|---|\n{rows}"


def plain(text: str) -> str:
    """Help text without what versions of the parser write differently: types, brackets, widths."""
    return " ".join(re.sub(r"<[^>]*>|[\[\]{}]", " ", text).split())


def rewrite() -> None:
    """Write the parts anew."""
    text = README.read_text(encoding="utf-8")
    text = HELP.sub(lambda m: m[0].replace(m["body"], help_text(m["command"])), text)
    text = REPORT.sub(lambda m: m[0].replace(m["body"], report_text()), text)
    text = SHARES.sub(lambda m: m[0].replace(m["body"], shares_text()), text)
    README.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    rewrite()
