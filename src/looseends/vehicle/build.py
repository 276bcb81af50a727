"""From a vehicle, a specimen and a setup to the mechanism that the mechanics room solves.

Nothing here knows a particular vehicle: bodies, joints, springs, stops and supports come from the layout's data.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.mechanics.bodies import axes_along
from looseends.mechanics.elements import Contact, Element, PointJoint, Ratio
from looseends.mechanics.model import Mechanism
from looseends.mechanics.ratios import Shift, Turn
from looseends.vehicle.altered import as_drawn
from looseends.vehicle.bodies import mechanism_bodies
from looseends.vehicle.carrying import Preload, air_spring_element, spring_element, torsion_element
from looseends.vehicle.layout_types import LayoutGuide, LayoutJoint, LayoutRatio, LayoutRim, LayoutTerm
from looseends.vehicle.names import body_name, named, sides_of
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.specimen import SHAPES, Specimen
from looseends.vehicle.supports import one_sided, support_elements
from looseends.vehicle.vehicle import SIDES, Vehicle


def build_mechanism(vehicle: Vehicle, specimen: Specimen, setup: Setup, preload: Preload) -> Mechanism:
    """The vehicle held as `setup` says, its springs preloaded as `preload` says at the design pose.

    Raises
    ------
    MechanicsError
        If the layout does not know the support, or the support needs a side and has none.
    """
    layout = vehicle.layout
    elements: list[Element] = []
    for joint in layout.joints:
        elements.extend(_joint(vehicle, specimen, joint, side) for side in sides_of(joint.sided))
    for guide in layout.guides:
        elements.extend(_guide(vehicle, guide, side) for side in sides_of(guide.sided))
    for ratio in layout.ratios:
        elements.extend(_ratio(vehicle, specimen, ratio, side) for side in sides_of(ratio.sided))
    for torsion in layout.torsions:
        elements.extend(torsion_element(vehicle, torsion, side, preload) for side in sides_of(torsion.sided))
    for spring in layout.springs:
        elements.extend(spring_element(vehicle, spring, side, preload) for side in sides_of(spring.sided))
    for air in layout.air_springs:
        vented = _hangs(vehicle, air.carries, setup)
        elements.extend(air_spring_element(vehicle, air, side, preload, vented) for side in sides_of(air.sided))
    elements.extend(_stops(vehicle))
    elements.extend(support_elements(vehicle, setup))
    if layout.rim is not None and not _turned_by_hand(layout.rim, setup):
        elements.append(_rim_hold(vehicle, layout.rim, setup))
    if setup.brake == "on":
        elements.extend(_brakes(vehicle))
    return Mechanism(mechanism_bodies(vehicle), tuple(elements))


def _hangs(vehicle: Vehicle, end: str, setup: Setup) -> bool:
    """Whether the wheels of an end hang from the frame, with nothing under tires or axle."""
    support = vehicle.layout.supports.get(setup.support)
    held = None if support is None or support.frame != "clamped" else support.ends[end]
    return held is not None and (held.tires, held.stands) == ("none", "none")


def _joint(vehicle: Vehicle, specimen: Specimen, joint: LayoutJoint, side: Side | None) -> PointJoint:
    part = vehicle.parts[named(joint.part, side)]
    assert part.figure is not None
    values = specimen.values[part.id]
    axis = vehicle.direction(joint.axis, side)
    axes = axes_along(axis)
    off = vehicle.direction(joint.apart_along or joint.axis, side)
    tilt, torsion = part.figure.tilt_stiffness, part.figure.torsion_stiffness
    return PointJoint(
        name=named(joint.id, side),
        body_a=body_name(vehicle, joint.a, side),
        body_b=body_name(vehicle, joint.b, side),
        point=vehicle.place(joint.at, side) + joint.offset * axis / float(np.linalg.norm(axis)),
        axes=axes,
        stiffness=np.array([values.radial_stiffness, values.radial_stiffness, values.axial_stiffness]),
        rotational_stiffness=np.array([tilt, tilt, torsion]) / len(part.joints),
        shape=SHAPES[part.figure.shape],
        offset=-vehicle.number(joint.apart) * axes.T @ off / float(np.linalg.norm(off)),
    )


def _guide(vehicle: Vehicle, guide: LayoutGuide, side: Side | None) -> PointJoint:
    axis = vehicle.direction(guide.axis, side)
    return PointJoint(
        name=named(guide.id, side),
        body_a=body_name(vehicle, guide.a, side),
        body_b=body_name(vehicle, guide.b, side),
        point=vehicle.place(guide.at, side) + guide.offset * axis / float(np.linalg.norm(axis)),
        axes=axes_along(axis),
        stiffness=np.array([vehicle.number(v) for v in guide.stiffness]),
        rotational_stiffness=np.array([vehicle.number(v) for v in guide.rotational]),
    )


def _ratio(vehicle: Vehicle, specimen: Specimen, ratio: LayoutRatio, side: Side | None) -> Ratio:
    terms = tuple(_term(vehicle, term, side) for term in ratio.terms)
    if ratio.part is None:
        return Ratio(named(ratio.id, side), terms, vehicle.number(ratio.stiffness))
    stiffness = specimen.values[named(ratio.part, side)].radial_stiffness
    return Ratio(named(ratio.id, side), terms, stiffness, lash=True)


def _term(vehicle: Vehicle, term: LayoutTerm, side: Side | None) -> Turn | Shift:
    a, b = body_name(vehicle, term.a, side), body_name(vehicle, term.b, side)
    axis = vehicle.direction(term.axis, side)
    lever = term.factor * vehicle.number(term.lever) / vehicle.number(term.over)
    if term.kind == "turn":
        return Turn(a, b, axis, lever)
    assert term.at is not None
    return Shift(a, b, vehicle.place(term.at, side), axis, lever)


def _stops(vehicle: Vehicle) -> list[Element]:
    stops: list[Element] = []
    for stop in vehicle.layout.stops:
        for side in sides_of(stop.sided):
            a, b = body_name(vehicle, stop.a, side), body_name(vehicle, stop.b, side)
            at, along = vehicle.place(stop.at, side), vehicle.direction(stop.normal, side)
            normal = along / float(np.linalg.norm(along))
            gap, stiffness = vehicle.numbers[stop.gap], vehicle.number(stop.stiffness)
            stops.append(Contact(named(stop.id, side), a, b, at, normal, gap, stiffness))
    return stops


def _turned_by_hand(rim: LayoutRim, setup: Setup) -> bool:
    """Whether the check itself turns the steering: whoever turns it neither holds it still nor lets it go."""
    check = load_catalogue().checks.get(setup.check)
    return check is not None and any(grip.body in rim.turned_by for s in check.strokes for grip in s.grips)


def holding_of(vehicle: Vehicle, setup: Setup) -> Setup:
    """The setup with only what changes how the vehicle is held: checks that share it share mechanism and pose."""
    rim, support = vehicle.layout.rim, vehicle.layout.supports.get(setup.support)
    turned = rim is not None and _turned_by_hand(rim, setup)
    return replace(setup, check=setup.check if turned else "", side=setup.side if one_sided(support) else None)


def _rim_hold(vehicle: Vehicle, rim: LayoutRim, setup: Setup) -> PointJoint:
    axis = vehicle.direction(rim.axis, None)
    hold = vehicle.number(rim.held if setup.steer == "held" else rim.free)
    return PointJoint(
        name="rim-hold",
        body_a=rim.a,
        body_b=rim.body,
        point=vehicle.point(rim.axis[1]),
        axes=axes_along(axis),
        stiffness=np.zeros(3),
        rotational_stiffness=np.array([0.0, 0.0, hold]),
    )


def _brakes(vehicle: Vehicle) -> list[Element]:
    return [
        PointJoint(
            name=named(brake.id, side),
            body_a=body_name(vehicle, brake.a, side),
            body_b=body_name(vehicle, brake.b, side),
            point=vehicle.point(vehicle.on_side(brake.at, side)),
            axes=np.eye(3),
            stiffness=np.array(brake.stiffness),
            rotational_stiffness=np.array(brake.rotational),
        )
        for brake in vehicle.layout.brakes
        for side in SIDES
    ]


def without_blocks(vehicle: Vehicle) -> Vehicle:
    """The vehicle as it was drawn, with nothing set between parts and no spring packed or wound further."""
    return replace(vehicle, layout=as_drawn(vehicle.layout))
