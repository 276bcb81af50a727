"""The answer of `looseends route` as text."""

from __future__ import annotations

from collections.abc import Callable

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from looseends.language import AsWritten, InSentence, Speech, Value, say
from looseends.report.route_content import CAUTION, DO, HOLD, LEFT, PROOF, TOGETHER, LegText, RouteContent, StepText


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
        _print_leg(leg, out, content.speech)
    for heading, entries in ((TOGETHER, content.together), (LEFT, content.unproven)):
        if entries:
            out.print()
            out.print(f"{content.speech.words(heading)}:", style="bold")
            for words in entries:
                _indented(words, out, 2)


def _print_leg(leg: LegText, out: Console, speech: Speech) -> None:
    out.print()
    out.print(f"{leg.name} ({leg.support}): {leg.time}", style="bold")
    for label, words in ((HOLD, leg.how), (PROOF, leg.proof), (CAUTION, leg.caution)):
        _indented(f"{speech.words(InSentence(label))}: {words}", out, 2)
    for step in leg.steps:
        _print_step(step, out, speech.words)


def _print_step(step: StepText, out: Console, said: Callable[[Value], str]) -> None:
    held = f", {step.held}" if step.held else ""
    out.print(Text.assemble((f"{step.number}. {step.name}", "bold"), f"{held} ({step.time})"))
    _indented(f"{said(InSentence(DO))}: {step.do}", out)
    _indented(f"{said(InSentence(CAUTION))}: {step.caution}", out)
    for watch in step.watches:
        where = AsWritten(watch.where)
        place = say("{where}; read the dead zone", where=where) if watch.dead_zone else say("{where}", where=where)
        filled: dict[str, Value] = {
            "watch": AsWritten(watch.watch),
            "where": place,
            "proves": AsWritten(watch.proves),
        }
        watched, sought = (
            say("watch {watch}: {where}. {proves}", **filled),
            say("look for {watch}: {where}. {proves}", **filled),
        )
        _indented(said(sought if watch.by_look else watched), out)
    if step.again:
        _indented(said(say("shows again: {parts}", parts=AsWritten(step.again))), out)


def _indented(words: str, out: Console, by: int = 4) -> None:
    out.print(Padding(Text(words), (0, 0, 0, by), expand=False))
