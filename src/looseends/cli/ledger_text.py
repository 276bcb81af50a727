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
from looseends.inspection.types import Visit
from looseends.vehicle.vehicle import Vehicle

_SHOWN_MM = 0.05
"""Shares below this [mm] at every place, and places where wear adds less, are left out of the tables."""
_MOST_ROWS = 16
_LIKELY = 0.5


def print_account(visit: Visit, vehicle: Vehicle, account: Account) -> None:
    """All of it; places that no worn part reaches are left out."""
    out = console()
    _print_heading(visit, vehicle, out)
    _print_worn(vehicle, account, out)
    ledgers = [ledger for ledger in account.ledgers if ledger.total_mm - ledger.sound_mm >= _SHOWN_MM]
    if ledgers:
        _print_shares(vehicle, ledgers, out)
        _print_remains(vehicle, ledgers, out)
    else:
        out.print("No worn part adds free travel that a gauge would show at the wheels or at the rim.\n")
    _print_repair(vehicle, account, out)
    print_road(vehicle, account, out)


def print_nothing_worn(visit: Visit, vehicle: Vehicle, cases: Cases, seen: Sequence[str]) -> None:
    """A sentence on why there is no ledger, and what would help."""
    out = console()
    _print_heading(visit, vehicle, out)
    suspects = ", ".join(f"{vehicle.parts[part].name} {chance:.2f}" for part, chance in cases.marginals.items())
    out.print(
        "No ledger: no set of worn parts explains what was recorded better than none, so there is no play to share "
        f"out. That no part at all is worn is {probability_words(cases.none)}; "
        + (f"suspected are {suspects}. " if suspects else f"no part has a chance of {LEAST_PART:g} or more. ")
        + '"looseends next VISIT" names the check that would tell most.'
    )
    if seen:
        names = _names(vehicle, seen)
        out.print(f"For what was seen on them, replace all the same: {names}.")


def _print_heading(visit: Visit, vehicle: Vehicle, out: Console) -> None:
    out.print(f"{vehicle.name}, {visit.date.isoformat()}, {visit.technician}: lash ledger", style="bold")


def _print_worn(vehicle: Vehicle, account: Account, out: Console) -> None:
    cases = account.cases
    likely = [part for part in cases.parts if cases.marginals[part] >= _LIKELY]
    told = ", ".join(f"{vehicle.parts[part].name} {cases.marginals[part]:.2f}" for part in likely)
    ways = f"{len(cases.cases)} ways in which parts may be worn, which have {cases.covered:.2f} of the probability"
    out.print(f"Worn, with its chance: {told or 'no part more likely than not'}. Means over {ways}.")
    out.print(f"Parts with a chance below {LEAST_PART:g} are taken as sound.\n")


def _print_shares(vehicle: Vehicle, ledgers: Sequence[Ledger], out: Console) -> None:
    out.print("Whose the free travel is [mm]:", style="bold")
    table = _table("part", ledgers)
    for part in ledgers[0].parts:
        shares = [ledger.shares_mm[part] for ledger in ledgers]
        if max(abs(share) for share in shares) >= _SHOWN_MM:
            table.add_row(vehicle.parts[part].name, *(_mm(share) for share in shares))
    table.add_row("all sound parts", *(_mm(ledger.sound_mm) for ledger in ledgers))
    table.add_row("in all", *(_mm(ledger.total_mm) for ledger in ledgers))
    out.print(table)
    for ledger in ledgers:
        look = ledger.place.look.setup
        out.print(f"  {ledger.place.id}: {ledger.place.name}, by {look.check} in {look.support}")
    out.print()


def _print_remains(vehicle: Vehicle, ledgers: Sequence[Ledger], out: Console) -> None:
    out.print("What is left after replacing [mm]:", style="bold")
    table = _table("replaced", ledgers)
    counts = [p for p in ledgers[0].parts if max(abs(e.shares_mm[p]) for e in ledgers) >= _SHOWN_MM]
    repairs = [parts for parts, _ in every_repair(ledgers[0]) if parts and set(parts) <= set(counts)]
    for parts in repairs[:_MOST_ROWS]:
        table.add_row(_names(vehicle, parts), *(_mm(ledger.remains_mm(parts)) for ledger in ledgers))
    out.print(table)
    if len(repairs) > _MOST_ROWS:
        out.print(f"  {len(repairs) - _MOST_ROWS} larger sets are left out here; --json gives all.")


