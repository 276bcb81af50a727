"""Where a check is gripped and watched, on the underside plan: places and directions from the vehicle's model."""

from __future__ import annotations

from collections.abc import Sequence

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Stroke, WatchPlace
from looseends.diagnosis.observed.looked import load_looks, looked_at
from looseends.language import Force, Speech, Text, joined, say
from looseends.mechanics.model import Force as Load
from looseends.report.plan_geometry import Point
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.strokes import applies, check_on, offered, place_of, stroke_forces
from looseends.vehicle.vehicle import Part, Vehicle
from looseends.web.bay.plan_picture import PlanPicture
from looseends.web.bay.records import Grip, StrokeView, View, WatchView

_TOGETHER = 16.0
"""Grips closer than this on the drawing are one above the other on the vehicle [drawing units]."""


def view_of(vehicle: Vehicle, check_id: str, side: Side | None, picture: PlanPicture, speech: Speech) -> View:
    """Strokes and watches of a check on this side of this vehicle, in the drawing's units."""
    check = check_on(vehicle, check_id, side)
    strokes = [stroke for stroke in check.strokes if offered(vehicle, stroke)]
    watches: dict[str, WatchView] = {}
    for stroke in strokes:
        for place in stroke.watches:
            if applies(vehicle, place):
                watches.setdefault(place.id, _watch(vehicle, place, picture, speech))
    return View(
        strokes=[_stroke(vehicle, stroke, side, picture, speech) for stroke in strokes],
        watches=list(watches.values()),
    )


def look_view(vehicle: Vehicle, setup: Setup, picture: PlanPicture, speech: Speech) -> View:
    """The parts that a look shows, each with the conditions that would be found on it, in the drawing's units."""
    (look,) = [look for look in load_looks() if look.check == setup.check]
    return View(
        strokes=[],
        watches=[
            _looked_at(part, seen, look.proves, picture, speech)
            for part in looked_at(look, setup, vehicle)
            if (seen := look.shows_on(part.kind))
        ],
    )


def _looked_at(part: Part, sees: Sequence[str], proves: bool, picture: PlanPicture, speech: Speech) -> WatchView:
    conditions = load_catalogue().conditions
    x, y = picture.places[part.id]
    return WatchView(
        id=part.id,
        name=speech.words(part.name),
        where=speech.words(joined([conditions[name].words for name in sees], "; ")),
        part=part.id,
        x=round(x, 1),
        y=round(y, 1),
        step_mm=0.0,
        tread=False,
        sees=list(sees),
        proves=proves,
    )


def _stroke(vehicle: Vehicle, stroke: Stroke, side: Side | None, picture: PlanPicture, speech: Speech) -> StrokeView:
    forces = stroke_forces(vehicle, stroke, side)
    spots = [picture.sheet.point((float(force.point[0]), float(force.point[1]))) for force in forces]
    return StrokeView(
        words=speech.words(stroke.words),
        force=speech.words(Force(stroke.force)),
        both_ways=stroke.from_share < 0.0,
        grips=[
            _grip(force, spot, _level(force, spot, forces, spots), speech)
            for force, spot in zip(forces, spots, strict=True)
        ],
        watches=[place.id for place in stroke.watches if applies(vehicle, place)],
    )


def _grip(force: Load, spot: Point, level: Text | None, speech: Speech) -> Grip:
    # forward is up on the page, the vehicle's left is to the right
    x, y, z = (float(value) for value in force.vector)
    size = max(abs(x), abs(y), abs(z), 1e-9)
    return Grip(
        x=round(spot[0], 1),
        y=round(spot[1], 1),
        to=(round(y / size, 2), round(-x / size, 2), round(z / size, 2)),
        label="" if level is None else speech.words(level),
    )


def _level(force: Load, spot: Point, forces: Sequence[Load], spots: Sequence[Point]) -> Text | None:
    """Top or bottom, where two grips would lie on one another in the drawing."""
    for other, there in zip(forces, spots, strict=True):
        if other is not force and abs(spot[0] - there[0]) + abs(spot[1] - there[1]) < _TOGETHER:
            return say("top") if force.point[2] > other.point[2] else say("bottom")
    return None


def _watch(vehicle: Vehicle, place: WatchPlace, picture: PlanPicture, speech: Speech) -> WatchView:
    part = vehicle.parts.get(place.part or "")
    if place.kind == "joint" and part is not None:
        spot = picture.places[part.id]
    else:
        found = place_of(vehicle, str(place.at))
        spot = picture.sheet.point((float(found[0]), float(found[1])))
    return WatchView(
        id=place.id,
        name=speech.words(watch_name(vehicle, place)),
        where=speech.words(place.words),
        part=place.part,
        x=round(spot[0], 1),
        y=round(spot[1], 1),
        step_mm=place.gauge_resolution_mm,
        tread=place.at is not None and "tread" in place.at,
    )


def watch_name(vehicle: Vehicle, place: WatchPlace) -> Text:
    """A watch by the name of its part, else of its place."""
    if place.part is None or place.part not in vehicle.parts:
        return say("{place}", place=place.id.replace("-", " "))
    name = vehicle.parts[place.part].name
    return say("{part}, along its axis", part=name) if place.id.endswith(".axial") else name
