"""Who may import whom, and the public names: a module imports only from layers below it, at its top."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import listingrisk

PACKAGE = Path(listingrisk.__file__).parent
ORDER = (
    "errors", "dates", "amounts", "odds", "tables", "reading", "claims", "crosscheck", "risk", "worth", "questions", "shape", "appraise", "report", "answers", "files", "cli", "__main__",
)  # fmt: skip
"""Lowest first; `__init__` of the package stands above all but the command line."""
MODULES = sorted(PACKAGE.rglob("*.py"))
PUBLIC = 15


def layer(path: Path) -> str:
    """The layer of a module."""
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def own_imports(node: ast.AST) -> list[str]:
    """Dotted names of our own modules that this node imports."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names if alias.name.split(".")[0] == "listingrisk"]
    if isinstance(node, ast.ImportFrom):
        assert node.level == 0, "relative imports hide the layer"
        if (node.module or "").split(".")[0] == "listingrisk":
            return [_module(node.module or "", alias.name) for alias in node.names]
    return []


def _module(where: str, name: str) -> str:
    """The module that a name comes from: the name itself where it is one."""
    whole = f"{where}.{name}"
    return whole if (PACKAGE.parent / (whole.replace(".", "/") + ".py")).is_file() else where


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_layers_imports_point_downwards(path: Path) -> None:
    """Only from lower layers, or from the same folder."""
    if path == PACKAGE / "__init__.py":
        return
    own = layer(path)
    assert own in ORDER, f"{own} has no place in the order"
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        for name in own_imports(node):
            other = name.split(".")[1]
            assert other == own or ORDER.index(other) < ORDER.index(own), f"{path.name} imports {name}, which stands above it"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_layers_no_late_imports_of_our_own(path: Path) -> None:
    """Our own modules are imported at the top of a module, not within a function, a class or a condition."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = set(map(id, tree.body))
    late = [name for node in ast.walk(tree) if id(node) not in top for name in own_imports(node)]
    assert late == []


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_layers_modules_import_from_modules(path: Path) -> None:
    """Never from a folder's `__init__`."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        for name in own_imports(node):
            assert (PACKAGE.parent / (name.replace(".", "/") + ".py")).is_file(), f"{path.name} imports from the folder {name}"


def test_layers_folders_have_no_code_in_init() -> None:
    """The `__init__` of a stage holds a docstring at most."""
    for path in PACKAGE.glob("*/__init__.py"):
        assert [n for n in ast.parse(path.read_text(encoding="utf-8")).body if not isinstance(n, ast.Expr)] == []


def test_public_names_are_pinned() -> None:
    """Adding or taking away a public name is a decision, not an accident."""
    assert listingrisk.__all__ == sorted(listingrisk.__all__)
    assert set(listingrisk.__all__) == {
        "Answers", "Appraisal", "BadAnswers", "BadListing", "BadTable", "Buyer", "Claims", "Lexicon", "ListingRiskError", "Observation", "appraise", "crosscheck",
        "load_lexicon", "read", "read_answers",
    }  # fmt: skip
    assert len(listingrisk.__all__) <= PUBLIC
