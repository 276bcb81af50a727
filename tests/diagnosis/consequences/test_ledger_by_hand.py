"""The lash ledger of the yard pickup against levers worked by hand, and what a ledger must keep whatever is worn.

Lost length counts at the rim by ratio and levers (21 mm per mm at the pitman arm, half of it for one wheel's rod), at
the tread by the tread's radius over the steering arm: as in test_rim_lash.py and test_linkage_limit.py.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from looseends.diagnosis.consequences.ledger import ledger_of
from looseends.diagnosis.consequences.repair import every_repair
from looseends.diagnosis.consequences.shapley import subsets
from looseends.diagnosis.consequences.wear import Case, Cases, PartWear, clearances, known
from looseends.errors import InputError
from looseends.vehicle.shake import shake
from tests.diagnosis.consequences.pickup_wear import (
    BEARING,
    CARRIER,
    GEAR,
    IDLER,
    INNER_ROD,
    RIM_PER_MM,
    ROD,
    WHEEL_RADIUS_MM,
    bench,
    ledger,
    lost,
    place,
    radial,
    steering_arm_mm,
)
from tests.vehicle.front_end import movement, nominal, prepared, yard_pickup

BY_HAND = 0.05


def test_exact_at_the_tread_the_rod_end_has_its_lever_and_the_idler_nothing() -> None:
    """The pitman arm holds the center link sideways whatever the idler does."""
    found = ledger("tread-left", idler_arm=2.0, outer_tie_rod_end_left=2.0)
    by_hand = lost(ROD, 2.0) * WHEEL_RADIUS_MM / steering_arm_mm()
    assert found.shares_mm[ROD] == pytest.approx(by_hand, rel=BY_HAND)
    assert found.shares_mm[IDLER] == pytest.approx(0.0, abs=0.02)
    assert ledger("tread-right", idler_arm=2.0, outer_tie_rod_end_left=2.0).shares_mm[ROD] == pytest.approx(0, abs=0.02)


def test_exact_at_the_rim_one_wheels_rod_end_counts_half_and_the_gear_whole() -> None:
    found = ledger("rim", idler_arm=2.0, outer_tie_rod_end_left=2.0, steering_gear=1.5)
    assert found.shares_mm[ROD] == pytest.approx(0.5 * RIM_PER_MM * lost(ROD, 2.0), rel=BY_HAND)
    assert found.shares_mm[GEAR] == pytest.approx(RIM_PER_MM * lost(GEAR, 1.5), rel=BY_HAND)
    assert found.shares_mm[IDLER] == pytest.approx(0.0, abs=0.1)


def test_exact_ends_in_line_share_alike() -> None:
    found = ledger("tread-left", outer_tie_rod_end_left=1.25, inner_tie_rod_end_left=1.25)
    assert found.shares_mm[ROD] == pytest.approx(found.shares_mm[INNER_ROD], rel=0.02)
    assert found.shares_mm[ROD] == pytest.approx(lost(ROD, 1.25) * WHEEL_RADIUS_MM / steering_arm_mm(), rel=BY_HAND)


def test_independent_every_subset_is_what_the_vehicle_shows_when_shaken_so() -> None:
    worn = radial(outer_tie_rod_end_left=1.5, lower_ball_joint_left=2.0)
    found = ledger_of(bench(), known(worn), place("tread-left"))
    check = prepared("wheel39", "ride", "left")
    for number, some in enumerate(subsets(found.parts)):
        shown = movement(shake(yard_pickup(), nominal(), check, clearances(worn, some)), "tread")
        assert found.values_mm[number] == pytest.approx(shown.free, abs=1e-4)


def test_independent_shares_are_the_mean_over_the_orders_of_wearing() -> None:
    worn = {"lower_ball_joint_left": 2.5, "wheel_bearing_left": 0.3, "outer_tie_rod_end_left": 1.0}
    found = ledger("tread-left", **worn)
    orders, adds = list(permutations(found.parts)), dict.fromkeys(found.parts, 0.0)
    for order in orders:
        for count, part in enumerate(order):
            left = found.remains_mm(order[count:]), found.remains_mm(order[count + 1 :])
            adds[part] += (left[1] - left[0]) / len(orders)
    assert dict(found.shares_mm) == pytest.approx(adds)
    assert adds[CARRIER] > 1.0 and adds[BEARING] > 1.0


def test_invariant_shares_and_what_sound_parts_have_are_the_whole() -> None:
    for place_id in ("tread-left", "tire-top-left", "rim"):
        found = ledger(place_id, lower_ball_joint_left=2.5, wheel_bearing_left=0.3, steering_gear=1.5)
        assert sum(found.shares_mm.values()) + found.sound_mm == pytest.approx(found.total_mm)
        assert found.sound_mm == pytest.approx(ledger(place_id).total_mm)


def test_exact_after_a_repair_the_rest_shares_what_is_left() -> None:
    found = ledger("tread-left", outer_tie_rod_end_left=2.0, steering_gear=1.5)
    rest = found.after([ROD])
    alone = ledger("tread-left", steering_gear=1.5)
    assert rest.parts == (GEAR,)
    assert rest.total_mm == pytest.approx(found.remains_mm([ROD])) == pytest.approx(alone.total_mm)
    assert rest.shares_mm[GEAR] == pytest.approx(alone.shares_mm[GEAR])


def test_exact_every_repair_is_listed_once_fewest_parts_first() -> None:
    found = ledger("tread-left", outer_tie_rod_end_left=2.0, steering_gear=1.5, idler_arm=2.0)
    repairs = every_repair(found)
    assert len({frozenset(parts) for parts, _ in repairs}) == len(repairs) == 8
    assert [len(parts) for parts, _ in repairs] == sorted(len(parts) for parts, _ in repairs)
    assert dict(repairs)[()] == pytest.approx(found.total_mm)
    assert repairs[-1][1] == pytest.approx(found.sound_mm)


def test_exact_a_mean_over_cases_is_the_mean_of_their_ledgers() -> None:
    """Two thirds of the weight on a worn rod end, one third on the gear with it."""
    one, both = radial(outer_tie_rod_end_left=2.0), radial(outer_tie_rod_end_left=1.0, steering_gear=1.5)
    marginals = {ROD: 1.0, GEAR: 1.0 / 3.0}
    cases = Cases((Case(one, 2.0 / 3.0), Case(both, 1.0 / 3.0)), 0.9, {frozenset(one): 0.6}, marginals, 0.0)
    mean = ledger_of(bench(), cases, place("tread-left"))
    first, second = (ledger_of(bench(), known(worn), place("tread-left")) for worn in (one, both))
    assert mean.shares_mm[ROD] == pytest.approx((2.0 * first.shares_mm[ROD] + second.shares_mm[ROD]) / 3.0)
    assert mean.shares_mm[GEAR] == pytest.approx(second.shares_mm[GEAR] / 3.0)
    assert mean.total_mm == pytest.approx((2.0 * first.total_mm + second.total_mm) / 3.0)
    assert mean.covered == 0.9


def test_both_axes_of_a_part_count_as_one_part() -> None:
    worn = {CARRIER: PartWear(radial_mm=2.0, axial_mm=2.0)}
    found = ledger_of(bench(), known(worn), place("tire-top-left"))
    assert found.parts == (CARRIER,)
    assert len(found.values_mm) == 2
    assert np.all(found.values_mm >= 0.0)


def test_a_part_without_a_joint_and_a_ninth_part_are_refused() -> None:
    with pytest.raises(InputError, match='must be one whose joints can have clearance, found "torsion-bar"'):
        ledger("rim", torsion_bar=1.0)
    nine = [part.id.replace("-", "_") for part in yard_pickup().wearable][:9]
    with pytest.raises(InputError, match="at most 8 worn parts are shared among at once, found 9"):
        ledger("rim", **dict.fromkeys(nine, 1.0))
