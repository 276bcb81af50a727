"""The next step of a visit as text, or why to stop."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from looseends.cli.judgement_text import print_next_checks
from looseends.diagnosis.next_step import Enough, Step
from looseends.diagnosis.observed.words import setup_words
from looseends.language import ENGLISH, Minutes, Speech, Value, joined, say, say_count
from looseends.vehicle.vehicle import Vehicle

_NAMED = 6
"""So many open parts are named; the rest are counted."""


def print_step(planned: Step | Enough, vehicle: Vehicle, out: Console, speech: Speech = ENGLISH) -> None:
    """The check with its instructions, what follows under the same support, what is open; or why to stop."""
    if isinstance(planned, Enough):
        out.print(Text(speech.words(planned.words)))
        return
    print_next_checks([planned.check], out, speech, with_instructions=True)
    if planned.then:
        then = joined([setup_words(setup) for setup in planned.then], "; ")
        _indented(say("then, as planned now: {setups}", setups=then), out, speech)
    if planned.minutes_left is not None:
        _indented(say("left after it: {minutes}", minutes=Minutes(planned.minutes_left)), out, speech)
    names = tuple(vehicle.parts[part].name for part in planned.open_parts[:_NAMED])
    words = say_count(
        "still open: {count} part, {names}",
        "still open: {count} parts, what matters most first: {names}",
        len(planned.open_parts),
        names=names,
    )
    _indented(words, out, speech)


def _indented(words: Value, out: Console, speech: Speech) -> None:
    out.print(Padding(Text(speech.words(words)), (0, 0, 0, 4), expand=False))
