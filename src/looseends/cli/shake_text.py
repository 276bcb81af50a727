"""The answer of `looseends shake` as a table and a line on what the support does."""

from __future__ import annotations

import math
from collections.abc import Set

from looseends.catalogue import load_catalogue
from looseends.cli.output import console
from looseends.cli.shake_request import ShakeRequest
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Shaken, WatchedMovement
from looseends.vehicle.vehicle import Vehicle

REBOUND_STOP = "rebound-stop"
STAND = "stand"
_NO_FORCE_N = 1.0
_SMALL_MM = 60.0
"""The model counts movements as small against the parts; what moves further gives way, and no number holds. Assumed."""
_ONE_VALUE_MM = 0.005


def joint_names(vehicle: Vehicle) -> Set[str]:
    """Ids of all joints that a part owns; what else carries force is a stop or a stand."""
    return {name for part in vehicle.wearable for name in part.joints}


def stop_gap(setup: Setup, shaken: Shaken) -> float:
    """Gap [mm] at the rebound stop of the side worked on, the smaller of both without one; 0 where it touches."""
    gaps = [gap for name, gap in shaken.stop_gaps.items() if _is(name, REBOUND_STOP, setup.side)]
    return max(0.0, min(gaps))


def beyond_small(shaken: Shaken) -> bool:
    """Whether something moves further than the model's small movements describe."""
    return any(movement.total > _SMALL_MM for movement in shaken.movements)


def print_shaken(request: ShakeRequest, shaken: Shaken) -> None:
    """Table of what moves, then what carries nothing, then what the support does."""
    from rich import box
    from rich.table import Table  # --json need not wait for it

    out = console()
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("watch", no_wrap=True)
    for heading in ("moves mm", "free mm", "elastic mm"):
        table.add_column(heading, justify="right")
    for movement in shaken.movements:
        elastic = movement.total - movement.free
        table.add_row(movement.watch, _amount(movement), f"{movement.free:.2f}", f"{elastic:.2f}")
    out.print(_heading(request), style="bold")
    out.print(table)
    slack = [name for name in shaken.slack if name in joint_names(request.vehicle)]
    if slack:
        out.print(f"Carrying nothing at the end of the stroke: {', '.join(slack)}.")
    for line in _support_lines(request, shaken):
        out.print(line)


def _heading(request: ShakeRequest) -> str:
    setup, check = request.setup, request.check
    forces = sorted({request.force} if request.force is not None else {stroke.force for stroke in check.strokes})
    said = [f"{check.name}: {load_catalogue().supports[setup.support].name.lower()}"]
    said += [f"{setup.side} side"] if setup.side else []
    said += [f"steering {setup.steer}", f"brake {setup.brake}"]
    said += [f"stand {setup.stand_inboard_mm:g} mm inboard"] if setup.stand_inboard_mm else []
    said += [f"frame held {request.raised_mm:g} mm high"] if request.raised_mm else []
    for alteration in request.vehicle.alterations:
        name, end = load_catalogue().alterations[alteration.id].name, alteration.end
        said.append(f"{name}{f' at the {end}' if end else ''} {alteration.amount:g} {alteration.unit}")
    return ", ".join([*said, " and ".join(f"{force:g} N" for force in forces)])


def _amount(movement: WatchedMovement) -> str:
    if movement.greatest - movement.least < _ONE_VALUE_MM:
        return f"{movement.total:.2f}"
    greatest = "any" if math.isinf(movement.greatest) else f"{movement.greatest:.2f}"
    return f"{movement.total:.2f} ({movement.least:.2f} to {greatest})"


def _support_lines(request: ShakeRequest, shaken: Shaken) -> list[str]:
    setup, roles = request.setup, request.vehicle.layout.roles
    gap = stop_gap(setup, shaken)
    where = f"the {setup.side} rebound stop" if setup.side else "the rebound stop on the nearer side"
    if gap > 0.0:
        lines = [f"Support: {where} is {gap:.1f} mm open, not touching."]
    elif roles["stop_arm"] != roles["spring_arm"]:
        lines = [f"Support: {where} is touching, so the spring presses through the ball joints: they look tight."]
    else:
        lines = [f"Support: {where} is touching and holds the spring: the ball joints are free of it."]
    lifted = [n for n, force in shaken.forces.items() if _is(n, STAND, setup.side) and force < _NO_FORCE_N]
    if lifted:
        lines.append("Too much force: the arm lifts off its stand, and what moves then is not play.")
    if beyond_small(shaken):
        lines.append(
            f"Movements over {_SMALL_MM:g} mm are beyond this model: read them as giving way, not as a number."
        )
    return lines


def _is(name: str, kind: str, side: str | None) -> bool:
    return name.startswith(f"{kind}-") and (side is None or name == f"{kind}-{side}")
