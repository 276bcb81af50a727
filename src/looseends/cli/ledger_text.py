"""The answer of `looseends ledger` as text: shares, what is left, the repair, then the road in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table

from looseends.cli.judgement_text import probability_words
from looseends.cli.ledger_road import print_road
from looseends.cli.output import console
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.ledger import Ledger
from looseends.diagnosis.consequences.moving import PlayMoves
from looseends.diagnosis.consequences.repair import KeptLimit, Repair, every_repair
from looseends.diagnosis.consequences.wear import LEAST_PART, Cases
from looseends.diagnosis.words import SIDES
from looseends.inspection.types import Visit
from looseends.language import ENGLISH, AsWritten, Length, Number, Percent, Speech, Text, Value, joined, say, say_count
from looseends.vehicle.vehicle import Vehicle

_SHOWN_MM = 0.05
"""Shares below this [mm] at every place, and places where wear adds less, are left out of the tables."""
_MOST_ROWS = 16
_LIKELY = 0.5


def print_account(visit: Visit, vehicle: Vehicle, account: Account, speech: Speech = ENGLISH) -> None:
    """All of it; places that no worn part reaches are left out."""
    out = console()
    _print_heading(visit, vehicle, out, speech)
    _print_worn(vehicle, account, out, speech)
    ledgers = [ledger for ledger in account.ledgers if ledger.total_mm - ledger.sound_mm >= _SHOWN_MM]
    if ledgers:
        _print_shares(vehicle, ledgers, out, speech)
        _print_remains(vehicle, ledgers, out, speech)
    else:
        none = say("No worn part adds free travel that a gauge would show at the wheels or at the rim.")
        out.print(f"{speech.words(none)}\n")
    _print_repair(vehicle, account, out, speech)
    print_road(vehicle, account, out, speech)


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
        names = _names(vehicle, seen)
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
    for part in ledgers[0].parts:
        shares = [ledger.shares_mm[part] for ledger in ledgers]
        if max(abs(share) for share in shares) >= _SHOWN_MM:
            table.add_row(said(vehicle.parts[part].name), *(_number(share, speech) for share in shares))
    table.add_row(said(say("all sound parts")), *(_number(ledger.sound_mm, speech) for ledger in ledgers))
    table.add_row(said(say("in all")), *(_number(ledger.total_mm, speech) for ledger in ledgers))
    out.print(table)
    for ledger in ledgers:
        look = ledger.place.look.setup
        words = say(
            "{place}: {name}, by {check} in {support}",
            place=AsWritten(ledger.place.id),
            name=ledger.place.name,
            check=AsWritten(look.check),
            support=AsWritten(look.support),
        )
        out.print(f"  {said(words)}")
    out.print()


def _print_remains(vehicle: Vehicle, ledgers: Sequence[Ledger], out: Console, speech: Speech) -> None:
    said = speech.words
    unit = AsWritten(Length.unit_for(speech))
    out.print(said(say("What is left after replacing [{unit}]:", unit=unit)), style="bold")
    table = _table(said(say("replaced")), ledgers)
    counts = [p for p in ledgers[0].parts if max(abs(e.shares_mm[p]) for e in ledgers) >= _SHOWN_MM]
    repairs = [parts for parts, _ in every_repair(ledgers[0]) if parts and set(parts) <= set(counts)]
    for parts in repairs[:_MOST_ROWS]:
        left = (_number(ledger.remains_mm(parts), speech) for ledger in ledgers)
        table.add_row(said(_names(vehicle, parts)), *left)
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
    for words in _repair_lines(vehicle, account):
        out.print(f"  {speech.words(words)}")
    out.print()


def _repair_lines(vehicle: Vehicle, account: Account) -> list[Text]:
    repair, leading = account.repair, account.leading
    lines = [
        say(
            "Taken that {parts} and nothing else that is suspected is worn ({chance}):",
            parts=_names(vehicle, sorted(account.cases.leading_set)),
            chance=Number(account.cases.sets[account.cases.leading_set], 2),
        ),
        _repair_words(vehicle, repair, leading),
    ]
    unsure = [part for part in repair.parts if part in leading.parts and _unproven(account, part)]
    if unsure:
        lines.append(say("Not proven yet, and not to be bought on this: {parts}.", parts=_names(vehicle, unsure)))
    lines += [_limit_words(kept) for kept in repair.limits]
    lines += _move_lines(vehicle, account.moves)
    if account.next_part is not None:
        lines.append(
            say(
                "Next to go: {part}, at {used} of its reject clearance.",
                part=vehicle.parts[account.next_part.part].name,
                used=Percent(account.next_part.used),
            )
        )
    lines.append(
        say("Whatever is replaced, go over the whole wheel again: play shows next where it was hidden before.")
    )
    return lines


def _repair_words(vehicle: Vehicle, repair: Repair, leading: Cases) -> Text:
    said: dict[str, Value] = {
        "parts": _names(vehicle, repair.parts),
        "chance": Number(repair.chance, 2),
        "tried": Number(repair.tried),
    }
    if not repair.reached:
        return say(
            "Replacing all of it, {parts}, is not enough: something that is not worn keeps the vehicle from passing "
            "(chance {chance}; {tried} combinations were tried, which are all).",
            **said,
        )
    if not repair.parts:
        return say(
            "Nothing has to be replaced: every limit is kept, chance {chance}. {tried} combinations were tried, which "
            "are all.",
            **said,
        )
    words = say(
        "Replace {parts}. Nothing smaller passes ({tried} combinations were tried, which are all); the vehicle then "
        "passes with chance {chance}.",
        **said,
    )
    own = [part for part in repair.parts if part in repair.forced]
    return joined([words, say("For their own sake: {parts}.", parts=_names(vehicle, own))]) if own else words


def _move_lines(vehicle: Vehicle, moves: Sequence[PlayMoves]) -> list[Text]:
    """For each part that then has most of what is left somewhere, where and how much, worn parts first."""
    by_part: dict[tuple[bool, str], list[PlayMoves]] = {}
    for move in moves:
        by_part.setdefault((not move.worn, move.part), []).append(move)
    lines = []
    for (sound, part), found in sorted(by_part.items()):
        places: Value = tuple(
            say(
                "{place} ({share} of {left})",
                place=AsWritten(move.place),
                share=Length(move.share_mm, 1),
                left=Length(move.left_mm, 1),
            )
            for move in found
        )
        name = vehicle.parts[part].name
        if sound:
            lines.append(say("Most play is then in the sound {part} at {places}.", part=name, places=places))
        else:
            lines.append(say("Most play is then in the worn {part} at {places}.", part=name, places=places))
    return lines


def _limit_words(kept: KeptLimit) -> Text:
    limit, side = kept.limit.limit, kept.limit.look.setup.side
    quantity = say("{quantity}, {side}", quantity=limit.quantity, side=SIDES[side]) if side else limit.quantity
    return say(
        "Kept with chance {before} now, {after} then: {quantity}, {value} ({citation}).",
        before=Number(kept.before, 2),
        after=Number(kept.after, 2),
        quantity=quantity,
        value=Length(kept.limit.value_mm),
        citation=limit.citation,
    )


def _unproven(account: Account, part: str) -> bool:
    return account.cases.marginals[part] < load_beliefs().worn_at_least


def _names(vehicle: Vehicle, parts: Sequence[str]) -> Text:
    return joined([vehicle.parts[part].name for part in parts], ", ")


def _with_chance(vehicle: Vehicle, part: str, chance: float) -> Text:
    return say("{part} {chance}", part=vehicle.parts[part].name, chance=Number(chance, 2))


def _number(amount_mm: float, speech: Speech) -> str:
    # Rounded first, so that nothing is told as -0.0.
    return Length(round(amount_mm, 1) + 0.0, 1).number_for(speech)
