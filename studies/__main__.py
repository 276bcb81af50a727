"""Runs the studies: `python -m studies [NAME ...] [ROW=a,b]`.

A study is a module of this folder with `NAME` and `run(rows) -> dict`. A full run is written to docs/studies; a run
of single rows is only printed, so that a part never replaces the whole.
"""

from __future__ import annotations

import datetime
import difflib
import importlib
import pkgutil
import sys
import time
from collections.abc import Callable
from types import ModuleType
from typing import Any

from looseends.errors import InputError, LooseEndsError
from studies.stamp import RESULTS, ROOT, code_stamp
from studies.writing import markdown, write_result

Run = Callable[[list[str] | None], dict[str, Any]]


def all_studies() -> dict[str, Run]:
    """Every study of this folder by its `NAME`."""
    folder = str(ROOT / "studies")
    names = [found.name for found in pkgutil.iter_modules([folder]) if not found.name.startswith("_")]
    modules: list[ModuleType] = [importlib.import_module(f"studies.{name}") for name in names]
    return {module.NAME: module.run for module in modules if hasattr(module, "NAME")}


def chosen(arguments: list[str], known: list[str]) -> tuple[list[str], list[str] | None]:
    """Study names and rows asked for; no name means every study, no ROW means every row.

    Raises InputError where a name is unknown, or where rows are asked of more than one study.
    """
    rows = [row for word in arguments if word.startswith("ROW=") for row in word[4:].split(",") if row]
    names = [word for word in arguments if not word.startswith("ROW=")] or known
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
        names, rows = chosen(arguments, list(studies))
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
