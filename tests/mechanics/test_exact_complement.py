"""Exact: why S is built from an orthogonal complement and not by the textbook formula.

The formula S = A - A B K⁻¹ Bᵀ A is the same matrix on paper. In floating point it takes the difference of nearly equal
large numbers wherever links turn easily on stiff joints, in newton per millimetre beside newton-millimetre per radian.
The truth for comparison is worked in whole fractions, without any rounding.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from looseends.mechanics.assembler import LinearSystem
from looseends.mechanics.assembly import assemble
from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.constants import ROTATION_LENGTH
from looseends.mechanics.model import Mechanism
from looseends.mechanics.reduction import factor, reduce_stroke
from tests.mechanics.mechanisms import ORIGIN, X, joint

STIFF = 4.0e4


def _chain() -> LinearSystem:
    """Three links end to end on four stiff ball joints between two fixed points, each turning in soft rubber."""
    names = ["first", "second", "third"]
    ends = [GROUND, *names, GROUND]
    joints = [joint(f"ball-{i}", ends[i], ends[i + 1], [300.0 * i, 10.0 * i, 5.0 * i], STIFF) for i in range(4)]
    rubber = [joint(f"rubber-{n}", GROUND, n, ORIGIN, 0.0, turning=1.0, shape=None) for n in names]
    bodies = tuple(Body(name, 0.0, 300.0 * (i + 0.5) * X) for i, name in enumerate(names))
    mechanism = Mechanism(bodies, (*joints, *rubber))
    return assemble(mechanism, mechanism.design_poses())


def _complement(system: LinearSystem) -> Array:
    return reduce_stroke(factor(system), np.zeros_like(system.F), ()).S


def _formula(system: LinearSystem) -> Array:
    """A - A B K⁻¹ Bᵀ A as written, translations in mm, rotations in rad."""
    J = system.J * np.tile([1.0] * 3 + [ROTATION_LENGTH] * 3, system.J.shape[1] // 6)
    AB = system.root[:, None] * J[system.unknown_rows]
    return np.asarray(np.diag(system.root**2) - AB @ np.linalg.inv(J.T @ J) @ AB.T)


def _without_rounding(system: LinearSystem) -> Array:
    """The same formula in fractions: Gaussian elimination of the displacements from [[K, Bᵀ A], [A B, A]]."""
    J = [[Fraction(float(v)) for v in row] for row in system.J]
    root = [Fraction(float(v)) for v in system.root]
    n, p = len(J[0]), len(root)
    AB = [[root[k] * v for v in J[int(row)]] for k, row in enumerate(system.unknown_rows)]
    table = [
        [sum((r[i] * r[j] for r in J), Fraction(0)) for j in range(n)] + [AB[k][i] for k in range(p)] for i in range(n)
    ]
    table += [AB[k] + [root[k] ** 2 if k == m else Fraction(0) for m in range(p)] for k in range(p)]
    for i in range(n):
        for j in range(i + 1, n + p):
            if table[j][i]:
                share = table[j][i] / table[i][i]
                table[j] = [a - share * b for a, b in zip(table[j], table[i], strict=True)]
    return np.array([[float(table[n + k][n + m]) for m in range(p)] for k in range(p)])


def test_the_complement_is_not_negative_where_the_formula_is() -> None:
    system = _chain()
    lowest = float(np.linalg.eigvalsh(_complement(system))[0])
    assert lowest >= -1e-12 * float(np.max(np.abs(_complement(system))))
    formula = _formula(system)
    assert float(np.linalg.eigvalsh(0.5 * (formula + formula.T))[0]) < -1e-9 * STIFF


def test_the_complement_keeps_the_digits_that_the_formula_loses() -> None:
    system = _chain()
    exact = _without_rounding(system)
    size = float(np.max(np.abs(exact)))
    assert float(np.max(np.abs(_complement(system) - exact))) < 1e-13 * size
    assert float(np.max(np.abs(_formula(system) - exact))) > 1e-6 * size


def test_two_springs_in_a_row() -> None:
    # g1 and g2 each stretch one joint; with the body between them free they press through both: k1 k2/(k1 + k2).
    k1, k2 = 700.0, 1900.0
    elements = (joint("one", GROUND, "mass", ORIGIN, k1, turning=1e7), joint("two", "mass", GROUND, ORIGIN, k2))
    mechanism = Mechanism((Body("mass", 0.0, ORIGIN),), elements)
    S = _complement(assemble(mechanism, mechanism.design_poses()))
    series = k1 * k2 / (k1 + k2)
    assert pytest.approx(series * np.kron(np.ones((2, 2)), np.eye(3)), rel=1e-12, abs=1e-9) == S
