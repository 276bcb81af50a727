"""What the motion view is sent: the model's own numbers, bodies that show them, and one sentence for wrong input."""

from __future__ import annotations

import json
from collections.abc import Iterator

import numpy as np
import pytest
from litestar import Litestar

from looseends.errors import InputError
from looseends.language import ENGLISH, Speech
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.shake import nominal_preload, prepare_check, shake
from looseends.vehicle.specimen import nominal_specimen
from looseends.web.motion import MotionAsk, MotionRequest, MotionShown, motion_shown, read_motion
from looseends.web.motion.attached import bars_of, joint_places
from looseends.web.motion.presets import PRESETS
from looseends.web.motion.shown import CourseShown, WatchShown
from tests.web.cast import Client, send, sign_in_as, taken_in, words_of

PICKUP = "yard-pickup"
ASKED = (
    MotionAsk(vehicle=PICKUP, check="bj-axial", support="arm", worn=["lower-ball-joint-left.axial=2"]),
    MotionAsk(vehicle=PICKUP, check="bj-axial", support="frame", worn=["lower-ball-joint-left.axial=2"]),
    MotionAsk(vehicle=PICKUP, check="idler", support="frame", worn=["idler-arm.radial=0,9"]),
)


@pytest.fixture(scope="module", params=ASKED, ids=lambda ask: f"{ask.check} {ask.support}")
def answered(request: pytest.FixtureRequest) -> Iterator[tuple[MotionRequest, MotionShown]]:
    """A request and its answer."""
    asked = read_motion(request.param)
    yield asked, motion_shown(asked, ENGLISH)


def test_totals_and_free_travel_are_those_of_a_shake(answered: tuple[MotionRequest, MotionShown]) -> None:
    asked, shown = answered
    specimen = nominal_specimen(asked.vehicle)
    prepared = prepare_check(asked.vehicle, specimen, asked.setup, nominal_preload(PICKUP))
    worn = {movement.watch: movement for movement in shake(asked.vehicle, specimen, prepared, asked.worn).movements}
    sound = {movement.watch: movement for movement in shake(asked.vehicle, specimen, prepared, {}).movements}
    assert shown.watches
    for watch in shown.watches:
        for curve, told in ((watch.worn, worn[watch.id]), (watch.sound, sound[watch.id])):
            assert curve.total_mm == pytest.approx(told.total, abs=1e-6)
            assert curve.free_mm == pytest.approx(told.free, abs=1e-6)
            assert curve.moved_mm[-1] == pytest.approx(told.total, abs=1e-6)


def watched(shown: MotionShown, watch: WatchShown, course: CourseShown, step: int) -> float:
    """The watch's movement [mm] from the first step, from the bodies' displacements alone."""
    moved = np.array(course.displacements[step]) - np.array(course.displacements[0])

    def at(body: int, place: np.ndarray) -> np.ndarray:
        if body < 0:
            return np.zeros(3)
        return moved[body, :3] + np.cross(moved[body, 3:], place - np.array(shown.scene.bodies[body].origin))

    squares = [
        float(np.sum((np.array(spot.directions) @ (at(spot.body, place) - at(spot.against, place))) ** 2))
        for spot in watch.spots
        for place in [np.array(spot.place)]
    ]
    return float(np.sqrt(np.mean(squares)))


def test_bodies_drawn_at_both_ends_show_what_the_gauge_reads(answered: tuple[MotionRequest, MotionShown]) -> None:
    _, shown = answered
    for watch in shown.watches:
        for course, curve in ((shown.sound, watch.sound), (shown.worn, watch.worn)):
            assert watched(shown, watch, course, len(shown.shares) - 1) == pytest.approx(curve.total_mm, abs=1e-5)


