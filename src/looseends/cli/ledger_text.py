"""The answer of `looseends ledger` as text: shares, what is left, the repair, then the road in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table

from looseends.cli.judgement_text import probability_words
from looseends.cli.output import console
from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.ledger import Ledger
from looseends.diagnosis.consequences.repair import every_repair
from looseends.diagnosis.consequences.wear import LEAST_PART, Cases
from looseends.inspection.types import Visit
from looseends.language import ENGLISH, AsWritten, Length, Number, Speech, Text, Value, joined, say, say_count
from looseends.report.account_words import (
    amount,
    counting_parts,
    names_in_line,
    part_names,
    place_words,
    repair_lines,
    worn_ledgers,
)
from looseends.report.road_words import road_lines, tire_lines
from looseends.vehicle.vehicle import Vehicle

_MOST_ROWS = 16
_LIKELY = 0.5


def print_account(visit: Visit, vehicle: Vehicle, account: Account, speech: Speech = ENGLISH) -> None:
    """All of it; places that no worn part reaches are left out."""
    out = console()
    _print_heading(visit, vehicle, out, speech)
    _print_worn(vehicle, account, out, speech)
    ledgers = worn_ledgers(account)
    if ledgers:
        _print_shares(vehicle, ledgers, out, speech)
        _print_remains(vehicle, ledgers, out, speech)
    else:
        none = say("No worn part adds free travel that a gauge would show at the wheels or at the rim.")
        out.print(f"{speech.words(none)}\n")
    _print_repair(vehicle, account, out, speech)
    _print_road(vehicle, account, out, speech)


def print_nothing_worn(
    visit: Visit, vehicle: Vehicle, cases: Cases, seen: Sequence[str], speech: Speech = ENGLISH
) -> None:
    """A sentence on why there is no ledger, and what would help."""
    out = console()
    _print_heading(visit, vehicle, out, speech)
    words: list[Value] = [
        say(
            "No ledger: no set of worn parts explains what was recorded better than none, so there is no play to "
            "share out."
        )
    ]
    suspects = tuple(_with_chance(vehicle, part, chance) for part, chance in cases.marginals.items())
    if suspects:
        words.append(
            say(
                "That no part at all is worn is {chance}; suspected are {parts}.",
                chance=probability_words(cases.none),
                parts=suspects,
            )
        )
    else:
        words.append(
            say(
                "That no part at all is worn is {chance}; no part has a chance of {least} or more.",
                chance=probability_words(cases.none),
                least=Number(LEAST_PART),
            )
        )
    words.append(say('"looseends next VISIT" names the check that would tell most.'))
    out.print(speech.words(joined(words)))
    if seen:
        names = names_in_line(part_names(vehicle), seen)
        out.print(speech.words(say("For what was seen on them, replace all the same: {parts}.", parts=names)))


def _print_heading(visit: Visit, vehicle: Vehicle, out: Console, speech: Speech) -> None:
    heading = say(
        "{vehicle}, {date}, {technician}: lash ledger",
        vehicle=vehicle.name,
        date=AsWritten(visit.date.isoformat()),
        technician=AsWritten(visit.technician),
    )
    out.print(speech.words(heading), style="bold")


def _print_worn(vehicle: Vehicle, account: Account, out: Console, speech: Speech) -> None:
    cases = account.cases
    likely = [part for part in cases.parts if cases.marginals[part] >= _LIKELY]
    told: Value = tuple(_with_chance(vehicle, part, cases.marginals[part]) for part in likely)
    ways = say_count(
        "Worn, with its chance: {parts}. Means over {count} way in which parts may be worn, which has {covered} of the "
        "probability.",
        "Worn, with its chance: {parts}. Means over {count} ways in which parts may be worn, which have {covered} of "
        "the probability.",
        len(cases.cases),
        parts=told or say("no part more likely than not"),
        covered=Number(cases.covered, 2),
    )
    out.print(speech.words(ways))
    least = say("Parts with a chance below {least} are taken as sound.", least=Number(LEAST_PART))
    out.print(f"{speech.words(least)}\n")


def _print_shares(vehicle: Vehicle, ledgers: Sequence[Ledger], out: Console, speech: Speech) -> None:
    said = speech.words
    out.print(said(say("Whose the free travel is [{unit}]:", unit=AsWritten(Length.unit_for(speech)))), style="bold")
    table = _table(said(say("part")), ledgers)
    for part in counting_parts(ledgers):
        shares = (amount(ledger.shares_mm[part], speech) for ledger in ledgers)
        table.add_row(said(vehicle.parts[part].name), *shares)
    table.add_row(said(say("all sound parts")), *(amount(ledger.sound_mm, speech) for ledger in ledgers))
    table.add_row(said(say("in all")), *(amount(ledger.total_mm, speech) for ledger in ledgers))
    out.print(table)
    for ledger in ledgers:
        out.print(f"  {said(place_words(ledger, ledger.place.id))}")
    out.print()


def _print_remains(vehicle: Vehicle, ledgers: Sequence[Ledger], out: Console, speech: Speech) -> None:
    said = speech.words
    unit = AsWritten(Length.unit_for(speech))
    out.print(said(say("What is left after replacing [{unit}]:", unit=unit)), style="bold")
    table = _table(said(say("replaced")), ledgers)
    counts = counting_parts(ledgers)
    repairs = [parts for parts, _ in every_repair(ledgers[0]) if parts and set(parts) <= set(counts)]
    for parts in repairs[:_MOST_ROWS]:
        left = (amount(ledger.remains_mm(parts), speech) for ledger in ledgers)
        table.add_row(said(names_in_line(part_names(vehicle), parts)), *left)
    out.print(table)
    if len(repairs) > _MOST_ROWS:
        more = say_count(
            "{count} larger set is left out here; --json gives all.",
            "{count} larger sets are left out here; --json gives all.",
            len(repairs) - _MOST_ROWS,
        )
        out.print(f"  {said(more)}")


def _table(first: str, ledgers: Sequence[Ledger]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column(first)
    for ledger in ledgers:
        table.add_column(ledger.place.id, justify="right", no_wrap=True)
    return table


def _print_repair(vehicle: Vehicle, account: Account, out: Console, speech: Speech) -> None:
    out.print(speech.words(say("The repair that is enough:")), style="bold")
    for words in repair_lines(part_names(vehicle), account):
        out.print(f"  {speech.words(words)}")
    out.print()


def _print_road(vehicle: Vehicle, account: Account, out: Console, speech: Speech) -> None:
    out.print(speech.words(say("On the road, beside a sound vehicle:")), style="bold")
    for line in road_lines(account):
        out.print(f"  {speech.words(line)}")
    tires = tire_lines(part_names(vehicle), account)
    if tires:
        out.print()
        out.print(speech.words(say("On the tires:")), style="bold")
    for line in tires:
        out.print(f"  {speech.words(line)}")


def _with_chance(vehicle: Vehicle, part: str, chance: float) -> Text:
    return say("{part} {chance}", part=vehicle.parts[part].name, chance=Number(chance, 2))
