"""Solving the leading explanations again, exactly, where the table only adds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue, cell_width
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.posterior import Explanation, Posterior, likelihood_gain
from looseends.diagnosis.repeated import grouped
from looseends.diagnosis.solver import Solver
from looseends.diagnosis.states import PartStates
from looseends.mechanics.bodies import Array
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle

_COMBINATIONS = 3
"""Pairs of states that are solved per explanation; they carry most of its weight."""


def with_leading_solved(posterior: Posterior, vehicle: Vehicle, clues: Sequence[Clue], beliefs: Beliefs) -> Posterior:
    """The posterior with its leading sets solved again; sets of one part or none are exact in the table already."""
    clues = grouped(clues)
    leading = {explanation.parts for explanation, _ in posterior.leading(beliefs.leading_sets)}
    bench = _Bench(vehicle, beliefs)
    again = []
    for explanation in posterior.explanations:
        if explanation.parts not in leading:
            again.append(explanation)
        elif len(explanation.parts) < 2:
            again.append(replace(explanation, solved_exactly=True))
        else:
            ratio = _log_ratio(explanation, posterior.states, clues, bench)
            again.append(replace(explanation, log_weight=explanation.log_weight + ratio, solved_exactly=True))
    return posterior.reweighted(again)


_State = tuple[PartStates, int]


@dataclass
class _Bench:
    """Solvers of the visit's checks, made when first needed and shared by all explanations."""

    vehicle: Vehicle
    beliefs: Beliefs
    solvers: dict[int, Solver] = field(default_factory=dict)
    changes: dict[tuple[int, str], tuple[Array, Array]] = field(default_factory=dict)

    def solver(self, clue: Clue) -> Solver:
        number = clue.check.number
        if number not in self.solvers:
            self.solvers[number] = Solver(self.vehicle, nominal_specimen(self.vehicle), clue.table.prepared)
        return self.solvers[number]

    def typical(self, clue: Clue, part: PartStates) -> tuple[Array, Array]:
        """Change (s, 2) [mm] by a part as vehicles show it on the average, and the width of its severity cells."""
        key = id(clue), part.part.id
        if key not in self.changes:
            change = float(clue.shares(part.part.id).mean()) * clue.change[part.part.id]
            self.changes[key] = change, cell_width(part, change)
        return self.changes[key]

    def movements(self, clues: Sequence[Clue], worn: Mapping[tuple[str, Axis], float]) -> list[Array]:
        """Exact movement (2,) [mm] of each clue's watch, every stroke solved once."""
        strokes: dict[int, set[int]] = {}
        for clue in clues:
            strokes.setdefault(clue.check.number, set()).add(int(self.solver(clue).stroke_of[clue.watch]))
        solved = {number: self.solvers[number].movements(worn, wanted) for number, wanted in strokes.items()}
        return [solved[clue.check.number][clue.watch] for clue in clues]


def _log_ratio(
    explanation: Explanation, states: Mapping[str, PartStates], clues: Sequence[Clue], bench: _Bench
) -> float:
    """Log of the evidence with exact movements over that with the table's, over the leading pairs of states."""
    first, second = (states[name] for name in explanation.parts)
    shared = [c for c in clues if first.part.id in c.change and second.part.id in c.change]
    if not shared:
        return 0.0
    gains, weights = [], []
    for index in np.argsort(-explanation.states, axis=None)[:_COMBINATIONS]:
        i, j = (int(k) for k in np.unravel_index(index, explanation.states.shape))
        weights.append(float(np.log(max(explanation.states[i, j], 1e-300))))
        gains.append(_gain(shared, bench, (first, i), (second, j)))
    return float(log_sum_exp(np.array(weights) + np.array(gains)) - log_sum_exp(np.array(weights)))


def _gain(
    shared: Sequence[Clue], bench: _Bench, first: tuple[PartStates, int], second: tuple[PartStates, int]
) -> float:
    """Log likelihood of the shared readings with exact movements, less that with the table's."""
    (a, i), (b, j) = first, second
    gain = 0.0
    corrections: dict[int, Array] = {}
    for clue, movement in zip(shared, bench.movements(shared, {**a.worn(i), **b.worn(j)}), strict=True):
        if id(clue.table) not in corrections:
            found = clue.table.correction(a.part.id, b.part.id)
            corrections[id(clue.table)] = (
                np.zeros((len(clue.table.watches), 2)) if found is None else found.of_states(i, j)
            )
        nominal = clue.change[a.part.id][i] + clue.change[b.part.id][j]
        (typical_a, cell_a), (typical_b, cell_b) = bench.typical(clue, a), bench.typical(clue, b)
        alone = typical_a[i] + typical_b[j]
        cell = np.hypot(cell_a[i], cell_b[j])
        solved = alone + movement - clue.table.sound[clue.watch] - nominal
        gain += float(likelihood_gain(clue, solved, cell, bench.beliefs))
        gain -= float(likelihood_gain(clue, alone + corrections[id(clue.table)][clue.watch], cell, bench.beliefs))
    return gain
