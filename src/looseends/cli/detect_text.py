"""The answer of `looseends detect`: text, JSON records and CSV."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.planning.ways import OBSERVERS, Sight, Way
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_CHECK, _HELD, _WATCH = 10, 23, 33
"""Columns of text."""

_SHORT = 3
"""So many ways of each part and axis are listed unless all are asked for."""


def print_ways(
    ways: Sequence[Way],
    parts: Sequence[str],
    vehicle: Vehicle,
    out: Console,
    beliefs: Beliefs,
    *,
    all_ways: bool = False,
) -> None:
    """The ways by part and axis, best first, all or the best of each check and support; then what nothing shows."""
    out.print(
        "Free travel and movement in all added where it is watched, and the chance to see it, with the part at its "
        "reject clearance. "
        f"Grease, rust or a dry joint hides play in {_percent(beliefs.masked_chance)} of joints: no chance is "
        "100 %."
    )
    out.print()
    out.print(_table([], heading=True))
    starred = False
    for (part, axis), found in grouped(ways, parts).items():
        name = vehicle.parts[part].name
        out.print(f"{name}, {axis}, rejected over {found[0].reject_mm:g} mm", style="bold")
        shown = found if all_ways else short_list(found)
        out.print(_table(shown))
        starred = starred or any(sight.watch != way.sights["gauge"].watch for way in shown for sight in _seen(way))
        if len(found) > len(shown):
            out.print(Padding(f"{len(found) - len(shown)} more with --all", (0, 0, 0, 2)))
    out.print()
    if starred:
        out.print("* better seen at another watch than by gauge; --json and --csv name it.")
    _print_hidden(hidden(ways, parts, beliefs), vehicle, out, _percent(beliefs.seen_at_least))


def short_list(ways: Sequence[Way]) -> list[Way]:
    """The best way of each check and support, of ways that show something; one way at least."""
    told = [way for way in ways if _most(way) > load_beliefs().cannot_show_at_most]
    best: dict[tuple[str, str], Way] = {}
    for way in told:
        best.setdefault((way.setup.check, way.setup.support), way)
    return list(best.values())[:_SHORT] or list(ways[:1])


def grouped(ways: Iterable[Way], parts: Sequence[str]) -> dict[tuple[str, str], list[Way]]:
    """Ways by part and axis in the order of the parts, the best first: most chance in all, then the quickest."""
    found: dict[tuple[str, str], list[Way]] = {}
    for way in sorted(ways, key=lambda way: parts.index(way.part)):
        found.setdefault((way.part, way.axis), []).append(way)
    for of_axis in found.values():
        of_axis.sort(key=lambda way: (-round(sum(s.chance for s in way.sights.values()), 2), _minutes(way.setup)))
    return found


def hidden(ways: Sequence[Way], parts: Sequence[str], beliefs: Beliefs) -> list[tuple[str, str, Way | None]]:
    """Parts and axes that no way shows with the chance that proves, each with the best way there is."""
    asked = beliefs.seen_at_least
    found: list[tuple[str, str, Way | None]] = []
    found += [(part, "", None) for part in parts if part not in {way.part for way in ways}]
    for (part, axis), of_axis in grouped(ways, parts).items():
        best = max(of_axis, key=_most)
        if _most(best) < asked:
            found.append((part, axis, best))
    return found


def record_of(ways: Sequence[Way], parts: Sequence[str], vehicle: Vehicle, beliefs: Beliefs) -> dict[str, Any]:
    """Everything for another program."""
    every = [way for found in grouped(ways, parts).values() for way in found]
    return {
        "vehicle": vehicle.id,
        "chance_that_proves": beliefs.seen_at_least,
        "masked_chance": beliefs.masked_chance,
        "ways": [_record(way) for way in every],
        "not_shown": [
            {"part": part, "axis": axis or None, "best": None if best is None else _record(best)}
            for part, axis, best in hidden(ways, parts, beliefs)
        ],
    }


def csv_of(ways: Sequence[Way]) -> str:
    """One row for each way, with a heading; lengths [mm], time [min], chances from 0 to 1."""
    text = io.StringIO()
    heading = ["part", "axis", "reject_mm", "check", "support", "side", "steer", "brake", "minutes"]
    heading += [f"{by}_{what}" for by in OBSERVERS for what in ("watch", "added_free_mm", "added_mm", "chance")]
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(heading)
    for way in ways:
        s = way.setup
        row: list[object] = [way.part, way.axis, way.reject_mm, s.check, s.support, s.side or "", s.steer, s.brake]
        row.append(_minutes(s))
        for by in OBSERVERS:
            sight = way.sights[by]
            row += [sight.watch, round(sight.free_mm, 3), round(sight.all_mm, 3), round(sight.chance, 4)]
        rows.writerow(row)
    return text.getvalue()


def _record(way: Way) -> dict[str, Any]:
    return {
        "part": way.part,
        "axis": way.axis,
        "reject_mm": way.reject_mm,
        "setup": way.setup,
        "minutes": _minutes(way.setup),
        "seen": way.sights,
    }


def _table(ways: Sequence[Way], *, heading: bool = False) -> Table:
    """Rows of ways in columns of fixed width, so that the tables of all parts stand below one heading."""
    table = Table.grid(padding=(0, 1))
    for width in (1, _CHECK, _HELD, _WATCH):
        table.add_column(width=width, overflow="fold")  # an id must stay whole to be copied
    for width in (7, 6, 6, 6, 6):
        table.add_column(width=width, justify="right")
    if heading:
        table.add_row("", "check", "held", "watch (by gauge)", "free mm", "all mm", *OBSERVERS)
    for way in ways:
        gauge = way.sights["gauge"]
        chances = [_percent(way.sights[by].chance) + _elsewhere(way.sights[by], gauge) for by in OBSERVERS]
        table.add_row(
            "", way.setup.check, _held(way.setup), gauge.watch, *map(_mm, (gauge.free_mm, gauge.all_mm)), *chances
        )
    return table


def _most(way: Way) -> float:
    """The chance of whoever sees it best."""
    return max(sight.chance for sight in _seen(way))


def _seen(way: Way) -> list[Sight]:
    return list(way.sights.values())


def _elsewhere(sight: Sight, gauge: Sight) -> str:
    return "" if sight.watch == gauge.watch else " *"


def _held(setup: Setup) -> str:
    check = load_catalogue().checks[setup.check]
    said = [setup.support, *([setup.side] if setup.side else [])]
    said += [f"steer {setup.steer}"] if len(check.steer_states) > 1 else []
    return ", ".join([*said, *(["brake on"] if setup.brake == "on" else [])])


def _percent(chance: float) -> str:
    """Whole percent, never rounded up: 90 % stands for what proves."""
    return f"{math.floor(100.0 * chance + 1e-9)} %"


def _mm(length: float) -> str:
    return f"{round(length, 2) + 0.0:.2f}"  # no minus before a zero


def _minutes(setup: Setup) -> float:
    return load_catalogue().checks[setup.check].minutes


def _print_hidden(found: Sequence[tuple[str, str, Way | None]], vehicle: Vehicle, out: Console, asked: str) -> None:
    if not found:
        out.print(f"Everything listed is shown by some check with a chance of {asked} or more.")
        return
    out.print(f"Not shown by any of these checks with a chance of {asked} or more, whoever looks:", style="bold")
    for part, axis, best in found:
        said = f"{vehicle.parts[part].name}{f', {axis}' if axis else ''}"
        out.print(Padding(f"{said}: {_best_words(best)}", (0, 0, 0, 2), expand=False))


def _best_words(best: Way | None) -> str:
    if best is None or _most(best) <= load_beliefs().cannot_show_at_most:
        return "none of them shows it; follow the maker's procedure."
    by = max(OBSERVERS, key=lambda by: best.sights[by].chance)
    return f"{_percent(best.sights[by].chance)} at best, by {by} in {best.setup.check}, {_held(best.setup)}."
