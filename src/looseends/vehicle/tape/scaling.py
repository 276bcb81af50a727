"""From answers to a vehicle: its template's joint centers brought to the measured lengths, each with its spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.vehicle.checking import ALWAYS_NEEDED, OF_EACH_END, OPTIONAL, needed_numbers
from looseends.vehicle.groups import PointGroup, groups_with, load_groups
from looseends.vehicle.layout import load_layout
from looseends.vehicle.layout_types import ENDS, Layout
from looseends.vehicle.tape.answers import Answers
from looseends.vehicle.tape.lengths import with_measured_parts
from looseends.vehicle.tape.questions import load_questions
from looseends.vehicle.tape.templates import load_scaling, vehicle_data
from looseends.vehicle.tape.tires import Tire, read_tire

_NUMBERS = ("rebound_stop_gap_mm", "rim_diameter_mm")
"""Answers that are numbers of the vehicle by the same name."""

_WHEELS = {"front": "wheel-center", "steering": "wheel-center", "rear": "rear-wheel-center"}


@dataclass(frozen=True)
class TapedVehicle:
    """What a vehicle file says: its tables, with points (3,) [mm] of the left side and center points."""

    answers: Answers
    ends: Mapping[str, str]
    without: tuple[str, ...]
    figures: Mapping[str, str]
    masses_kg: Mapping[str, float]
    numbers: Mapping[str, float]
    points: Mapping[str, Array]
    center_points: Mapping[str, Array]
    leans: Mapping[str, tuple[float, float]]
    spread: Mapping[str, Mapping[str, float]]


def taped_vehicle(answers: Answers) -> TapedVehicle:
    """The vehicle that the answers describe.

    Raises
    ------
    InputError
        If measured lengths do not go together.
    """
    template, tire = answers.template, read_tire(answers.texts["tire_size"], answers.where)
    points: dict[str, Array] = {}
    center: dict[str, Array] = {}
    for end in ENDS:
        data = vehicle_data(template.vehicles[end])
        frame = _Frame.of(data, answers, tire, end)
        for group in (g for g in load_groups().values() if g.end == end):
            for table, into in (("points", points), ("center_points", center)):
                for name in (name for name in group.points if name in data[table]):
                    into[name] = frame.placed(name, np.array(data[table][name], dtype=float), group)
    numbers = _numbers(answers, tire)
    with_measured_parts(answers, points, center, numbers)
    layouts = [load_layout(template.layout(end)) for end in ENDS]
    own = {end: vehicle_data(template.vehicles[end]) for end in ENDS}
    return TapedVehicle(
        answers=answers,
        ends={end: template.layout(end) for end in ENDS},
        without=tuple(
            name
            for end, layout in zip(ENDS, layouts, strict=True)
            for name in own[end].get("without", ())
            if name in layout.options
        ),
        figures=_of_layouts(own, "figures", [_kinds(layout) for layout in layouts]),
        masses_kg=_of_layouts(own, "masses_kg", [{body.id for body in layout.bodies} for layout in layouts]),
        numbers=numbers,
        points=points,
        center_points=center,
        leans={
            shaft: (answers.numbers[f"{word}_forward_deg"], answers.numbers[f"{word}_left_deg"])
            for shaft, word in (("idler-shaft", "idler"), ("steering-box", "sector"))
            if f"{word}_forward_deg" in answers.numbers
        },
        spread=_spread(answers, {*points, *center}, numbers),
    )


@dataclass(frozen=True)
class _Frame:
    """How one end of a template is brought to the measured lengths: a shift along, a ratio across, shifts in height."""

    along: float
    across: float
    hub_up: float
    frame_up: float
    arm: tuple[float, float]
    strut: tuple[float, float]

    @staticmethod
    def of(data: Mapping[str, Any], answers: Answers, tire: Tire, end: str) -> _Frame:
        own, wheel = answers.numbers, data["points"][_WHEELS[end]]
        of_end = "rear" if end == "rear" else "front"
        track = own[f"{of_end}_track_mm"]
        up = _hub_height(answers, tire, data, of_end) - wheel[2]
        height = own.get(f"{of_end}_height_mm")
        # The height point is the front's or the rear's, whose vehicle may be another than the steering's.
        source = vehicle_data(answers.template.vehicles["rear" if end == "rear" else "front"])
        point = source["points"][answers.template.heights[of_end]]
        frame_up = up if height is None else height - point[2]
        points = data["points"]
        arm = points.get("lower-arm-front"), points.get("lower-ball-joint")
        strut = points.get("strut-top"), points.get("strut-lower")
        return _Frame(
            along=-own["wheelbase_mm"] - wheel[0] if end == "rear" else 0.0,
            across=track / (2.0 * wheel[1]),
            hub_up=up,
            frame_up=frame_up,
            arm=(arm[0][1], arm[1][1]) if arm[0] and arm[1] else (0.0, 1.0),
            strut=(strut[0][2], strut[1][2]) if strut[0] and strut[1] else (0.0, 1.0),
        )

    def placed(self, name: str, point: Array, group: PointGroup) -> Array:
        """Where a point of the template lies (3,) [mm]."""
        rides = "hub" if name in group.hub_points else "frame" if name in group.frame_points else group.rides
        share = {"hub": 1.0, "frame": 0.0}.get(rides)
        if share is None:
            inner, outer = self.arm if rides == "arm" else self.strut
            at = abs(point[1]) if rides == "arm" else point[2]
            share = float(np.clip((at - inner) / (outer - inner), 0.0, 1.0))
        up = self.frame_up + share * (self.hub_up - self.frame_up)
        return np.array([point[0] + self.along, point[1] * self.across, point[2] + up])


def _hub_height(answers: Answers, tire: Tire, data: Mapping[str, Any], end: str) -> float:
    """Height [mm] of a hub center: as measured, else the tire's radius, pressed in as the template's is."""
    pressed = data["points"][_WHEELS[end]][2] / data["numbers"]["wheel_radius_mm"]
    by_tire = float(pressed * tire.radius)
    return answers.numbers.get("hub_height_mm", by_tire) if end == "front" else by_tire


def _numbers(answers: Answers, tire: Tire) -> dict[str, float]:
    own, template = answers.numbers, answers.template
    numbers: dict[str, float] = {}
    for end in ENDS:
        data, layout = vehicle_data(template.vehicles[end])["numbers"], load_layout(template.layout(end))
        wanted = needed_numbers(layout) - {*ALWAYS_NEEDED} | {f"{end}_{name}" for name in OF_EACH_END}
        wanted |= {*ALWAYS_NEEDED, *OPTIONAL} if end == "front" else set()
        numbers |= {name: float(data[name]) for name in data if name in wanted}
    for end in ("front", "rear"):
        load = own[f"{end}_axle_kg"] / 2.0
        ratio = load / numbers[f"{end}_corner_kg"]
        for name, power in load_scaling().with_load[end].items():
            if name in numbers:
                numbers[name] *= ratio**power
        numbers[f"{end}_corner_kg"] = load
    # The template's weight rating says nothing of this vehicle.
    numbers.pop("gvwr_kg", None)
    numbers |= {name: own[name] for name in ("wheelbase_mm", "gvwr_kg", *_NUMBERS) if name in own}
    return numbers | {
        "wheel_radius_mm": tire.radius,
        "tire_width_mm": tire.width,
        "wheel_rim_diameter_mm": tire.rim,
    }


def _kinds(layout: Layout) -> set[str]:
    owned = [joint.part for joint in layout.joints] + [part.kind for part in layout.parts]
    return {*owned, *(ratio.part for ratio in layout.ratios if ratio.part)}


def _of_layouts(own: Mapping[Any, Mapping[str, Any]], table: str, names: list[set[str]]) -> dict[str, Any]:
    """Entries of a table of each end's vehicle that its layout there knows."""
    return {
        name: value
        for data, known in zip(own.values(), names, strict=True)
        for name, value in data.get(table, {}).items()
        if name in known
    }


def _spread(answers: Answers, points: set[str], numbers: Mapping[str, float]) -> dict[str, Mapping[str, float]]:
    spread: dict[str, Mapping[str, float]] = {}
    given = {*answers.numbers, *answers.texts}
    for group in groups_with(points).values():
        left = {"common_mm": group.common_mm, "own_mm": group.own_mm}
        left |= {} if group.lean_deg is None else {"lean_deg": group.lean_deg}
        for question in (q for q in load_questions().values() if q.id in given and group.id in q.fixes):
            leaves = {
                "common_mm": question.leaves_common_mm,
                "own_mm": question.leaves_own_mm,
                "lean_deg": question.leaves_lean_deg,
            }
            left |= {key: min(left[key], value) for key, value in leaves.items() if value is not None and key in left}
        spread[group.id] = left
    scaling = load_scaling()
    share = {name: value for name, value in scaling.spread_share.items() if name in numbers}
    share |= {name: value for name, value in scaling.measured_share.items() if name in answers.numbers}
    return spread | {"numbers": share}
