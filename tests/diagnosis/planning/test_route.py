"""Routes over ways made by hand: what comes first, what is proven by what, and what is left and why."""

from __future__ import annotations

from dataclasses import replace

import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.planning.route import Route, change_minutes, full_route, route_within
from looseends.diagnosis.planning.ways import By
from looseends.errors import InputError
from tests.diagnosis.made_tables import beliefs, yard_pickup
from tests.diagnosis.made_ways import AXES, DRY_PARK, IDLER, LASH, LIFT, NUTS, SHAKE_ARM, SHAKE_FRAME, WAYS, way

MINUTES = {check.id: check.minutes for check in load_catalogue().checks.values()}


def full(by: By = "gauge") -> Route:
    """The shortest route over the made ways."""
    return full_route(yard_pickup(), WAYS, by, beliefs())


def within(minutes: float, weights: dict[str, float] | None = None, by: By = "gauge") -> Route:
    """The most proven over the made ways."""
    return route_within(yard_pickup(), WAYS, by, beliefs(), weights or dict.fromkeys(AXES, 1.0), minutes)


def test_it_begins_with_the_lift_points() -> None:
    for route in (full(), within(20.0)):
        assert route.opening is load_opening()
        assert "lift points" in route.opening.name
        assert "lift points" in load_catalogue().checks[route.opening.check].name
        assert "rust" in route.opening.stop.lower()


def test_exact_the_shortest_shakes_on_the_arm_and_needs_no_floor() -> None:
    """Both what the frame and what the floor would prove is proven on the arm, where the lift must be done anyway."""
    route = full()
    assert [step.setup for step in route.steps] == [NUTS, IDLER, LIFT, SHAKE_ARM]
    changes = change_minutes()
    checks = sum(MINUTES[setup.check] for setup in (NUTS, LIFT, SHAKE_ARM, IDLER))
    assert route.minutes == load_opening().minutes + changes["frame"] + changes["arm"] + checks
    assert route.goal == pytest.approx(route.minutes)
    assert route.bound == pytest.approx(route.minutes, abs=1e-6)


def test_exact_the_observer_decides_what_is_proven() -> None:
    """By hand the shake on the arm proves no pitman ball; the eye sees the idler arm alone."""
    assert DRY_PARK in [step.setup for step in full("hand").steps]
    assert [step.setup for step in full("eye").steps] == [IDLER]


def test_exact_the_support_that_it_comes_in_on_is_first_and_costs_nothing() -> None:
    leg = full("hand").legs[0]
    assert (leg.support, leg.minutes) == (load_opening().arrives_on, 0.0)
    assert all(leg.minutes == load_catalogue().supports[leg.support].minutes for leg in full("hand").legs[1:])


def test_each_support_is_visited_once_and_steps_are_numbered_through() -> None:
    route = full()
    assert len({leg.support for leg in route.legs}) == len(route.legs)
    assert [step.number for step in route.steps] == list(range(1, len(route.steps) + 1))
    assert all(step.setup.support == leg.support for leg in route.legs for step in leg.steps)


def test_every_part_that_some_way_proves_is_proven_once() -> None:
    route = full()
    proven = [proof.part for step in route.steps for proof in step.proves if step.setup != NUTS]
    assert sorted(proven) == ["idler-arm", "lower-ball-joint-left", "outer-tie-rod-end-left", "pitman-ball"]
    assert all(proof.chance >= beliefs().seen_at_least for step in route.steps for proof in step.proves)


def test_what_a_later_step_shows_again_is_not_proven_twice() -> None:
    both = (*WAYS, way("outer-tie-rod-end-left", LIFT, 0.95))
    *_, lift, shake = full_route(yard_pickup(), both, "gauge", beliefs()).steps
    assert "outer-tie-rod-end-left" in {proof.part for proof in lift.proves}
    assert (shake.setup, shake.again) == (SHAKE_ARM, ("outer-tie-rod-end-left",))


def test_what_nothing_proves_is_looked_at_where_it_shows_best() -> None:
    """0.75 on its wheels and 0.6 on the arm: the wheels, though the arm is shaken anyway; 0.5 is worth no look."""
    link, damper = "sway-bar-link-left", "steering-damper"
    more = (way(link, LIFT, 0.6), way(link, DRY_PARK, 0.75), way(damper, LASH, 0.5))
    route = full_route(yard_pickup(), (*WAYS, *more), "gauge", beliefs())
    shown = {proof.part: step.setup for step in route.steps for proof in step.shows}
    assert shown == {link: DRY_PARK, "idler-ball": SHAKE_ARM}
    assert link in {left.part for left in route.unproven} | {found.part for found in route.together}
    assert LASH not in [step.setup for step in route.steps]


def test_where_nothing_can_be_proven_the_route_is_the_look_at_the_lift_points() -> None:
    route = full_route(yard_pickup(), (way("idler-arm", IDLER, 0.9, 0.9, 0.5),), "eye", beliefs())
    assert (route.legs, route.minutes) == ((), load_opening().minutes)
    assert {left.part for left in route.unproven} == set(AXES)
    assert within_nothing().legs == ()


