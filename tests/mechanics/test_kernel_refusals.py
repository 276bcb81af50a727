"""What the kernel does not take: arrays of another shape, which compiled code would read past the end of."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.clearance import Block
from looseends.mechanics.kernel import solve_many

N, P = 3, 4
BLOCKS = (Block("ball", 0, 3), Block("ball", 3, 4))


def _given(**other: Any) -> dict[str, Any]:
    return {
        "S": np.eye(P),
        "loads": np.ones((N, P)),
        "blocks": BLOCKS,
        "semi": np.ones((N, P)),
        "seats": np.zeros((N, 2)),
        "softness": np.zeros((N, P)),
        "df": np.zeros(P),
        "start": (np.zeros((N, P)), np.zeros((N, P))),
    } | other


def _solve(given: dict[str, Any]) -> np.ndarray:
    return solve_many(given.pop("S"), given.pop("loads"), given.pop("blocks"), given.pop("semi"), **given).g


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("S", np.eye(P + 1)),
        ("semi", np.ones((1, P))),
        ("semi", np.ones((N, P - 1))),
        ("seats", np.zeros((N, 1))),
        ("softness", np.zeros((1, P))),
        ("df", np.zeros(P + 1)),
        ("start", (np.zeros((1, P)), np.zeros((N, P)))),
        ("start", (np.zeros((N, P)), np.zeros((N, P - 1)))),
    ],
)
def test_another_shape_is_refused_by_its_name(name: str, other: Any) -> None:
    with pytest.raises(ValueError, match=rf"{name}.* has the shape .*; accepted is"):
        _solve(_given(**{name: other}))


@pytest.mark.parametrize(
    "blocks",
    [
        (Block("ball", 0, 3),),
        (Block("ball", 0, 2), Block("ball", 3, 4)),
        (Block("ball", 0, 3), Block("ball", 3, 5)),
    ],
)
def test_blocks_that_leave_or_overrun_unknowns_are_refused(blocks: tuple[Block, ...]) -> None:
    with pytest.raises(ValueError, match="must follow each other"):
        _solve(_given(blocks=blocks, seats=None))


def test_a_block_of_four_is_refused() -> None:
    with pytest.raises(ValueError, match="one to three"):
        _solve(_given(blocks=(Block("ball", 0, 4),), seats=None))


def test_a_start_that_is_no_number_is_as_good_as_none() -> None:
    plain = _solve(_given())
    broken = _solve(_given(start=(np.full((N, P), np.nan), np.full((N, P), np.nan))))
    np.testing.assert_allclose(broken, plain, atol=1e-12)


def test_a_contact_that_would_open_beyond_all_bounds_is_named() -> None:
    """Two contacts on one weak line: the second follows the first for nothing, and the load sends it away."""
    S = np.outer([1.0e5, 1.0], [1.0e5, 1.0]) / 1.0e5
    lines = (Block("half-line", 0, 1), Block("half-line", 1, 2))
    loads = S @ np.array([[0.0], [2.0e6]]).T[0]
    with pytest.raises(MechanicsError, match="open by more than 1000 mm"):
        solve_many(S, loads[None] * [[0.0, 1.0]], lines, np.full((1, 2), np.inf))
