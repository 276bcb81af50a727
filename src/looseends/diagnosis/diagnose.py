"""From a visit to its posterior: evidence, prior, tables, and every weighing in its order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import log

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.diagnosis.before import believed_before
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.evidence import Clue, clues_of
from looseends.diagnosis.exact import with_leading_solved
from looseends.diagnosis.explanation import Posterior
from looseends.diagnosis.hidden import with_hidden_joints
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.masking import with_masked_joints
from looseends.diagnosis.overcalling import CHANCE, suspected, taken_as_overcalled
from looseends.diagnosis.posterior import posterior
from looseends.diagnosis.prepare import Progress, prepare_tables, table_for
from looseends.diagnosis.prior import Prior
from looseends.diagnosis.shared import with_shared_errors
from looseends.diagnosis.states import PartStates, vehicle_states
from looseends.diagnosis.store import TableStore
from looseends.diagnosis.table import ResponseTable
from looseends.diagnosis.tabulate import usual_setups
from looseends.inspection.types import CheckDone, Visit
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_LOCKED_MM = 200.0
"""Stand this far inboard [mm]: the stop is pressed and the joint is shut.

The balance of moments stands in tests/vehicle/test_carrier_play.py.
"""


@dataclass(frozen=True)
class Diagnosed:
    """A visit laid against its vehicle.

    `checks` as they are to be judged, those that are no checks of movement left out; `tables` of the usual setups,
    `states` as weighted by conditions;
    `overcalling` names who calls everything at least slight.
    """

    visit: Visit
    vehicle: Vehicle
    beliefs: Beliefs
    checks: tuple[CheckDone, ...]
    tables: Mapping[Setup, ResponseTable]
    states: Mapping[str, PartStates]
    clues: tuple[Clue, ...]
    posterior: Posterior
    overcalling: tuple[str, ...] = ()


def diagnose(
    visit: Visit,
    vehicle: Vehicle,
    *,
    store: TableStore,
    progress: Progress | None = None,
    usual: bool = True,
    beliefs: Beliefs | None = None,
) -> Diagnosed:
    """The posterior of a visit with all that it was taken from; `usual`: with the tables of the usual setups too.

    `beliefs` are those of a shop that learned its own; what ships if there are none.

    Tables that the store lacks are computed first, with progress.

    Raises
    ------
    MechanicsError
        If a setup of the visit cannot be settled.
    """
    beliefs = beliefs or load_beliefs()
    states, prior = believed_before(visit, vehicle_states(vehicle, beliefs), beliefs)
    moved = [done for done in visit.checks if load_catalogue().checks[done.setup.check].kind == "movement"]
    checks = tuple(with_true_stand(done, vehicle) for done in moved)
    others = usual_setups(vehicle) if usual else ()
    prepare_tables(vehicle, store=store, progress=progress, setups=[*others, *(c.setup for c in checks)])
    own = {c.number: table_for(vehicle, c.setup, store) for c in checks}
    clues = clues_of(checks, own, states, beliefs, visit.replaced)
    clues, first, overcalling = weighed(states, prior, clues, beliefs)

    def weighed_so(known: Sequence[Clue]) -> Posterior:
        before = first if known is clues else posterior(states, prior, known, beliefs)
        return weighed_again(before, vehicle, known, beliefs)

    final = with_hidden_joints(first, clues, weighed_so)
    tables = {setup: table_for(vehicle, setup, store) for setup in others}
    by_id = {s.part.id: s for s in states}
    return Diagnosed(visit, vehicle, beliefs, checks, tables, by_id, clues, final, overcalling)


def weighed(
    states: Sequence[PartStates], prior: Prior, clues: Sequence[Clue], beliefs: Beliefs
) -> tuple[tuple[Clue, ...], Posterior, tuple[str, ...]]:
    """Clues as they are best taken, their posterior, and the observers whose grades say at least slight of everything.

    Where somebody's grades hardly ever say nothing, they are taken so if that explains all that was read better.
    """
    taken, found, overcalling = tuple(clues), posterior(states, prior, clues, beliefs), []
    for observer in suspected(clues):
        instead = taken_as_overcalled(taken, observer)
        other = posterior(states, prior, instead, beliefs)
        odds = log(CHANCE / (1.0 - CHANCE)) + log_evidence(other, instead) - log_evidence(found, taken)
        if odds > 0.0:
            taken, found = instead, other
            overcalling.append(observer)
    return taken, found, tuple(overcalling)


def log_evidence(found: Posterior, clues: Sequence[Clue]) -> float:
    """Log likelihood of all readings, over all sets of worn parts."""
    sets = log_sum_exp(np.array([explanation.log_weight for explanation in found.explanations]))
    believed = log_sum_exp(np.array([found.prior.log_weight(e.parts) for e in found.explanations]))
    return sets - believed + float(sum(float(clue.sound_log_likelihood) for clue in clues))


def weighed_again(first: Posterior, vehicle: Vehicle, clues: Sequence[Clue], beliefs: Beliefs) -> Posterior:
    """The posterior with leading sets solved by the mechanics, with errors that readings share, and masked joints."""
    solved = with_leading_solved(first, vehicle, clues, beliefs)
    return with_masked_joints(with_shared_errors(solved, clues, beliefs), beliefs)


def with_true_stand(done: CheckDone, vehicle: Vehicle) -> CheckDone:
    """The check as it really was: a stop that was seen touching means a stand too far inboard, wherever it was put.

    It is judged with the stand far enough inboard for the model's stop to be pressed.
    """
    support = vehicle.layout.supports[done.setup.support]
    if not support.stands or support.frame_clamped or done.stop_gap_mm is None or done.stop_gap_mm > 0.0:
        return done
    return replace(done, setup=replace(done.setup, stand_inboard_mm=max(done.setup.stand_inboard_mm, _LOCKED_MM)))
