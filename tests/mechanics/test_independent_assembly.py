"""The system laid out all at once against each element's own rows, one after the other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.mechanics.assembler import Assembler, rotation_vectors
from looseends.mechanics.bodies import GROUND, Pose, rotation_matrix, rotation_vector
from looseends.mechanics.elements import blocks_at, rows
from looseends.mechanics.model import Mechanism, Poses
from looseends.mechanics.settle import settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import nominal_preload
from looseends.vehicle.specimen import nominal_specimen
from tests.mechanics.mechanisms import random_sample

KINDS = ("plain", "zero", "tiny", "huge", "parallel", "coincident", "no-load")


def _agrees(mechanism: Mechanism, poses: Poses) -> None:
    """J, e0, the unknowns and their blocks, row by row."""
    system = Assembler(mechanism).system(poses)
    row = unknown = 0
    for element in mechanism.elements:
        part = rows(element, poses)
        root = np.sqrt(part.stiffness)
        own = np.zeros((len(root), system.J.shape[1]))
        for body, on_body in part.on.items():
            if body != GROUND:
                own[:, system.columns[body]] += root[:, None] * on_body
        size = max(1.0, float(np.max(np.abs(own), initial=0.0)))
        assert system.J[row : row + len(root)] == pytest.approx(own, abs=1e-11 * size)
        stretch = root * part.offset
        size = max(1.0, float(np.max(np.abs(stretch), initial=0.0)))
        assert system.e0[row : row + len(root)] == pytest.approx(stretch, abs=1e-11 * size)
        if part.unknowns:
            assert system.joints[element.name] == slice(unknown, unknown + part.unknowns)
            assert system.unknown_rows[unknown : unknown + part.unknowns].tolist() == list(
                range(row, row + part.unknowns)
            )
            assert all(block in system.blocks for block in blocks_at(element, unknown))
        row, unknown = row + len(root), unknown + part.unknowns
    assert (row, unknown) == (len(system.J), len(system.root))


def _moved(poses: Poses, rng: np.random.Generator) -> dict[str, Pose]:
    return {name: pose.moved(rng.normal(0.0, 20.0, 3), rng.normal(0.0, 0.4, 3)) for name, pose in poses.items()}


@settings(max_examples=60)
@given(seed=st.integers(0, 2**32 - 1), kind=st.sampled_from(KINDS))
def test_random_mechanisms_about_random_poses(seed: int, kind: str) -> None:
    rng = np.random.default_rng(seed)
    mechanism = random_sample(rng, kind).stroke.mechanism
    _agrees(mechanism, _moved(mechanism.design_poses(), rng))


@pytest.mark.parametrize("support", ["frame", "arm", "wheels"])
def test_the_yard_pickup_with_all_its_kinds_of_elements(support: str) -> None:
    vehicle = load_vehicles()["yard-pickup"]
    setup = Setup("", support, None, "held", "on", 0.0)
    mechanism = build_mechanism(vehicle, nominal_specimen(vehicle), setup, nominal_preload(vehicle.id))
    _agrees(mechanism, _moved(settle(mechanism).poses, np.random.default_rng(1)))


@settings(max_examples=50)
@given(seed=st.integers(0, 2**32 - 1), size=st.sampled_from([0.0, 1e-14, 1e-9, 1e-3, 1.0, 3.0]))
def test_rotation_vectors_are_found_again(seed: int, size: float) -> None:
    rng = np.random.default_rng(seed)
    axes = rng.normal(size=(4, 3))
    turns = size * axes / np.linalg.norm(axes, axis=1)[:, None]
    matrices = np.array([rotation_matrix(turn) for turn in turns])
    assert rotation_vectors(matrices) == pytest.approx(turns, abs=1e-9)
    assert rotation_vectors(matrices) == pytest.approx(np.array([rotation_vector(m) for m in matrices]), abs=1e-12)
