"""Solving the leading explanations again, exactly, where the table only adds."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.readings import Columns, ReadingSet
from looseends.diagnosis.inference.views import Places, change_together, corrections, doubt_and_best, doubted
from looseends.diagnosis.inference.worn_sets import WornSets
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.tables.solver import Solver
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle

_FEW = 60
"""Up to about so many checks to be solved the general solver is done before the compiled kernel is loaded."""

_MOST_ANSWERS, _MOST_SOLVERS = 8192, 80
"""So many stay in memory, about a kilobyte for each answer."""

_COMBINATIONS = 3
"""Joint states that are solved per explanation; they carry most of its weight."""


def with_leading_solved(
    posterior: Posterior, vehicle: Vehicle, readings: ReadingSet, bench: Bench | None = None
) -> Posterior:
    """The posterior with its leading sets solved again; sets of one part or none are exact in the table already.

    `bench` holds what was solved before of the same vehicle with the same tables; it saves time and changes nothing.
    """
    leading = [e for e, _ in posterior.leading(readings.beliefs.leading_sets)]
    shared = {e.parts: _shared(e, posterior, readings) for e in leading}
    asked = sum(len({readings.clues[k].check.number for k in columns}) for columns in shared.values()) * _COMBINATIONS
    bench = bench or Bench(vehicle)
    bench.begin(few=asked <= _FEW)
    ratios = {e.parts: _log_ratio(e, shared[e.parts], posterior, readings, bench) for e in leading}
    bench.end()
    changes, solved = _changes(posterior.sets, ratios)
    return posterior.reweighted(posterior.log_weights + changes, solved=posterior.solved | solved)


def _changes(sets: WornSets, ratios: Mapping[tuple[str, ...], float]) -> tuple[Array, NDArray[np.bool_]]:
    """What solving some sets changes in the log weight of each (e,), and which these are (e,).

    A set that was not solved changes as the largest solved set within it does. Else a leading set whose table is off
    would fall behind all those with one part more, whose table is off alike.
    """
    changes, solved = np.zeros(len(sets.parts)), np.zeros(len(sets.parts), dtype=bool)
    # The largest come last, and of those as large the one that changes most: what comes last counts.
    ordered = sorted(ratios, key=lambda parts: (len(parts), abs(ratios[parts])))
    for parts, having in zip(ordered, sets.having_each(ordered), strict=True):
        changes[having] = ratios[parts]
    for parts, ratio in ratios.items():
        number = sets.number[frozenset(parts)]
        changes[number], solved[number] = ratio, True
    return changes, solved


def _shared(explanation: Explanation, posterior: Posterior, readings: ReadingSet) -> Columns:
    """Readings that a set's parts move together: only these differ from what the table holds exactly."""
    if not explanation.parts:
        return np.zeros(0, dtype=np.intp)
    moving = np.sum([posterior.views[part].moves for part in explanation.parts], axis=0)
    return np.flatnonzero((moving >= 2) | readings.beside(explanation.parts))


_Worn = frozenset[tuple[tuple[str, Axis], float]]


@dataclass
class Bench:
    """Solvers of a vehicle's setups, made when first needed, and what they answered.

    Answers depend on the setup and what is worn alone, not on what was read nor on what was asked before: visits of one
    vehicle share them. Those asked for last are kept. `lasting`: the compiled kernel is loaded however few are asked
    for.
    """

    vehicle: Vehicle
    lasting: bool = False
    few: bool = True
    solvers: OrderedDict[Setup, Solver] = field(default_factory=OrderedDict)
    answers: OrderedDict[tuple[Setup, int, _Worn], Array] = field(default_factory=OrderedDict)

    def begin(self, *, few: bool) -> None:
        """Before the first question of a posterior: whether only few will be asked."""
        self.few = few and not self.lasting

    def end(self) -> None:
        """After the last: what was asked for longest ago is forgotten."""
        while len(self.answers) > _MOST_ANSWERS:
            self.answers.popitem(last=False)
        while len(self.solvers) > _MOST_SOLVERS:
            self.solvers.popitem(last=False)

    def movements(self, clues: Sequence[Clue], worn: Mapping[tuple[str, Axis], float]) -> Array:
        """Exact movement (c, 2) [mm] of each clue's watch, every stroke solved once."""
        return np.array([self._answer(clue, worn)[clue.watch] for clue in clues])

    def _answer(self, clue: Clue, worn: Mapping[tuple[str, Axis], float]) -> Array:
        setup = clue.check.setup
        key = setup, _stroke_of(clue), frozenset(worn.items())
        if key not in self.answers:
            self.answers[key] = self._solver(clue).movements(worn, {key[1]})
        self.answers.move_to_end(key)
        return self.answers[key]

    def _solver(self, clue: Clue) -> Solver:
        setup = clue.check.setup
        if setup not in self.solvers:
            specimen = nominal_specimen(self.vehicle)
            self.solvers[setup] = Solver(self.vehicle, specimen, clue.table.prepared, few=self.few)
        self.solvers.move_to_end(setup)
        return self.solvers[setup]


def _stroke_of(clue: Clue) -> int:
    """Number of the stroke in which a clue's watch moves."""
    ends = np.cumsum([len(stroke.reduced.watch_names) for stroke in clue.table.prepared.strokes])
    return int(np.searchsorted(ends, clue.watch, side="right"))


def _log_ratio(
    explanation: Explanation, shared: Columns, posterior: Posterior, readings: ReadingSet, bench: Bench
) -> float:
    """Log of the evidence with exact movements over that with the table's, over the leading joint states."""
    if not shared.size:
        return 0.0
    rows = explanation.leading_places(_COMBINATIONS)
    places, weights = explanation.places[rows], np.log(np.maximum(explanation.weights[rows], 1e-300))
    change, cell = change_together(explanation.parts, places, posterior.views, readings, shared)
    solved = change + _beyond_table(explanation.parts, places, posterior, readings, shared, bench)
    together = readings.gain(np.stack([solved, change]), cell, shared)
    # As the posterior counts it: what a part's doubt about its share explains already, solving need not explain.
    doubt, best = doubt_and_best(explanation.parts, places, posterior.views, shared)
    by_solver, by_table = doubted(together, doubt, best).sum(axis=2)
    return float(log_sum_exp(weights + by_solver - by_table) - log_sum_exp(weights))


def _beyond_table(
    parts: Sequence[str],
    places: Places,
    posterior: Posterior,
    readings: ReadingSet,
    shared: Columns,
    bench: Bench,
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
