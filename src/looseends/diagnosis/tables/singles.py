"""What each part shows alone, in every one of its states."""

from __future__ import annotations

from collections.abc import Sequence

from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import PartStates
from looseends.mechanics.bodies import Array

_COUNTS = 0.02
"""A part whose largest wear changes no reading by this [mm], a fifth of a fine gauge's step, is left out."""


def tabulate_singles(solver: Solver, states: Sequence[PartStates]) -> dict[str, Array]:
    """Change (s, k, 2) [mm] of every watch in every state, by part; each state solved, in the strokes that it moves."""
    largest = solver.changes([s.worn(len(s.weight) - 1) for s in states])
    singles = {}
    for s, change in zip(states, largest, strict=True):
        strokes = solver.strokes_moved(change, _COUNTS)
        if strokes:
            singles[s.part.id] = solver.changes([s.worn(state) for state in range(len(s.weight))], strokes)
    return singles