def _table(first: str, ledgers: Sequence[Ledger]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column(first)
    for ledger in ledgers:
        table.add_column(ledger.place.id, justify="right", no_wrap=True)
    return table


def _print_repair(vehicle: Vehicle, account: Account, out: Console) -> None:
    repair, leading = account.repair, account.leading
    out.print("The repair that is enough:", style="bold")
    worn = _names(vehicle, sorted(account.cases.leading_set))
    chance = account.cases.sets[account.cases.leading_set]
    out.print(f"  Taken that {worn} and nothing else that is suspected is worn ({chance:.2f}):")
    out.print(f"  {_repair_words(vehicle, repair, leading)}")
    unsure = [part for part in repair.parts if part in leading.parts and _unproven(account, part)]
    if unsure:
        out.print(f"  Not proven yet, and not to be bought on this: {_names(vehicle, unsure)}.")
    for kept in repair.limits:
        out.print(f"  {_limit_words(kept)}")
    for line in _move_lines(vehicle, account.moves):
        out.print(f"  {line}")
    if account.next_part is not None:
        part = vehicle.parts[account.next_part.part].name
        out.print(f"  Next to go: {part}, at {100 * account.next_part.used:.0f} % of its reject clearance.")
    out.print("  Whatever is replaced, go over the whole wheel again: play shows next where it was hidden before.\n")


def _repair_words(vehicle: Vehicle, repair: Repair, leading: Cases) -> str:
    tried = f"{repair.tried} combinations were tried, which are all"
    if not repair.reached:
        return (
            f"Replacing all of it, {_names(vehicle, repair.parts)}, is not enough: something that is not worn keeps "
            f"the vehicle from passing (chance {repair.chance:.2f}; {tried})."
        )
    if not repair.parts:
        return f"Nothing has to be replaced: every limit is kept, chance {repair.chance:.2f}. {tried.capitalize()}."
    own = [part for part in repair.parts if part in repair.forced]
    why = f" For their own sake: {_names(vehicle, own)}." if own else ""
    return (
        f"Replace {_names(vehicle, repair.parts)}. Nothing smaller passes ({tried}); the vehicle then passes with "
        f"chance {repair.chance:.2f}.{why}"
    )


def _move_lines(vehicle: Vehicle, moves: Sequence[PlayMoves]) -> list[str]:
    """For each part that then has most of what is left somewhere, where and how much, worn parts first."""
    by_part: dict[tuple[bool, str], list[PlayMoves]] = {}
    for move in moves:
        by_part.setdefault((not move.worn, move.part), []).append(move)
    lines = []
    for (sound, part), found in sorted(by_part.items()):
        places = ", ".join(f"{m.place} ({m.share_mm:.1f} of {m.left_mm:.1f} mm)" for m in found)
        kind = "sound" if sound else "worn"
        lines.append(f"Most play is then in the {kind} {vehicle.parts[part].name} at {places}.")
    return lines


def _limit_words(kept: KeptLimit) -> str:
    limit, side = kept.limit.limit, kept.limit.look.setup.side
    where = f"{side}, " if side else ""
    return (
        f"Kept with chance {kept.before:.2f} now, {kept.after:.2f} then: {limit.quantity}, {where}"
        f"{kept.limit.value_mm:g} mm ({limit.citation})."
    )


def _unproven(account: Account, part: str) -> bool:
    return account.cases.marginals[part] < load_beliefs().worn_at_least


def _names(vehicle: Vehicle, parts: Sequence[str]) -> str:
    return ", ".join(vehicle.parts[part].name for part in parts)


def _mm(amount: float) -> str:
    # Rounded first, so that nothing is told as -0.0.
    return f"{round(amount, 1) + 0.0:.1f}"
