"""Compiling everything once, so that no later start waits for it."""

from __future__ import annotations

import sys

import numpy as np

from looseends.mechanics.clearance import Block
from looseends.mechanics.kernel import answers, compiled


def warm_up() -> None:
    """Solve a tiny problem: the first time on a machine compiles, later ones load."""
    blocks = (Block("ball", 0, 3), Block("ball", 3, 4), Block("half-line", 4, 5))
    loads = np.array([[1.0, 0.0, 0.0, 1.0, -1.0], [0.0, 1.0, 0.0, 1.0, 1.0]])
    semi = np.array([[1.0, 1.0, 1.0, 1.0, np.inf]] * 2)
    answers.solve_many(np.eye(5), loads, blocks, semi)


def is_compiled() -> bool:
    """Whether `warm_up` finds machine code, in this process or on disk, and takes no time to speak of.

    Only the outermost function is looked for: it is written last, and brings the others with it.
    """
    if getattr(answers._each, "signatures", ()):
        return True
    if compiled._FOLDER is None:
        return False
    # The folder's name holds a hash of the sources, so what lies in it is code of these.
    python = f"py{sys.version_info.major}{sys.version_info.minor}"
    return any(compiled._FOLDER.glob(f"*/answers._each-*.{python}.*.nbc"))
