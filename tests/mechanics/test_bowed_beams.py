"""A beam that bows draws its end toward its clamp: against the elastica, integrated here, and as a slope of energy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from looseends.mechanics.bodies import GROUND, Body, Pose, rotation_matrix
from looseends.mechanics.model import Force, Mechanism
from looseends.mechanics.settle import settle
from looseends.mechanics.springs import Spring, beam_stiffness

LENGTH, BENDING, TENSION = 700.0, 1.0e10, 2.0e8
END = np.array([0.0, 0.0, LENGTH])


def beam(bows: float) -> Spring:
    """A beam along z, clamped to the ground at the origin."""
    stiffness = beam_stiffness(LENGTH, TENSION, BENDING, BENDING, 1.0e9)
    return Spring("beam", GROUND, "end", END, np.eye(3), stiffness, bows=bows)


def settled(push: float, bows: float) -> np.ndarray:
    """Shift (3,) [mm] of the end under a push across."""
    mechanism = Mechanism((Body("end", 0.0, END),), (beam(bows),))
    return settle(mechanism, forces=(Force("end", END, np.array([push, 0.0, 0.0])),)).poses["end"].shift


def elastica(push: float) -> tuple[float, float]:
    """Deflection and shortening [mm] of the tip of an inextensible cantilever whose load keeps its direction.

    E·I·θ'' + P·cos θ = 0 with θ(0) = 0 and θ'(L) = 0. Source: Euler's elastica, any handbook.
    """

    def slope(_: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.array([y[1], -push / BENDING * np.cos(y[0]), np.sin(y[0]), np.cos(y[0])])

    def ends(start: np.ndarray, end: np.ndarray) -> np.ndarray:
        return np.array([start[0], end[1], start[2], start[3]])

    along = np.linspace(0.0, LENGTH, 50)
    found = solve_bvp(slope, ends, along, np.vstack([0.0 * along, 0.0 * along, 0.0 * along, along]), tol=1e-8)
    return float(found.y[2, -1]), LENGTH - float(found.y[3, -1])


@pytest.mark.parametrize("push", [2000.0, 6000.0])
def test_the_end_of_a_bowed_beam_moves_as_that_of_the_elastica(push: float) -> None:
    deflection, shortening = elastica(push)
    shift = settled(push, LENGTH)
    assert shortening > 0.4
    assert shift[0] == pytest.approx(deflection, rel=0.02)
    assert -shift[2] == pytest.approx(shortening, rel=0.02)
    assert settled(push, 0.0)[2] == pytest.approx(0.0, abs=1e-9)


def test_its_rows_are_the_slope_of_its_stretch() -> None:
    """Moved a little further, its energy grows by what its rows say. Turned by next to nothing, where turns add up."""
    pose = Pose(END, rotation_matrix(np.array([1e-4, -2e-4, 1e-4])), np.array([40.0, -25.0, -1.0]))
    rows = beam(LENGTH).rows({"end": pose})
    step = 1e-5
    for axis in range(6):
        moves = np.zeros(6)
        moves[axis] = step
        after = beam(LENGTH).rows({"end": pose.moved(moves[:3], moves[3:] / 300.0)})
        before = beam(LENGTH).rows({"end": pose.moved(-moves[:3], -moves[3:] / 300.0)})
        force = rows.on["end"].T @ (rows.stiffness * rows.offset)
        energy = [0.5 * float(part.stiffness @ part.offset**2) for part in (before, after)]
        assert (energy[1] - energy[0]) / (2.0 * step) == pytest.approx(force[axis], rel=1e-3, abs=5.0)
