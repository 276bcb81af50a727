"""How a vehicle is held, drawn from its geometry as it settles: an axle from the front, and the whole from its left."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from looseends.language import Force, Speech, Value, say
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.elements import Contact, PointJoint
from looseends.report.plain_text import escaped
from looseends.vehicle.compose import FRAME
from looseends.vehicle.layout_types import LayoutWheel
from looseends.vehicle.load_path import force_on
from looseends.vehicle.names import named
from looseends.vehicle.vehicle import SIDES, Vehicle
from looseends.web.bay.elevation import (
    FLOOR,
    Elevation,
    Wheel,
    bar_svg,
    block_svg,
    floor_svg,
    load_svg,
    rail_svg,
    stand_svg,
    text_svg,
    tire_svg,
    tripod_svg,
)
from looseends.web.bay.load_lines import Standing, greatest, place_of_element
from looseends.web.motion.attached import Bar, bars_of

WIDTH = 1000.0
_CROSS, _ALONG = (20.0, 560.0), (610.0, 985.0)
"""From where to where the two views reach across the sheet [drawing units]."""
_BELOW, _ABOVE, _LOW = 78.0, 14.0, 66.0
_CLEAR = 50.0
"""How far a raised wheel is drawn clear of the floor [mm], in the middle of the 25 to 75 mm that are asked for."""
_NEAR_AXLE = 420.0
"""What lies so near the axle [mm] is drawn in the view from the front."""
_LIFT_FROM_AXLE = 0.18
"""Lift pads are drawn so far inward of each axle, as a share of the wheelbase: a sketch, the maker's points hold."""
_LEAST_N = 200.0


def support_picture(vehicle: Vehicle, standing: Standing, alt: str, speech: Speech) -> str:
    """The sketch as SVG, with `alt` for who hears it.

    Heavy is what holds the vehicle; tapered lines are where its weight runs; filled are the joints that it shuts.
    """
    wheels = [wheel for layout in vehicle.layout.wheels for wheel in _wheels(vehicle, layout, standing)]
    end = end_worked_on(standing)
    floor, lifts = _floor(wheels)
    lifted = _slope(wheels, lifts)
    at_end = [wheel for wheel in wheels if wheel.end == end]
    cross, along = _cross_view(at_end, floor, lifted), _side_view(wheels, floor, lifted)
    high = [cross.at(place)[1] for place in standing.places.values()]
    high += [cross.at(wheel.center)[1] - wheel.radius * cross.scale for wheel in wheels]
    top, left = min(high) - _ABOVE, _ALONG[0] - 8.0
    side = _elevation(vehicle, standing, along, [w for w in wheels if w.center[1] > 0.0], near=None)
    height = FLOOR + _BELOW - top
    body = [
        floor_svg(*_CROSS),
        _elevation(vehicle, standing, cross, at_end, near=float(at_end[0].center[0])),
        _joint_marks(standing, cross, end),
        # a sheet of its own cuts off what runs on
        f'<svg x="{left}" y="{top:.1f}" width="{WIDTH - left}" height="{height:.1f}" '
        f'viewBox="{left} {top:.1f} {WIDTH - left} {height:.1f}">{floor_svg(*_ALONG)}{side}</svg>',
        _stand_words(standing, cross, float(at_end[0].center[0]), speech),
        _captions(end, speech),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="support-picture" viewBox="0 {top:.1f} {WIDTH:.0f} '
        f'{height:.1f}" role="img" aria-label="{escaped(alt)}" font-size="20">{"".join(body)}</svg>'
    )


def _wheels(vehicle: Vehicle, layout: LayoutWheel, standing: Standing) -> list[Wheel]:
    tires = {element.name for element in standing.held.mechanism.elements}
    radius, width = vehicle.of_end("wheel_radius_mm", layout.end), vehicle.of_end("tire_width_mm", layout.end)
    return [
        Wheel(
            layout.end,
            standing.held.poses[named(layout.body, side)].point(vehicle.point(f"{layout.center}-{side}")),
            radius,
            width + vehicle.numbers.get(f"{layout.end}_dual_spacing_mm", 0.0),
            f"{layout.prefix}tire-{side}" in tires,
        )
        for side in SIDES
    ]


def end_worked_on(standing: Standing) -> str:
    """The end that stands are under, else the front."""
    stands = [e for e in standing.held.mechanism.elements if isinstance(e, Contact) and GROUND in (e.body_a, e.body_b)]
    rear = bool(stands) and all(float(stand.point[0]) < _middle(standing) for stand in stands)
    return "rear" if rear else "front"


