"""Exact: springs of six by six against handbook beams, other elements, and a strut worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array, Body, Pose, rotation_matrix
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.constants import GRAVITY, ROTATION_LENGTH
from looseends.mechanics.elements import Element, TorsionSpring, rows
from looseends.mechanics.model import Force, Mechanism
from looseends.mechanics.settle import settle
from looseends.mechanics.springs import Spring, axial_spring, beam_stiffness
from looseends.mechanics.struts import strut
from tests.mechanics.mechanisms import NO_TURN, ORIGIN, X, Y, Z, joint, look, pull, stroke_of

LENGTH, EA, EI_X, EI_Y, GJ = 600.0, 4e7, 3e9, 5e9, 2e9
BEAM = beam_stiffness(LENGTH, EA, EI_X, EI_Y, GJ)
UNIT = np.array([1.0, 1.0, 1.0, *[ROTATION_LENGTH] * 3])


def _end(name: str = "end") -> Body:
    return Body(name, 0.0, LENGTH * Z)


def _beam() -> Mechanism:
    return Mechanism((_end(),), (Spring("beam", GROUND, "end", LENGTH * Z, np.eye(3), BEAM),))


def _moved(mechanism: Mechanism, forces: list[Force], at: Array, direction: Array) -> float:
    stroke = stroke_of(mechanism, forces, [look("end", direction, at)])
    return float(stroke.rest({}).moved["movement"][0])


@pytest.mark.parametrize(("direction", "bending"), [(X, EI_Y), (Y, EI_X)])
def test_published_cantilever_with_a_force_at_its_end(direction: Array, bending: float) -> None:
    # Handbook of structures: deflection P L³/3EI, slope P L²/2EI; a mark 100 mm beyond the end shows slope × 100 more.
    load = 50.0
    deflection, slope = load * LENGTH**3 / (3 * bending), load * LENGTH**2 / (2 * bending)
    force = [pull("end", load * direction, LENGTH * Z)]
    assert _moved(_beam(), force, LENGTH * Z, direction) == pytest.approx(deflection, rel=1e-9)
    assert _moved(_beam(), force, (LENGTH + 100.0) * Z, direction) == pytest.approx(
        deflection + 100.0 * slope, rel=1e-9
    )


@pytest.mark.parametrize(("direction", "bending"), [(X, EI_Y), (Y, EI_X)])
def test_published_cantilever_with_a_couple_at_its_end(direction: Array, bending: float) -> None:
    # Deflection M L²/2EI, slope M L/EI; the couple is ± 50 N, 40 mm apart along the beam.
    couple = 50.0 * 40.0
    forces = [pull("end", s * 50.0 * direction, (LENGTH + s * 20.0) * Z) for s in (1.0, -1.0)]
    deflection = couple * LENGTH**2 / (2 * bending)
    assert _moved(_beam(), forces, LENGTH * Z, direction) == pytest.approx(deflection, rel=1e-9)
    beyond = deflection + 100.0 * couple * LENGTH / bending
    assert _moved(_beam(), forces, (LENGTH + 100.0) * Z, direction) == pytest.approx(beyond, rel=1e-9)


def test_published_beam_twisted_stretched_and_guided() -> None:
    # Twist M L/GJ; stretch P L/EA; a guided end (no slope) is held by 12 EI/L³.
    twist = [pull("end", s * 50.0 * Y, LENGTH * Z + s * 20.0 * X) for s in (1.0, -1.0)]
    angle = 50.0 * 40.0 * LENGTH / GJ
    assert _moved(_beam(), twist, LENGTH * Z + 70.0 * X, Y) == pytest.approx(70.0 * angle, rel=1e-9)
    stretch = _moved(_beam(), [pull("end", 900.0 * Z, LENGTH * Z)], LENGTH * Z, Z)
    assert stretch == pytest.approx(900.0 * LENGTH / EA, rel=1e-9)
    guide = joint("guide", GROUND, "end", LENGTH * Z, [0.0, 0.0, 0.0], turning=1e14, shape=None)
    guided = Mechanism((_end(),), (*_beam().elements, guide))
    shift = _moved(guided, [pull("end", 50.0 * X, LENGTH * Z)], LENGTH * Z, X)
    assert shift == pytest.approx(50.0 * LENGTH**3 / (12 * EI_Y), rel=1e-6)


def _matrix(element: Element, poses: dict[str, Pose], names: tuple[str, ...] = ("one", "other")) -> Array:
    """Stiffness (12, 12) of an element on two bodies' displacements."""
    part = rows(element, poses)
    B = np.hstack([part.on[name] for name in names])
    return np.asarray(B.T @ (part.stiffness[:, None] * B))


