"""`looseends route`: the shortest way through the checks, or the best one for a complaint."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.cli.known_vehicle import known_vehicle
from looseends.cli.options import AsJson, LanguageChoice, PolicyFile, UnitsChoice, VehicleId
from looseends.cli.output import console, print_json
from looseends.cli.plain_number import number_within
from looseends.cli.progress import progress_shown
from looseends.errors import InputError
from looseends.language import Speech, refusal

if TYPE_CHECKING:
    from looseends.diagnosis.observed.complaints import Suspicion
    from looseends.diagnosis.planning.route import Route
    from looseends.vehicle.vehicle import Vehicle

_WHERE = "looseends route"
_BY = ("gauge", "hand", "eye")
MOST_MINUTES = 1000.0
"""More than any route takes: a slip of the pen. Assumed."""

Words = Annotated[
    str | None,
    typer.Option(
        "--complaint",
        metavar="WORDS",
        help="What the customer says, in English or Spanish: what it makes likely is proven first, within --minutes.",
    ),
]
Minutes = Annotated[
    str | None,
    typer.Option("--minutes", metavar="N", help="Time there is; 15 with a complaint, else all that the route takes."),
]
Observer = Annotated[
    str, typer.Option("--by", metavar="OBSERVER", help="Who must be able to see the wear: gauge, hand or eye.")
]
Blank = Annotated[bool, typer.Option("--blank", help="Write a sheet to print and fill in by hand, as PDF and as text.")]
SheetDirectory = Annotated[
    Path | None, typer.Option("-o", "--output", metavar="DIR", help="Where the sheet goes; here if left out.")
]
ReplaceSheet = Annotated[bool, typer.Option("--replace", help="Overwrite an earlier sheet that says something else.")]


def route(
    vehicle: VehicleId,
    complaint: Words = None,
    minutes: Minutes = None,
    by: Observer = "gauge",
    policy: PolicyFile = None,
    blank: Blank = False,
    directory: SheetDirectory = None,
    replace: ReplaceSheet = False,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    as_json: AsJson = False,
) -> None:
    """Plan the shortest inspection.

    It begins with the lift points. Checks are grouped by support, each with what it proves; then comes what stays
    unproven, and why. Without a complaint every part is proven that some check can prove, in the least time that there
    is. With one, or with --minutes, the most is proven of what is likely.
    """
    known = known_vehicle(vehicle, "route")
    _refuse_unfit(by, blank, directory, replace)
    within = None if minutes is None else number_within(minutes, f"{_WHERE}: --minutes", "min", 1.0, MOST_MINUTES)
    planned, suspicion = _planned(known, complaint, within, by, policy)
    # numpy, scipy and the typesetter: --help need not wait for them
    from looseends.cli.route_text import print_route
    from looseends.report.route_content import route_content

    content = route_content(planned, known, suspicion, Speech(language, units))
    files: tuple[Path, ...] = ()
    if blank:
        from looseends.report.writing import write_route_sheet

        files = write_route_sheet(content, directory or Path(), replace=replace)
    if as_json:
        print_json({"route": planned, "suspicion": suspicion, "files": files})
    elif blank:
        for path in files:
            console().print(str(path), soft_wrap=True)
    else:
        print_route(content, console())


def _refuse_unfit(by: str, blank: bool, directory: Path | None, replace: bool) -> None:
    if by not in _BY:
        raise InputError(unknown_name_sentence("--by", by, _BY, where=_WHERE))
    for option, given in (("--output", directory is not None), ("--replace", replace)):
        if given and not blank:
            raise InputError(
                refusal("{where}: {option} belongs to --blank only, found it without.", where=_WHERE, option=option)
            )


def _planned(
    vehicle: Vehicle, complaint: str | None, minutes: float | None, by: str, policy_file: Path | None
) -> tuple[Route, Suspicion | None]:
    from looseends.diagnosis import default_store
    from looseends.diagnosis.observed.complaints import complaints_meant, suspicion_of
    from looseends.diagnosis.observed.opening import load_complaint_figures
    from looseends.diagnosis.planning.route import full_route, route_within
    from looseends.diagnosis.planning.ways import OBSERVERS, setups_for, vehicle_ways
    from looseends.diagnosis.shop import load_shop

    shop = load_shop(policy_file)
    # words that are like no complaint are refused before tables are computed
    meant = () if complaint is None else complaints_meant(complaint, load_catalogue().complaints.values())
    with progress_shown() as report:
        ways = vehicle_ways(vehicle, setups_for(vehicle), store=default_store(), progress=report, beliefs=shop.beliefs)
    observer = OBSERVERS[_BY.index(by)]
    if complaint is None and minutes is None:
        return full_route(vehicle, ways, observer, shop.beliefs, shop.policy), None
    suspicion = suspicion_of(vehicle, meant, shop.beliefs)
    within = load_complaint_figures().minutes if minutes is None else minutes
    planned = route_within(vehicle, ways, observer, shop.beliefs, suspicion.weights, within, shop.policy)
    return planned, None if complaint is None else suspicion
