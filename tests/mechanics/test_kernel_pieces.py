"""Independent: the kernel's small pieces against the readable ones, numpy, and differences of the energy."""

from __future__ import annotations

import inspect

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.descent import ball_least, gap_and_scale, sweep
from looseends.mechanics.kernel.face import HELD, INSIDE, TOUCHING, face_matrix, face_slope, find_face, spread
from looseends.mechanics.kernel.newton import Space, space_in
from looseends.mechanics.kernel.room import new_room
from looseends.mechanics.kernel.vectors import (
    PIVOT,
    add_product,
    add_scaled,
    add_three,
    factor_in_place,
    solve_in_place,
)
from looseends.mechanics.sweeps import least_in_ball, swept

SIZES = (3, 2, 3, 1, 1, 3, 1, 2)
STARTS = tuple(int(n) for n in np.cumsum((0, *SIZES[:-1])))
LINE = 4
"""The half-line among them."""


def _blocks(seats: Array) -> Blocks:
    line = np.arange(len(SIZES)) == LINE
    bounded = ~line & (np.arange(len(SIZES)) != 7)
    return Blocks(np.array(STARTS, dtype=np.intp), np.array(SIZES, dtype=np.intp), line, bounded, seats)


def _space(p: int) -> Space:
    """Where a problem of p unknowns in these blocks is worked on, laid out by Python."""
    return Space(*inspect.unwrap(space_in)(new_room(p), p + 2, len(SIZES)))


def _padded(*arrays: Array) -> list[Array]:
    """With the two zeros that the kernel has behind its unknowns."""
    return [np.pad(array, (0, 2)) for array in arrays]


def _space(p: int) -> Space:
    """Where a problem of p unknowns in these blocks is worked on, laid out by Python."""
    return Space(*inspect.unwrap(space_in)(new_room(p), p + 2, len(SIZES)))


def _padded(*arrays: Array) -> list[Array]:
    """With the two zeros that the kernel has behind its unknowns."""
    return [np.pad(array, (0, 2)) for array in arrays]


def _matrix(rng: np.random.Generator, p: int, rank: int) -> Array:
    Z = rng.normal(size=(rank, p)) * 10.0 ** rng.uniform(-1.0, 1.0, p)
    return np.asarray(Z.T @ Z)


@given(
    seed=st.integers(0, 2**32 - 1),
    size=st.integers(1, 3),
    rank=st.integers(1, 3),
    pull=st.floats(-6.0, 6.0),
    seat=st.sampled_from([0.0, 1e-3, 1.0, 30.0]),
    bounded=st.booleans(),
    guess=st.sampled_from([0.0, 1.0, 1e4]),
)
def test_least_of_a_ball_agrees_with_the_readable_one(
    seed: int, size: int, rank: int, pull: float, seat: float, bounded: bool, guess: float
) -> None:
    """The least energy is one, though its place is not where the matrix is singular."""
    rng = np.random.default_rng(seed)
    # Without a wall a singular matrix could leave a pull that nothing holds.
    P = _matrix(rng, size, min(rank, size) if bounded else size + 2)
    c = 10.0**pull * rng.normal(size=size)
    full = np.zeros((5, 5))
    full[1 : 1 + size, 1 : 1 + size] = P
    q = np.pad(c, (0, 3 - size))
    # A guess handed on is the last multiplier found: never below the seat.
    first = max(seat, guess)
    ours = np.array(ball_least(full, 1, size, q[0], q[1], q[2], seat, bounded, first)[:size])
    theirs = least_in_ball(P, c, seat, 1.0 if bounded else np.inf)

    def energy(h: Array) -> float:
        return float(0.5 * h @ P @ h + c @ h + seat * np.linalg.norm(h))

    scale = float(abs(0.5 * theirs @ P @ theirs) + abs(c @ theirs) + seat * np.linalg.norm(theirs))
    assert not bounded or np.linalg.norm(ours) <= 1.0 + 1e-12
    assert energy(ours) == pytest.approx(energy(theirs), abs=1e-9 * scale + 1e-300)


