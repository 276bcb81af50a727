"""The motion view: choose vehicle, check and worn parts, and see in space what moves."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath
from litestar.response import Response, Template

from looseends.catalogue import load_catalogue
from looseends.errors import InputError
from looseends.language import AsWritten, Speech, Text, Value, refusal, say
from looseends.language.quantity import MM_PER_INCH, Length
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.strokes import gripped
from looseends.vehicle.vehicle import Vehicle
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.judged.judging import vehicle_of
from looseends.web.motion import MotionAsk, MotionRequest, read_motion
from looseends.web.motion.asked import MOST_WORN, axes_of, checks_of, most_clearance, supports_of
from looseends.web.motion.flat import motion_plan
from looseends.web.motion.presets import PRESETS, TRAINING_VEHICLE
from looseends.web.of_visit.visits import known_visit
from looseends.web.pages.visit_page import VisitPage
from looseends.web.taken.numbers import number

PAGE = VisitPage("motion", say("What moves"), say("The linkage in space: what a check moves, sound and worn"))
_FIELDS = ("vehicle", "check", "support", "side", "stroke", "steer", "brake")
_FIRST_CHECK = "bj-axial"
_SCRIPT_WORDS: Mapping[str, Text] = {
    "sound": say("sound"),
    "worn": say("worn"),
    "dead_zone": say("dead zone"),
    "in_dead_zone": say("in the dead zone: it moves without more force"),
    "springs": say("against a stop: it springs"),
    "none": say("none"),
    "being_worked_out": say("Being worked out."),
    "no_answer": say("No answer came; look at the network and try once more."),
    "hand_rests": say("hand at rest"),
    "force_at_hand": say("force of the hand"),
}
_LEFT: Mapping[str, Value] = {
    name: AsWritten(f"{{{name}}}") for name in ("times", "moved", "total", "force", "stage", "parts", "watch", "free")
}
_AXIS_WORDS: Mapping[str, Text] = {"radial": say("across"), "axial": say("along its axis")}


@get("/motion", guards=[may("see visits")], sync_to_thread=True)
def motion_page(request: Request[Person, Any, Any]) -> Template:
    """The view of any vehicle that is known."""
    return _page(request, None, "")


@get("/visits/{visit_id:str}/motion", guards=[may("see visits")], sync_to_thread=True)
def visit_motion_page(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Template:
    """The view of a visit's vehicle."""
    return _page(request, _vehicle_of_visit(state, visit_id), visit_id)


@get("/motion/plan.svg", guards=[may("see visits")], sync_to_thread=True)
def motion_plan_drawing(request: Request[Person, Any, Any], state: State) -> Response[bytes]:
    """The same movement on the flat underside plan, for a screen that cannot draw in space."""
    visit_id = request.query_params.get("visit", "")
    vehicle = _vehicle_of_visit(state, visit_id) if visit_id else None
    drawing = motion_plan(read_motion(_ask(request), vehicle), manner_of(request).speech)
    return Response(
        content=drawing.encode(), media_type="image/svg+xml", headers={"Cache-Control": "private, no-cache"}
    )


def _vehicle_of_visit(state: State, visit_id: str) -> Vehicle:
    with state.store.reading() as session:
        return vehicle_of(known_visit(session, visit_id)[0])


def _ask(request: Request[Person, Any, Any]) -> MotionAsk:
    query = request.query_params
    given = {name: query.get(name, "")[:80] for name in _FIELDS}
    given["vehicle"] = given["vehicle"] or TRAINING_VEHICLE
    given["check"] = given["check"] or _FIRST_CHECK
    return MotionAsk(**given, stand_inboard_mm=_inboard(request), worn=query.getall("worn", [])[: MOST_WORN + 1])