def test_the_forces_on_a_wheel_and_its_hub_balance_its_weight_and_the_bar(
    answered: tuple[MotionRequest, MotionShown],
) -> None:
    asked, shown = answered
    hub = next(n for n, body in enumerate(shown.scene.bodies) if body.name == "hub-left")
    weight = 9.80665 * next(body.mass for body in asked.vehicle.layout.bodies if body.id == "hub")
    for step, share in enumerate(shown.shares):
        upright = -weight + sum(share * hand.force_N[2] for hand in shown.hands if hand.body == hub)
        for joint, force in zip(shown.scene.joints, shown.worn.forces_N[step], strict=True):
            upright += force[2] * ((joint.bodies[1] == hub) - (joint.bodies[0] == hub))
        assert upright == pytest.approx(0.0, abs=0.5)


def test_on_the_stand_the_joint_hangs_loose_nowhere_and_crosses_its_dead_zone_once() -> None:
    shown = motion_shown(read_motion(ASKED[0]), ENGLISH)
    watch = next(watch for watch in shown.watches if watch.id == "lower-ball-joint-left")
    inside = [k for k, dead in enumerate(watch.worn.in_dead_zone) if dead]
    assert inside and inside == list(range(inside[0], inside[-1] + 1))
    crossed = watch.worn.moved_mm[inside[-1] + 1] - watch.worn.moved_mm[inside[0]]
    assert crossed == pytest.approx(watch.worn.free_mm, abs=0.05)


@pytest.mark.parametrize("vehicle", load_vehicles().values(), ids=lambda vehicle: vehicle.id)
def test_every_joint_of_every_vehicle_sits_on_a_bar_of_its_bodies(vehicle) -> None:  # type: ignore[no-untyped-def]
    bars = bars_of(vehicle)
    for body, places in joint_places(vehicle).items():
        own = [bar for bar in bars if body in bar.bodies]
        if len({tuple(np.round(place)) for place in places}) < 2:
            continue
        for place in places:
            gaps = []
            for bar in own:
                along = bar.points[1] - bar.points[0]
                share = np.clip((place - bar.points[0]) @ along / max(along @ along, 1e-9), 0.0, 1.0)
                gaps.append(float(np.linalg.norm(place - bar.points[0] - share * along)))
            assert min(gaps) <= 20.0 + 1e-6, (body, place)


REFUSED = {
    "vehicle": ({"vehicle": "yard-pikup"}, 'vehicle "yard-pikup"'),
    "check": ({"check": "bj-axal"}, '"bj-axal"'),
    "no movement": ({"check": "lift-points"}, "check"),
    "support": ({"support": "ceiling"}, "support of check"),
    "side": ({"side": "middle"}, "left or right"),
    "steer": ({"steer": "loose"}, "steer of check"),
    "brake": ({"brake": "on"}, "brake of check"),
    "stroke": ({"stroke": "sideways"}, "stroke of check"),
    "inboard without its support": ({"support": "frame", "stand_inboard_mm": 50.0}, 'support "arm" only'),
    "inboard too far": ({"stand_inboard_mm": 4000.0}, "from 0 to 300"),
    "inboard is no number": ({"stand_inboard_mm": float("nan")}, "from 0 to 300"),
    "worn without a size": ({"worn": ["idler-arm"]}, "PART=MM"),
    "worn part": ({"worn": ["idler-am=1"]}, "idler-arm"),
    "worn axis": ({"worn": ["idler-arm.sideways=1"]}, "axis must be"),
    "worn too far": ({"worn": ["idler-arm.radial=900"]}, "from 0 to"),
    "worn negative": ({"worn": ["idler-arm.radial=-1"]}, "from 0 to"),
    "worn twice": ({"worn": ["idler-arm=1", "idler-arm.radial=2"]}, "found it twice"),
    "worn too many": ({"worn": ["idler-arm=1"] * 13}, "at most 12"),
}


