"""What follows from everything recorded in a visit so far, and what that was."""

from __future__ import annotations

from dataclasses import replace

from litestar.datastructures import State

from looseends.diagnosis.next_step import Step
from looseends.language import Speech
from looseends.store.kept import Store
from looseends.web.bay.answer import answer_of, waiting_answer
from looseends.web.bay.cards import setups_with_cards
from looseends.web.bay.records import Answered
from looseends.web.judged.judging import Judging, vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.recorded import recorded
from looseends.web.of_visit.visits import known_visit


def answered(state: State, visit_id: str, speech: Speech, minutes: float | None) -> Answered:
    """The answer in this language, and everything recorded; raises NotFoundException where there is no such visit."""
    store: Store = state.store
    judging: Judging = state.judging
    with store.reading() as session:
        visit, _ = known_visit(session, visit_id)
        records = recorded(session, visit_id)
    vehicle = vehicle_of(visit)
    found = judging.judged(visit_id, visit)
    if isinstance(found, Progress):
        return Answered(waiting_answer(found, vehicle, speech), records)
    if minutes is not None and isinstance(found.step, Step):
        found = replace(found, step=judging.step_within(visit_id, visit, minutes))
    return Answered(answer_of(found, vehicle, setups_with_cards(vehicle), speech), records)