def _middle(standing: Standing) -> float:
    hubs = [float(pose.origin[0]) for body, pose in standing.held.poses.items() if "hub" in body]
    return 0.5 * (min(hubs) + max(hubs))


def _floor(wheels: Sequence[Wheel]) -> tuple[float, dict[str, float]]:
    """Height of the floor, and how much each end must be drawn higher so that its raised wheels are clear [mm]."""
    on_tires = [float(w.center[2]) - w.radius for w in wheels if w.on_tire]
    lowest = {
        end: min(float(w.center[2]) - w.radius for w in wheels if w.end == end) for end in {w.end for w in wheels}
    }
    if not on_tires:
        return min(lowest.values()) - _CLEAR, dict.fromkeys(lowest, 0.0)
    floor = min(on_tires)
    raised = {end for end in lowest if not any(w.on_tire for w in wheels if w.end == end)}
    return floor, {end: max(0.0, floor + _CLEAR - low) if end in raised else 0.0 for end, low in lowest.items()}


def _slope(wheels: Sequence[Wheel], lifts: dict[str, float]) -> tuple[float, float]:
    """What lifts each end by its own, as a height and a slope along the vehicle."""
    at = {wheel.end: float(wheel.center[0]) for wheel in wheels}
    if len(at) < 2:
        return next(iter(lifts.values())), 0.0
    slope = (lifts["front"] - lifts["rear"]) / (at["front"] - at["rear"])
    return lifts["front"] - slope * at["front"], slope


def _cross_view(wheels: Sequence[Wheel], floor: float, lifted: tuple[float, float]) -> Elevation:
    reach = max(abs(float(w.center[1])) + 0.5 * w.width for w in wheels)
    left, right = _CROSS
    return Elevation(1, 1.0, 0.86 * (right - left) / (2.0 * reach), 0.5 * (left + right), 0.0, floor, lifted)


def _side_view(wheels: Sequence[Wheel], floor: float, lifted: tuple[float, float]) -> Elevation:
    xs = [float(w.center[0]) for w in wheels]
    reach = max(xs) - min(xs) + 3.0 * max(w.radius for w in wheels)
    left, right = _ALONG
    return Elevation(0, -1.0, (right - left) / reach, 0.5 * (left + right), 0.5 * (max(xs) + min(xs)), floor, lifted)


def _elevation(
    vehicle: Vehicle, standing: Standing, view: Elevation, wheels: Iterable[Wheel], near: float | None
) -> str:
    drawn = []
    for bar in bars_of(vehicle):
        start, end = (standing.held.poses[b].point(p) for b, p in zip(bar.bodies, bar.points, strict=True))
        if bar.kind != "bracket" and _shown(bar, start, end, near):
            drawn.append(bar_svg(view, bar, start, end))
    lines = [line for line in standing.lines if _near((line.start, line.end), near)]
    strongest = greatest(standing.lines)
    return "".join(
        [
            *(tire_svg(view, wheel, near is not None) for wheel in wheels),
            *drawn,
            _frame(vehicle, standing, view, near),
            *(load_svg(view, line, strongest) for line in lines),
            *(stand_svg(view, place) for place in _stands(standing) if _near((place,), near)),
            *(block_svg(view, place) for place in _blocks(standing) if _near((place,), near)),
        ]
    )


def _near(places: Iterable[Array], near: float | None) -> bool:
    return near is None or all(abs(float(place[0]) - near) < _NEAR_AXLE for place in places)


def _shown(bar: Bar, start: Array, end: Array, near: float | None) -> bool:
    """From the front only what runs mostly across or upright; from the side the left half."""
    if near is None:
        return bar.kind == "rail" or float(start[1] + end[1]) >= 0.0
    along = abs(float(end[0] - start[0]))
    return bar.kind != "rail" and _near((start, end), near) and along < float(np.linalg.norm(end - start)) * 0.8


def _rail(vehicle: Vehicle, standing: Standing, x: float, side: str) -> Array | None:
    """A place (3,) [mm] on the lower edge of a frame rail or sill."""
    ends = [vehicle.points.get(f"rail-{name}-{side}") for name in ("front", "rear")]
    if ends[0] is None or ends[1] is None:
        return None
    front, rear = (standing.held.poses[FRAME].point(np.asarray(end)) for end in ends)
    share = (x - front[0]) / (rear[0] - front[0])
    return np.asarray(front + share * (rear - front) - np.array([0.0, 0.0, 40.0]))


