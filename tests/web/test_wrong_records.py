"""Records whose fields are swapped for others one by one: kept or refused in a sentence, and pages still open."""

from __future__ import annotations

import copy
import itertools
import os
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from litestar import Litestar

from looseends.inspection.types import Judgement, Repair, Visit
from looseends.store.ids import time_ordered_id
from looseends.web.judged.preparing import Progress
from tests.web.cast import Client, JudgingOfStored, taken_in
from tests.web.test_api import put

RIGHT: dict[str, dict[str, Any]] = {
    "check": {
        "setup": {
            "check": "bj-axial",
            "support": "arm",
            "side": "left",
            "steer": "held",
            "brake": "off",
            "stand_inboard_mm": 0.0,
        },
        "stop_gap_mm": 5.0,
        "observer": "Tom Orrin",
        "readings": [
            {"watch": "lower-ball-joint-left", "by": "gauge", "gauge_mm": 1.2, "grade": None, "note": ""},
        ],
        "passed_parts": ["upper-ball-joint-left"],
        "note": "",
        "hidden": [{"part": "lower-ball-joint-left", "by": "grease"}],
    },
    "condition": {
        "part": "outer-tie-rod-end-left",
        "condition": "torn-boot",
        "observer": "Tom Orrin",
        "note": "",
        "present": True,
        "again": 1,
    },
    "not-checked": {"part": "bj-axial", "because": "rusted in place"},
    "symptom": {"kind": "complaint", "id": "wanders", "wheel": None, "observer": "", "note": "", "present": True},
    "replaced": {"part": "outer-tie-rod-end-left", "by": "Tom Orrin", "note": ""},
    "use": {"age_years": 12.0, "work": "hard", "rust": "light"},
}
"""A record of each kind that the pickup can have."""

OTHERS: tuple[object, ...] = (
    None,
    True,
    -1,
    0,
    1e14,
    1e-320,
    "",
    "nothing",
    "left",
    "frame",
    "x" * 70_000,
    "\\u202e\\x00",
    [],
    {},
    [None],
    2**70,
)
"""What may come in the place of a field; the text of 70,000 signs is longer than a payload may be."""

PAGES = (
    "/visits/{visit}",
    "/visits/{visit}/findings",
    "/visits/{visit}/sheet",
    "/visits/{visit}/plan",
    "/visits/{visit}/answer",
    "/visits/{visit}/compare",
    "/visits/{visit}/motion",
    "/visits/{visit}/handover",
    "/visits/{visit}/handover/document",
    "/api/visits/{visit}/judgement",
    "/api/visits/{visit}/observations",
    "/",
)
# A long run: LOOSEENDS_FUZZ=500
EVERY = 1 if "LOOSEENDS_FUZZ" in os.environ else 3
"""Of all swaps so many are passed over; three has no factor in common with the number of others."""

AT = "2026-11-26T09:00:00+00:00"


class _Repaired(JudgingOfStored):
    """Concludes the same of every visit, and that each of its repairs is still to be proven."""

    def judgement(self, visit_id: str, visit: Visit) -> Judgement | Progress:
        """The sample, of this visit."""
        found = super().judgement(visit_id, visit)
        assert isinstance(found, Judgement)
        unproven = (Repair(one.part, one.part, one.after_check, False, 0.0, "", "") for one in visit.replaced)
        return replace(found, repairs=tuple(unproven))


def places(value: Any) -> Iterator[tuple[str | int, ...]]:
    """Where something stands in a payload, lists and objects too."""
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, entry in entries:
        yield (key,)
        yield from ((key, *place) for place in places(entry))


def swapped(payload: dict[str, Any], place: tuple[str | int, ...], other: object) -> dict[str, Any]:
    """The payload with something else in one place."""
    made = copy.deepcopy(payload)
    *way, last = place
    inner: Any = made
    for key in way:
        inner = inner[key]
    inner[last] = other
    return made


def sent(client: Client, visit: str, kind: str, payload: object) -> tuple[int, Any]:
    """Status and JSON of a new record."""
    body = {"kind": kind, "payload": payload, "device_time": AT}
    return put(client, f"/api/visits/{visit}/observations/{time_ordered_id()}", body)


@pytest.mark.parametrize("kind", RIGHT)
def test_a_record_with_a_wrong_field_is_refused_or_does_no_harm(app: Litestar, technician: Client, kind: str) -> None:
    app.state.judging = _Repaired()
    visit = taken_in(technician)
    assert sent(technician, visit, kind, RIGHT[kind])[0] == 200
    kept = 1
    swaps = list(itertools.product(places(RIGHT[kind]), OTHERS))[::EVERY]
    for place, other in swaps:
        status, said = sent(technician, visit, kind, swapped(RIGHT[kind], place, other))
        assert status == 200 or (status == 400 and len(said["detail"]) < 2_000), (place, other, status, said)
        kept += status == 200
    assert 1 < kept < 1 + len(swaps)
    for address in PAGES:
        assert technician.get(address.format(visit=visit)).status_code == 200, address


@pytest.mark.parametrize(
    ("reading", "sentence"),
    [
        ({"watch": "mast"}, 'watch "mast" is not known'),
        ({"gauge_mm": -0.1}, "gauge_mm must be from 0 to 60, found -0.1"),
        ({"grade": "clear"}, "a reading by gauge must have gauge_mm alone"),
        ({"by": "ear", "gauge_mm": None, "grade": "gross"}, 'grade "gross" is not known'),
        ({"free_mm": 2.0}, "free_mm must be from 0 to 1.2, found 2"),
    ],
)
def test_a_reading_of_a_stored_check_is_held_against_that_check(
    technician: Client, reading: dict[str, Any], sentence: str
) -> None:
    visit, check = taken_in(technician), time_ordered_id()
    body = {"kind": "check", "payload": RIGHT["check"], "device_time": AT}
    assert put(technician, f"/api/visits/{visit}/observations/{check}", body)[0] == 200
    right: dict[str, Any] = RIGHT["check"]["readings"][0]
    assert sent(technician, visit, "reading", {"check": check, "reading": right})[0] == 200
    status, said = sent(technician, visit, "reading", {"check": check, "reading": right | reading})
    assert (status, sentence in said["detail"]) == (400, True), said


def test_a_key_of_a_million_signs_is_refused_in_a_short_sentence(technician: Client) -> None:
    status, said = sent(technician, taken_in(technician), "use", {"x" * 1_000_000: 1})
    assert (status, len(said["detail"]) < 500) == (400, True)
