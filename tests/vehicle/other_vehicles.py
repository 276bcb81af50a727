"""The other vehicles of the harbour, settled and shaken by hand-made pushes, free of any check of the catalogue."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Literal

import numpy as np

from looseends.catalogue.types import Axis
from looseends.mechanics.assembly import load_vector
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.elements import PointJoint, Ratio, rows
from looseends.mechanics.model import Force, Watch
from looseends.mechanics.reduction import reduce_stroke
from looseends.mechanics.travel import Movement
from looseends.vehicle.carrying import Preload
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import Held, PreparedStroke, Worn, answer_stroke, hold, watched_rows
from looseends.vehicle.specimen import Specimen, nominal_specimen
from looseends.vehicle.vehicle import Vehicle

NAMES = ("harbour-runabout", "pilots-sedan", "crew-van")
UP, OUT = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])


def vehicle_text(name: str) -> str:
    """The file of a vehicle that ships."""
    return (resources.files("looseends.vehicle") / "data" / "vehicles" / f"{name}.toml").read_text(encoding="utf-8")


@cache
def vehicle(name: str, driver: Literal["left", "right"] = "left") -> Vehicle:
    """A vehicle that ships, its driver on the left or, built so here, on the right."""
    if driver == "left":
        return load_vehicles()[name]
    return parse_vehicle(f'driver_side = "right"\n{vehicle_text(name)}', f"{name}.toml")


@cache
def specimen(name: str, driver: Literal["left", "right"] = "left") -> Specimen:
    """Every joint in the middle of its band."""
    return nominal_specimen(vehicle(name, driver))


@cache
def preload(name: str, driver: Literal["left", "right"] = "left") -> Preload:
    """How hard its springs push."""
    return carrying_preload(vehicle(name, driver), specimen(name, driver))


@cache
def held(
    name: str,
    support: str,
    side: Side | None = None,
    brake: Literal["on", "off"] = "off",
    inboard_mm: float = 0.0,
    driver: Literal["left", "right"] = "left",
) -> Held:
    """The vehicle settled in a support, steering held."""
    setup = Setup("", support, side, "held", brake, inboard_mm)
    return hold(vehicle(name, driver), specimen(name, driver), setup, preload(name, driver))


def without_rubber_torsion(whole: Vehicle) -> Vehicle:
    """The vehicle with rubber that turns freely, so that its springs alone carry it."""
    parts = {
        name: replace(part, figure=replace(part.figure, torsion_stiffness=0.0))
        if part.figure is not None and part.kind.group == "bushing"
        else part
        for name, part in whole.parts.items()
    }
    return replace(whole, parts=parts)


def joint_force(state: Held, joint: str) -> Array:
    """Force [N] (3,) on the second body of a joint, along the joint's axes: x, y across and z along."""
    element = next(e for e in state.mechanism.elements if e.name == joint)
    assert isinstance(element, PointJoint)
    part, count = rows(element, state.poses), int(element.held.sum())
    force = np.zeros(3)
    force[element.held] = -part.stiffness[:count] * part.offset[:count]
    return force


def spring_force(state: Held, spring: str) -> float:
    """Force [N] of a coil along its line; positive: it pushes."""
    part = rows(next(e for e in state.mechanism.elements if e.name == spring), state.poses)
    return float(-part.stiffness[-1] * part.offset[-1])


def wheel_drop(name: str, state: Held, side: Side, end: str = "front") -> float:
    """How far [mm] a wheel stands below its place at design height, seen from the frame."""
    wheel = next(wheel for wheel in vehicle(name).layout.wheels if wheel.end == end)
    center = vehicle(name).point(f"{wheel.center}-{side}")
    return float(state.poses["frame"].point(center)[2] - state.poses[f"{wheel.body}-{side}"].point(center)[2])


@dataclass(frozen=True)
class Push:
    """A force [N] (3,) on a body at a named point; it acts from `from_share` to `to_share` of itself."""

    forces: Sequence[tuple[str, str, Array]]
    from_share: float = -1.0
    to_share: float = 1.0


def shake_126(side: Side, force: float = 150.0) -> Push:
    """Both hands at top and bottom of the tire, in turn."""
    hub = f"hub-{side}"
    return Push([(hub, f"tread-top-{side}", force * OUT), (hub, f"tread-bottom-{side}", -force * OUT)])


def shake_39(side: Side, force: float = 150.0) -> Push:
    """Both hands at front and rear of the tire, in turn."""
    hub = f"hub-{side}"
    return Push([(hub, f"tread-front-{side}", force * OUT), (hub, f"tread-rear-{side}", -force * OUT)])


def lift(side: Side, force: float) -> Push:
    """A bar under the tire."""
    return Push([(f"hub-{side}", f"tread-under-{side}", force * UP)], 0.0, 1.0)


def no_clearance(name: str) -> dict[tuple[str, Axis], float]:
    """Every joint without any clearance, for values that are worked by hand."""
    axes: tuple[Axis, Axis] = ("radial", "axial")
    return {(part.id, axis): 0.0 for part in vehicle(name).wearable for axis in axes}


def seen(
    name: str,
    state: Held,
    push: Push,
    worn: Worn,
    *,
    joint: tuple[str, Axis] | None = None,
    point: tuple[str, str] | None = None,
    driver: Literal["left", "right"] = "left",
) -> Movement:
    """What a gauge at a joint, or at a body's point across the vehicle, reads of a push."""
    whole = vehicle(name, driver)
    watch: Watch | Ratio
    if joint is not None:
        element = next(e for e in state.mechanism.elements if e.name == joint[0])
        assert isinstance(element, PointJoint)
        axes = element.axes[:, :2].T if joint[1] == "radial" else element.axes[:, 2:].T
        watch = Watch("seen", element.body_b, element.body_a, element.point[None, :], axes, element.body_a)
    else:
        assert point is not None
        watch = Watch("seen", point[0], GROUND, whole.point(point[1])[None, :], OUT[None, :])
    columns = state.factors.system.columns
    forces = [Force(body, whole.point(at), vector) for body, at, vector in push.forces]
    watches: Mapping[str, Sequence[Watch | Ratio]] = {"seen": (watch,)}
    reduced = reduce_stroke(
        state.factors,
        load_vector(forces, columns, state.poses),
        watched_rows(watches, columns, state.poses),
    )
    stroke = PreparedStroke("push", push.from_share, push.to_share, reduced)
    return answer_stroke(stroke, specimen(name, driver).clearances(whole, worn)).movements["seen"]
