"""Runs the lessons: `python -m lessons` lists them, `python -m lessons NAME` runs one."""

from __future__ import annotations

import difflib
import importlib
import pkgutil
import sys
from pathlib import Path
from types import ModuleType

from looseends.errors import InputError, LooseEndsError


def all_lessons() -> dict[str, ModuleType]:
    """Every module of this folder that has a `main`, by its name."""
    found = (module.name for module in pkgutil.iter_modules([str(Path(__file__).parent)]))
    modules = {name: importlib.import_module(f"lessons.{name}") for name in found if not name.startswith("_")}
    return {name: module for name, module in modules.items() if hasattr(module, "main")}


def main(arguments: list[str]) -> int:
    """Exit code: 0 done, 2 wrong input, 1 any other error of ours."""
    try:
        lessons = all_lessons()
        if not arguments:
            for name, module in lessons.items():
                print(f"{name:<18}{(module.__doc__ or '').splitlines()[0]}")
        for name in arguments:
            if name not in lessons:
                nearest = ", ".join(difflib.get_close_matches(name, lessons, n=3, cutoff=0.0))
                raise InputError(f'lesson "{name}" is not known, accepted: {nearest}')
        for name in arguments:
            lessons[name].main()
    except LooseEndsError as error:
        print(error, file=sys.stderr)
        return 2 if isinstance(error, InputError) else 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