def _inboard(request: Request[Person, Any, Any]) -> float:
    """How far inboard the stand is [mm]: in mm from an address, in the person's units from a form without a script."""
    query, speech = request.query_params, manner_of(request).speech
    given = query.get("stand_inboard_mm", "") or query.get("stand_inboard", "")
    value = number(given, whole=False) if given else 0.0
    if value is None:
        raise InputError(refusal('motion: stand_inboard_mm must be a plain number, found "{found}".', found=given[:40]))
    return value * MM_PER_INCH if speech.units == "us" and not query.get("stand_inboard_mm") else value


def _script_words(speech: Speech) -> dict[str, str]:
    """What the page's script says; the fields that it fills itself stay in braces."""
    said = {
        "now": say("×{times}, true {moved} of {total}", **_LEFT),
        "times_heard": say("{times} times", **_LEFT),
        "slider_heard": say("{force}, moved {moved}, {stage}", **_LEFT),
        "force_now": say("Hand: {force}, {stage}.", **_LEFT),
        "loose_now": say("Carries nothing: {parts}.", **_LEFT),
        "curve_heard": say("{watch} over the hand's force: it moves {total}, of it {free} free.", **_LEFT),
    }
    return {name: speech.words(text) for name, text in {**_SCRIPT_WORDS, **said}.items()}


def _page(request: Request[Person, Any, Any], vehicle: Vehicle | None, visit_id: FromPath[str]) -> Template:
    """The page with its choices; what was asked wrongly is said in one sentence, beside the first view."""
    mistake = ""
    try:
        asked = read_motion(_ask(request), vehicle)
    except InputError as error:
        mistake = sentence_of(error, manner_of(request).speech)
        asked = _first(vehicle or load_vehicles()[TRAINING_VEHICLE])
    lesson = next((preset for preset in PRESETS if preset.id == request.query_params.get("lesson", "")), None)
    return page(
        request,
        "motion.html.j2",
        "motion",
        status=400 if mistake else 200,
        mistake=mistake,
        visit_id=visit_id,
        asked=asked,
        query=request.url.query,
        lesson=lesson if not mistake else None,
        presets=PRESETS,
        vehicles=sorted(load_vehicles().values(), key=lambda known: known.name),
        checks=sorted(checks_of(asked.vehicle), key=lambda check: str(check.name)),
        support_names=[
            (name, load_catalogue().supports[name].name) for name in supports_of(asked.check, asked.vehicle)
        ],
        strokes=_strokes(asked),
        worn_choices=_worn_choices(asked.vehicle),
        length_unit=Length.unit_for(manner_of(request).speech),
        typed_length=lambda mm: Length(mm).number_for(manner_of(request).speech),
        script_words=_script_words(manner_of(request).speech),
        caution=asked.check.caution,
        support_caution=load_catalogue().supports[asked.setup.support].caution,
    )


def _first(vehicle: Vehicle) -> MotionRequest:
    known = [check.id for check in checks_of(vehicle)]
    return read_motion(
        MotionAsk(vehicle=vehicle.id, check=_FIRST_CHECK if _FIRST_CHECK in known else known[0]), vehicle
    )


def _strokes(asked: MotionRequest) -> list[tuple[str, Value]]:
    """The strokes that the vehicle offers, each by what it watches first."""
    names = vehicle_vocabulary(asked.vehicle).names
    offered = [stroke for stroke in asked.check.strokes if gripped(asked.vehicle, stroke)]
    return [
        (stroke.id, AsWritten(stroke.words) if stroke.words else names.get(stroke.id, AsWritten(stroke.id)))
        for stroke in offered
    ]


def _worn_choices(vehicle: Vehicle) -> list[tuple[str, Text, float]]:
    """What can be worn: part and axis as the request names it, in words, and the largest clearance [mm]."""
    return [
        (
            f"{part.id}.{axis}",
            say("{part}, {axis}", part=part.name, axis=_AXIS_WORDS[axis]),
            most_clearance(part, [axis]),
        )
        for part in vehicle.wearable
        for axis in axes_of(part)
    ]


HANDLERS = [motion_page, visit_motion_page, motion_plan_drawing]
