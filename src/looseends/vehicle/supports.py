"""What holds the vehicle: tires on floor or plates, stands, lift pads."""

from __future__ import annotations

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, PointJoint
from looseends.vehicle.compose import FRAME
from looseends.vehicle.layout_types import EndSupport, LayoutStand, LayoutSupport, LayoutWheel
from looseends.vehicle.names import body_name, named
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.vehicle import SIDES, Vehicle

_CLAMP = 5.0e4
"""Stiffness [N/mm] with which lift pads hold the frame at each end; assumed, far above the suspension's."""

_CLAMP_TURN = 5.0e10
"""The same against rotation [N·mm/rad]: pads about 1 m apart."""

_TIRE = ("longitudinal_N_per_mm", "lateral_N_per_mm", "vertical_N_per_mm", "steer_N_mm_per_rad")

_CLEAR = 40.0
"""How far [mm] a wheel that is raised alone hangs clear of the floor; common practice: 25 to 75."""

_PLATE_SHARE = 0.01
"""Share of the floor's hold along, across and about the upright that the balls of a turn plate leave; assumed."""


def support_elements(vehicle: Vehicle, setup: Setup) -> list[Element]:
    """All that stands between the ground and the vehicle.

    Raises
    ------
    MechanicsError
        If the layout does not know the support, or the support needs a side and has none.
    """
    supports = vehicle.layout.supports
    if setup.support not in supports:
        known = ", ".join(supports)
        raise MechanicsError(
            refusal(
                '{vehicle}: support "{support}" is unknown to its layout; accepted: {accepted}',
                vehicle=vehicle.id,
                support=setup.support,
                accepted=known,
            )
        )
    support = supports[setup.support]
    elements: list[Element] = list(_frame_holders(vehicle, support))
    for wheel in vehicle.layout.wheels:
        held = support.ends[wheel.end]
        elements += [_tire(vehicle, wheel, side, held) for side in SIDES if _has_tire(held, side, setup)]
    for stand in vehicle.layout.stands:
        held = support.ends[stand.end]
        elements += [_stand(vehicle, stand, side, setup) for side in SIDES if _has_stand(stand, held, side, setup)]
    return elements


def one_sided(support: LayoutSupport | None) -> bool:
    """Whether the support holds the side that is worked on otherwise than the other one."""
    ends = () if support is None else support.ends.values()
    return any(end.tires == "other-side" or end.stands == "worked-side" for end in ends)


def _has_tire(held: EndSupport, side: Side, setup: Setup) -> bool:
    return held.tires in ("floor", "plates") or (held.tires == "other-side" and side != _worked_side(setup))


def _has_stand(stand: LayoutStand, held: EndSupport, side: Side, setup: Setup) -> bool:
    if stand.on != GROUND:
        return held.stands == "blocks"
    return held.stands == "both" or (held.stands == "worked-side" and side == _worked_side(setup))


def _worked_side(setup: Setup) -> Side:
    if setup.side is None:
        raise MechanicsError(
            refusal(
                'support "{support}" raises the side that is worked on; the check has no side', support=setup.support
            )
        )
    return setup.side


def _frame_holders(vehicle: Vehicle, support: LayoutSupport) -> list[PointJoint]:
    """Lift pads hold the frame at both ends; where it stands on stands, friction there keeps it from sliding."""
    if support.frame == "free":
        return []
    if support.frame == "guided":
        return [_holder(vehicle, vehicle.layout.wheels[0], np.array([_CLAMP, _CLAMP, 0.0]), np.array([0.0, 0.0, 1.0]))]
    return [_holder(vehicle, wheel, np.full(3, _CLAMP), np.ones(3)) for wheel in vehicle.layout.wheels]


def _holder(vehicle: Vehicle, wheel: LayoutWheel, stiffness: Array, turns: Array) -> PointJoint:
    middle = np.mean([vehicle.point(f"{wheel.center}-{side}") for side in SIDES], axis=0)
    return PointJoint(
        name=f"frame-holder-{wheel.end}",
        body_a=GROUND,
        body_b=FRAME,
        point=np.array([middle[0], middle[1], vehicle.numbers["frame_center_height_mm"]]),
        axes=np.eye(3),
        stiffness=stiffness,
        rotational_stiffness=_CLAMP_TURN * turns,
    )


def stand_point(vehicle: Vehicle, stand: LayoutStand, side: Side, inboard_mm: float) -> Array:
    """Where the stand touches (3,) [mm]: from its start straight toward the axis that it may be moved to."""
    start = vehicle.point(vehicle.on_side(stand.start, side))
    below = np.array([0.0, 0.0, stand.drop])
    if stand.toward is None:
        return np.asarray(start - below)
    front, rear = (vehicle.point(vehicle.on_side(name, side)) for name in stand.toward)
    share = (start[0] - front[0]) / (rear[0] - front[0])
    inward = front + share * (rear - front) - start
    inward /= float(np.linalg.norm(inward[:2]))
    return np.asarray(start + inboard_mm * inward - below)


def _stand(vehicle: Vehicle, stand: LayoutStand, side: Side, setup: Setup) -> Contact:
    up = np.array([0.0, 0.0, 1.0])
    on, under = (body_name(vehicle, body, side) for body in (stand.on, stand.under))
    point = stand_point(vehicle, stand, side, setup.stand_inboard_mm)
    raised = _raised(vehicle, stand, vehicle.layout.supports[setup.support].ends[stand.end])
    return Contact(named(stand.id, side), on, under, point, up, -raised, stand.stiffness)


def _raised(vehicle: Vehicle, stand: LayoutStand, held: EndSupport) -> float:
    """How far [mm] a stand under one side lifts it from where it stands on its wheels: its own wheel comes clear.

    Where both sides stand on stands the whole end is lifted level, which changes nothing between the bodies.
    """
    return _squeeze(vehicle, stand.end) + _CLEAR if held.stands == "worked-side" else 0.0


def _tire(vehicle: Vehicle, wheel: LayoutWheel, side: Side, held: EndSupport) -> PointJoint:
    """The tire between floor and hub, already compressed by the corner's weight at the design pose."""
    along, across, vertical, steer = (vehicle.of_end(f"tire_{name}", wheel.end) for name in _TIRE)
    squeeze = _squeeze(vehicle, wheel.end)
    grip = _PLATE_SHARE if held.tires == "plates" else 1.0
    return PointJoint(
        name=f"{wheel.prefix}tire-{side}",
        body_a=GROUND,
        body_b=named(wheel.body, side),
        point=vehicle.point(f"{wheel.prefix}tire-contact-{side}"),
        axes=np.eye(3),
        stiffness=np.array([grip * along, grip * across, vertical]),
        rotational_stiffness=np.array([0.0, 0.0, grip * steer]),
        offset=np.array([0.0, 0.0, -squeeze]),
    )


def _squeeze(vehicle: Vehicle, end: str) -> float:
    """How far [mm] the corner's weight presses a tire together."""
    return vehicle.numbers[f"{end}_corner_kg"] * GRAVITY / vehicle.of_end("tire_vertical_N_per_mm", end)
