"""Invariant: what must hold of the rows of springs and ratios about any pose."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Array, Body, Pose, rotation_matrix
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.elements import Element, rows
from looseends.mechanics.model import Mechanism
from looseends.mechanics.ratios import Ratio, Shift, Turn
from looseends.mechanics.springs import Spring, beam_stiffness
from tests.mechanics.mechanisms import joint, look, pull, stroke_of

SEEDS = range(8)
NAMES = ("one", "two", "three")


def _elements(rng: np.random.Generator) -> tuple[Element, ...]:
    """A beam, a spring with a loose axis, and a gear over three bodies, all askew."""

    def axis() -> Array:
        along = rng.normal(0.0, 1.0, 3)
        return np.asarray(along / np.linalg.norm(along))

    axes = rotation_matrix(rng.normal(0.0, 1.0, 3))
    beam = beam_stiffness(400.0, 3e7, 2e9, 5e9, 1e9)
    preload = beam @ np.array([0.1, -0.2, 0.05, 1e-3, 2e-3, -1e-3])
    terms = (
        Turn("one", "two", axis(), 30.0),
        Shift("one", "three", rng.normal(0.0, 200.0, 3), axis(), -0.7),
        Turn("three", GROUND, axis(), 12.0),
    )
    return (
        Spring("beam", "one", "two", rng.normal(0.0, 200.0, 3), axes, beam, preload),
        Spring("leaf", GROUND, "three", rng.normal(0.0, 200.0, 3), axes, beam, preload, np.array([True, False, True])),
        Ratio("gear", terms, 5e3, lash=True, offset=0.4),
    )


def _poses(rng: np.random.Generator, turn: float) -> dict[str, Pose]:
    return {
        name: Pose(rng.normal(0.0, 300.0, 3)).moved(rng.normal(0.0, 30.0, 3), rng.normal(0.0, turn, 3))
        for name in NAMES
    }


@pytest.mark.parametrize("seed", SEEDS)
def test_moved_as_a_whole_no_element_stretches(seed: int) -> None:
    """A translation and a turn of all bodies together, the ground too, from poses that are far apart and turned."""
    rng = np.random.default_rng(seed)
    elements, poses = _elements(rng), _poses(rng, 0.4)
    turn, center, shift = rng.normal(0.0, 1.0, (3, 3))
    for element in elements:
        part = rows(element, poses)
        stretch = np.zeros(len(part.stiffness))
        for name, on_body in part.on.items():
            origin = poses[name].origin if name != GROUND else np.zeros(3)
            stretch += on_body @ np.concatenate([shift + np.cross(turn, origin - center), 300.0 * turn])
        assert stretch == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize("seed", SEEDS)
def test_rows_are_the_derivative_of_the_offset(seed: int) -> None:
    rng = np.random.default_rng(seed)
    elements, poses, step = _elements(rng), _poses(rng, 0.0), 1e-5
    for element in elements:
        here = rows(element, poses)
        for name in set(here.on) - {GROUND}:
            for axis in range(6):
                move = step * np.eye(6)[axis]
                up, down = (
                    rows(element, poses | {name: poses[name].moved(s * move[:3], s * move[3:] / 300.0)}).offset
                    for s in (1.0, -1.0)
                )
                assert (up - down) / (2.0 * step) == pytest.approx(here.on[name][:, axis], abs=1e-6)


def _mechanism(rng: np.random.Generator) -> Mechanism:
    bodies = tuple(Body(name, 5.0, rng.normal(0.0, 300.0, 3)) for name in NAMES)
    mounts = tuple(joint(f"mount-{b.name}", GROUND, b.name, b.center, 400.0, turning=1e7) for b in bodies)
    return Mechanism(bodies, (*mounts, *_elements(rng)))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("length", [100.0, 1000.0])
def test_nothing_depends_on_the_length_that_scales_rotations(
    seed: int, length: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    mechanism = _mechanism(np.random.default_rng(seed))
    force, watch = [pull("three", [90.0, -40.0, 60.0])], [look("two", np.array([0.6, 0.0, 0.8]))]
    worn = {"gear": Clearance("slot", 0.5, 0.0), "leaf": Clearance("slot", 0.3, 0.4, seat=20.0)}
    here = stroke_of(mechanism, force, watch).rest(worn)
    monkeypatch.setattr("looseends.mechanics.rows.ROTATION_LENGTH", length)
    there = stroke_of(mechanism, force, watch).rest(worn)
    assert there.moved["movement"] == pytest.approx(here.moved["movement"], rel=1e-7)
    assert there.solution.g == pytest.approx(here.solution.g, abs=1e-7)
    for name, carried in here.force.items():
        assert there.force[name] == pytest.approx(carried, abs=1e-5 * max(1.0, float(np.max(np.abs(carried)))))
