"""A vehicle of the shop's own, described by tape on the spot: the questions, and what is known of it then."""

from __future__ import annotations

from typing import Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, FromQuery
from litestar.response import Redirect, Template

from looseends.errors import InputError, MechanicsError
from looseends.language import say
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.judged.preparing import Preparing
from looseends.web.own.keeping import keep_own, own_vehicle_known
from looseends.web.own.tape_form import (
    BUILT,
    CHOICE_WORDS,
    TapeForm,
    built_questions,
    further,
    layouts,
    needed,
    read_tape,
)
from looseends.web.own.told import Sharpest, center_spreads
from looseends.web.taken.forms import Sent

_VEHICLE = "/own-vehicles/{vehicle_id:str}"


@get("/own-vehicles/new", guards=[may("take in")], sync_to_thread=True)
def new_vehicle(request: Request[Person, Any, Any]) -> Template:
    """The empty form."""
    return _form(request, TapeForm({}, {}, None))


@get("/own-vehicles/built", guards=[may("take in")], sync_to_thread=True)
def how_built(request: Request[Person, Any, Any], layout: FromQuery[str] = "") -> Template:
    """The questions that follow from how it is built."""
    return page(request, "own_vehicle_built.html.j2", **_questions(TapeForm({"layout": layout[:60]}, {}, None)))


@post("/own-vehicles", guards=[may("take in")], status_code=200, sync_to_thread=True)
def describe(request: Request[Person, Any, Any], state: State, data: Sent) -> Template | Redirect:
    """Keep the vehicle and begin with its tables, or the form again with a sentence beside each field."""
    form = read_tape(data, manner_of(request).speech)
    if form.answers is None:
        return _form(request, form)
    try:
        vehicle_id = keep_own(state.store, form.answers)
    except InputError as error:
        return _form(request, TapeForm(form.values, {"name": error.args[0]}, None))
    except MechanicsError as error:
        said = say("With these figures it cannot stand at its height: {why}.", why=error.sentence)
        return _form(request, TapeForm(form.values, {"front_height_mm": said}, None))
    _begin(state, vehicle_id)
    return Redirect(f"/own-vehicles/{vehicle_id}", status_code=303)


@get(_VEHICLE, guards=[may("see visits")], sync_to_thread=True)
def own_vehicle(request: Request[Person, Any, Any], state: State, vehicle_id: FromPath[str]) -> Template:
    """How far its joint centers may be off, what to measure first, and how far its tables are."""
    vehicle = own_vehicle_known(vehicle_id)
    return page(request, "own_vehicle.html.j2", centers=center_spreads(vehicle), **_now(state, vehicle))


@get(_VEHICLE + "/now", guards=[may("see visits")], sync_to_thread=True)
def own_vehicle_now(request: Request[Person, Any, Any], state: State, vehicle_id: FromPath[str]) -> Template:
    """The part of the page that changes while tables are computed."""
    return page(request, "own_vehicle_now.html.j2", **_now(state, own_vehicle_known(vehicle_id)))


def _begin(state: State, vehicle_id: str) -> None:
    preparing: Preparing = state.preparing
    vehicle = load_vehicles()[vehicle_id]
    if not preparing.ready(vehicle):
        preparing.progress(vehicle_id)


def _now(state: State, vehicle: Vehicle) -> dict[str, Any]:
    preparing: Preparing = state.preparing
    sharpest: Sharpest = state.sharpest
    ready = preparing.ready(vehicle)
    return {
        "vehicle": vehicle,
        "progress": None if ready else preparing.progress(vehicle.id),
        "sharpest": sharpest.of(vehicle),
    }


def _form(request: Request[Person, Any, Any], form: TapeForm) -> Template:
    return page(
        request,
        "own_vehicle_new.html.j2",
        "intake",
        status=400 if form.mistakes else 200,
        layouts=layouts(),
        needed=needed(),
        **_questions(form),
    )


def _questions(form: TapeForm) -> dict[str, Any]:
    proposed = layouts().get(form.layout)
    values = {name: getattr(proposed, name) for name in BUILT} if proposed else {}
    return {
        "layout": form.layout,
        "built": built_questions() if form.layout else (),
        "further": further(form.layout),
        "values": values | {name: typed for name, typed in form.values.items() if typed},
        "mistakes": form.mistakes,
        "choice_words": CHOICE_WORDS,
    }


HANDLERS = [new_vehicle, how_built, describe, own_vehicle, own_vehicle_now]