def _frame(vehicle: Vehicle, standing: Standing, view: Elevation, near: float | None) -> str:
    """The frame where the view cuts it, and what is under it: stands or pads that hold it, or stands close beneath."""
    hold = _frame_hold(standing)
    xs = sorted(float(vehicle.point(f"{wheel.center}-left")[0]) for wheel in vehicle.layout.wheels)
    inward = _LIFT_FROM_AXLE * (xs[-1] - xs[0])
    pads = [xs[-1] - inward, xs[0] + inward]
    if near is not None:
        places = [_rail(vehicle, standing, near, side) for side in SIDES]
        boxes = "".join(rail_svg(view, place) for place in places if place is not None)
        return boxes + "".join(_under(view, place, hold) for place in places if place is not None)
    places = [_rail(vehicle, standing, x, "left") for x in pads]
    return "".join(_under(view, place, hold) for place in places if place is not None)


def _frame_hold(standing: Standing) -> str:
    """Whether the frame is held all round, stands near the stands of the arms, or is free."""
    holders = [
        e for e in standing.held.mechanism.elements if isinstance(e, PointJoint) and e.name.startswith("frame-holder")
    ]
    if not holders:
        return "free"
    return "held" if all(float(holder.stiffness[2]) > 0.0 for holder in holders) else "back-up"


def _under(view: Elevation, place: Array, hold: str) -> str:
    if hold == "free":
        return ""
    if hold == "held":
        return stand_svg(view, place)
    x, y = view.at(place - np.array([0.0, 0.0, 45.0]))
    return f'<g stroke-dasharray="5 4">{tripod_svg(x, y, 1.6, filled=False)}</g>'


def _stands(standing: Standing) -> list[Array]:
    return [place for place, _ in _pressed_stands(standing)]


def _pressed_stands(standing: Standing) -> list[tuple[Array, float]]:
    """Where each stand touches (3,) [mm], and what it carries [N]."""
    return [
        (place_of_element(standing.held, e), float(force_on(standing.held, e, e.body_b)[2]))
        for e in standing.held.mechanism.elements
        if isinstance(e, Contact) and GROUND in (e.body_a, e.body_b)
    ]


def _blocks(standing: Standing) -> list[Array]:
    """Where something that stands on the frame holds an arm, or a stop is pressed (3,) [mm]."""
    return [
        place_of_element(standing.held, e)
        for e in standing.held.mechanism.elements
        if isinstance(e, Contact)
        and GROUND not in (e.body_a, e.body_b)
        and FRAME in (e.body_a, e.body_b)
        and float(np.linalg.norm(force_on(standing.held, e, e.body_b))) > _LEAST_N
    ]


def _joint_marks(standing: Standing, view: Elevation, end: str) -> str:
    """Filled where a load shuts the joint of a knuckle, an open ring where its play can show."""
    if end != "front":
        return ""
    marks = []
    for load in standing.joints:
        x, y = view.at(standing.places[load.part])
        fill = "ink-fill" if load.state in "LR" else "paper-fill"
        marks.append(f'<circle class="{fill} ink-line" cx="{x:.1f}" cy="{y:.1f}" r="7.5" stroke-width="2.6"/>')
    return "".join(marks)


def _stand_words(standing: Standing, view: Elevation, near: float, speech: Speech) -> str:
    """What each stand of the axle carries, below it."""
    words = []
    for place, force in _pressed_stands(standing):
        if not _near((place,), near):
            continue
        words.append(text_svg(view.at(place)[0], FLOOR + 34, f"↑ {speech.words(Force(force, 0))}", "middle"))
    return "".join(words)


def _captions(end: str, speech: Speech) -> str:
    front: Value = say("front axle, from the front") if end == "front" else say("rear axle, from the front")
    middle = 0.5 * sum(_CROSS), 0.5 * sum(_ALONG)
    return (
        text_svg(middle[0], _LOW, speech.words(front), "middle")
        + text_svg(middle[1], _LOW, speech.words(say("from its left")), "middle")
        + text_svg(_CROSS[0], _LOW, speech.words(say("right")), "start")
        + text_svg(_CROSS[1], _LOW, speech.words(say("left")), "end")
        + text_svg(_ALONG[0], _LOW, f"← {speech.words(say('front'))}", "start")
    )
