"""The first start on a machine: the mechanics is compiled once, and says so."""

from __future__ import annotations

from looseends.cli.progress import progress_shown


def compile_once() -> None:
    """Compile the mechanics with a line on standard error, if that has not been done; silent afterwards."""
    from looseends.mechanics.kernel.warm import is_compiled, warm_up  # numba: only where it is needed

    if is_compiled():
        return
    with progress_shown() as report:
        words = "compiling the mechanics once, about 20 s"
        report(words, 0, 1)
        warm_up()
        report(words, 1, 1)
