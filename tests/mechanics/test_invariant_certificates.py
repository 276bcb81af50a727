"""Invariant: every answer proves itself, a wrong answer does not, and the proof bounds the true error."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.certificate import certify
from looseends.mechanics.clearance import Block, Clearance
from looseends.mechanics.elements import Contact
from looseends.mechanics.lash import LashSolution, solve_lash
from looseends.mechanics.model import Mechanism
from tests.mechanics.mechanisms import ORIGIN, Sample, X, Z, hung_mass, pull, random_sample, stroke_of

SEEDS = range(8)
DRAWS = 15


def _answers(seed: int, kind: str = "plain") -> list[tuple[Sample, Array, LashSolution]]:
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(DRAWS):
        sample = random_sample(rng, kind)
        reduced = sample.stroke.reduced
        f0 = reduced.f_base + reduced.f_hand
        found.append((sample, f0, solve_lash(reduced.S, f0, reduced.blocks, sample.semi)))
    return found


def _quadratic(S: Array, f0: Array, g: Array) -> float:
    return float(0.5 * g @ S @ g - f0 @ g)


def _random_inside(rng: np.random.Generator, blocks: tuple[Block, ...], semi: Array) -> Array:
    """A point of the sets, at random: inside or on the boundary."""
    g = np.zeros(len(semi))
    for block in blocks:
        part = slice(block.start, block.stop)
        if block.kind == "half-line":
            g[part] = max(0.0, rng.normal(0.2, 0.3))
            continue
        direction = rng.normal(0.0, 1.0, block.stop - block.start)
        g[part] = semi[part] * direction / np.linalg.norm(direction) * min(1.0, rng.uniform(0.0, 1.3))
    return g


@pytest.mark.parametrize("kind", ["plain", "zero", "tiny", "huge", "parallel", "coincident", "no-load"])
def test_every_answer_is_certified(kind: str) -> None:
    for _, _, solution in _answers(77, kind):
        assert solution.certificate.scaled_gap <= 1e-8
        assert solution.certificate.outside <= 1e-8
        assert solution.certificate.holds


@pytest.mark.parametrize("seed", SEEDS)
def test_each_joint_is_inside_its_set_and_its_force_stands_on_the_boundary(seed: int) -> None:
    """Inside: no force. On the boundary: force along the outward normal D⁻² g (Karush-Kuhn-Tucker)."""
    touching = inside = 0
    for sample, f0, solution in _answers(seed):
        scale = max(1.0, float(np.max(np.abs(f0))))
        for block in sample.stroke.reduced.blocks:
            part = slice(block.start, block.stop)
            g, f, semi = solution.g[part], solution.f[part], sample.semi[part]
            if block.kind == "half-line":
                assert g[0] >= 0.0
                assert f[0] <= 1e-6 * scale
                assert g[0] * f[0] == pytest.approx(0.0, abs=1e-6 * scale)
                continue
            assert np.all(g[semi == 0.0] == 0.0)
            loose = semi > 0.0
            if not np.any(loose):
                continue
            h, force = g[loose] / semi[loose], f[loose] * semi[loose]
            assert float(np.linalg.norm(h)) <= 1.0 + 1e-9
            if float(np.linalg.norm(h)) < 1.0 - 1e-4:
                assert f[loose] == pytest.approx(0.0, abs=1e-5 * scale)
                inside += 1
            else:
                assert force == pytest.approx(float(np.linalg.norm(force)) * h, abs=1e-5 * scale)
                touching += 1
    assert min(touching, inside) > 0


@pytest.mark.parametrize("seed", SEEDS)
def test_the_gap_bounds_how_far_any_state_lies_above_the_least_energy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for sample, f0, solution in _answers(seed):
        S, blocks = sample.stroke.reduced.S, sample.stroke.reduced.blocks
        g = _random_inside(rng, blocks, sample.semi)
        excess = _quadratic(S, f0, g) - _quadratic(S, f0, solution.g)
        scale = max(1.0, abs(_quadratic(S, f0, solution.g)))
        assert excess >= -1e-7 * scale
        assert certify(S, f0, blocks, sample.semi, g).gap >= excess - 1e-7 * scale


@pytest.mark.parametrize("seed", SEEDS)
def test_a_perturbed_answer_is_not_certified(seed: int) -> None:
    """A thousandth of the clearance away, in a direction that costs energy, is no answer any more."""
    rng = np.random.default_rng(seed)
    tried = 0
    for sample, f0, solution in _answers(seed):
        S, blocks, semi = sample.stroke.reduced.S, sample.stroke.reduced.blocks, sample.semi
        g = solution.g + 1e-3 * (_random_inside(rng, blocks, semi) - solution.g)
        excess = _quadratic(S, f0, g) - _quadratic(S, f0, solution.g)
        if excess < 1e-6 * max(1.0, abs(_quadratic(S, f0, solution.g))):
            continue
        tried += 1
        assert not certify(S, f0, blocks, semi, g).holds
    assert tried >= DRAWS // 3


@pytest.mark.parametrize("seed", SEEDS)
def test_an_answer_outside_its_set_is_not_certified(seed: int) -> None:
    for sample, f0, solution in _answers(seed):
        reduced = sample.stroke.reduced
        for block in reduced.blocks:
            g = solution.g.copy()
            g[block.start] = -0.01 if block.kind == "half-line" else 1.001 * sample.semi[block.start] + 0.001
            assert not certify(reduced.S, f0, reduced.blocks, sample.semi, g).holds


def test_movement_along_an_axis_without_clearance_is_outside() -> None:
    # A ball worn across but not along: g along the axis leaves the set though the others are inside.
    blocks = (Block("ball", 0, 3),)
    certificate = certify(np.eye(3), np.zeros(3), blocks, np.array([0.2, 0.2, 0.0]), np.array([0.0, 0.1, 0.05]))
    assert certificate.outside == pytest.approx(0.05)
    assert not certificate.holds


def test_a_stop_that_stands_open_far_away_excuses_no_error() -> None:
    # k·gap² of a stop 200 mm away is 8e7 N·mm; the answer in play is a joint with 0.4 mm under 50 N.
    far = Contact("far", GROUND, "mass", ORIGIN, Z, 200.0, 2000.0)
    mechanism = hung_mass("ball")
    stroke = stroke_of(Mechanism(mechanism.bodies, (*mechanism.elements, far)), [pull("mass", 50.0 * X)])
    worn = {"loose": Clearance("ball", 0.8, 0.3)}
    solution, semi, reduced = stroke.solve(worn).last, stroke.semi(worn), stroke.reduced
    f0 = reduced.f_base + reduced.f_hand
    assert certify(reduced.S, f0, reduced.blocks, semi, solution.g).holds
    assert solution.certificate.gap < 1e-5
    g = solution.g - np.array([0.001, 0.0, 0.0, 0.0])
    assert not certify(reduced.S, f0, reduced.blocks, semi, g).holds
