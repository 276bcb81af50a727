"""What a page is told of each support of a vehicle: a sketch, the ways of the weight on the plan, and the joints."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import msgspec

from looseends.catalogue import load_catalogue
from looseends.language import Force, Speech, Text, Value, say
from looseends.mechanics.bodies import Array
from looseends.report.plan_drawing import Sheet
from looseends.vehicle.load_path import JointLoad, LoadState, Seating
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import Vehicle
from looseends.web.bay.load_lines import Standing, greatest, standings
from looseends.web.bay.plan_picture import plan_picture
from looseends.web.bay.support_picture import end_worked_on, support_picture

_BROADEST = 7.0
"""Half the width of the greatest load's line on the plan [drawing units]."""
_SEATING: Mapping[Seating | None, Text] = {
    "pressed in": say("the ball is pressed in"),
    "pulled out": say("the ball is pulled toward its opening"),
}
_STATES: Mapping[LoadState, Text] = {
    "L": say("carries the vehicle"),
    "R": say("is shut by the spring against the stop"),
    "H": say("carries only what hangs on it"),
}
_TAGS: Mapping[Seating | None, Text] = {"pressed in": say("pressed in"), "pulled out": say("pulled out")}


class LoadedJoint(msgspec.Struct):
    """What a joint carries: a sentence, a few words for its tag on the plan, and whether the load leaves it open."""

    part: str
    side: str | None
    free: bool
    words: str
    tag: str


class LoadStretch(msgspec.Struct):
    """A stretch of the way of the weight on the plan, in its units, with half its width where it enters."""

    start: tuple[float, float]
    end: tuple[float, float]
    half: float


class SupportShown(msgspec.Struct):
    """A support of a vehicle as pages show it, made for checks at one `end`; `side` where the sides differ."""

    support: str
    side: str | None
    end: str
    name: str
    picture: str
    joints: list[LoadedJoint]
    lines: list[LoadStretch]


@lru_cache(maxsize=64)
def supports_shown(vehicle_id: str, speech: Speech) -> dict[str, SupportShown]:
    """Every support of a known vehicle by its key, as the reader speaks; computing takes seconds the first time."""
    vehicle, sheet = load_vehicles()[vehicle_id], plan_picture(vehicle_id, speech).sheet
    return {key: _shown(vehicle, standing, sheet, speech) for key, standing in standings(vehicle_id).items()}


def _shown(vehicle: Vehicle, standing: Standing, sheet: Sheet, speech: Speech) -> SupportShown:
    support = load_catalogue().supports[standing.setup.support]
    joints = [_joint(vehicle, load, speech) for load in standing.joints]
    alt = " ".join([f"{speech.words(support.name)}. {speech.words(support.how)}", *(joint.words for joint in joints)])
    strongest = greatest(standing.lines)
    return SupportShown(
        support=support.id,
        side=standing.setup.side,
        end=end_worked_on(standing),
        name=speech.words(support.name),
        picture=support_picture(vehicle, standing, alt, speech),
        joints=joints,
        lines=[
            LoadStretch(_spot(sheet, line.start), _spot(sheet, line.end), round(_BROADEST * line.force / strongest, 2))
            for line in standing.lines
        ],
    )


def _joint(vehicle: Vehicle, load: JointLoad, speech: Speech) -> LoadedJoint:
    part = vehicle.parts[load.part]
    force: Value = Force((load.down**2 + load.across**2) ** 0.5, 0)
    side: Side | None = part.side
    if load.state == "U":
        words = say("{part}: free, its play can show.", part=part.name)
        return LoadedJoint(part.id, side, True, speech.words(words), speech.words(say("free")))
    free = load.state == "H"
    tag = say("{force}", force=force)
    words = say("{part}: {state}, {force}.", part=part.name, state=_STATES[load.state], force=force)
    if load.seating is not None:
        seating = _SEATING[load.seating]
        words = say(
            "{part}: {state}, {force}; {seating}.",
            part=part.name,
            state=_STATES[load.state],
            force=force,
            seating=seating,
        )
        tag = say("{seating}, {force}", seating=_TAGS[load.seating], force=force)
    return LoadedJoint(part.id, side, free, speech.words(words), speech.words(tag))


def _spot(sheet: Sheet, place: Array) -> tuple[float, float]:
    x, y = sheet.point((float(place[0]), float(place[1])))
    return round(x, 1), round(y, 1)
