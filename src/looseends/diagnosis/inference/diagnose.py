"""From a visit to its posterior: evidence, prior, tables, and every weighing in its order."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import log
from typing import Any

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.before import believed_before
from looseends.diagnosis.inference.exact import Bench, with_leading_solved
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.hidden import with_hidden_joints
from looseends.diagnosis.inference.in_common import InCommon
from looseends.diagnosis.inference.known import Known
from looseends.diagnosis.inference.masking import with_masked_joints
from looseends.diagnosis.inference.overcalling import CHANCE, suspected, taken_as_overcalled
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.practice import reading_like_learners, taken_as_learners
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.shared import with_shared_errors
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.observed.evidence import Clue, clues_of
from looseends.diagnosis.observed.forecast import Forecasts
from looseends.diagnosis.tables.prepare import Progress
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
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
    `overcalling` names who calls everything at least slight, `learning` whose readings are like a learner's though
    nobody said so; `forecasts` are known of the tables, whatever was read.
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
    learning: tuple[str, ...] = ()
    forecasts: Forecasts = field(default_factory=Forecasts, compare=False, repr=False)

    @property
    def support(self) -> str | None:
        """Where the vehicle stands: in the support of what was done last, a look or a check; None before any."""
        return self.visit.checks[-1].setup.support if self.visit.checks else None

    @property
    def learners(self) -> tuple[str, ...]:
        """Who is taken as somebody who still learns, said or told from readings."""
        return (*self.visit.learners, *self.learning)

    @cached_property
    def known(self) -> dict[str, Any]:
        """What was worked out of it and is asked for again: next step and judgement ask the same."""
        return {}


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
    return Diagnosing(vehicle, store, beliefs).diagnosed(visit, progress=progress, usual=usual)


class Diagnosing:
    """A vehicle whose visit is diagnosed again after each reading: what earlier readings gave is not computed again.

    It answers as `diagnose` does, whatever was added, corrected or withdrawn since. What it keeps is what the last
    diagnosis asked for. `lasting`: in a program that goes on running, where the compiled kernel is worth loading.
    One thread at a time.
    """

    def __init__(
        self,
        vehicle: Vehicle,
        store: TableStore,
        beliefs: Beliefs | None = None,
        *,
        lasting: bool = False,
        common: InCommon | None = None,
    ) -> None:
        """`common`: of the same vehicle, tables and beliefs, where other visits of the vehicle go on too."""
        self.common = common or InCommon(vehicle, store, beliefs, lasting=lasting)
        self.vehicle, self.beliefs = vehicle, self.common.beliefs
        self._clues: dict[object, tuple[Clue, ...]] = {}
        self._known = Known()

    def diagnosed(self, visit: Visit, *, progress: Progress | None = None, usual: bool = True) -> Diagnosed:
        """As `diagnose`.

        Raises
        ------
        MechanicsError
            If a setup of the visit cannot be settled.
        """
        beliefs, vehicle, common = self.beliefs, self.vehicle, self.common
        states, prior = believed_before(visit, common.states, beliefs)
        moved = [done for done in visit.checks if load_catalogue().checks[done.setup.check].kind == "movement"]
        checks = tuple(with_true_stand(done, vehicle) for done in moved)
        others = common.usual if usual else ()
        tables = common.tables_of([*others, *(done.setup for done in checks)], progress)
        clues = clues_of(
            checks, {done.number: tables[done.setup] for done in checks}, states, beliefs, visit.replaced, self._clues
        )
        found = weighed(states, prior, clues, beliefs, self._known, visit.learners)
        taken = clues = found.clues
        first = found.posterior
        if any(seen.observer in found.learning for seen in visit.conditions):
            as_learnt = replace(visit, learners=(*visit.learners, *found.learning))
            states, prior = believed_before(as_learnt, common.states, beliefs)
            first = posterior(states, prior, clues, beliefs)

        def weighed_so(known: Sequence[Clue]) -> Posterior:
            before = first if known is taken else posterior(states, prior, known, beliefs)
            return weighed_again(before, vehicle, known, beliefs, common.bench)

        final = with_hidden_joints(first, clues, weighed_so)
        by_id = {s.part.id: s for s in states}
        usual_tables = {setup: tables[setup] for setup in others}
        return Diagnosed(
            visit,
            vehicle,
            beliefs,
            checks,
            usual_tables,
            by_id,
            clues,
            final,
            found.overcalling,
            found.learning,
            common.forecasts,
        )


@dataclass(frozen=True)
class Weighed:
    """Clues as they are best taken, their posterior, and the observers whose habits they are taken to be coloured by.

    `overcalling` call everything at least slight, `learning` read like learners though nobody said so.
    """

    clues: tuple[Clue, ...]
    posterior: Posterior
    overcalling: tuple[str, ...] = ()
    learning: tuple[str, ...] = ()


def weighed(
    states: Sequence[PartStates],
    prior: Prior,
    clues: Sequence[Clue],
    beliefs: Beliefs,
    known: Known | None = None,
    learners: Collection[str] = (),
) -> Weighed:
    """The posterior by the clues as they are best taken; those of `learners` are taken so.

    Where somebody's grades hardly ever say nothing, or many of them surprise, they are taken as those of a person who
    calls everything at least slight, or who still learns, if that explains all that was read better.
    """
    known = known or Known()
    clues = taken_as_learners(clues, learners, beliefs)
    found = Weighed(clues, posterior(states, prior, clues, beliefs, known))
    for observer in suspected(clues):
        instead, known = taken_as_overcalled(found.clues, observer), known.supposing(observer)
        other = posterior(states, prior, instead, beliefs, known)
        if _better(found, other, instead, CHANCE):
            found = replace(found, clues=instead, posterior=other, overcalling=(*found.overcalling, observer))
    passed_over = (*learners, *found.overcalling)
    for observer in reading_like_learners(found.posterior, found.clues, beliefs, passed_over):
        instead, known = taken_as_learners(found.clues, (observer,), beliefs), known.supposing(f"{observer} learns")
        other = posterior(states, prior, instead, beliefs, known)
        if _better(found, other, instead, beliefs.learner.unsaid_chance):
            found = replace(found, clues=instead, posterior=other, learning=(*found.learning, observer))
    return found


def _better(found: Weighed, other: Posterior, clues: Sequence[Clue], chance: float) -> bool:
    """Whether what has this chance before anything is read is likelier than not once all is."""
    return log(chance / (1.0 - chance)) + log_evidence(other, clues) > log_evidence(found.posterior, found.clues)


def log_evidence(found: Posterior, clues: Sequence[Clue]) -> float:
    """Log likelihood of all readings, over all sets of worn parts."""
    sets, believed = float(log_sum_exp(found.log_weights)), float(log_sum_exp(found.believed))
    return sets - believed + float(sum(float(clue.sound_log_likelihood) for clue in clues))


def weighed_again(
    first: Posterior, vehicle: Vehicle, clues: Sequence[Clue], beliefs: Beliefs, bench: Bench | None = None
) -> Posterior:
    """The posterior with leading sets solved by the mechanics, with errors that readings share, and masked joints."""
    readings = ReadingSet.of(clues, beliefs)
    solved = with_leading_solved(first, vehicle, readings, bench)
    return with_masked_joints(with_shared_errors(solved, readings), beliefs)


def with_true_stand(done: CheckDone, vehicle: Vehicle) -> CheckDone:
    """The check as it really was: a stop that was seen touching means a stand too far inboard, wherever it was put.

    It is judged with the stand far enough inboard for the model's stop to be pressed.
    """
    support = vehicle.layout.supports[done.setup.support]
    if not support.stands or support.frame_clamped or done.stop_gap_mm is None or done.stop_gap_mm > 0.0:
        return done
    return replace(done, setup=replace(done.setup, stand_inboard_mm=max(done.setup.stand_inboard_mm, _LOCKED_MM)))
