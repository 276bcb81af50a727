"""What helps to take a vehicle in, over HTTP: complaints, a typed identification number, the questions of the tape."""

from __future__ import annotations

import math
from typing import Annotated, Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, QueryParameter

from looseends.catalogue import load_catalogue
from looseends.errors import InputError
from looseends.language import Speech
from looseends.vehicle.tape import Question
from looseends.web.accounts.access import Person, may
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.api.vehicle_structs import ComplaintOut, MeasureFirst, QuestionOut, TablesProgress, VinSeen
from looseends.web.judged.preparing import Preparing
from looseends.web.own.keeping import own_vehicle_known
from looseends.web.own.tape_form import built_questions, further, needed
from looseends.web.own.told import Sharpest
from looseends.web.taken.forms import MOST_TEXT
from looseends.web.taken.intake_form import understood, vin_remark


@get("/complaints", guards=[may("take in")], sync_to_thread=True, tags=["visits"])
def complaints(
    request: Request[Person, Any, Any], words: Annotated[str, QueryParameter(max_length=MOST_TEXT)] = ""
) -> list[ComplaintOut]:
    """Every complaint of the catalogue, and whether a customer's `words` are taken for it."""
    speech, meant = manner_of(request).speech, understood(words)
    known = load_catalogue().complaints.values()
    return [ComplaintOut(id=entry.id, name=speech.words(entry.name), meant=entry.id in meant) for entry in known]


@get("/vin", guards=[may("take in")], sync_to_thread=True, tags=["visits"])
def vin(request: Request[Person, Any, Any], vin: Annotated[str, QueryParameter(max_length=40)]) -> VinSeen:
    """What to look at again in a typed identification number; nothing where all fits."""
    speech = manner_of(request).speech
    try:
        remark = vin_remark(vin)
    except InputError as error:
        return VinSeen(accepted=False, remark=sentence_of(error, speech))
    return VinSeen(accepted=True, remark="" if remark is None else speech.words(remark))


@get("/tape-questions", guards=[may("take in")], sync_to_thread=True, tags=["vehicles"])
def tape_questions(
    request: Request[Person, Any, Any], layout: Annotated[str, QueryParameter(max_length=60)] = ""
) -> list[QuestionOut]:
    """The questions that describe an own vehicle; with a `layout` also what may be measured besides on it."""
    speech = manner_of(request).speech
    return [_question(asked, speech) for asked in (*needed(), *built_questions(), *further(layout))]


@get("/vehicles/{vehicle_id:str}/measure-first", guards=[may("see visits")], sync_to_thread=True, tags=["vehicles"])
def measure_first(request: Request[Person, Any, Any], state: State, vehicle_id: FromPath[str]) -> MeasureFirst:
    """What to measure first on a vehicle that is known by tape; it is worked out in seconds, `known` tells when."""
    sharpest: Sharpest = state.sharpest
    found = sharpest.of(own_vehicle_known(vehicle_id))
    return MeasureFirst(known=found.done, words=manner_of(request).speech.words(found.said))


@get("/tables", guards=[may("see visits")], sync_to_thread=True, tags=["vehicles"])
def tables(state: State) -> list[TablesProgress]:
    """The vehicle whose tables are being computed, and how far they are; empty where none are."""
    preparing: Preparing = state.preparing
    found = preparing.now()
    if found is None:
        return []
    return [TablesProgress(vehicle=found.vehicle_id, done=found.done, total=found.total, failed=found.failed)]


def _question(asked: Question, speech: Speech) -> QuestionOut:
    return QuestionOut(
        id=asked.id,
        words=speech.words(asked.words),
        how=speech.words(asked.how),
        kind=asked.kind,
        unit=asked.unit,
        accepted=list(asked.accepted),
        least=asked.least if math.isfinite(asked.least) else None,
        most=asked.most if math.isfinite(asked.most) else None,
        needed=asked.needed,
    )


HANDLERS = [complaints, vin, tape_questions, measure_first, tables]
