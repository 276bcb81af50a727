"""Invariant: what must hold of S, f0, the reduced energy, its tangent and the watch rows on any mechanism."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Array, Pose, rotation_matrix, rotation_vector
from looseends.mechanics.clearance import Block
from looseends.mechanics.elements import Contact, Element, PointJoint, TorsionSpring, rows
from looseends.mechanics.lash import LashSolution, solve_lash, tangent
from looseends.mechanics.model import Force, Mechanism, Watch
from looseends.mechanics.reduction import displacement, reduce_stroke
from tests.mechanics.mechanisms import ORIGIN, Sample, Stroke, energy, pull, random_sample, stroke_of

SEEDS = range(12)


def _samples(seed: int, count: int = 5, kind: str = "plain") -> list[Sample]:
    rng = np.random.default_rng(seed)
    return [random_sample(rng, kind) for _ in range(count)]


def _f0(sample: Sample) -> Array:
    return sample.stroke.reduced.f_base + sample.stroke.reduced.f_hand


@pytest.mark.parametrize("kind", ["plain", "parallel", "coincident"])
def test_S_is_symmetric_and_not_negative(kind: str) -> None:
    for sample in _samples(3, 20, kind):
        S = sample.stroke.reduced.S
        assert np.array_equal(S, S.T)
        assert float(np.linalg.eigvalsh(S)[0]) >= -1e-12 * float(np.linalg.eigvalsh(S)[-1])


@pytest.mark.parametrize("length", [100.0, 1000.0])
def test_nothing_depends_on_the_length_that_scales_rotations(length: float, monkeypatch: pytest.MonkeyPatch) -> None:
    for seed in SEEDS:
        here = _with_watch(random_sample(np.random.default_rng(seed)))
        monkeypatch.setattr("looseends.mechanics.rows.ROTATION_LENGTH", length)
        there = _with_watch(random_sample(np.random.default_rng(seed)))
        monkeypatch.undo()
        _same(here, there, 1e-8)


def _with_watch(sample: Sample, forces: list[Force] | None = None, watch: Watch | None = None) -> Stroke:
    """The sample's mechanism again, with a load and a watch that a transformation can carry along."""
    mechanism = sample.stroke.mechanism
    last = mechanism.bodies[-1].name
    forces = [pull(last, [30.0, -50.0, 80.0], [100.0, 40.0, -60.0])] if forces is None else forces
    watch = Watch("movement", last, GROUND, np.array([[90.0, 10.0, 20.0]]), np.eye(3)[:2]) if watch is None else watch
    return stroke_of(mechanism, forces, [watch])


def _same(here: Stroke, there: Stroke, tolerance: float) -> None:
    a, b = here.reduced, there.reduced
    size = float(np.max(np.abs(a.S)))
    assert pytest.approx(a.S, abs=tolerance * size) == b.S
    for name in ("f_base", "f_hand"):
        one, other = getattr(a, name), getattr(b, name)
        assert other == pytest.approx(one, abs=tolerance * 1e2 * max(1.0, float(np.max(np.abs(one)))))
    assert b.watch_on_g[0] == pytest.approx(a.watch_on_g[0], abs=tolerance * 1e2)
    assert b.watch_base[0] == pytest.approx(
        a.watch_base[0], abs=tolerance * 1e2 * (1.0 + np.max(np.abs(a.watch_base[0])))
    )
    assert b.watch_hand[0] == pytest.approx(
        a.watch_hand[0], abs=tolerance * 1e2 * (1.0 + np.max(np.abs(a.watch_hand[0])))
    )


def _carried(element: Element, M: Array, shift: Array) -> Element:
    """The element after x -> M x + shift; a turn's axis is a pseudovector, so a mirror reverses it."""
    if isinstance(element, PointJoint):
        return replace(element, point=M @ element.point + shift, axes=M @ element.axes)
    if isinstance(element, TorsionSpring):
        return replace(element, axis=np.linalg.det(M) * (M @ element.axis))
    return replace(element, point=M @ element.point + shift, normal=M @ element.normal)


def _carried_mechanism(mechanism: Mechanism, M: Array, shift: Array) -> Mechanism:
    bodies = tuple(replace(body, center=M @ body.center + shift) for body in mechanism.bodies)
    return Mechanism(bodies, tuple(_carried(element, M, shift) for element in mechanism.elements))


TRANSFORMS = {
    "shifted": (np.eye(3), np.array([1200.0, -350.0, 800.0])),
    "turned about the vertical": (rotation_matrix(np.array([0.0, 0.0, 0.83])), ORIGIN),
    "mirrored left to right": (np.diag([1.0, -1.0, 1.0]), ORIGIN),
    "all of them": (
        rotation_matrix(np.array([0.0, 0.0, -2.1])) @ np.diag([1.0, -1.0, 1.0]),
        np.array([10.0, 20.0, 30.0]),
    ),
}