@pytest.mark.parametrize("seed", range(6))
def test_one_sweep_is_the_readable_sweep(seed: int) -> None:
    rng = np.random.default_rng(seed)
    p = sum(SIZES)
    P, q = _matrix(rng, p, p + 2), 5.0 * rng.normal(size=p)
    seats = np.where(np.arange(len(SIZES)) == LINE, 0.0, rng.choice([0.0, 1.0], len(SIZES)))
    blocks = _blocks(seats)
    full, h, r = _padded(P, np.zeros(p), q)
    multipliers = seats.copy()
    sweep(full, r, h, blocks, multipliers)
    assert not np.any(h[p:]) and not np.any(r[p:])
    h, r = h[:p], r[:p]
    kinds = [
        Block("half-line" if n == LINE else "ball", s, s + k)
        for n, (s, k) in enumerate(zip(STARTS, SIZES, strict=True))
    ]
    radii = np.where(blocks.bounded, 1.0, np.inf)
    assert h == pytest.approx(swept(P, q, kinds, np.zeros(p), 1, seats, radii), rel=1e-7, abs=1e-9)
    assert r == pytest.approx(P @ h + q, abs=1e-10 * float(np.max(np.abs(P)) + np.max(np.abs(q))))


@pytest.mark.parametrize("n", [1, 2, 7, 40, 120])
def test_sums_and_triangles_agree_with_numpy(n: int) -> None:
    rng = np.random.default_rng(n)
    target, source = rng.normal(size=(2, n))
    expected = target - 0.7 * source
    add_scaled(target, source, -0.7)
    assert target == pytest.approx(expected, rel=1e-14, abs=1e-15)
    H = _matrix(rng, n, n + 5)
    sums = source.copy()
    add_product(sums, H, expected * (np.arange(n) % 7 < 3), -2.0)
    assert sums == pytest.approx(source - 2.0 * H @ (expected * (np.arange(n) % 7 < 3)), rel=1e-12, abs=1e-10)
    if n >= 3:
        sums = source.copy()
        add_three(sums, H, n - 3, 0.5, -1.5, 3.0)
        assert sums == pytest.approx(source + np.array([0.5, -1.5, 3.0]) @ H[n - 3 :], rel=1e-12, abs=1e-12)
    R = np.zeros((n + 2, n + 2))  # the kernel's room is larger than what it uses
    R[:n, :n] = np.triu(H)
    factor_in_place(R, n, np.zeros(n + 2))
    lower = np.triu(R[:n, :n]).T
    assert lower == pytest.approx(np.linalg.cholesky(H), rel=1e-9, abs=1e-9)
    right = rng.normal(size=n)
    x = np.pad(right, (0, 2), constant_values=9.0)
    solve_in_place(R, x, n)
    assert H @ x[:n] == pytest.approx(right, abs=1e-8)
    assert list(x[n:]) == [9.0, 9.0]


def test_a_free_mechanism_does_not_stop_the_factoring() -> None:
    """Rank 4 of 6: the product of the factors is the matrix all the same."""
    H = _matrix(np.random.default_rng(4), 6, 4)
    R = np.triu(H)
    factor_in_place(R, 6, np.zeros(6))
    assert np.triu(R).T @ np.triu(R) == pytest.approx(H, abs=1e-9 * float(np.max(H)))