def test_a_beam_told_from_its_other_end_is_the_same_beam() -> None:
    poses = {"one": Pose(-50.0 * X), "other": Pose(LENGTH * Z + 80.0 * Y)}
    here = Spring("beam", "one", "other", LENGTH * Z, np.eye(3), BEAM)
    about = np.diag([1.0, -1.0, -1.0])  # half a turn about x: z points back along the beam
    there = Spring("beam", "other", "one", ORIGIN, about, BEAM)
    expected = _matrix(here, poses)
    assert _matrix(there, poses) == pytest.approx(expected, abs=1e-9 * float(np.max(expected)))


def test_springs_of_one_axis_are_the_elements_that_exist_for_them() -> None:
    poses = {"one": Pose(-50.0 * X), "other": Pose(30.0 * Y, rotation_matrix(0.2 * Z), 3.0 * X)}
    bar = TorsionSpring("bar", "one", "other", Z, 2e6, 5e4)
    twist = np.diag([0.0, 0.0, 0.0, 0.0, 0.0, 2e6])
    same = Spring("bar", "one", "other", ORIGIN, np.eye(3), twist, np.array([0.0, 0.0, 0.0, 0.0, 0.0, 5e4]))
    point = joint("point", "one", "other", 70.0 * X, [100.0, 200.0, 300.0], turning=[1e5, 2e5, 3e5], shape=None)
    diagonal = Spring("point", "one", "other", 70.0 * X, np.eye(3), np.diag([100.0, 200.0, 300.0, 1e5, 2e5, 3e5]))
    for one, other in ((bar, same), (point, diagonal)):
        a, b = rows(one, poses), rows(other, poses)
        assert _matrix(other, poses) == pytest.approx(_matrix(one, poses), rel=1e-9, abs=1e-6)
        for body in ("one", "other"):
            push = a.on[body].T @ (a.stiffness * a.offset)
            assert b.on[body].T @ (b.stiffness * b.offset) == pytest.approx(push, rel=1e-9, abs=1e-6)


def _random_stiffness(rng: np.random.Generator, rank: int) -> Array:
    root = rng.normal(0.0, 1.0, (rank, 6)) * np.array([10.0, 10.0, 10.0, 1e3, 1e3, 1e3])
    return np.asarray(root.T @ root)


@pytest.mark.parametrize("rank", [1, 2, 4, 6])
@pytest.mark.parametrize("loose", [(False, False, False), (False, True, False)])
def test_the_rows_give_back_stiffness_and_preload(rank: int, loose: tuple[bool, bool, bool]) -> None:
    """Whatever the root: rows' stiffness about the design pose is K, and the push on body b is the preload."""
    rng = np.random.default_rng(rank)
    K = _random_stiffness(rng, rank)
    preload = K @ rng.normal(0.0, 1.0, 6)
    spring = Spring("spring", GROUND, "end", ORIGIN, np.eye(3), K, preload, np.array(loose))
    part = rows(spring, {"end": Pose(ORIGIN)})
    B = part.on["end"] * UNIT
    assert B.T @ (part.stiffness[:, None] * B) == pytest.approx(K, abs=1e-8 * float(np.max(K)))
    push = -B.T @ (part.stiffness * part.offset)
    assert push == pytest.approx(preload, abs=1e-8 * float(np.max(np.abs(preload))))
    assert part.unknowns == sum(loose)


