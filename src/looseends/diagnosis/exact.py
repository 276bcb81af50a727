"""Solving the leading explanations again, exactly, where the table only adds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.explanation import Explanation, Posterior
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.readings import Columns, ReadingSet
from looseends.diagnosis.solver import Solver
from looseends.diagnosis.views import Places, change_together, corrections
from looseends.mechanics.bodies import Array
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle

_FEW = 60
"""Up to about so many checks to be solved the general solver is done before the compiled kernel is loaded."""

_COMBINATIONS = 3
"""Joint states that are solved per explanation; they carry most of its weight."""


def with_leading_solved(posterior: Posterior, vehicle: Vehicle, clues: Sequence[Clue], beliefs: Beliefs) -> Posterior:
    """The posterior with its leading sets solved again; sets of one part or none are exact in the table already."""
    readings = ReadingSet.of(clues, beliefs)
    leading = [e for e, _ in posterior.leading(beliefs.leading_sets)]
    shared = {e.parts: _shared(e, posterior) for e in leading}
    asked = sum(len({readings.clues[k].check.number for k in columns}) for columns in shared.values()) * _COMBINATIONS
    bench = _Bench(vehicle, few=asked <= _FEW)
    again = []
    for explanation in posterior.explanations:
        if explanation.parts not in shared:
            again.append(explanation)
        else:
            ratio = _log_ratio(explanation, shared[explanation.parts], posterior, readings, bench)
            again.append(replace(explanation, log_weight=explanation.log_weight + ratio, solved_exactly=True))
    return posterior.reweighted(again)


def _shared(explanation: Explanation, posterior: Posterior) -> Columns:
    """Readings that more than one part of a set moves: only these differ from what the table holds exactly."""
    moving = np.sum([posterior.views[part].moves for part in explanation.parts], axis=0)
    return np.flatnonzero(moving >= 2) if explanation.parts else np.zeros(0, dtype=np.intp)


@dataclass
class _Bench:
    """Solvers of the visit's checks, made when first needed and shared by all explanations."""

    vehicle: Vehicle
    few: bool
    solvers: dict[int, Solver] = field(default_factory=dict)

    def solver(self, clue: Clue) -> Solver:
        number = clue.check.number
        if number not in self.solvers:
            specimen = nominal_specimen(self.vehicle)
            self.solvers[number] = Solver(self.vehicle, specimen, clue.table.prepared, few=self.few)
        return self.solvers[number]

    def movements(self, clues: Sequence[Clue], worn: Mapping[tuple[str, Axis], float]) -> Array:
        """Exact movement (c, 2) [mm] of each clue's watch, every stroke solved once."""
        strokes: dict[int, set[int]] = {}
        for clue in clues:
            strokes.setdefault(clue.check.number, set()).add(int(self.solver(clue).stroke_of[clue.watch]))
        solved = {number: self.solvers[number].movements(worn, wanted) for number, wanted in strokes.items()}
        return np.array([solved[clue.check.number][clue.watch] for clue in clues])


def _log_ratio(
    explanation: Explanation, shared: Columns, posterior: Posterior, readings: ReadingSet, bench: _Bench
) -> float:
    """Log of the evidence with exact movements over that with the table's, over the leading joint states."""
    if not shared.size:
        return 0.0
    rows = explanation.leading_places(_COMBINATIONS)
    places, weights = explanation.places[rows], np.log(np.maximum(explanation.weights[rows], 1e-300))
    change, cell = change_together(explanation.parts, places, posterior.views, readings, shared)
    solved = change + _beyond_table(explanation.parts, places, posterior, readings, shared, bench)
    gains = (readings.gain(solved, cell, shared) - readings.gain(change, cell, shared)).sum(axis=1)
    return float(log_sum_exp(weights + gains) - log_sum_exp(weights))


def _beyond_table(
    parts: Sequence[str],
    places: Places,
    posterior: Posterior,
    readings: ReadingSet,
    shared: Columns,
    bench: _Bench,
) -> Array:
    """What the mechanics show beyond the table's sum with its corrections (n, c, 2) [mm], of the nominal vehicle."""
    clues = [readings.clues[k] for k in shared]
    found = np.zeros((len(places), len(clues), 2))
    for n, place in enumerate(places.tolist()):
        worn = {
            key: mm for part, i in zip(parts, place, strict=True) for key, mm in posterior.states[part].worn(i).items()
        }
        found[n] = bench.movements(clues, worn)
        for c, clue in enumerate(clues):
            found[n, c] -= clue.table.sound[clue.watch]
            for part, i in zip(parts, place, strict=True):
                if part in clue.change:
                    found[n, c] -= clue.change[part][i]
    return found - corrections(parts, places, readings, shared)
