"""What the sheet records with a check reaches the visit as it is judged, and the handover's annex."""

from __future__ import annotations

import datetime

import pytest
from litestar import Litestar

from looseends.diagnosis.next_step import Enough
from looseends.inspection.types import Visit
from looseends.store.ids import time_ordered_id
from tests.web.cast import Client, JudgingOfStored, JudgingStub, form_token, taken_in, words_of

SETUP = {
    "check": "bj-axial",
    "support": "arm",
    "side": "left",
    "steer": "held",
    "brake": "off",
    "stand_inboard_mm": 0.0,
}
CHECK = {"setup": SETUP, "observer": "Tom Orrin", "readings": [], "passed_parts": [], "hidden": [], "note": ""}


def put(client: Client, visit: str, kind: str, **payload: object) -> str:
    """The id under which the sheet's record was taken."""
    made = time_ordered_id()
    body = {"kind": kind, "payload": payload, "device_time": datetime.datetime.now(datetime.UTC).isoformat()}
    answer = client.put(
        f"/api/visits/{visit}/observations/{made}", json=body, headers={"x-csrftoken": form_token(client)}
    )
    assert answer.status_code == 200, answer.text
    return made


def test_stop_gap_hidden_part_and_condition_are_judged_and_stand_in_the_annex(
    app: Litestar, technician: Client
) -> None:
    judging: JudgingStub = app.state.judging
    visit = taken_in(technician)
    check = put(technician, visit, "check", stop_gap_mm=12.5, **CHECK)
    put(technician, visit, "hidden", check=check, hidden={"part": "lower-ball-joint-left", "by": "dry joint"})
    seen = {"part": "lower-ball-joint-left", "condition": "torn-boot", "observer": "Tom Orrin", "note": ""}
    put(technician, visit, "condition", present=True, **seen)
    assert technician.get(f"/visits/{visit}/answer").status_code == 200
    app.state.judging = JudgingOfStored()
    document = words_of(technician.get(f"/visits/{visit}/handover/document").text)
    judged = judging.asked[-1][1]
    (done,) = judged.checks
    assert (done.stop_gap_mm, [entry.by for entry in done.hidden]) == (12.5, ["dry joint"])
    assert [entry.condition for entry in judged.conditions] == ["torn-boot"]
    assert "Gap at the rebound stop: 12.5 mm" in document
    assert "a dry joint" in document


@pytest.mark.parametrize(("minutes", "asked_for"), [("", []), ("?minutes=1", [1.0]), ("?minutes=20", [20.0])])
def test_within_minutes_the_next_step_is_planned_for_them(
    app: Litestar, technician: Client, monkeypatch: pytest.MonkeyPatch, minutes: str, asked_for: list[float]
) -> None:
    asked: list[float] = []

    def step_within(_: JudgingStub, visit_id: str, visit: Visit, minutes_left: float) -> Enough:
        asked.append(minutes_left)
        return Enough("no time", "The time is used up.", (), ())

    monkeypatch.setattr(JudgingStub, "step_within", step_within)
    answer = technician.get(f"/visits/{taken_in(technician)}/answer{minutes}").json()["answer"]
    assert (len(answer["advice"]), answer["enough"]) == ((0, "The time is used up.") if minutes else (1, ""))
    assert asked == asked_for
