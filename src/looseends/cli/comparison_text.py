"""The answer of `looseends compare` as text and as a record."""

from __future__ import annotations

from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table

from looseends.cli.output import console
from looseends.diagnosis.observed.words import SIDES, VERDICT_WORDS
from looseends.language import AsWritten, Capital, Speech, Text, say
from looseends.report.compared import Comparison
from looseends.report.repairs_content import pairs_tables
from looseends.report.side_by_side import HOW_JUDGED
from looseends.report.wording import with_note


def print_comparison(comparison: Comparison, speech: Speech) -> None:
    """Readings side by side, how they were judged, verdicts that differ, and what was replaced."""
    out, said = console(), speech.words
    heads = _heads(comparison, speech)
    title = say(
        "{vehicle}: {first} beside {second}",
        vehicle=Capital(comparison.first.vehicle_name),
        first=heads[0],
        second=heads[1],
    )
    out.print(said(title), style="bold")
    _print_readings(comparison, heads, out, speech)
    _print_verdicts(comparison, heads, out, speech)
    if comparison.replaced:
        out.print(said(say("What was replaced:")), style="bold")
    for event in comparison.replaced:
        name = comparison.names[event.part]
        line = say("{part}, by {who}", part=name, who=with_note(AsWritten(event.by), event.note))
        out.print(f"  {said(line)}")


def _heads(comparison: Comparison, speech: Speech) -> tuple[Text, Text]:
    if comparison.between == "sides":
        return SIDES["left"], SIDES["right"]
    one, other = (AsWritten(speech.date(judged.visit.date)) for judged in (comparison.first, comparison.second))
    return say("{date}", date=one), say("{date}", date=other)


def _print_readings(comparison: Comparison, heads: tuple[Text, Text], out: Console, speech: Speech) -> None:
    if not comparison.pairs:
        out.print(f"{speech.words(say('Nothing was read in the same way in both.'))}\n")
        return
    sides = comparison.between == "sides"
    for told in pairs_tables(comparison.pairs, heads, comparison.vocabulary, speech, sides=sides):
        out.print(told.caption, style="bold")
        _print_rows(told.head, told.rows, out)
    out.print(f"{speech.words(HOW_JUDGED)}\n")


def _print_verdicts(comparison: Comparison, heads: tuple[Text, Text], out: Console, speech: Speech) -> None:
    said = speech.words
    if not comparison.verdicts:
        out.print(said(say("No verdict differs.")))
        return
    out.print(said(say("Verdicts that differ:")), style="bold")
    head = (said(say("Part")), *(said(entry) for entry in heads))
    rows = [
        (said(entry.name), said(VERDICT_WORDS[entry.first]), said(VERDICT_WORDS[entry.second]))
        for entry in comparison.verdicts
    ]
    _print_rows(head, rows, out)


def _print_rows(head: tuple[str, ...], rows: Any, out: Console) -> None:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for cell in head:
        table.add_column(cell)
    for row in rows:
        table.add_row(*row)
    out.print(table)
