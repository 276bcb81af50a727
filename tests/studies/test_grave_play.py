"""Grave play in whole visits: which vehicles are taken, and what is counted of them."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import numpy as np
import pytest

from looseends.errors import InputError
from looseends.vehicle.loading import load_vehicles
from studies.grave_play import FIRST, ROWS, result, row_of, run, with_grave_play
from studies.truth import drawn_standing
from studies.visits import LAYOUTS, WORN_COUNT_CHANCES
from studies.visits_score import Score, grave_parts

LAYOUT = "crew-van"
SCORE = Score(1, True, True, True, False, False, 0, 1, 0, 0, 0, -0.1, -5.0, -0.1, -5.0, True, (), 60.0)


def has_grave_play(seed: int) -> bool:
    vehicle = load_vehicles()[LAYOUT]
    rng = np.random.default_rng([LAYOUTS.index(LAYOUT), seed, 1])
    true = drawn_standing(vehicle, rng, count_chances=WORN_COUNT_CHANCES)
    return bool(grave_parts(true, vehicle) - true.masked)


def test_every_vehicle_with_grave_play_is_taken_and_no_other() -> None:
    taken = list(islice(with_grave_play(LAYOUT), 3))
    assert taken == [seed for seed in range(FIRST, taken[-1] + 1) if has_grave_play(seed)]


def test_a_row_counts_its_parts_and_those_that_were_missed() -> None:
    row = row_of([SCORE, replace(SCORE, grave=2, grave_missed=1, exact_first=False)])
    assert (row["vehicles"], row["grave play"], row["missed"], row["exact set first %"]) == (2, 3, 1, 50.0)


@pytest.mark.parametrize(("missed", "met"), [(0, "yes"), (2, "no")])
def test_the_goal_is_met_where_fewer_than_one_in_a_hundred_is_missed(missed: int, met: str) -> None:
    vehicles = [dict.fromkeys(ROWS, replace(SCORE, grave_missed=int(n < missed))) for n in range(75)]
    found = result({LAYOUT: vehicles}, list(ROWS))
    assert found["goals"][0]["met"] == met
    assert found["goals"][0]["goal"].startswith("grave play missed %, of 150, ")
    assert found["rows"][f"{LAYOUT}: {next(iter(ROWS))}"]["missed"] == missed


def test_a_row_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match='study "grave_play": ROW must be one of'):
        run(["full route by nobody"])