def within_nothing() -> Route:
    """Ten minutes in which nothing can be proven."""
    nothing = (way("idler-arm", IDLER, 0.9, 0.9, 0.5),)
    return route_within(yard_pickup(), nothing, "eye", beliefs(), {"idler-arm": 1.0}, 10.0)


def test_an_axis_that_does_not_lead_proves_no_part() -> None:
    assert "upper-ball-joint-left" in {left.part for left in full().unproven}


def test_exact_steps_that_miss_apart_prove_together() -> None:
    """0.8 on the arm and 0.7 at the idler: masking counts once, as where a judgement counts readings together."""
    (found,) = full().together
    shown = 1.0 - beliefs().masked_chance
    assert found.part == "idler-ball"
    assert found.chance == pytest.approx(shown * (1.0 - (1.0 - 0.8 / shown) * (1.0 - 0.7 / shown)))
    assert [full().steps[number - 1].setup for number in found.steps] == [IDLER, SHAKE_ARM]


def test_what_is_left_says_why() -> None:
    left = {entry.part: entry for entry in full().unproven}
    assert left["steering-gear"].why == "the best check shows it by gauge with a chance of 50 % only"
    assert left["sway-bar-link-left"].why == "no check in the catalogue moves it"
    assert left["sway-bar-link-left"].best is None
    by_eye = {entry.part: entry for entry in full("eye").unproven}
    assert by_eye["lower-ball-joint-left"].why.endswith("by gauge or by hand the same check would prove it")
    everything = {p.part for s in full().steps for p in s.proves} | {t.part for t in full().together} | set(left)
    assert everything == set(AXES)


@pytest.mark.parametrize("minutes", [9.0, 12.0, 15.0, 20.0, 60.0])
def test_a_route_within_some_minutes_keeps_to_them_and_more_time_proves_no_less(minutes: float) -> None:
    route = within(minutes)
    spent = route.opening.minutes + sum(leg.minutes + sum(s.minutes for s in leg.steps) for leg in route.legs)
    assert route.minutes == spent <= minutes
    assert route.goal == pytest.approx(route.bound, abs=1e-6)
    assert within(minutes + 5.0).goal >= route.goal


def test_exact_the_suspicion_decides_what_is_proven_first() -> None:
    """In 15 min either the lift, or the shake, or the idler can be done under its support, not two of them."""
    for part, setup in (("lower-ball-joint-left", LIFT), ("idler-arm", IDLER)):
        route = within(14.0, dict.fromkeys(AXES, 0.01) | {part: 1.0})
        assert [step.setup for step in route.steps] == [setup]
        left = {entry.part: entry.why for entry in route.unproven}
        assert left["outer-tie-rod-end-left"] == "not within 14 min"


def test_exact_what_proves_most_per_minute_is_done_first() -> None:
    weights = dict.fromkeys(AXES, 0.01) | {"idler-arm": 1.0, "lower-ball-joint-left": 0.1}
    assert within(60.0, weights).legs[0].support == "frame"
    weights |= {"idler-arm": 0.05, "lower-ball-joint-left": 1.0}
    assert within(60.0, weights).legs[0].support == "arm"


def test_too_few_minutes_are_refused_with_the_fewest_that_do() -> None:
    least = load_opening().minutes + MINUTES["fasteners"]
    with pytest.raises(InputError, match=f"--minutes must be at least {least:g}, .* found 5"):
        within(5.0)
    assert within(least).steps[0].setup == replace(NUTS, support="wheels")
    with pytest.raises(InputError, match=f"--minutes must be at least {MINUTES['idler'] + 9.0:g}, .* found 5"):
        within(5.0, by="eye")


def test_exact_what_no_movement_proves_a_look_proves_by_what_wear_shows_to_it() -> None:
    """Clear play of a jam nut here is read by gauge; by hand it is felt with 0.6 only, and the nuts are looked at."""
    nut = "tie-rod-jam-nut-left"
    shown = (*WAYS, way(nut, SHAKE_ARM, 0.95, 0.6))
    by_gauge, by_hand = (full_route(yard_pickup(), shown, by, beliefs()).steps for by in ("gauge", "hand"))
    found = {proof.part: (step.setup.check, proof.watch) for step in by_gauge for proof in step.proves}
    assert found["tie-rod-jam-nut-right"] == ("fasteners", "jam-nut-loose")
    assert found[nut] == ("wheel39", nut)
    found = {proof.part: (step.setup.check, proof.watch) for step in by_hand for proof in step.proves}
    assert found[nut] == ("fasteners", "jam-nut-loose")


def test_a_look_proves_no_part_whose_wear_does_not_show_to_it() -> None:
    proven = {proof.part for step in full().steps if step.setup == NUTS for proof in step.proves}
    assert "steering-box-mount" in proven and "u-bolt-clamp-left" in proven
    assert "steering-coupling" not in proven


def test_on_the_frame_the_tie_rod_end_is_proven_where_only_that_is_sought() -> None:
    route = within(13.0, {part: float(part == "outer-tie-rod-end-left") for part in AXES})
    assert [step.setup for step in route.steps] in ([SHAKE_FRAME], [SHAKE_ARM])
