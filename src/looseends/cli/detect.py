"""`looseends detect`: by which check under which support each part's wear can be seen at all."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.cli.known_vehicle import known_vehicle
from looseends.cli.options import AsJson, PolicyFile, VehicleId
from looseends.cli.output import console, print_json
from looseends.cli.progress import progress_shown
from looseends.errors import InputError

if TYPE_CHECKING:
    from looseends.vehicle.setup import Setup
    from looseends.vehicle.vehicle import Vehicle

_WHERE = "looseends detect"

PartOrKind = Annotated[
    str | None, typer.Option("--part", metavar="PART", help="Only this part, or all of a kind, such as idler-arm.")
]
OneCheck = Annotated[str | None, typer.Option("--check", metavar="CHECK", help="Only this check.")]
OneSupport = Annotated[str | None, typer.Option("--support", metavar="SUPPORT", help="Only under this support.")]
All = Annotated[bool, typer.Option("--all", help="List every way, not only the best three checks and supports.")]
AsCsv = Annotated[bool, typer.Option("--csv", help="Print every way as a row of CSV, for a spreadsheet.")]


def detect(
    vehicle: VehicleId,
    part: PartOrKind = None,
    check: OneCheck = None,
    support: OneSupport = None,
    all_ways: All = False,
    policy: PolicyFile = None,
    as_csv: AsCsv = False,
    as_json: AsJson = False,
) -> None:
    """Tell which check can show which part's wear.

    For each part and axis the best ways first: check, support and where to watch, the free travel that wear at the
    reject clearance adds there, and the chance to see it by gauge, by hand and by eye. Says which parts no check can
    show. The chance is that of a judgement: it counts how unlike sound vehicles are, and that grease or rust hides
    play in some joints. On a vehicle that is known by tape it tells besides how far the least sure of these answers
    hang on what was not measured, and what to measure.
    """
    known = known_vehicle(vehicle, "detect")
    if as_csv and as_json:
        raise InputError(f"{_WHERE}: --csv and --json must not stand together, found both.")
    wanted = _parts(part, known)
    setups = _setups(known, check, support)
    # numpy and scipy: --help need not wait for them
    from looseends.cli.detect_doubt import doubt_record, doubts_of, print_doubt
    from looseends.cli.detect_text import csv_of, print_ways, record_of
    from looseends.diagnosis import default_store
    from looseends.diagnosis.planning.ways import vehicle_ways
    from looseends.diagnosis.shop import load_shop

    beliefs = load_shop(policy).beliefs
    with progress_shown() as report:
        every = vehicle_ways(known, setups, store=default_store(), progress=report, beliefs=beliefs)
    ways = [way for way in every if way.part in wanted]
    if as_json:
        print_json(record_of(ways, wanted, known, beliefs) | doubt_record(doubts_of(ways, wanted, known)))
    elif as_csv:
        typer.echo(csv_of(ways), nl=False)
    else:
        print_ways(ways, wanted, known, console(), beliefs, all_ways=all_ways)
        print_doubt(doubts_of(ways, wanted, known), known)


def _parts(given: str | None, vehicle: Vehicle) -> list[str]:
    """Ids of the parts asked for, all of those with a clearance if none is named."""
    from looseends.diagnosis.tables.states import worn_axes

    told = [part for part in vehicle.wearable if worn_axes(part)]
    if given is None:
        return [part.id for part in told]
    named = {name for part in vehicle.parts.values() for name in (part.id, part.kind.id)}
    if given not in named:
        raise InputError(unknown_name_sentence("--part", given, named, where=_WHERE))
    found = [part.id for part in told if given in (part.id, part.kind.id)]
    if not found:
        raise InputError(
            f"{_WHERE}: --part must have a clearance, found {given}, which is judged by its condition alone "
            f'("looseends parts {vehicle.id}" lists both).'
        )
    return found


def _setups(vehicle: Vehicle, check: str | None, support: str | None) -> Sequence[Setup]:
    from looseends.diagnosis.planning.ways import setups_for

    catalogue = load_catalogue()
    if check is not None and check not in catalogue.checks:
        raise InputError(unknown_name_sentence("--check", check, catalogue.checks, where=_WHERE))
    held = [name for name in catalogue.supports if name in vehicle.layout.supports]
    if support is not None and support not in held:
        raise InputError(unknown_name_sentence("--support", support, held, where=_WHERE))
    setups = setups_for(vehicle, check, support)
    if check is not None and not setups_for(vehicle, check):
        raise InputError(f'{_WHERE}: --check must be one that moves a joint of {vehicle.id}, found "{check}".')
    if not setups and check is not None:
        of_check = [name for name in catalogue.checks[check].supports if name in held]
        raise InputError(
            f'{_WHERE}: --support of check "{check}" must be one of {", ".join(of_check)}, found "{support}".'
        )
    if not setups:
        raise InputError(
            f'{_WHERE}: --support must be one that a check is usually done under, found "{support}"; with --check the '
            "seldom ones are shown too."
        )
    return setups