@pytest.mark.parametrize(("given", "told"), REFUSED.values(), ids=REFUSED)
def test_wrong_input_is_refused_in_one_sentence(given: dict[str, object], told: str) -> None:
    good: dict[str, object] = {"vehicle": PICKUP, "check": "bj-axial", "support": "arm"}
    with pytest.raises(InputError) as caught:
        read_motion(MotionAsk(**(good | given)))  # type: ignore[arg-type]
    assert told in str(caught.value)
    assert str(caught.value).count("\n") == 0


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.id)
def test_every_lesson_can_be_asked_for(preset) -> None:  # type: ignore[no-untyped-def]
    ask = MotionAsk(
        vehicle=PICKUP,
        check=preset.check,
        support=preset.support,
        side=preset.side,
        stroke=preset.stroke,
        brake=preset.brake,
        stand_inboard_mm=preset.stand_inboard_mm,
        worn=list(preset.worn),
    )
    asked = read_motion(ask)
    assert (asked.setup.check, asked.setup.support) == (preset.check, preset.support)
    assert asked.worn


def test_the_api_refuses_a_stranger_and_answers_a_learner(app: Litestar, stranger: Client) -> None:
    address = f"/api/motion?vehicle={PICKUP}&check=bj-axial&support=arm&worn=lower-ball-joint-left.axial%3D2"
    assert stranger.get(address).status_code == 401
    sign_in_as(app, stranger, "learner")
    answer = stranger.get(address)
    assert answer.status_code == 200
    shown = json.loads(answer.text)
    assert len(shown["shares"]) == len(shown["worn"]["displacements"]) == 21
    wrong = stranger.get(address + "&side=middle")
    assert wrong.status_code == 400
    assert "left or right" in wrong.json()["detail"]


def test_a_visit_brings_its_own_vehicle(technician: Client) -> None:
    technician.get("/intake")
    visit = taken_in(technician)
    page = technician.get(f"/visits/{visit}/motion")
    assert page.status_code == 200
    assert 'id="vehicle"' not in page.text
    answer = technician.get(f"/api/motion?visit={visit}&check=bj-axial&support=arm")
    assert answer.json()["setup"]["vehicle"] == PICKUP
    assert technician.get("/visits/nothing/motion").status_code == 404


def test_the_page_says_what_was_asked_wrongly_and_still_opens(technician: Client) -> None:
    page = technician.get("/motion?vehicle=yard-pickup&check=bj-axial&worn=idler-arm%3D999")
    assert page.status_code == 400
    assert "idler-arm: clearance must be from 0 to" in page.text
    assert 'id="motion-form"' in page.text


def test_the_form_asks_in_the_units_of_the_person_and_refuses_in_them(technician: Client) -> None:
    address = "/motion?vehicle=yard-pickup&check=bj-axial&support=arm&worn=idler-arm.radial%3D4&stand_inboard"
    fields = (
        ("metric", f"{address}_mm=200", '"200" data-mm="200.0"', '"4" data-mm="4.0"', ">mm</span>", "from 0 to 300 mm"),
        ("us", f"{address}=7,5", '"7.500" data-mm="190.5"', '"0.157" data-mm="4.0"', ">in</span>", "from 0 to 11.8 in"),
    )
    for units, asked, inboard, worn, unit, most in fields:
        technician.get("/motion")
        send(technician, "/me", units=units, back="/")
        page = technician.get(asked)
        assert page.status_code == 200
        assert all(words in page.text for words in (f"value={inboard}", f"value={worn}", unit))
        assert most in words_of(technician.get(f"{address}_mm=4000").text)
        assert "found 39.4 in." in words_of(technician.get("/motion?worn=idler-arm%3D1000").text) or units == "metric"


def test_the_flat_plan_draws_an_arrow_for_each_hand_and_the_true_movement(technician: Client) -> None:
    asked = "vehicle=yard-pickup&check=bj-axial&support=arm&worn=lower-ball-joint-left.axial%3D2"
    drawing = technician.get(f"/motion/plan.svg?{asked}")
    assert drawing.headers["content-type"].startswith("image/svg+xml")
    assert "900 N" in drawing.text and "2.20 mm up and down" in drawing.text  # at the tread, the most of all


def test_names_come_in_the_reader_s_language() -> None:
    shown = motion_shown(read_motion(ASKED[0]), Speech("es"))
    names = {joint.part: joint.name for joint in shown.scene.joints}
    assert "rótula inferior" in names["lower-ball-joint-left"]