def _at(seed: int) -> tuple[Array, Array, Blocks, Array, Array]:
    """A point with blocks of every state: touching ball, disc and interval, open and pressed line, seats that slide."""
    rng = np.random.default_rng(seed)
    p = sum(SIZES)
    P = _matrix(rng, p, p - 3)
    seats = np.array([0.0, 2.0, 3.0, 0.0, 0.0, 0.0, 1.0, 2.5])
    blocks = _blocks(seats)
    h = 0.3 * rng.normal(size=p)
    for number in (0, 1):
        part = slice(STARTS[number], STARTS[number] + SIZES[number])
        h[part] /= np.linalg.norm(h[part])
    h[STARTS[3]], h[STARTS[LINE]], h[STARTS[6]] = 1.0, abs(h[STARTS[LINE]]) * (seed % 2), 0.2
    part = slice(STARTS[2], STARTS[2] + 3)
    h[part] *= 0.5 / np.linalg.norm(h[part])
    r = rng.normal(size=p)
    r[STARTS[LINE]] = abs(r[STARTS[LINE]])
    for number in (0, 1, 3):
        part = slice(STARTS[number], STARTS[number] + SIZES[number])
        r[part] -= (7.0 + float(r[part] @ h[part])) * h[part]  # pulled outward by 7
    return P, r - P @ h, blocks, h, r


def _energy_along(P: Array, q: Array, blocks: Blocks, h: Array, d: Array) -> float:
    """Energy at h + d with the touching balls put back on their walls."""
    g = h + d
    for number in (0, 1):
        part = slice(STARTS[number], STARTS[number] + SIZES[number])
        g[part] /= np.linalg.norm(g[part])
    lengths = [np.linalg.norm(g[s : s + k]) for s, k in zip(STARTS, SIZES, strict=True)]
    return float(0.5 * g @ P @ g + q @ g + blocks.seats @ lengths)


@pytest.mark.parametrize("seed", range(8))
def test_face_matrix_and_slope_are_the_derivatives_of_the_energy_along_the_wall(seed: int) -> None:
    """Central differences along curves that follow the balls' walls."""
    P, q, blocks, h, r = _at(seed)
    space = _space(len(h))
    full, r, at = _padded(P, r, h)
    m = find_face(r, at, blocks, space.pinned, space.face)
    pressed = INSIDE if seed % 2 else HELD
    assert list(space.face.state) == [TOUCHING, TOUCHING, INSIDE, HELD, pressed, INSIDE, INSIDE, INSIDE]
    face_matrix(full, at, blocks, space.face, m, PIVOT, space.row, space.H)
    face_slope(r, at, blocks, space.face, m, space.x)
    H = np.triu(space.H[:m, :m])
    H += np.triu(H, 1).T
    for x in np.random.default_rng(seed).normal(size=(10, m)):
        spread(x, 1.0, space.face, m, space.d)
        step, d = 1e-4, space.d[: len(h)]
        low, middle, high = (_energy_along(P, q, blocks, h, t * step * d) for t in (-1, 0, 1))
        assert (high - low) / (2.0 * step) == pytest.approx(-float(space.x[:m] @ x), rel=1e-5, abs=1e-4)
        assert (high - 2.0 * middle + low) / step**2 == pytest.approx(float(x @ H @ x), rel=1e-5, abs=1e-3)


def test_gap_of_one_block_each_by_hand() -> None:
    """A ball at its middle is |force| from its wall's support; a seat takes its share; a line that is pulled counts."""
    one = np.array([0], dtype=np.intp)

    def gap(size: int, line: bool, bounded: bool, seat: float, h: list[float], r: list[float]) -> float:
        blocks = Blocks(one, np.array([size], dtype=np.intp), np.array([line]), np.array([bounded]), np.array([seat]))
        return float(gap_and_scale(np.array(r), np.array(h), blocks)[0])

    assert gap(2, False, True, 0.0, [0.0, 0.0], [3.0, 4.0]) == pytest.approx(5.0)
    assert gap(2, False, True, 2.0, [0.0, 0.0], [3.0, 4.0]) == pytest.approx(3.0)
    assert gap(2, False, True, 2.0, [-0.6, -0.8], [3.0, 4.0]) == pytest.approx(0.0)
    assert gap(1, False, True, 0.0, [-0.5], [4.0]) == pytest.approx(2.0)
    assert gap(1, True, False, 0.0, [0.0], [3.0]) == 0.0
    assert gap(1, True, False, 0.0, [2.0], [3.0]) == pytest.approx(6.0)
    assert gap(1, True, False, 0.0, [0.0], [-3.0]) == pytest.approx(3000.0)
