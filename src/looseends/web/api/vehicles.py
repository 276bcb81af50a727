"""Vehicles over HTTP: those that are known, and own ones described by tape."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import Body, FromPath

from looseends.errors import InputError
from looseends.language import ENGLISH, refusal
from looseends.vehicle.loading import load_vehicles, shipped_vehicles
from looseends.vehicle.tape import read_answers
from looseends.vehicle.tape.known import unknown_shafts, widest_groups
from looseends.vehicle.vehicle import Vehicle
from looseends.web.accounts.access import Person, may
from looseends.web.api.examples import example
from looseends.web.api.vehicle_structs import CenterOut, TapeIn, VehicleOut
from looseends.web.judged.preparing import Preparing
from looseends.web.own.keeping import keep_own
from looseends.web.own.tape_form import WHERE

_ANSWERS = {
    "layout": "bar-linkage-leaf",
    "spring_arm": "lower",
    "stop_arm": "upper",
    "linkage": "behind",
    "wheelbase_mm": "144 in",
    "front_track_mm": 1680,
    "rear_track_mm": 1700,
    "tire_size": "LT245/75R17",
    "front_axle_kg": 1400,
    "rear_axle_kg": "2100 lb",
    "front_height_mm": 310,
}


@get("/vehicles", guards=[may("see visits")], sync_to_thread=True, tags=["vehicles"])
def vehicles(state: State) -> list[VehicleOut]:
    """Every vehicle that a visit may be of."""
    return [_out(state, vehicle) for vehicle in load_vehicles().values()]


@get("/vehicles/{vehicle_id:str}", guards=[may("see visits")], sync_to_thread=True, tags=["vehicles"])
def vehicle(state: State, vehicle_id: FromPath[str]) -> VehicleOut:
    """One vehicle; one that is known by tape with how far its joint centers may be off."""
    known = load_vehicles()
    if vehicle_id not in known:
        raise NotFoundException
    return _out(state, known[vehicle_id])


@put("/vehicles/{vehicle_id:str}", guards=[may("take in")], status_code=200, sync_to_thread=True, tags=["vehicles"])
def put_vehicle(
    request: Request[Person, Any, Any],
    state: State,
    vehicle_id: FromPath[str],
    data: Annotated[TapeIn, Body(examples=[example({"answers": _ANSWERS})])],
) -> VehicleOut:
    """Describe an own vehicle by tape, as docs/tape-vehicle.md says; sent again nothing happens. Its tables follow."""
    if "name" in data.answers or "vin" in data.answers:
        raise InputError(
            refusal("own vehicle: name is the last part of the address, a vin is kept with a visit; leave both out.")
        )
    preparing: Preparing = state.preparing
    keep_own(state.store, read_answers({**data.answers, "name": vehicle_id}, WHERE))
    kept = load_vehicles()[vehicle_id]
    if not preparing.ready(kept):
        preparing.progress(kept.id)
    return _out(state, kept)


def _out(state: State, vehicle: Vehicle) -> VehicleOut:
    preparing: Preparing = state.preparing
    unknown = {group.id for group in unknown_shafts(vehicle)}
    return VehicleOut(
        id=vehicle.id,
        name=ENGLISH.words(vehicle.name),
        description=ENGLISH.words(vehicle.description),
        own=vehicle.id not in shipped_vehicles(),
        tables_ready=preparing.ready(vehicle),
        centers=[
            CenterOut(group=group.id, spread_mm=mm, direction_known=group.id not in unknown, measure=group.measure)
            for group, mm in widest_groups(vehicle, 99)
        ],
    )


HANDLERS = [vehicles, vehicle, put_vehicle]
