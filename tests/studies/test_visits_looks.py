"""Looks in the study of whole visits: what is drawn of them is unlike what the inference takes them for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.catalogue.types import Axis
from looseends.diagnosis.observed.looked import load_looks
from looseends.diagnosis.tables.states import log_odds, reject_clearance, worn_axes
from looseends.inspection.types import CheckDone, ConditionSeen
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import drawn_specimen
from studies.truth import StandingVehicle
from studies.visits_looks import AT_REJECT, Eyes, look_of, looked, one_turned_round, too_much_there
from studies.visits_score import prior_of
from studies.visits_slips import at_least_slight, one_wild, sides_mixed_up
from studies.visits_taken import Paper, Taken
from tests.diagnosis.made_tables import beliefs, by_hand
from tests.diagnosis.made_visits import taken_in, without_readings
from tests.diagnosis.planning.test_looks import absent

RUNABOUT = load_vehicles()["harbour-runabout"]
MOUNT = Setup("mount", "wheels", "left", "free", "off", 0.0)
BEARING, RUBBER = "strut-mount-bearing-left", "strut-mount-left"
SURE = Eyes(50.0, 0.0, 0.0)
DRAWS = 4000


def worn(share: float, part: str = BEARING, masked: bool = False) -> StandingVehicle:
    """The runabout with one part worn to a share of its reject clearance."""
    axis: Axis = worn_axes(RUNABOUT.parts[part])[0]
    wear = {(part, axis): share * reject_clearance(RUNABOUT.parts[part], axis)}
    specimen = drawn_specimen(RUNABOUT, np.random.default_rng(0))
    return StandingVehicle(wear, {}, {}, RUNABOUT, specimen, {}, frozenset({part} if masked else ()))


def answers(true: StandingVehicle, eyes: Eyes, seed: int = 0) -> dict[str, bool]:
    """What one look at the left strut's top says of each part."""
    rng = np.random.default_rng(seed)
    return {one.part: one.present for one in looked(true, RUNABOUT, MOUNT, eyes, 1, (3, seed), rng)}


def test_exact_a_sure_eye_finds_the_worn_part_alone_and_nothing_where_it_is_masked() -> None:
    assert answers(worn(2.0), SURE) == {BEARING: True, RUBBER: False}
    assert answers(worn(2.0, masked=True), SURE) == {BEARING: False, RUBBER: False}


def test_what_is_put_down_is_how_wear_shows_to_that_look() -> None:
    (look,) = [look for look in load_looks() if look.check == "mount"]
    for one in looked(worn(2.0), RUNABOUT, MOUNT, SURE, 7, (0,), np.random.default_rng(0)):
        assert one.condition == look.wear[RUNABOUT.parts[one.part].kind.id]
        assert (one.note, one.number >= 7) == ("mount", True)


def test_wear_that_a_look_does_not_show_is_not_found_by_it() -> None:
    nuts = Setup("fasteners", "wheels", None, "held", "off", 0.0)
    true = worn(3.0, "steering-coupling")
    found = {one.part: one.present for one in looked(true, RUNABOUT, nuts, SURE, 1, (0,), np.random.default_rng(0))}
    assert found["steering-coupling"] is False and not any(found.values())


def test_exact_chances_grow_with_wear_plainness_and_sharpness() -> None:
    eyes = Eyes(AT_REJECT, 0.0, 0.0)
    assert eyes.chance(None, 5.0) == 0.0
    assert eyes.chance(1.0, 0.0) == pytest.approx(0.8455, abs=1e-3)  # 1 / (1 + e^-1.7)
    odds = [eyes.chance(share, 0.0) / (1.0 - eyes.chance(share, 0.0)) for share in (1.0, 2.0)]
    assert odds[1] / odds[0] == pytest.approx(np.exp(0.7))
    assert eyes.chance(1.0, 0.5) > eyes.chance(1.0, 0.0) > replace(eyes, sharpness=0.0).chance(1.0, 0.0)


def test_people_are_unlike_the_catalogue_and_novices_see_less_and_more_that_is_not_there() -> None:
    rng = np.random.default_rng(5)
    usual, novices = ([Eyes.drawn(rng, 0.0, novice=novice) for _ in range(DRAWS)] for novice in (False, True))
    sees = np.array([eyes.chance(1.5, 0.0) for eyes in usual])
    (look,) = [look for look in load_looks() if look.check == "mount"]
    assert np.mean(sees) < look.chance - 0.05 and np.std(sees) > 0.1
    assert np.mean(sees < 0.6) == pytest.approx(1.0 / 6.0, abs=0.05)  # those who see much less, or near them
    assert np.mean([eyes.chance(1.5, 0.0) for eyes in novices]) < np.mean(sees) - 0.1
    assert np.mean([e.seems_there for e in novices]) > 1.8 * np.mean([e.seems_there for e in usual])
    assert min(e.seems_there for e in usual) >= 0.005 and max(e.seems_there for e in usual) <= 0.08


