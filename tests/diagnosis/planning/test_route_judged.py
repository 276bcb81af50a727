"""A route keeps its word: who does its steps and sees what sound vehicles show is told that what it proves is sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.planning.route import Route, full_route
from looseends.diagnosis.planning.walk import Proof
from looseends.diagnosis.planning.ways import By, ways_of
from looseends.diagnosis.tables.states import vehicle_states
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import Judgement, Reading
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.made_tables import (
    CARRIER,
    ON_ARM,
    ON_FRAME,
    beliefs,
    by_hand,
    check_done,
    gauge,
    seen,
    yard_pickup,
)


def planned(preparation: Preparation, by: By) -> Route:
    """The shortest route over the two setups whose tables there are."""
    states = vehicle_states(yard_pickup(), beliefs())
    ways = [way for s in (ON_ARM, ON_FRAME) for way in ways_of(preparation.table(s), states, beliefs())]
    return full_route(yard_pickup(), ways, by, beliefs())


def sound_reading(table: ResponseTable, proof: Proof, by: By) -> Reading:
    """What sound vehicles show on average; of what springs a share is read into the dead zone."""
    if by == "hand":
        return by_hand(proof.watch, "none")
    total, free = (float(mm) for mm in table.expected[table.watches.index(proof.watch)])
    dead_zone = round(free + beliefs().springy_taken * (total - free), 2)
    return gauge(proof.watch, round(total, 2), dead_zone if proof.dead_zone else None)


@pytest.mark.parametrize("by", ["gauge", "hand"])
def test_what_a_route_proves_is_judged_sound(
    by: By, preparation: Preparation, judged: Callable[..., Judgement]
) -> None:
    route = planned(preparation, by)
    proven = {proof.part for step in route.steps for proof in step.proves}
    assert CARRIER in proven
    looks = [step for step in route.steps if load_catalogue().checks[step.setup.check].kind != "movement"]
    done = [
        check_done(
            *(sound_reading(preparation.table(step.setup), proof, by) for proof in step.proves),
            setup=step.setup,
            number=step.number,
        )
        for step in route.steps
        if step not in looks
    ]
    nothing = tuple(replace(seen(proof.part, proof.watch), present=False) for step in looks for proof in step.proves)
    # Apart: each look moves what sets of so few parts leave for the others, and the carrier is sound by a hair here.
    judgements = (judged(*done), judged(conditions=nothing))
    verdicts = {finding.part: finding.verdict for judgement in judgements for finding in judgement.findings}
    assert {part: verdicts.get(part) for part in proven} == dict.fromkeys(proven, "sound")
    assert [left.part for left in route.unproven if verdicts.get(left.part) == "sound"] == []
