"""The motion view's numbers over HTTP: the linkage in space and a stroke in steps, sound and worn."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import QueryParameter

from looseends.web.accounts.access import Person, may
from looseends.web.answering.speaking import manner_of
from looseends.web.judged.judging import vehicle_of
from looseends.web.motion import MotionAsk, MotionShown, motion_shown, read_motion
from looseends.web.of_visit.visits import known_visit

_Name = Annotated[str, QueryParameter(max_length=80)]


@get("/motion", guards=[may("see visits")], sync_to_thread=True, tags=["motion"])
def motion(
    request: Request[Person, Any, Any],
    state: State,
    check: _Name,
    vehicle: _Name = "",
    visit: _Name = "",
    support: _Name = "",
    side: _Name = "",
    stroke: _Name = "",
    steer: _Name = "",
    brake: _Name = "",
    stand_inboard_mm: Annotated[float, QueryParameter()] = 0.0,
    worn: Annotated[list[str] | None, QueryParameter(description="PART=MM, PART.axial=MM or PART.radial=MM")] = None,
) -> MotionShown:
    """How a check moves a vehicle (or that of a `visit`) with these worn parts, step by step, beside a sound one."""
    ask = MotionAsk(
        vehicle=vehicle,
        check=check,
        support=support,
        side=side,
        stroke=stroke,
        steer=steer,
        brake=brake,
        stand_inboard_mm=stand_inboard_mm,
        worn=worn or [],
    )
    known = None
    if visit:
        with state.store.reading() as session:
            known = vehicle_of(known_visit(session, visit)[0])
    return motion_shown(read_motion(ask, known), manner_of(request).speech)


HANDLERS = [motion]
