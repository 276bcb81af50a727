"""Progress of long work on standard error: a bar in a terminal, plain lines elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress

Report = Callable[[str, int, int], None]
"""Called with what is being done, how many are done and how many there are."""

_TENTHS = 10
"""Plain lines for a whole piece of work."""


@contextmanager
def progress_shown() -> Iterator[Report]:
    """A function that shows progress for as long as the block lasts; silent while nothing is reported."""
    if not sys.stderr.isatty():
        yield plain_lines()
        return
    from rich.console import Console  # only a terminal draws a bar
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(style="dim", complete_style="bold", finished_style="bold"),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True, no_color=True), transient=True) as bar:
        yield _on_bar(bar)


def plain_lines() -> Report:
    """Progress as a line for about every tenth of the work, and one at its end."""
    last = -1

    def report(doing: str, done: int, total: int) -> None:
        nonlocal last
        tenths = _TENTHS if total <= 0 else _TENTHS * done // total
        if tenths != last:  # less than before: other work has begun
            last = tenths
            sys.stderr.write(f"{done} of {total} ({100 * tenths // _TENTHS} %): {doing}\n")
            sys.stderr.flush()

    return report


def _on_bar(bar: Progress) -> Report:
    task = bar.add_task("", total=None, visible=False)

    def report(doing: str, done: int, total: int) -> None:
        bar.update(task, description=doing, completed=done, total=total, visible=True)

    return report
