"""The page docs/cli.md, made from the help of every command: `python -m looseends.cli.document > docs/cli.md`."""

from __future__ import annotations

import sys

from typer.testing import CliRunner

from looseends.cli.application import APPLICATION, COMMANDS, OWN_VEHICLE, RECORDS, app

COLUMNS = 100


def command_line_page() -> str:
    """The help of `looseends` and of each of its commands, as Markdown."""
    sections = [
        "# The command line",
        "Made from the help texts by `python -m looseends.cli.document > docs/cli.md`; not to be edited by hand.",
        _section("looseends", ["--help"]),
        *(_section(f"looseends {name}", [name, "--help"]) for name in COMMANDS | APPLICATION | RECORDS),
        *(_section(f"looseends vehicle {name}", ["vehicle", name, "--help"]) for name in OWN_VEHICLE),
    ]
    return "\n\n".join(sections) + "\n"


def _section(title: str, arguments: list[str]) -> str:
    # The width is set so that the page does not hang on the terminal that it is made in.
    shown = CliRunner(env={"COLUMNS": str(COLUMNS)}).invoke(
        app, arguments, prog_name="looseends", catch_exceptions=False
    )
    text = "\n".join(line.rstrip() for line in shown.output.strip().splitlines())
    return f"## {title}\n\n```text\n{text}\n```"


if __name__ == "__main__":
    sys.stdout.write(command_line_page())
