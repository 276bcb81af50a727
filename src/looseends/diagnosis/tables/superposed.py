"""Sums of what single parts show: how much they lack to be the answer with all of these worn, told without solving."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.tables.solver import Solver, Worn, ends_of
from looseends.diagnosis.tables.states import PartStates
from looseends.mechanics.bodies import Array

_MORE = 1e-4
"""By this share the load is raised to see the lack grow: the dead zone hangs on how an answer goes with the load."""

Alone = tuple[Array, Array]
"""What n states of one part change against sound: answers (n, 2, 4, p) and semi-axes (n, p) [mm]."""


class Superposed:
    """One stroke of a prepared check. `sound` (2, 4, p) is the sound vehicle's answer at both ends.

    An answer is g [mm], f [N], and both ends' own load times what g and f change with it: all linear in the load and in
    each other as long as no joint's wall says otherwise, so that sums of changes are again a guess of an answer.
    """

    def __init__(self, solver: Solver, number: int) -> None:
        self.solver, self.number = solver, number
        stroke, self._clearances = solver.prepared.strokes[number], solver.sound_clearances[number]
        blocks = stroke.reduced.blocks
        self._shares = np.array([stroke.first_share, stroke.last_share])[:, None]
        self._f_hand, self._S = stroke.reduced.f_hand, stroke.reduced.S
        self._stiffness: Array = np.diag(self._S) + self._clearances.softness
        self._block = np.repeat(np.arange(len(blocks)), [block.stop - block.start for block in blocks])
        self._half_line = np.array([block.kind == "half-line" for block in blocks])[self._block]
        self._seated = self._clearances.seats[self._block] > 0.0
        self._on_watches = np.array([np.linalg.norm(rows, axis=0) for rows in stroke.reduced.watch_on_g]).T
        self.sound = self._answer(solver.sound_ends(number)[None])[0]
        self.sound[:, 3] += self._shares * self._f_hand
        self._alone: dict[tuple[str, int], Alone] = {}

    def alone(self, states: PartStates, which: Sequence[int]) -> Alone:
        """What these states of a part change, solved where it is not known."""
        part = states.part.id
        missing = [state for state in which if (part, state) not in self._alone]
        if missing:
            worn = [states.worn(state) for state in missing]
            wider = self.solver.semi_axes(self.number, worn)
            wider -= np.where(np.isinf(wider), 0.0, self._clearances.semi)
            found = zip(missing, self._answer(self.solver.alone(self.number, worn)), wider, strict=True)
            self._alone |= {(part, state): (change, more) for state, change, more in found}
        kept = [self._alone[part, state] for state in which]
        return np.stack([change for change, _ in kept]), np.stack([more for _, more in kept])

    def solved(self, worn: Sequence[Worn], change: Array) -> tuple[Array, Array]:
        """Change of answers (n, 2, 4, p) and movements (n, k, 2) [mm] against sound, from guesses of the former."""
        answers = self.solver.solved(self.number, worn, (self.sound + change)[:, :, :2])
        moved = np.stack([answers.total, answers.free], axis=-1)
        ends = ends_of(answers) - self.solver.sound_ends(self.number)
        return self._answer(ends), moved - self.solver.sound[self.solver.stroke_of == self.number]

    def lack(self, change: Array, wider: Array) -> Array:
        """How far every watch would move (n, k, 2) [mm], in all and free, if each joint went where its force sends it.

        `change`, `wider`: as in Alone. A first step only: the answer was found to lie up to ten times as far.
        Where it is 0, the guess is the answer, for every joint stands as its force bids.
        """
        semi = self._clearances.semi + wider
        may = np.flatnonzero(np.any(semi > 0.0, axis=0))
        guess, semi, on_watches = (self.sound + change)[..., may], semi[:, may], self._on_watches[may]
        lack = np.zeros((len(guess), on_watches.shape[1], 2))
        starts = np.flatnonzero(np.diff(self._block[may], prepend=-1))
        of = np.repeat(np.arange(len(starts)), np.diff(starts, append=len(may)))
        for end in (0, 1):
            g, f, g_more, f_more = (guess[:, end, i] for i in range(4))
            step = self._step(g, f, semi, may, starts, of)
            later = self._step(g + _MORE * g_more, f + _MORE * f_more, semi, may, starts, of)
            lack[..., 0] += np.abs(step) @ on_watches
            lack[..., 1] += np.abs((later - step) / _MORE) @ on_watches
        lack[..., 1] += lack[..., 0]
        return lack

    def _step(
        self, g: Array, f: Array, semi: Array, may: NDArray[np.intp], starts: NDArray[np.intp], of: NDArray[np.intp]
    ) -> Array:
        """Step (n, m) [mm] of the unknowns that may move, along the force on them, back onto their block's wall.

        Each block against its own stiffness only; `starts` of the blocks and the block `of` each unknown.
        """
        endless, moves = np.isinf(semi), semi > 0.0
        size = np.where(endless | ~moves, 1.0, semi)
        stiffness = np.maximum.reduceat(self._stiffness[may] * size**2 * moves, starts, axis=1)
        to = (g / size + size * f / np.where(stiffness > 0.0, stiffness, 1.0)[:, of]) * moves
        length = np.sqrt(np.add.reduceat(to**2, starts, axis=1))
        on_wall = np.where(endless, to, to / np.maximum(length, 1.0)[:, of])
        line = self._half_line[may]
        on_wall[:, line] = np.maximum(to[:, line], 0.0)
        # What a seat holds has no wall to be judged by.
        return (size * on_wall - g) * (moves & ~self._seated[may])

    def _answer(self, ends: Array) -> Array:
        """Answers, or differences of answers, (n, 2, 4, p) from (n, 2, 3, p) as the solver gives them."""
        g_more = self._shares * ends[:, :, 2]
        f_more = -(g_more @ self._S + g_more * self._clearances.softness)
        return np.concatenate([ends[:, :, :2], g_more[:, :, None], f_more[:, :, None]], axis=2)
