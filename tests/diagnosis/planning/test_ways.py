"""Ways to see wear: the chances are those that a judgement counts, and the load path decides them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from looseends.diagnosis.observed.detect import at_reject, chance_seen
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.planning.ways import OBSERVERS, By, Way, setups_for, ways_of
from looseends.diagnosis.tables.states import PartStates, vehicle_states
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import Reading
from looseends.vehicle.setup import Setup
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.made_tables import (
    CARRIER,
    ON_ARM,
    ON_FRAME,
    TREAD,
    beliefs,
    by_hand,
    gauge,
    growing,
    made_clues,
    made_table,
    states_of,
    yard_pickup,
)


def readings(by: By, watch: str) -> list[Reading]:
    """What an observer may write down at a watch; a gauge in all, or its dead zone too."""
    if by == "gauge":
        return [gauge(watch, 0.1), gauge(watch, 0.1, 0.0)]
    return [replace(by_hand(watch, "none"), by=by)]


def best_chance(table: ResponseTable, states: PartStates, axis: int, by: By) -> float:
    """The best chance of all readings of a setup, each laid against the table as a judgement does."""
    clues: list[Clue] = []
    for watch in table.watches:
        for reading in readings(by, watch):
            clues += made_clues(table, [states], reading)
    return max(chance_seen(clue, states, states.axes[axis], beliefs()) for clue in clues)


def found_ways(table: ResponseTable) -> Mapping[tuple[str, str], Way]:
    """All ways of a table by part and axis."""
    return {(way.part, way.axis): way for way in ways_of(table, vehicle_states(yard_pickup(), beliefs()), beliefs())}


@pytest.mark.parametrize("setup", [ON_ARM, ON_FRAME], ids=lambda setup: setup.support)
def test_independent_the_chance_is_the_one_that_a_judgement_counts(setup: Setup, preparation: Preparation) -> None:
    """Watches as good as the best may be named instead, where they are the part's own joint."""
    table = preparation.table(setup)
    ways = found_ways(table)
    for states in vehicle_states(yard_pickup(), beliefs()):
        for number, axis in enumerate(states.axes):
            if (states.part.id, axis) in ways:
                way = ways[states.part.id, axis]
                for by in OBSERVERS:
                    best = best_chance(table, states, number, by)
                    assert best - 0.02 - 1e-9 <= way.sights[by].chance <= best + 1e-9, (states.part.id, axis, by)


def test_exact_what_is_added_is_the_change_at_the_reject_clearance(preparation: Preparation) -> None:
    table, states = preparation.table(ON_ARM), states_of(CARRIER)[0]
    sight = found_ways(table)[CARRIER, "axial"].sights["gauge"]
    total, free = at_reject(states, "axial", table.singles[CARRIER][:, table.watches.index(sight.watch)])
    assert (sight.all_mm, sight.free_mm) == pytest.approx((total, free))


def test_the_carrier_is_seen_on_the_arm_and_not_on_the_frame(preparation: Preparation) -> None:
    on_arm, on_frame = (found_ways(preparation.table(s))[CARRIER, "axial"] for s in (ON_ARM, ON_FRAME))
    assert on_arm.sights["gauge"].watch == CARRIER
    assert on_arm.sights["gauge"].chance > 0.9 > 0.1 > max(sight.chance for sight in on_frame.sights.values())


def test_exact_a_part_is_watched_at_its_own_joint_where_that_is_as_good() -> None:
    states = states_of(CARRIER)
    change = growing(states[0], {0: 1.0, 3: 2.0})
    table = made_table({CARRIER: change})
    (way, _) = ways_of(table, states, beliefs())
    assert way.axis == "axial"
    assert {sight.watch for sight in way.sights.values()} == {CARRIER}
    far = made_table({CARRIER: growing(states[0], {0: 0.01, 3: 2.0})})
    assert {sight.watch for sight in next(iter(ways_of(far, states, beliefs()))).sights.values()} == {TREAD}


def test_exact_springy_movement_about_play_is_seen_in_the_dead_zone() -> None:
    """In all a gauge sees 1 mm drown in what sound vehicles differ by; how far it moves freely differs little."""
    states = states_of(CARRIER)
    table = made_table({CARRIER: growing(states[0], {3: 1.0})}, sound=[[8.0, 0.1]] * 4)
    table = replace(table, spread=np.tile([2.0, 0.05], (4, 1)))
    sight = next(iter(ways_of(table, states, beliefs()))).sights["gauge"]
    assert (sight.watch, sight.dead_zone) == (TREAD, True)
    assert sight.chance > best_chance(replace(table, spread=np.full((4, 2), 2.0)), states[0], 0, "gauge")


def test_a_part_that_changes_nothing_has_no_way() -> None:
    assert list(ways_of(made_table({}), states_of(CARRIER), beliefs())) == []


def test_setups_are_the_usual_ones_and_the_seldom_ones_where_both_are_named() -> None:
    vehicle = yard_pickup()
    assert {setup.check for setup in setups_for(vehicle, check="idler")} == {"idler"}
    assert {setup.support for setup in setups_for(vehicle, support="arm")} == {"arm"}
    assert "wheels" not in {setup.support for setup in setups_for(vehicle, check="bj-axial")}
    seldom = setups_for(vehicle, "bj-axial", "wheels")
    assert [(setup.support, setup.side) for setup in seldom] == [("wheels", "left"), ("wheels", "right")]
    assert setups_for(vehicle, "lash", "arm") == ()
