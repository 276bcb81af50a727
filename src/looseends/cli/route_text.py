"""The answer of `looseends route` as text."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from looseends.report.route_content import LegText, RouteContent, StepText


def print_route(content: RouteContent, out: Console) -> None:
    """The opening, the checks under each support with their cautions, what stays unproven."""
    out.print(content.title, style="bold")
    for words in content.summary:
        out.print(words)
    out.print()
    out.print(f"0. {content.opening_name} ({content.opening_time})", style="bold")
    for label, words in content.opening:
        _indented(f"{label.lower()}: {words}", out)
    for leg in content.legs:
        _print_leg(leg, out)
    for heading, entries in (
        ("Seen by several steps between them, if at all: the judgement decides:", content.together),
        ("Stays unproven, and why:", content.unproven),
    ):
        if entries:
            out.print()
            out.print(heading, style="bold")
            for words in entries:
                _indented(words, out, 2)


def _print_leg(leg: LegText, out: Console) -> None:
    out.print()
    out.print(f"{leg.name} ({leg.support}): {leg.time}", style="bold")
    for label, words in (("hold", leg.how), ("proof", leg.proof), ("caution", leg.caution)):
        _indented(f"{label}: {words}", out, 2)
    for step in leg.steps:
        _print_step(step, out)


def _print_step(step: StepText, out: Console) -> None:
    held = f", {step.held}" if step.held else ""
    out.print(Text.assemble((f"{step.number}. {step.name}", "bold"), f"{held} ({step.time})"))
    _indented(f"do: {step.do}", out)
    _indented(f"caution: {step.caution}", out)
    for watch in step.watches:
        zone = "; read the dead zone" if watch.dead_zone else ""
        _indented(f"watch {watch.watch}: {watch.where}{zone}; proves {watch.proves}", out)
    if step.again:
        _indented(f"shows again: {step.again}", out)


def _indented(words: str, out: Console, by: int = 4) -> None:
    out.print(Padding(Text(words), (0, 0, 0, by), expand=False))
