"""Runs the studies: `python -m studies [NAME ...] [ROW=a,b]`.

A study is a module of this folder with `NAME` and `run(rows) -> dict`, and `ROWS` by name where its rows are fixed. A
full run is written to docs/studies; a run of single rows is only printed, so that a part never replaces the whole.
"""

from __future__ import annotations

import datetime
import difflib
import importlib
import pkgutil
import sys
import time
from collections.abc import Callable, Collection, Mapping
from types import ModuleType
from typing import Any

from looseends.errors import InputError, LooseEndsError
from studies.stamp import RESULTS, ROOT, code_stamp
from studies.writing import markdown, write_result

Run = Callable[[list[str] | None], dict[str, Any]]


def all_studies() -> dict[str, Run]:
    """Every study of this folder by its `NAME`."""
    return {module.NAME: module.run for module in _modules()}


def known_rows() -> dict[str, frozenset[str]]:
    """Names of the rows of every study that has fixed ones."""
    return {module.NAME: frozenset(module.ROWS) for module in _modules() if hasattr(module, "ROWS")}


def _modules() -> list[ModuleType]:
    folder = str(ROOT / "studies")
    names = [found.name for found in pkgutil.iter_modules([folder]) if not found.name.startswith("_")]
    modules: list[ModuleType] = [importlib.import_module(f"studies.{name}") for name in names]
    return [module for module in modules if hasattr(module, "NAME")]


def chosen(
    arguments: list[str], known: list[str], rows_of: Mapping[str, Collection[str]] | None = None
) -> tuple[list[str], list[str] | None]:
    """Study names and rows asked for; no name means the study that has these rows, or every study without any.

    Rows are parted by commas; a row whose own name has commas is taken whole.

    Raises InputError where a name is unknown, or where rows are asked of more than one study.
    """
    rows_of = rows_of or {}
    whole = {row for rows in rows_of.values() for row in rows}
    texts = [word.removeprefix("ROW=") for word in arguments if word.startswith("ROW=")]
    rows = [row for text in texts for row in ([text] if text in whole else text.split(",")) if row]
    holding = [name for name, own in rows_of.items() if rows and set(rows) <= set(own)]
    names = [word for word in arguments if not word.startswith("ROW=")] or holding or known
    for name in names:
        if name not in known:
            nearest = difflib.get_close_matches(name, known, n=3, cutoff=0.0)
            raise InputError(
                f'study "{name}" is not known, accepted: {", ".join(nearest) or "none, there is no study yet"}'
            )
    if rows and len(names) > 1:
        raise InputError(f"ROW={','.join(rows)} needs one study to belong to, accepted before it: {', '.join(names)}")
    return names, rows or None


def run_study(name: str, run: Run, rows: list[str] | None) -> None:
    """Run one study and write its result, or print it where only some rows were asked for."""
    print(f"{name}: running", flush=True)
    started = time.monotonic()
    stamp = code_stamp(study=name)  # before the run: a change made meanwhile must show as stale
    result = run(rows)
    run_on = datetime.date.today().isoformat()
    document = {"study": name, "stamp": stamp, "run_on": run_on, "result": result}
    if rows is None:
        written = write_result(document, RESULTS)
        print(f"{name}: wrote {' and '.join(str(path.relative_to(ROOT)) for path in written)}", end="")
    else:
        print(markdown(document))
        print(f"{name}: some rows only, so nothing was written", end="")
    print(f" ({time.monotonic() - started:.0f} s)")


def main(arguments: list[str]) -> int:
    """Exit code: 0 done, 2 wrong input, 1 any other error of ours."""
    try:
        studies = all_studies()
        names, rows = chosen(arguments, list(studies), known_rows())
        for name in names:
            run_study(name, studies[name], rows)
    except LooseEndsError as error:
        print(error, file=sys.stderr)
        return 2 if isinstance(error, InputError) else 1
    except KeyboardInterrupt:
        print("\nStopped; studies already written stay, the one that was running is not written.", file=sys.stderr)
        return 130
    if not names:
        print("There is no study yet.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
