"""From a vehicle, a specimen and a setup to the mechanism that the mechanics room solves.

Nothing here knows a particular vehicle: bodies, joints, stops and supports come from the layout's data.
"""

from __future__ import annotations

import numpy as np

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array, Body, axes_along
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, PointJoint, TorsionSpring
from looseends.mechanics.model import Mechanism
from looseends.mechanics.settle import contact_gaps, settle
from looseends.vehicle.layout import LayoutGuide, LayoutJoint, LayoutTorsion
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.specimen import SHAPES, Specimen
from looseends.vehicle.vehicle import SIDES, Vehicle

_CLAMP = 5.0e4
"""Stiffness [N/mm] with which lift pads hold the frame; assumed, far above the suspension's."""

_CLAMP_TURN = 5.0e10
"""The same against rotation [N·mm/rad]: pads about 1 m apart."""


def build_mechanism(vehicle: Vehicle, specimen: Specimen, setup: Setup, preload: float) -> Mechanism:
    """The vehicle held as `setup` says, with torsion bars preloaded by `preload` [N·mm] at the design pose.

    Raises
    ------
    MechanicsError
        If the layout does not know the support.
    """
    if setup.support not in vehicle.layout.supports:
        known = ", ".join(vehicle.layout.supports)
        raise MechanicsError(f'{vehicle.id}: support "{setup.support}" is unknown to its layout; accepted: {known}')
    elements: list[Element] = []
    for joint in vehicle.layout.joints:
        elements.extend(_joint(vehicle, specimen, joint, side, setup) for side in _sides(joint.sided))
    for guide in vehicle.layout.guides:
        elements.extend(_guide(vehicle, guide, side) for side in _sides(guide.sided))
    for torsion in vehicle.layout.torsions:
        elements.extend(_torsion(vehicle, torsion, side, preload) for side in _sides(torsion.sided))
    elements.extend(_stops(vehicle))
    elements.extend(_supports(vehicle, setup))
    if setup.brake == "on":
        elements.extend(_brakes(vehicle))
    return Mechanism(_bodies(vehicle), tuple(elements))


def carrying_preload(vehicle: Vehicle, specimen: Specimen, raised_mm: float = 0.0) -> float:
    """Torsion bar torque [N·mm] at the design pose that carries the vehicle `raised_mm` above its design height.

    Found by a secant search on the settled height, standing on its wheels; a height that the bars cannot give
    within their stops is refused.

    Raises
    ------
    MechanicsError
        If the height is not reached.
    """
    setup = Setup("", "wheels", None, "held", "off", 0.0)

    def height(torque: float) -> float:
        settled = settle(build_mechanism(vehicle, specimen, setup, torque), tolerance=1e-4)
        return float(settled.poses["frame"].shift[2]) - raised_mm

    arm = abs(float(vehicle.point("lower-ball-joint-left")[1] - vehicle.point("lower-arm-front-left")[1]))
    low = vehicle.numbers["front_corner_kg"] * GRAVITY * arm
    high = 1.05 * low
    at_low, at_high = height(low), height(high)
    for _ in range(20):
        if abs(at_high) < 0.01:
            return _within_stops(vehicle, build_mechanism(vehicle, specimen, setup, high), high, raised_mm)
        if at_high == at_low:
            break
        low, high, at_low = high, high - at_high * (high - low) / (at_high - at_low), at_high
        at_high = height(high)
    raise MechanicsError(f"{vehicle.id}: torsion bars cannot hold the frame {raised_mm:g} mm above its design height")


def _within_stops(vehicle: Vehicle, mechanism: Mechanism, torque: float, raised_mm: float) -> float:
    """The torque, unless it stands the vehicle on one of its stops."""
    gaps = contact_gaps(mechanism, settle(mechanism, tolerance=1e-4).poses)
    pressed = [name for name, gap in gaps.items() if gap < 0.0]
    if pressed:
        raise MechanicsError(
            f"{vehicle.id}: {raised_mm:g} mm above its design height it stands on {pressed[0]}; accepted is a height "
            "that leaves every stop open"
        )
    return torque


def _sides(sided: bool) -> tuple[Side | None, ...]:
    return SIDES if sided else (None,)


def _named(name: str, side: Side | None) -> str:
    return name if side is None else f"{name}-{side}"


