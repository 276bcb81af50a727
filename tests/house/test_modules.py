"""Modules stay small and say what they are; public mechanics says what it takes and gives."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.house.project_files import PACKAGE, ROOT

MOST_LINES = 400
CODE = sorted(
    path for folder in ("src", "studies", "lessons", "benchmarks", "tests") for path in (ROOT / folder).rglob("*.py")
)
MODULES = sorted(PACKAGE.rglob("*.py"))


def short(path: Path) -> str:
    """The path as a test's name."""
    return str(path.relative_to(ROOT))


def public_definitions(tree: ast.Module) -> list[ast.FunctionDef | ast.ClassDef]:
    """Functions and classes of a module, and methods of its public classes, that do not start with an underscore."""
    found: list[ast.FunctionDef | ast.ClassDef] = []
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            found.append(node)
            if isinstance(node, ast.ClassDef):
                found += [part for part in node.body if isinstance(part, ast.FunctionDef) and part.name[0] != "_"]
    return found


@pytest.mark.parametrize("path", CODE, ids=short)
def test_module_is_not_too_long(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", MODULES, ids=short)
def test_module_says_what_it_is(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert not tree.body or ast.get_docstring(tree), "a module starts with one line that says what it holds"


@pytest.mark.parametrize("path", [path for path in MODULES if "mechanics" in path.parts], ids=short)
def test_public_mechanics_has_docstrings(path: Path) -> None:
    nodes = public_definitions(ast.parse(path.read_text(encoding="utf-8")))
    assert [f"{node.name}, line {node.lineno}" for node in nodes if not ast.get_docstring(node)] == []
