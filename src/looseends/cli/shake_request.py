"""What `looseends shake` was asked, checked field by field."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Axis, Check
from looseends.cli.alterations import ALTERED, read_altered
from looseends.cli.known_vehicle import known_vehicle
from looseends.cli.plain_number import number_within, plain_number
from looseends.cli.worn_parts import read_worn
from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.vehicle.altered import altered
from looseends.vehicle.setup import Setup, Side

if TYPE_CHECKING:
    from looseends.vehicle.vehicle import Vehicle

_WHERE = "looseends shake"
_SIDES: dict[str, Side] = {"l": "left", "r": "right", "left": "left", "right": "right"}
ARM_SUPPORT = "arm"
MOST_FORCE_N = 12_000.0
"""A little less than the front axle of a light pickup weighs: more would throw it off its stands. Assumed."""
STAND_CLEAR_OF_PIVOT_MM = 45.0
"""Half a stand's saddle and the bushing's outer shell: nearer to its axis the arm offers no seat. Assumed."""


@dataclass(frozen=True)
class GivenText:
    """The options of `looseends shake` as they were typed; None where one was left out."""

    vehicle: str
    check: str
    support: str
    side: str | None
    brake: str | None
    steer: str | None
    stand_inboard: str | None
    force: str | None
    raised: str | None
    worn: Sequence[str]
    altered: Sequence[str] = ()


@dataclass(frozen=True)
class ShakeRequest:
    """A vehicle, its setup, the force [N] in place of the check's own, how far raised [mm], what is worn [mm]."""

    vehicle: Vehicle
    check: Check
    setup: Setup
    force: float | None
    raised_mm: float
    worn: Mapping[tuple[str, Axis], float]


def read_request(given: GivenText) -> ShakeRequest:
    """The request, every field of it checked.

    Raises
    ------
    InputError
        In one sentence: what, the value found, what is accepted.
    """
    vehicle = altered(known_vehicle(given.vehicle, "shake"), read_altered(given.altered), ALTERED)
    catalogue = load_catalogue()
    if given.check not in catalogue.checks:
        raise InputError(unknown_name_sentence("--check", given.check, catalogue.checks, where=_WHERE))
    check = catalogue.checks[given.check]
    _require_movement(check, vehicle)
    side = _side(given.side, check)
    setup = Setup(
        check=check.id,
        support=_support(given.support, check, vehicle),
        side=side,
        steer="free" if _state("--steer", given.steer, check.steer_states, check) == "free" else "held",
        brake="on" if _state("--brake", given.brake, check.brake_states, check) == "on" else "off",
        stand_inboard_mm=_stand_inboard(given, vehicle),
    )
    from looseends.vehicle.strokes import check_on  # --help need not wait for it

    check = check_on(vehicle, check.id, side)
    return ShakeRequest(
        vehicle, check, setup, _force(given.force), _raised(given.raised, vehicle), read_worn(given.worn, vehicle, side)
    )


def _require_movement(check: Check, vehicle: Vehicle) -> None:
    if check.kind != "movement":
        raise InputError(
            f'{_WHERE}: --check must be one that mechanics computes, found "{check.id}", which is one of {check.kind}.'
        )
    from looseends.vehicle.strokes import offers  # --help need not wait for it

    if not offers(vehicle, resolve_check(check, "left" if check.sided else None)):
        raise InputError(f'{_WHERE}: --check "{check.id}" grips or watches nothing that {vehicle.id} has.')


def most_inboard_mm(vehicle: Vehicle) -> float:
    """How far inboard of the joint center a stand may sit under the arm [mm], from the arm's length in plan."""
    stand = vehicle.layout.stand
    if stand is None or stand.toward is None:
        return 0.0
    start, front, rear = (vehicle.point(vehicle.on_side(name, "left"))[:2] for name in (stand.start, *stand.toward))
    share = (start[0] - front[0]) / (rear[0] - front[0])
    length = float(np.linalg.norm(front + share * (rear - front) - start))
    return float(np.floor(length - STAND_CLEAR_OF_PIVOT_MM))


def _support(given: str, check: Check, vehicle: Vehicle) -> str:
    known = [name for name in load_catalogue().supports if name in vehicle.layout.supports]
    if given not in known:
        raise InputError(unknown_name_sentence("--support", given, known, where=_WHERE))
    if given not in check.supports:
        raise InputError(
            f'{_WHERE}: --support of check "{check.id}" must be one of {", ".join(check.supports)}, found "{given}".'
        )
    return given


def _side(given: str | None, check: Check) -> Side | None:
    if not check.sided:
        if given is not None:
            raise InputError(
                f'{_WHERE}: --side must be left out of check "{check.id}", which is done on the whole vehicle, '
                f"found {shown(given)}."
            )
        return None
    if given is None:
        raise InputError(f'{_WHERE}: --side of check "{check.id}" must be L or R, found none.')
    if given.lower() not in _SIDES:
        raise InputError(f"{_WHERE}: --side must be L or R, found {shown(given)}.")
    return _SIDES[given.lower()]


def _state(option: str, given: str | None, accepted: Collection[str], check: Check) -> str:
    if given is None:
        return next(iter(accepted))
    if given not in accepted:
        raise InputError(
            f'{_WHERE}: {option} of check "{check.id}" must be {" or ".join(accepted)}, found {shown(given)}.'
        )
    return given


def _stand_inboard(given: GivenText, vehicle: Vehicle) -> float:
    if given.stand_inboard is None:
        return 0.0
    if given.support != ARM_SUPPORT:
        raise InputError(
            f'{_WHERE}: --stand-inboard belongs to support "{ARM_SUPPORT}" only, found it with support '
            f"{shown(given.support)}."
        )
    return number_within(given.stand_inboard, f"{_WHERE}: --stand-inboard", "mm", 0.0, most_inboard_mm(vehicle))


def _force(given: str | None) -> float | None:
    if given is None:
        return None
    value = plain_number(given, f"{_WHERE}: --force", "N")
    if not 0.0 < value <= MOST_FORCE_N:
        raise InputError(f"{_WHERE}: --force must be more than 0 and at most {MOST_FORCE_N:g} N, found {value:g}.")
    return value


def _raised(given: str | None, vehicle: Vehicle) -> float:
    """Torsion bars lower the frame to its jounce stops at most; before the droop is used up the rebound stops hold."""
    if given is None:
        return 0.0
    least, most = -vehicle.numbers["jounce_stop_gap_mm"], 0.75 * vehicle.numbers["droop_mm"]
    return number_within(given, f"{_WHERE}: --raised", "mm", least, most)
