"""Solving the leading explanations again, exactly, where the table only adds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.special import logsumexp

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue, cell_width
from looseends.diagnosis.posterior import Explanation, Posterior, likelihood_gain, pair_change
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.tabulate import Solver
from looseends.mechanics.bodies import Array
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle

_COMBINATIONS = 3
"""Pairs of states that are solved per explanation; they carry most of its weight."""


def with_leading_solved(posterior: Posterior, vehicle: Vehicle, clues: Sequence[Clue], beliefs: Beliefs) -> Posterior:
    """The posterior with its leading sets solved again; sets of one part or none are exact in the table already."""
    leading = {explanation.parts for explanation, _ in posterior.leading(beliefs.leading_sets)}
    again = []
    for explanation in posterior.explanations:
        if explanation.parts not in leading:
            again.append(explanation)
        elif len(explanation.parts) < 2:
            again.append(replace(explanation, solved_exactly=True))
        else:
            ratio = _log_ratio(explanation, posterior, vehicle, clues, beliefs)
            again.append(replace(explanation, log_weight=explanation.log_weight + ratio, solved_exactly=True))
    return posterior.reweighted(again)


def _log_ratio(
    explanation: Explanation, posterior: Posterior, vehicle: Vehicle, clues: Sequence[Clue], beliefs: Beliefs
) -> float:
    """Log of the evidence with exact movements over that with the table's, over the leading pairs of states."""
    first, second = (posterior.states[name] for name in explanation.parts)
    shared = [c for c in clues if first.part.id in c.change and second.part.id in c.change]
    if not shared:
        return 0.0
    flat = np.argsort(-explanation.states, axis=None)[:_COMBINATIONS]
    terms, weights = [], []
    solvers = {c.check.number: Solver(vehicle, nominal_specimen(vehicle), c.table.prepared) for c in shared}
    for index in flat:
        i, j = np.unravel_index(index, explanation.states.shape)
        worn = {**first.worn(int(i)), **second.worn(int(j))}
        weights.append(float(np.log(max(float(explanation.states[i, j]), 1e-300))))
        terms.append(_difference(shared, solvers, worn, (first, int(i)), (second, int(j)), beliefs))
    return float(logsumexp(np.array(weights) + np.array(terms)) - logsumexp(np.array(weights)))


def _difference(
    shared: Sequence[Clue],
    solvers: dict[int, Solver],
    worn: dict[tuple[str, Axis], float],
    first: tuple[PartStates, int],
    second: tuple[PartStates, int],
    beliefs: Beliefs,
) -> float:
    solved = {number: solver.movements(worn) for number, solver in solvers.items()}
    difference = 0.0
    for clue in shared:
        a, b = clue.change[first[0].part.id], clue.change[second[0].part.id]
        tabulated = pair_change(clue, first[0].part.id, second[0].part.id, a, b)[first[1], second[1]]
        cell = np.hypot(cell_width(first[0], a)[first[1]], cell_width(second[0], b)[second[1]])
        exact: Array = solved[clue.check.number][clue.watch] - clue.sound
        difference += float(likelihood_gain(clue, exact, cell, beliefs))
        difference -= float(likelihood_gain(clue, tabulated, cell, beliefs))
    return difference
