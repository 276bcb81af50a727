"""Compiling everything once, so that no later start waits for it."""

from __future__ import annotations

import numpy as np

from looseends.mechanics.clearance import Block
from looseends.mechanics.kernel.answers import solve_many


def warm_up() -> None:
    """Solve a tiny problem: the first time on a machine compiles, later ones load."""
    blocks = (Block("ball", 0, 3), Block("ball", 3, 4), Block("half-line", 4, 5))
    loads = np.array([[1.0, 0.0, 0.0, 1.0, -1.0], [0.0, 1.0, 0.0, 1.0, 1.0]])
    semi = np.array([[1.0, 1.0, 1.0, 1.0, np.inf]] * 2)
    solve_many(np.eye(5), loads, blocks, semi)