def test_exact_false_finds_and_answers_turned_round_come_as_often_as_said() -> None:
    rng, eyes = np.random.default_rng(2), Eyes(0.0, 0.05, 0.02)
    found = np.mean([eyes.find(None, 0.0, rng.random(), rng) for _ in range(10 * DRAWS)])
    assert found == pytest.approx(0.05 * 0.98 + 0.95 * 0.02, abs=0.005)


def test_exact_a_part_shows_as_plainly_to_everybody(monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[float] = []

    def plainness(_: Eyes, share: float | None, plain: float, misleading: float, rng: np.random.Generator) -> bool:
        shown.extend((plain, misleading))
        return False

    monkeypatch.setattr(Eyes, "find", plainness)
    for drawn in (1, 2):
        looked(worn(1.0), RUNABOUT, MOUNT, SURE, 1, (3, 9), np.random.default_rng(drawn))
    bearing, rubber = shown[:2], shown[2:4]
    assert shown == [*bearing, *rubber, *bearing, *rubber] and bearing != rubber


SEEN = tuple(
    ConditionSeen(number, part, "mount-bearing-binds", "drawn", "mount", part == BEARING)
    for number, part in enumerate((BEARING, "strut-mount-bearing-right"), 1)
)
LOOKS = tuple(
    CheckDone(number, replace(MOUNT, side=side), None, "drawn", (), (), "")
    for number, side in enumerate(("left", "right"), 1)
)
SHAKE = CheckDone(
    3, Setup("wheel39", "frame", "left", "held", "off", 0.0), None, "drawn", (by_hand("a", "none"),), (), ""
)


def test_exact_a_wild_reading_has_one_answer_turned_round_beside_it() -> None:
    paper = one_wild(Paper((*LOOKS, SHAKE), SEEN), np.random.default_rng(0))
    assert sum(a.present != b.present for a, b in zip(paper.seen, SEEN, strict=True)) == 1
    assert paper.checks[2] != SHAKE and paper.checks[:2] == LOOKS
    assert one_turned_round((), np.random.default_rng(0)) == ()


def test_exact_sides_are_mixed_up_in_what_a_look_found() -> None:
    paper = sides_mixed_up(Paper((*LOOKS, SHAKE), SEEN), np.random.default_rng(0))
    assert {one.part: one.present for one in paper.seen} == {BEARING: False, "strut-mount-bearing-right": True}
    assert [done.setup.side for done in paper.checks] == ["right", "left", "left"]


def test_who_calls_everything_finds_too_much_and_still_what_is_there() -> None:
    drawn = [too_much_there(SEEN, np.random.default_rng(seed)) for seed in range(400)]
    assert all(seen[0].present for seen in drawn)
    assert np.mean([seen[1].present for seen in drawn]) == pytest.approx(0.5, abs=0.1)
    assert at_least_slight(Paper((SHAKE,)), np.random.default_rng(0)).checks[0].readings[0].grade == "slight"


def test_a_look_moves_the_vehicle_though_the_plan_heeds_movement_alone() -> None:
    done = Taken(Paper((SHAKE, *LOOKS)), 0.0)
    assert (done.here, done.planned_from) == ("wheels", "frame")
    assert (Taken(Paper(), 0.0).here, Taken(Paper(LOOKS), 0.0).planned_from) == (None, None)


def test_a_setup_is_a_look_or_a_check_of_movement() -> None:
    assert look_of(MOUNT) is not None and look_of(SHAKE.setup) is None


def test_what_was_believed_before_knows_nothing_of_looks() -> None:
    nothing = absent(BEARING, "mount-bearing-binds")
    found = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=(nothing,)))
    assert prior_of(found).log_odds == {BEARING: log_odds(RUNABOUT.parts[BEARING], beliefs())}
    assert found.posterior.prior.log_odds[BEARING] < -2.0  # of the made visit, and lowered by the look


def test_what_seems_to_be_there_seems_so_again_more_often_than_by_chance() -> None:
    rng, eyes = np.random.default_rng(4), Eyes(0.0, 0.1, 0.0)
    parts = rng.random(4 * DRAWS)
    first, second = (np.array([eyes.find(None, 0.0, part, rng) for part in parts]) for _ in range(2))
    assert np.mean(first) == pytest.approx(0.1, abs=0.02)
    assert np.mean(first & second) > 2.0 * np.mean(first) * np.mean(second)


def test_exact_a_look_again_is_at_the_parts_that_are_named_and_is_counted() -> None:
    rng = np.random.default_rng(1)
    before = looked(worn(1.0), RUNABOUT, MOUNT, SURE, 1, (3, 9), rng)
    again = looked(worn(1.0), RUNABOUT, MOUNT, SURE, 5, (3, 9), rng, before, (BEARING,))
    assert [(one.number, one.part, one.again) for one in again] == [(5, BEARING, 1)]
    assert all(one.again == 0 for one in before)