def test_lash_on_one_axis_of_a_coupled_spring() -> None:
    # Leaf clamped on a loose seat: K couples z with x. A pull along z moves it by c/2 + (K⁻¹)_zz F, and along x by
    # (K⁻¹)_xz F: the lash itself is along z only.
    K = np.diag([400.0, 1e4, 300.0, 1e8, 1e8, 1e8])
    K[0, 2] = K[2, 0] = 150.0
    spring = Spring("leaf", GROUND, "end", ORIGIN, np.eye(3), K, loose=Z > 0)
    mechanism = Mechanism((Body("end", 0.0, ORIGIN),), (spring,))
    inverse = np.linalg.inv(K)
    for direction, axis, free in ((Z, 2, 0.35), (X, 0, 0.0)):
        stroke = stroke_of(mechanism, [pull("end", 60.0 * Z)], [look("end", direction)])
        moved = stroke.rest({"leaf": Clearance("slot", 0.0, 0.7)}).moved["movement"]
        assert moved == pytest.approx([free + 60.0 * inverse[axis, 2]], rel=1e-9)


def test_two_loose_axes_of_a_spring_are_taken_up_each_for_itself() -> None:
    K = np.diag([400.0, 1e4, 300.0, 1e8, 1e8, 1e8])
    spring = Spring("bushing", GROUND, "end", ORIGIN, np.eye(3), K, loose=np.array([True, False, True]))
    stroke = stroke_of(Mechanism((Body("end", 0.0, ORIGIN),), (spring,)), [pull("end", 3.0 * X + 4.0 * Z)])
    rest = stroke.rest({"bushing": Clearance("slot", 0.4, 0.6)})
    assert rest.solution.g == pytest.approx([0.2, 0.3], abs=1e-9)
    assert rest.force["bushing"] == pytest.approx([3.0, 4.0], rel=1e-9)


@pytest.mark.parametrize("short", [0.0, 40.0, -25.0])
def test_an_air_spring_settles_where_its_push_is_the_weight(short: float) -> None:
    # Guided to move along z only. At the design pose it pushes with m g + rate × short, so it rises by `short`.
    mass, rate = 300.0, 45.0
    guide = joint("guide", GROUND, "body", ORIGIN, [1e5, 1e5, 0.0], turning=1e10, shape=None)
    spring = axial_spring("air", GROUND, "body", ORIGIN, Z, rate, mass * GRAVITY + rate * short)
    settled = settle(Mechanism((Body("body", mass, ORIGIN),), (guide, spring)))
    assert settled.poses["body"].shift == pytest.approx([0.0, 0.0, short], abs=1e-6)


LOWER, UPPER, TOP = 100.0 * Z, 300.0 * Z, 500.0 * Z
GUIDE, RATE = 6000.0, 30.0


def _strut(mass: float = 0.0, preload: float = 0.0) -> Mechanism:
    parts = strut("strut", GROUND, "rod", LOWER, UPPER, guide_stiffness=GUIDE, rate=RATE, preload=preload)
    turn = joint("no-spin", GROUND, "rod", TOP, [0.0, 0.0, 0.0], turning=[0.0, 0.0, 1e7], shape=None)
    return Mechanism((Body("rod", mass, TOP),), (*parts, turn))


def test_a_strut_slides_along_its_axis_against_its_coil() -> None:
    stroke = stroke_of(_strut(), [pull("rod", 90.0 * Z, TOP)], [look("rod", Z, TOP)])
    assert stroke.rest({}).moved["movement"] == pytest.approx([90.0 / RATE], rel=1e-9)