def _body(vehicle: Vehicle, name: str, side: Side | None) -> str:
    """Name of a body as seen from a sided element: its own side's body where there is one."""
    sided = {body.id for body in vehicle.layout.bodies if body.sided}
    return _named(name, side) if name in sided and side is not None else name


def body_centers(vehicle: Vehicle) -> dict[str, Array]:
    """Center (3,) [mm] of every body at the design pose, by name."""
    return {body.name: body.center for body in _bodies(vehicle)}


def _bodies(vehicle: Vehicle) -> tuple[Body, ...]:
    bodies: list[Body] = []
    rest, taken = None, 0.0
    for body in vehicle.layout.bodies:
        for side in _sides(body.sided):
            center = vehicle.place(body.at, side)
            if body.mass is None:
                rest = len(bodies)
            taken += body.mass or 0.0
            bodies.append(Body(_named(body.id, side), body.mass or 0.0, center))
    if rest is not None:
        left = 2.0 * vehicle.numbers["front_corner_kg"] - taken
        bodies[rest] = Body(bodies[rest].name, left, bodies[rest].center)
    return tuple(bodies)


def _joint(vehicle: Vehicle, specimen: Specimen, joint: LayoutJoint, side: Side | None, setup: Setup) -> PointJoint:
    part = vehicle.parts[_named(joint.part, side)]
    assert part.figure is not None
    values = specimen.values[part.id]
    axis = vehicle.direction(joint.axis, side)
    radial, axial = values.radial_stiffness, values.axial_stiffness
    if joint.slot is not None:
        # The gear holds the arm along its slot only; with the rim let go, just the drag of the box is left.
        radial = (
            vehicle.numbers["gear_free_drag_N_per_mm"] if setup.steer == "free" and joint.role == "gear" else radial
        )
        axes, stiffness = _slot_axes(vehicle.direction(joint.slot, side), axis), np.array([radial, 0.0, 0.0])
        turning = np.zeros(3)
    else:
        axes, stiffness = axes_along(axis), np.array([radial, radial, axial])
        tilt, torsion = part.figure.tilt_stiffness, part.figure.torsion_stiffness
        turning = np.array([tilt, tilt, torsion]) / len(part.joints)
    return PointJoint(
        name=_named(joint.id, side),
        body_a=_body(vehicle, joint.a, side),
        body_b=_body(vehicle, joint.b, side),
        point=vehicle.place(joint.at, side) + joint.offset * axis / float(np.linalg.norm(axis)),
        axes=axes,
        stiffness=stiffness,
        rotational_stiffness=turning,
        shape=SHAPES[part.figure.shape],
    )


def _slot_axes(slot: Array, axis: Array) -> Array:
    x = slot / float(np.linalg.norm(slot))
    z = axis - (axis @ x) * x
    z /= float(np.linalg.norm(z))
    return np.column_stack([x, np.cross(z, x), z])


def _guide(vehicle: Vehicle, guide: LayoutGuide, side: Side | None) -> PointJoint:
    axis = vehicle.direction(guide.axis, side)

    def value(given: float | str) -> float:
        return vehicle.numbers[given] if isinstance(given, str) else float(given)

    return PointJoint(
        name=_named(guide.id, side),
        body_a=_body(vehicle, guide.a, side),
        body_b=_body(vehicle, guide.b, side),
        point=vehicle.place(guide.at, side) + guide.offset * axis / float(np.linalg.norm(axis)),
        axes=axes_along(axis),
        stiffness=np.array([value(v) for v in guide.stiffness]),
        rotational_stiffness=np.array([value(v) for v in guide.rotational]),
    )


def torsion_rate(vehicle: Vehicle) -> float:
    """Rate of a torsion bar [N·mm/rad]: G π d⁴ / 32 L. Source: strength of materials, round bar in torsion."""
    n = vehicle.numbers
    polar = np.pi * n["torsion_bar_diameter_mm"] ** 4 / 32.0
    return float(n["torsion_bar_shear_modulus_MPa"] * polar / n["torsion_bar_active_length_mm"])


def _torsion(vehicle: Vehicle, torsion: LayoutTorsion, side: Side | None, preload: float) -> TorsionSpring:
    axis = vehicle.direction(torsion.axis, side)
    axis = axis / float(np.linalg.norm(axis))
    outer = vehicle.point(vehicle.on_side(torsion.pushes_down, side))
    pivot = vehicle.point(vehicle.on_side(str(torsion.axis[0]), side))
    down = -np.sign(np.cross(axis, outer - pivot)[2])
    a, b = _body(vehicle, torsion.a, side), _body(vehicle, torsion.b, side)
    return TorsionSpring(_named(torsion.id, side), a, b, axis, torsion_rate(vehicle), float(down * preload))


