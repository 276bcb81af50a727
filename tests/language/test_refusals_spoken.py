"""Whatever a page or a command in Spanish can refuse, it can say in Spanish: no error is made from a bare text."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.house.project_files import PACKAGE
from tests.language.sentences import sentences
from tests.language.test_translations import messages

_ERRORS = ("InputError", "MechanicsError", "LooseEndsError", "StoreError")
_MAKERS = ("refusal", "say", "say_count", "joined")
_SPOKEN_COMMANDS = ("judge", "next_check", "ledger", "handover", "compare", "route", "demo")
_SHIPPED = ("catalogue", "vehicle/layout.py", "vehicle/include.py", "vehicle/compose.py", "vehicle/tape/questions.py")
"""What reads only data that ships, which the tests read whole: nobody at a page can make it refuse anything."""
_READ_FOR_SHOPS = ("catalogue/entry.py", "catalogue/names.py", "catalogue/sides.py")
"""What of it reads a shop's own policy and names as well."""


@cache
def tree_of(path: Path) -> ast.Module:
    """A module of the package, parsed once."""
    return ast.parse(path.read_text(encoding="utf-8"))


def file_of(module: str) -> Path | None:
    """The file of a module of this package, None for what is no module of it."""
    place = PACKAGE.parent.joinpath(*module.split("."))
    return next((file for file in (place.with_suffix(".py"), place / "__init__.py") if file.is_file()), None)


def imported(path: Path) -> Iterator[Path]:
    """Every module of the package that a module imports, within functions too."""
    for node in ast.walk(tree_of(path)):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        yield from (file for name in names if name.startswith("looseends") and (file := file_of(name)))


@cache
def reachable() -> frozenset[Path]:
    """The modules behind the pages, the HTTP API and the commands that speak Spanish."""
    found: set[Path] = set()
    ahead = [PACKAGE / "web" / "application.py", *(PACKAGE / "cli" / f"{name}.py" for name in _SPOKEN_COMMANDS)]
    while ahead:
        path = ahead.pop()
        if path not in found:
            found.add(path)
            ahead += imported(path)
    return frozenset(found)


def ships(path: Path) -> bool:
    """Whether a module reads nothing but data that ships."""
    name = path.relative_to(PACKAGE).as_posix()
    return name.startswith(_SHIPPED) and name not in _READ_FOR_SHOPS


def returns_text(path: Path, name: str) -> bool:
    """Whether a function of this module, or one that it imports, says that it returns a text that can be said."""
    for file in (path, *imported(path)):
        for node in ast.walk(tree_of(file)):
            if isinstance(node, ast.FunctionDef) and node.name == name and node.returns is not None:
                return ast.unparse(node.returns) == "Text"
    return False


def is_made(path: Path, given: ast.expr) -> bool:
    """Whether what an error is given can be said in the reader's language."""
    if isinstance(given, ast.Call) and isinstance(given.func, ast.Name):
        return given.func.id in _MAKERS or returns_text(path, given.func.id)
    if isinstance(given, ast.Attribute):
        return given.attr == "sentence"
    return isinstance(given, ast.Name) and all(is_made(path, value) for value in _values_of(path, given.id))


def _values_of(path: Path, name: str) -> list[ast.expr]:
    """What a name of this module stands for; a parameter that must be a Text is one."""
    found: list[ast.expr] = []
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Assign) and any(isinstance(to, ast.Name) and to.id == name for to in node.targets):
            found.append(node.value)
        if isinstance(node, ast.arg) and node.arg == name and node.annotation is not None:
            found += [] if ast.unparse(node.annotation) == "Text" else [ast.Constant(name)]
    return found


def bare_errors(path: Path) -> list[str]:
    """Where an error is made from a bare text, which nobody can say otherwise."""
    found = []
    for node in ast.walk(tree_of(path)):
        if not isinstance(node, ast.Call) or not node.args:
            continue
        called = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        given = node.args[0] if called in _ERRORS else node.args[-1] if called == "refuse" else None
        if given is not None and not is_made(path, given):
            found.append(f"{path.name}:{node.lineno}")
    return found


def test_what_is_reached_holds_the_rooms_whose_refusals_a_page_shows() -> None:
    names = {path.relative_to(PACKAGE).as_posix() for path in reachable()}
    rooms = (
        "store/archive.py",
        "mechanics/lash.py",
        "web/tablets/certificates.py",
        "vehicle/reading.py",
        "cli/handover.py",
    )
    assert [name for name in rooms if name not in names] == []


@pytest.mark.parametrize("text", ['f"{file}: wrong"', '"wrong"', "error.args[0]", "told", "str(error)"])
def test_a_bare_text_is_found(text: str, tmp_path: Path) -> None:
    module = tmp_path / "made.py"
    module.write_text(f"told = 'wrong'\nraise InputError({text})\n", encoding="utf-8")
    assert bare_errors(module) == ["made.py:2"]


def test_no_error_that_a_reader_sees_is_made_from_a_bare_text() -> None:
    assert [place for path in sorted(reachable()) if not ships(path) for place in bare_errors(path)] == []


def test_every_refusal_that_a_reader_sees_has_its_spanish() -> None:
    known, modules = messages(), {path.relative_to(PACKAGE).as_posix() for path in reachable()}
    asked = {text: found for text, found in sentences().items() if found.where in modules}
    assert len(asked) > 500
    assert [f"{found.where}: {text}" for text, found in asked.items() if text not in known] == []
