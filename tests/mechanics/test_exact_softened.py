"""Exact: softened and missing parts against the same mechanism built with less stiffness, or without the part."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.clearance import Clearance, Shape, clearance_arrays, softening
from looseends.mechanics.elements import PointJoint
from looseends.mechanics.model import Mechanism, Watch
from tests.mechanics.mechanisms import ORIGIN, Stroke, X, Y, Z, hung_mass, joint, look, pull, random_sample, stroke_of

K = 500.0


def test_softness_in_series_leaves_the_stiffness_that_was_asked_for() -> None:
    k, left = np.array([500.0, 500.0, 2e4]), np.array([499.0, 1.0, 0.0])
    D = softening(k, left)
    assert k * D / (k + D) == pytest.approx(left, rel=1e-12)
    assert D[2] == 0.0


@pytest.mark.parametrize(("shape", "direction"), [("ball", X), ("ball", Z), ("pin", Y), ("pin", Z), ("slot", X)])
@pytest.mark.parametrize("left", [0.02, 0.5, 0.98])
def test_a_softened_joint_gives_by_force_over_what_is_left(shape: Shape, direction: Array, left: float) -> None:
    # Its sound clearance does not count on top.
    stroke = stroke_of(hung_mass(shape), [pull("mass", 70.0 * direction)], [look("mass", direction)])
    worn = Clearance(shape, 0.8, 0.3, radial_stiffness_left=left, axial_stiffness_left=left)
    for share in (1.0, -1.0):
        rest = stroke.rest({"loose": worn}, share)
        assert rest.moved["movement"] == pytest.approx([share * 70.0 / (left * K)], rel=1e-8)
        assert np.linalg.norm(rest.force["loose"]) == pytest.approx(70.0, rel=1e-8)


@pytest.mark.parametrize("shape", ["ball", "pin"])
def test_softened_across_it_stays_stiff_along(shape: Shape) -> None:
    # A ball is one block: softened across, it has no lash along either.
    watch = Watch("movement", "mass", GROUND, ORIGIN[None, :], np.eye(3))
    stroke = stroke_of(hung_mass(shape), [pull("mass", 70.0 * X + 30.0 * Z)], [watch])
    rest = stroke.rest({"loose": Clearance(shape, 0.8, 0.3, radial_stiffness_left=0.25)})
    along = 30.0 / K + (0.15 if shape == "pin" else 0.0)
    assert rest.moved["movement"] == pytest.approx([70.0 / (0.25 * K), 0.0, along], abs=1e-9)


@pytest.mark.parametrize(("force", "gives"), [(60.0, False), (140.0, True)])
def test_a_seat_holds_a_softened_joint_until_it_is_exceeded(force: float, gives: bool) -> None:
    # Below 100 N it is as stiff as sound; what exceeds it goes through D = k k'/(k - k').
    D = K * 0.2 * K / (K - 0.2 * K)
    stroke = stroke_of(hung_mass("pin"), [pull("mass", force * X)], [look("mass", X)])
    rest = stroke.rest({"loose": Clearance("pin", 0.0, 0.0, seat=100.0, radial_stiffness_left=0.2)})
    assert rest.moved["movement"] == pytest.approx([force / K + (force - 100.0) / D * gives], rel=1e-8)


def _with_joint(stroke: Stroke, changed: PointJoint | None, name: str) -> Stroke:
    """The same mechanism and load with one joint replaced, or left out."""
    kept = [e if e.name != name else changed for e in stroke.mechanism.elements]
    mechanism = Mechanism(stroke.mechanism.bodies, tuple(e for e in kept if e is not None))
    last = mechanism.bodies[-1].name
    force = pull(last, [30.0, -50.0, 80.0], [100.0, 40.0, -60.0])
    return stroke_of(mechanism, [force], [Watch("movement", last, GROUND, np.array([[90.0, 10.0, 20.0]]), np.eye(3))])


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("left", [0.0, 0.1, 0.7])
def test_a_softened_joint_in_any_mechanism_is_the_mechanism_built_softer(seed: int, left: float) -> None:
    sample = random_sample(np.random.default_rng(seed))
    loose = [e for e in sample.stroke.mechanism.elements if isinstance(e, PointJoint) and e.name in sample.clearances]
    for element in loose:
        worn = sample.clearances[element.name]
        others = {name: c for name, c in sample.clearances.items() if name != element.name}
        soft = replace(worn, radial_stiffness_left=left, axial_stiffness_left=left)
        # Its rotational stiffness is not what softens; left in place on both sides.
        weaker = replace(element, stiffness=left * element.stiffness, shape=None)
        here = _with_joint(sample.stroke, element, element.name).rest({**others, element.name: soft})
        there = _with_joint(sample.stroke, weaker, element.name).rest(others)
        size = max(1.0, float(np.max(np.abs(there.moved["movement"]))))
        assert here.moved["movement"] == pytest.approx(there.moved["movement"], abs=2e-5 * size)
        carried = max(1.0, max((float(np.max(np.abs(f))) for f in there.force.values()), default=0.0))
        for name, force in there.force.items():
            assert here.force[name] == pytest.approx(force, abs=1e-4 * carried)


def test_a_missing_part_carries_nothing_and_its_neighbour_all() -> None:
    beside = joint("beside", GROUND, "mass", ORIGIN, 200.0, shape="pin")
    mechanism = hung_mass("ball")
    both = Mechanism(mechanism.bodies, (*mechanism.elements, beside))
    stroke = stroke_of(both, [pull("mass", 40.0 * X)], [look("mass", X)])
    rest = stroke.rest({"loose": Clearance("ball", 0.8, 0.3, missing=True)})
    assert rest.force["loose"] == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)
    assert rest.force["beside"] == pytest.approx([40.0, 0.0, 0.0], rel=1e-9)
    assert rest.moved["movement"] == pytest.approx([40.0 / 200.0], rel=1e-9)


def test_a_body_whose_only_joint_is_missing_is_refused_under_load() -> None:
    stroke = stroke_of(hung_mass("ball"), [pull("mass", 40.0 * X)])
    with pytest.raises(MechanicsError, match="missing or that friction holds alone is all that carries a load"):
        stroke.rest({"loose": Clearance("ball", 0.8, 0.3, missing=True)})


def test_a_softened_joint_needs_to_know_how_stiff_it_was() -> None:
    reduced = stroke_of(hung_mass("pin"), [pull("mass", X)]).reduced
    soft = {"loose": Clearance("pin", 0.0, 0.0, radial_stiffness_left=0.5)}
    with pytest.raises(ValueError, match='joint "loose" is softened; accepted only where the stiffness'):
        clearance_arrays(soft, reduced.joints, reduced.held, reduced.blocks)


@pytest.mark.parametrize(("field", "value"), [
    ("radial", -0.1), ("axial", float("inf")), ("seat", -1.0), ("seat", float("nan")),
    ("radial_stiffness_left", 1.2), ("axial_stiffness_left", -0.1),
])  # fmt: skip
def test_a_clearance_that_is_none_is_refused(field: str, value: float) -> None:
    with pytest.raises(ValueError, match=f"{field} is {value}; accepted is"):
        replace(Clearance("pin", 0.5, 0.5), **{field: value})  # type: ignore[arg-type]


def test_arrays_stand_where_the_joints_and_their_blocks_are() -> None:
    elements = (
        joint("pin", GROUND, "mass", ORIGIN, [900.0, 900.0, 100.0], shape="pin"),
        joint("sound", GROUND, "mass", ORIGIN, K, shape="ball"),
        joint("ball", GROUND, "mass", ORIGIN, K, shape="ball", turning=1e6),
    )
    stroke = stroke_of(Mechanism((Body("mass", 0.0, ORIGIN),), elements), [pull("mass", X)])
    arrays = stroke.arrays({
        "pin": Clearance("pin", 0.4, 0.2, seat=7.0, axial_stiffness_left=0.5),
        "ball": Clearance("ball", 0.6, 0.3, seat=9.0),
    })  # fmt: skip
    assert arrays.semi.tolist() == [0.2, 0.2, np.inf, 0.0, 0.0, 0.0, 0.3, 0.3, 0.15]
    assert arrays.seats.tolist() == [7.0, 7.0, 0.0, 9.0]
    assert arrays.softness == pytest.approx([0.0, 0.0, 100.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
