"""Why a joint could not show its play: the reason given is the one that the settled vehicle's forces bear out."""

from __future__ import annotations

import pytest

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.tables.states import part_states
from looseends.diagnosis.verdicts.remarks import _why
from looseends.inspection.types import CheckDone
from looseends.vehicle.setup import Setup
from tests.vehicle.other_vehicles import vehicle
from tests.vehicle.test_layouts_fronts import CELLS, FRONTS, Front, load, standing

REASONS = {
    "wheels": "weight keeps",
    "frame": "onto the rebound stop",
    "arm": "the stand carries",
    "ride": "the stand carries",
    "one-wheel": "the stand carries",
}
"""What makes a loaded joint's load in each support."""


def reason(front: Front, support: str, kind: str) -> str:
    found = vehicle(front.vehicle)
    part = next(part for part in found.wearable if part.kind.id == kind)
    done = CheckDone(1, Setup("bj-axial", support, "left", "held", "off", 0.0), None, "", (), (), "")
    return _why(found, done, part_states(part, load_beliefs()))


@pytest.mark.parametrize(("front", "support"), CELLS, ids=lambda value: getattr(value, "layout", value))
def test_a_loaded_joint_has_its_reason_and_an_unloaded_one_none(front: Front, support: str) -> None:
    """An arm stand that unloads the joint gives one only for the case that the stop has closed again."""
    state = standing(front, support)
    worn = {part.kind.id for part in vehicle(front.vehicle).wearable}
    for kind in {front.carrier, front.follower} & worn:
        words = reason(front, support, kind)
        if load(front, state, kind) == "loaded":
            assert REASONS[support] in words
        else:
            assert words == "" or "the stop touches" in words


def test_what_neither_carries_nor_follows_has_no_reason() -> None:
    assert reason(FRONTS[0], "frame", "outer-tie-rod-end") == ""
