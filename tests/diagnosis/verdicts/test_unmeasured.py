"""How far readings hang on what was not measured: shares against drawn vehicles, and the words."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.verdicts.unmeasured import JOINTS_AND_HAND, Doubt, doubt_words, doubts, sharpens_most
from looseends.vehicle.carrying import Preload
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.scatter import drawn_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import answer_stroke, hold, prepare_held
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.spread import GroupSpread, Spread
from looseends.vehicle.vehicle import Vehicle
from tests.vehicle.tape_answers import tape_vehicle

IDLER = Setup("idler", "frame", None, "held", "off", 0.0)
SHAKE = Setup("wheel39", "frame", "left", "held", "off", 0.0)


@cache
def plain() -> Vehicle:
    return tape_vehicle()


@cache
def preload() -> Preload:
    return carrying_preload(plain(), nominal_specimen(plain()))


def shown(vehicle: Vehicle, setup: Setup) -> dict[str, float]:
    specimen = nominal_specimen(vehicle)
    prepared = prepare_held(vehicle, hold(vehicle, specimen, setup, preload()), setup)
    clearances = specimen.clearances(vehicle, {})
    answers = [answer_stroke(stroke, clearances).movements for stroke in prepared.strokes]
    return {name: m.total for answer in answers for name, m in answer.items()}


def spread_over(**groups: GroupSpread) -> Vehicle:
    return replace(plain(), spread=Spread({name.replace("_", "-"): s for name, s in groups.items()}, {}))


def test_a_vehicle_as_drawn_has_no_doubt_of_this_sort() -> None:
    drawn = load_vehicles()["yard-pickup"]
    assert doubts(drawn, IDLER, preload(), {}, load_beliefs()) == ()


def test_independent_the_spread_is_that_of_drawn_vehicles() -> None:
    """Small spreads, where one step of each cause must agree with vehicles drawn over all of them."""
    vehicle = spread_over(
        tie_rod_outer=GroupSpread(1.0, 3.0, 0.0),
        lower_ball_joint=GroupSpread(2.0, 1.0, 0.0),
        upper_arm_axis=GroupSpread(2.0, 1.0, np.radians(0.3)),
    )
    found = {d.watch: d for d in doubts(vehicle, SHAKE, preload(), {}, load_beliefs())}
    tread = found["tread"]
    drawn = [shown(drawn_vehicle(vehicle, np.random.default_rng([3, n]), 0, 0), SHAKE)["tread"] for n in range(120)]
    # A standard deviation of 120 draws is known to 6.5 %.
    assert tread.spread_mm * np.sqrt(tread.unmeasured) == pytest.approx(np.std(drawn), rel=0.15)


def test_invariant_shares_sum_up_to_one_and_what_is_fixed_has_none() -> None:
    vehicle = spread_over(idler_shaft=GroupSpread(8.0, 3.0, np.radians(3.0)), rails=GroupSpread(20.0, 5.0, 0.0))
    for doubt in doubts(vehicle, IDLER, preload(), {}, load_beliefs()):
        assert sum(doubt.shares.values()) == pytest.approx(1.0)
        assert set(doubt.shares) == {"idler-shaft", "rails", JOINTS_AND_HAND}
        assert doubt.shares["rails"] == pytest.approx(0.0, abs=1e-6)


def test_the_linkage_is_what_to_measure_where_only_it_is_off_its_line() -> None:
    """A tie rod end that lies elsewhere changes what the tread shows; a column that does so changes next to nothing."""
    loose = spread_over(tie_rod_outer=GroupSpread(30.0, 10.0, 0.0), column=GroupSpread(15.0, 5.0, 0.0))
    found = doubts(loose, SHAKE, preload(), {}, load_beliefs())
    assert sharpens_most(found) == "tie-rod-outer"
    words = next(doubt_words(d, loose) for d in found if d.watch == "tread")
    assert "from the outer tie rod end's center: plumb the stud's center to the floor" in words


def test_exact_the_words_give_the_share_and_the_measure() -> None:
    doubt = Doubt("tread", 4.0, 0.5, {"lower-ball-joint": 0.5, "rebound_stop_gap_mm": 0.1, JOINTS_AND_HAND: 0.4})
    assert doubt_words(doubt, plain()) == (
        "tread moves 4.00 mm, give or take 0.50 mm; 60 % of the doubt hangs on what was not measured, 50 % from the "
        "lower ball joint's center: plumb the stud's center to the floor and measure its place against the hub center, "
        "then its height."
    )
    sure = Doubt("tread", 4.0, 0.5, {"lower-ball-joint": 0.01, JOINTS_AND_HAND: 0.99})
    assert doubt_words(sure, plain()).endswith("hardly any of it hangs on what was not measured.")
    assert sharpens_most([sure]) is None