@pytest.mark.parametrize("pushed_in", [0.0, 60.0])
def test_worn_guides_of_a_strut_rock_its_top(pushed_in: float) -> None:
    # Gland at L = 200 from the piston (more when pushed in), side force F at h = 400: the gland carries F h/L, the
    # piston F (h - L)/L back. Top by similar triangles: gland's way × h/L + piston's × (h - L)/L, each c/2 + force/k.
    span, height, force = 200.0 + pushed_in, 400.0, 25.0
    ahead, back = height / span, (height - span) / span
    poses = {"rod": Pose(TOP, shift=-pushed_in * Z)}
    stroke = stroke_of(_strut(), [pull("rod", force * X, TOP)], [look("rod", X, TOP)], poses)
    worn = {"strut-piston": Clearance("pin", 0.2, 0.0), "strut-gland": Clearance("pin", 0.5, 0.0)}
    expected = ahead * (0.25 + force * ahead / GUIDE) + back * (0.1 + force * back / GUIDE)
    rest = stroke.rest(worn)
    assert rest.moved["movement"] == pytest.approx([expected], rel=1e-8)
    assert np.linalg.norm(rest.force["strut-gland"]) == pytest.approx(force * ahead, rel=1e-8)
    assert np.linalg.norm(rest.force["strut-piston"]) == pytest.approx(force * back, rel=1e-8)


def test_a_strut_sinks_under_a_weight_and_keeps_its_line() -> None:
    # 80 kg on a preload of 500 N: down by (m g - 500)/30 = 9.5 mm along the axis.
    settled = settle(_strut(80.0, 500.0))
    assert settled.poses["rod"].shift == pytest.approx([0.0, 0.0, -(80.0 * GRAVITY - 500.0) / RATE], abs=1e-6)


def test_a_strut_that_has_slid_far_still_passes_on_no_couple_of_its_own() -> None:
    """Forces of every element on tube and rod cancel, and so do their moments, 60 mm away from where it was drawn."""
    parts = strut("strut", "tube", "rod", LOWER, UPPER, guide_stiffness=GUIDE, rate=RATE, preload=700.0)
    poses = {
        "tube": Pose(LOWER, rotation_matrix(0.1 * Y), 2.0 * X),
        "rod": Pose(TOP, rotation_matrix(0.1 * Y), 60.0 * Z),
    }
    for element in parts:
        part = rows(element, poses)
        force, moment = np.zeros(3), np.zeros(3)
        for name, on_body in part.on.items():
            push = -on_body.T @ (part.stiffness * part.offset)
            force += push[:3]
            moment += ROTATION_LENGTH * push[3:] + np.cross(poses[name].origin, push[:3])
        assert force == pytest.approx(NO_TURN, abs=1e-8)
        assert moment == pytest.approx(NO_TURN, abs=1e-5)


GOOD = Spring("leaf", GROUND, "axle", ORIGIN, np.eye(3), np.diag([0.0, 100.0, 200.0, 0.0, 0.0, 1e6]))
COUPLED = np.eye(6)
COUPLED[0, 1] = COUPLED[1, 0] = 0.5


@pytest.mark.parametrize(("change", "said"), [
    ({"stiffness": np.triu(COUPLED)}, 'spring "leaf": the stiffness is not symmetric'),
    ({"stiffness": np.diag([1.0, 1.0, -1.0, 0.0, 0.0, 0.0])}, 'spring "leaf": the stiffness is negative'),
    ({"preload": np.array([5.0, 0.0, 0.0, 0.0, 0.0, 0.0])}, 'spring "leaf": the preload acts along an axis without'),
    ({"loose": X > 0}, 'spring "leaf": loose axes are coupled or without stiffness'),
    ({"stiffness": COUPLED, "loose": np.array([True, True, False])}, 'spring "leaf": loose axes are coupled'),
    ({"axes": np.diag([1.0, -1.0, 1.0])}, 'spring "leaf": the axes are left-handed'),
])  # fmt: skip
def test_a_spring_that_is_none_is_refused(change: dict[str, Array], said: str) -> None:
    with pytest.raises(MechanicsError, match=said):
        replace(GOOD, **change)  # type: ignore[arg-type]
