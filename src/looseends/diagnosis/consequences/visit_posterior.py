"""The posterior behind a visit's judgement, for what is averaged over it."""

from __future__ import annotations

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.evidence import clues_of
from looseends.diagnosis.exact import with_leading_solved
from looseends.diagnosis.judge import prior_log_odds, with_true_stand
from looseends.diagnosis.masking import with_masked_joints
from looseends.diagnosis.posterior import Posterior, posterior
from looseends.diagnosis.prepare import Progress, prepare_tables, table_for
from looseends.diagnosis.shared import with_shared_errors
from looseends.diagnosis.states import vehicle_states
from looseends.diagnosis.store import TableStore
from looseends.inspection.types import Visit
from looseends.vehicle.vehicle import Vehicle


def visit_posterior(
    visit: Visit, vehicle: Vehicle, *, store: TableStore, progress: Progress | None = None
) -> Posterior:
    """The posterior on which `judge_visit` gives its verdicts, step by step the same.

    Tables of the visit's own setups that the store lacks are computed first, with progress.

    Raises
    ------
    MechanicsError
        If a setup of the visit cannot be settled.
    """
    beliefs = load_beliefs()
    states = vehicle_states(vehicle, beliefs)
    checks = [with_true_stand(done, vehicle, store) for done in visit.checks]
    prepare_tables(vehicle, store=store, progress=progress, setups=[check.setup for check in checks])
    tables = {check.number: table_for(vehicle, check.setup, store) for check in checks}
    clues = clues_of(checks, tables, states, beliefs)
    odds = prior_log_odds(states, visit.conditions, beliefs)
    first = posterior(states, odds, clues, beliefs)
    shared = with_shared_errors(with_leading_solved(first, vehicle, clues, beliefs), clues, beliefs)
    return with_masked_joints(shared, odds, beliefs)