def _stops(vehicle: Vehicle) -> list[Element]:
    stops: list[Element] = []
    for stop in vehicle.layout.stops:
        for side in _sides(stop.sided):
            a, b = _body(vehicle, stop.a, side), _body(vehicle, stop.b, side)
            normal = vehicle.direction(stop.normal, side)
            gap = vehicle.numbers[stop.gap]
            stops.append(
                Contact(_named(stop.id, side), a, b, vehicle.place(stop.at, side), normal, gap, stop.stiffness)
            )
    return stops


def _supports(vehicle: Vehicle, setup: Setup) -> list[Element]:
    support = vehicle.layout.supports[setup.support]
    elements: list[Element] = [_frame_holder(vehicle, support.frame_clamped)]
    for side in SIDES:
        if support.stands:
            elements.append(_stand(vehicle, side, setup.stand_inboard_mm))
        if support.tires:
            elements.append(_tire(vehicle, side))
    return elements


def _frame_holder(vehicle: Vehicle, clamped: bool) -> PointJoint:
    """Lift pads hold the frame all round; otherwise it rises and rolls on the front axle's springs.

    Standing on stands or wheels, friction and the rear axle keep the frame from sliding, turning and pitching; the
    rear springs add their roll stiffness.
    """
    vertical = _CLAMP if clamped else 0.0
    roll = _CLAMP_TURN if clamped else vehicle.numbers["rear_roll_N_mm_per_rad"]
    return PointJoint(
        name="frame-holder",
        body_a=GROUND,
        body_b="frame",
        point=vehicle.point("frame-middle"),
        axes=np.eye(3),
        stiffness=np.array([_CLAMP, _CLAMP, vertical]),
        rotational_stiffness=np.array([roll, _CLAMP_TURN, _CLAMP_TURN]),
    )


def stand_point(vehicle: Vehicle, side: Side, inboard_mm: float) -> Array:
    """Where the stand touches the arm (3,) [mm]: from the joint center straight toward the arm's axis."""
    stand = vehicle.layout.stand
    start = vehicle.point(vehicle.on_side(stand.start, side))
    front, rear = (vehicle.point(vehicle.on_side(name, side)) for name in stand.toward)
    share = (start[0] - front[0]) / (rear[0] - front[0])
    inward = front + share * (rear - front) - start
    inward /= float(np.linalg.norm(inward[:2]))
    return np.asarray(start + inboard_mm * inward - np.array([0.0, 0.0, stand.drop]))


def _stand(vehicle: Vehicle, side: Side, inboard_mm: float) -> Contact:
    stand = vehicle.layout.stand
    up = np.array([0.0, 0.0, 1.0])
    point = stand_point(vehicle, side, inboard_mm)
    return Contact(_named("stand", side), GROUND, _named(stand.under, side), point, up, 0.0, stand.stiffness)


def _tire(vehicle: Vehicle, side: Side) -> PointJoint:
    """The tire between floor and hub, already compressed by the corner's weight at the design pose."""
    n = vehicle.numbers
    vertical = n["tire_vertical_N_per_mm"]
    squeeze = n["front_corner_kg"] * GRAVITY / vertical
    return PointJoint(
        name=_named("tire", side),
        body_a=GROUND,
        body_b=_named(vehicle.layout.roles["wheel_body"], side),
        point=vehicle.point(f"tire-contact-{side}"),
        axes=np.eye(3),
        stiffness=np.array([n["tire_longitudinal_N_per_mm"], n["tire_lateral_N_per_mm"], vertical]),
        rotational_stiffness=np.array([0.0, 0.0, n["tire_steer_N_mm_per_rad"]]),
        offset=np.array([0.0, 0.0, -squeeze]),
    )


def _brakes(vehicle: Vehicle) -> list[Element]:
    brake = vehicle.layout.brake
    return [
        PointJoint(
            name=_named("brake", side),
            body_a=_named(brake.a, side),
            body_b=_named(brake.b, side),
            point=vehicle.point(vehicle.on_side(brake.at, side)),
            axes=np.eye(3),
            stiffness=np.array(brake.stiffness),
            rotational_stiffness=np.array(brake.rotational),
        )
        for side in SIDES
    ]