@pytest.mark.parametrize("name", TRANSFORMS)
def test_a_mechanism_moved_as_a_whole_answers_alike(name: str) -> None:
    """Gravity is kept by all of these; each joint's clearance is counted in its own axes, so S and f0 stay the same."""
    M, shift = TRANSFORMS[name]
    for seed in SEEDS:
        sample = random_sample(np.random.default_rng(seed))
        here = _with_watch(sample)
        last = sample.stroke.mechanism.bodies[-1].name
        force = pull(last, M @ np.array([30.0, -50.0, 80.0]), M @ np.array([100.0, 40.0, -60.0]) + shift)
        point = (M @ np.array([90.0, 10.0, 20.0]) + shift)[None, :]
        watch = Watch("movement", last, GROUND, point, np.eye(3)[:2] @ M.T)
        moved = replace(sample.stroke, mechanism=_carried_mechanism(sample.stroke.mechanism, M, shift))
        _same(here, _with_watch(replace(sample, stroke=moved), [force], watch), 1e-8)


@pytest.mark.parametrize("seed", SEEDS)
def test_forces_on_the_two_bodies_of_an_element_cancel(seed: int) -> None:
    """A rigid movement of both bodies together stretches no element: translation, and rotation about any point."""
    sample = _samples(seed, 1)[0]
    poses = sample.stroke.mechanism.design_poses()
    ground = Pose(ORIGIN)
    rng = np.random.default_rng(seed)
    turn, center, shift = rng.normal(0.0, 1.0, (3, 3))
    turned = {name: pose.moved(rng.normal(0.0, 50.0, 3), rng.normal(0.0, 0.3, 3)) for name, pose in poses.items()}
    for element in sample.stroke.mechanism.elements:
        stretch = np.zeros(len(rows(element, turned).stiffness))
        for name, on_body in rows(element, turned).on.items():
            origin = turned.get(name, ground).origin
            stretch += on_body @ np.concatenate([shift + np.cross(turn, origin - center), 300.0 * turn])
        assert stretch == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_rows_are_the_derivative_of_the_offset(seed: int) -> None:
    """How an element's stretch changes when either body moves: finite difference about a pose that is shifted apart."""
    sample = _samples(seed, 1)[0]
    rng = np.random.default_rng(seed)
    step = 1e-5
    # Shifted only: the rotation vector's own derivative is the rotation to first order where nothing is turned yet.
    poses = {
        name: pose.moved(rng.normal(0.0, 20.0, 3), ORIGIN)
        for name, pose in sample.stroke.mechanism.design_poses().items()
    }
    for element in sample.stroke.mechanism.elements:
        here = rows(element, poses)
        for name in set(here.on) - {GROUND}:
            for axis in range(6):
                move = step * np.eye(6)[axis]
                up, down = (
                    rows(element, poses | {name: poses[name].moved(s * move[:3], s * move[3:] / 300.0)}).offset
                    for s in (1.0, -1.0)
                )
                assert (up - down) / (2.0 * step) == pytest.approx(here.on[name][:, axis], abs=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_gradient_of_the_reduced_energy_is_the_finite_difference_of_the_full_one(seed: int) -> None:
    """energy(u(g), g) with u from `displacement`: its slope is S g - f0, though S never enters it."""
    for sample in _samples(seed, 2):
        reduced, F = sample.stroke.reduced, sample.stroke.F_hand
        system, factors = sample.stroke.system, sample.stroke.factors
        rng = np.random.default_rng(seed)
        g = rng.normal(0.0, 0.5, len(reduced.f_base))
        direction = rng.normal(0.0, 1.0, len(g))

        def value(at: float, g: Array = g, direction: Array = direction) -> float:
            there = g + at * direction
            return energy(system, F, displacement(factors, system.F + F, there), there)  # noqa: B023

        slope = (value(1e-3) - value(-1e-3)) / 2e-3
        expected = float((reduced.S @ g - _f0(sample)) @ direction)
        assert slope == pytest.approx(expected, abs=1e-6 * max(1.0, abs(expected), abs(value(0.0))))


@pytest.mark.parametrize("seed", SEEDS)
def test_displacements_are_in_balance(seed: int) -> None:
    """Jᵀ (J u + e0 - E g) = F: on every body the joint forces, springs, gravity and hands add up to nothing."""
    for sample in _samples(seed, 2):
        system = sample.stroke.system
        g = np.random.default_rng(seed).normal(0.0, 0.5, len(system.root))
        F = system.F + sample.stroke.F_hand
        residual = system.J @ displacement(sample.stroke.factors, F, g) + system.e0
        residual[system.unknown_rows] -= system.root * g
        assert system.J.T @ residual == pytest.approx(F, abs=1e-7 * max(1.0, float(np.max(np.abs(F)))))
        # The joint forces that the reduction reports are those of the full form.
        f = _f0(sample) - sample.stroke.reduced.S @ g
        assert f == pytest.approx(system.root * residual[system.unknown_rows], abs=1e-6 * max(1.0, np.max(np.abs(f))))


@pytest.mark.parametrize("seed", SEEDS)
def test_watch_rows_give_the_movement_of_the_displacements(seed: int) -> None:
    for sample in _samples(seed, 2):
        last = sample.stroke.mechanism.bodies[-1].name
        watch = Watch("movement", last, GROUND, np.array([[90.0, 10.0, 20.0]]), np.eye(3))
        stroke = _with_watch(sample, watch=watch)
        g = np.random.default_rng(seed).normal(0.0, 0.5, len(stroke.system.root))
        u = displacement(stroke.factors, stroke.system.F + 0.7 * stroke.F_hand, g)
        part = u[stroke.system.columns[last]]
        center = sample.stroke.mechanism.bodies[-1].center
        moved = part[:3] + np.cross(part[3:] / 300.0, watch.points[0] - center)
        r = stroke.reduced
        found = r.watch_base[0] + 0.7 * r.watch_hand[0] + r.watch_on_g[0] @ g
        assert found == pytest.approx(moved, abs=1e-8 * max(1.0, float(np.max(np.abs(moved)))))


def _same_joints_touch(blocks: tuple[Block, ...], one: LashSolution, other: LashSolution) -> bool:
    def touch(solution: LashSolution) -> list[bool]:
        return [float(np.linalg.norm(solution.f[b.start : b.stop])) > 1e-3 for b in blocks]

    return touch(one) == touch(other)


def test_the_tangent_is_the_finite_difference_of_two_answers() -> None:
    """Compared on the joint forces, unique where g is not; samples whose touching joints change are left out."""
    compared, step = 0, 1e-3
    for seed in SEEDS:
        for sample in _samples(seed):
            reduced, semi, f0 = sample.stroke.reduced, sample.semi, _f0(sample)
            df = reduced.f_hand
            middle, up, down = (solve_lash(reduced.S, f0 + s * df, reduced.blocks, semi) for s in (0.0, step, -step))
            if not _same_joints_touch(reduced.blocks, up, down):
                continue
            slope = tangent(reduced.S, reduced.blocks, semi, middle, df)
            found = df - reduced.S @ slope
            assert (up.f - down.f) / (2.0 * step) == pytest.approx(
                found, abs=2e-3 * max(1.0, float(np.max(np.abs(df))))
            )
            compared += 1
    assert compared >= 45


def test_an_answer_from_a_like_one_is_the_answer_from_nothing() -> None:
    for seed in SEEDS:
        for sample in _samples(seed):
            reduced, semi = sample.stroke.reduced, sample.semi
            S, blocks = reduced.S, reduced.blocks
            start = solve_lash(S, reduced.f_base - reduced.f_hand, blocks, semi)
            warm, cold = (solve_lash(S, _f0(sample), blocks, semi, start=s) for s in (start, None))
            assert warm.certificate.holds
            assert warm.f == pytest.approx(cold.f, abs=2e-3 * max(1.0, float(np.max(np.abs(cold.f)))))


def test_loads_add_up() -> None:
    """f_base is what gravity and preload do, f_hand what the hand does: each is linear in its own load."""
    for sample in _samples(5, 10):
        system, factors, F = sample.stroke.system, sample.stroke.factors, sample.stroke.F_hand
        one, three = (reduce_stroke(factors, share * F, ()) for share in (1.0, 3.0))
        assert three.f_hand == pytest.approx(3.0 * one.f_hand, rel=1e-9, abs=1e-9)
        assert three.f_base == pytest.approx(one.f_base, rel=1e-12, abs=1e-12)
        assert len(system.root) == len(one.f_base)


@pytest.mark.parametrize("seed", range(20))
def test_rotation_vector_undoes_rotation_matrix(seed: int) -> None:
    rng = np.random.default_rng(seed)
    vector = rng.normal(0.0, 1.0, 3) * 10.0 ** rng.uniform(-13.0, -0.2)
    R = rotation_matrix(vector)
    assert pytest.approx(np.eye(3), abs=1e-12) == R @ R.T
    assert np.linalg.det(R) == pytest.approx(1.0, abs=1e-12)
    assert R @ vector == pytest.approx(vector, abs=1e-15)
    assert rotation_vector(R) == pytest.approx(vector, abs=1e-15 + 1e-9 * float(np.linalg.norm(vector)))


def test_a_contact_that_stands_open_changes_nothing() -> None:
    for sample in _samples(9, 10):
        mechanism = sample.stroke.mechanism
        far = Contact(
            "far", GROUND, mechanism.bodies[0].name, np.array([40.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]), 900.0, 2e3
        )
        forces = [pull(mechanism.bodies[0].name, [50.0, 20.0, -90.0])]
        without = stroke_of(mechanism, forces)
        with_it = stroke_of(Mechanism(mechanism.bodies, (*mechanism.elements, far)), forces)
        one, other = (s.solve(sample.clearances).last for s in (without, with_it))
        count = len(one.f)
        assert other.f[:count] == pytest.approx(one.f, abs=1e-3 * max(1.0, float(np.max(np.abs(one.f)))))
        assert other.f[count] == pytest.approx(0.0, abs=1e-3)
