"""`looseends shake`: what a check shows on a vehicle with these worn parts."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any

import typer

from looseends.cli.first_start import compile_once
from looseends.cli.options import AsJson, VehicleId
from looseends.cli.output import print_json

if TYPE_CHECKING:
    from looseends.cli.shake_request import ShakeRequest
    from looseends.vehicle.shake import Shaken

_Text = str | None


def shake(
    vehicle: VehicleId,
    check: Annotated[str, typer.Option(metavar="ID", help='The check, such as wheel39; see "looseends checks".')],
    support: Annotated[
        str,
        typer.Option(metavar="STATE", help="How the vehicle is held: frame, arm, ride or wheels, as the check allows."),
    ],
    side: Annotated[_Text, typer.Option(metavar="L|R", help="The side worked on, for a check that has one.")] = None,
    brake: Annotated[_Text, typer.Option(metavar="on|off", help="Whether a helper holds the foot brake.")] = None,
    steer: Annotated[
        _Text, typer.Option(metavar="held|free", help="Whether a helper holds the steering wheel.")
    ] = None,
    stand_inboard: Annotated[
        _Text,
        typer.Option(
            metavar="MM", help="How far inboard of the ball joint the stands sit, with support arm; 0 if left out."
        ),
    ] = None,
    force: Annotated[_Text, typer.Option(metavar="N", help="Force instead of the check's own.")] = None,
    raised: Annotated[
        _Text, typer.Option(metavar="MM", help="How far the torsion bars hold the frame above its design height.")
    ] = None,
    worn: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PART[.axial|.radial]=MM ...",
            help="A worn part and its clearance in mm of total travel; without an axis, every axis that the part has. "
            "Several may follow, or the option be given again.",
        ),
    ] = None,
    altered: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ALTERATION[.front|.rear|.turns]=MM",
            help="What was changed from how the maker built it, and by how much, as lift-block=50; may be repeated.",
        ),
    ] = None,
    more_worn: Annotated[
        list[str] | None, typer.Argument(metavar="PART=MM", help="Further worn parts, written behind --worn.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show what a check shows with worn parts.

    Tells for each place that the check watches how far it moves between the two ends of the push and pull, how much of
    that is free (play, the dead zone) and how much elastic (what springs back), and whether the rebound stop touches
    under this support. Parts that are not named are sound. On a vehicle that is known by tape it tells besides how far
    each movement hangs on what was not measured, and what to measure.

    Example: looseends shake yard-pickup --check bj-axial --support arm --side L --worn lower-ball-joint-left=2
    """
    from looseends.cli.shake_doubt import doubt_of, doubt_record, print_doubt
    from looseends.cli.shake_request import GivenText, read_request  # numpy and scipy: --help need not wait for them
    from looseends.cli.shake_text import print_shaken
    from looseends.vehicle.shake import preload_of, prepare_check
    from looseends.vehicle.shake import shake as shake_vehicle
    from looseends.vehicle.specimen import nominal_specimen

    # One --worn takes one value; what a person writes behind it arrives as further arguments.
    every_worn = [*(worn or ()), *(more_worn or ())]
    request = read_request(
        GivenText(vehicle, check, support, side, brake, steer, stand_inboard, force, raised, every_worn, altered or ())
    )
    compile_once()
    specimen = nominal_specimen(request.vehicle)
    preload = preload_of(request.vehicle, request.raised_mm)
    prepared = prepare_check(request.vehicle, specimen, request.setup, preload, force=request.force)
    shaken = shake_vehicle(request.vehicle, specimen, prepared, request.worn)
    if as_json:
        print_json(_record(request, shaken) | doubt_record(doubt_of(request, preload)))
    else:
        print_shaken(request, shaken)
        print_doubt(doubt_of(request, preload), request.vehicle)


def _record(request: ShakeRequest, shaken: Shaken) -> dict[str, Any]:
    from looseends.cli.shake_text import beyond_small, joint_names, stop_gap

    joints, gap = joint_names(request.vehicle), stop_gap(request.setup, shaken)
    return {
        "vehicle": request.vehicle.id,
        "setup": request.setup,
        "force_N": request.force if request.force is not None else [stroke.force for stroke in request.check.strokes],
        "raised_mm": request.raised_mm,
        "altered": [asdict(alteration) for alteration in request.vehicle.alterations],
        "worn": [{"part": part, "axis": axis, "mm": mm} for (part, axis), mm in request.worn.items()],
        "movements": [
            {"watch": m.watch, "mm": m.total, "free_mm": m.free, "mm_range": [m.least, m.greatest]}
            for m in shaken.movements
        ],
        "forces": {name: force for name, force in shaken.forces.items() if name in joints},
        "contact_forces": {name: force for name, force in shaken.forces.items() if name not in joints},
        "slack": [name for name in shaken.slack if name in joints],
        "stop_gap_mm": gap,
        "stop_touching": gap == 0.0,
        "beyond_model": beyond_small(shaken),
        "certificate": shaken.scaled_gap,
    }
