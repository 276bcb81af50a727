"""Visits laid against tables made by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from looseends.diagnosis.inference.before import with_conditions, witnessed
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.tables.states import part_states, plain_odds
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import CheckDone, ConditionSeen, NotChecked, SymptomSeen, Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import beliefs, states_of, visit, yard_pickup


def made_diagnosed(
    tables: Mapping[Setup, ResponseTable],
    parts: Sequence[str],
    *checks: CheckDone,
    odds: Mapping[str, float] | None = None,
    conditions: Sequence[ConditionSeen] = (),
    not_checked: Sequence[NotChecked] = (),
    complaint: str = "",
    jurisdiction: str = "us-federal",
) -> Diagnosed:
    """A visit in which only these parts are in doubt, with these tables as the usual ones."""
    states = states_of(*parts)
    recorded = replace(
        visit(*checks, conditions=conditions), not_checked=tuple(not_checked), complaint=complaint,
        jurisdiction=jurisdiction,
    )  # fmt: skip
    clues = clues_of(checks, {c.number: tables[c.setup] for c in checks}, states, beliefs())
    found = posterior(states, odds or plain_odds(states, beliefs()), clues, beliefs())
    by_id = {s.part.id: s for s in states}
    return Diagnosed(recorded, yard_pickup(), beliefs(), tuple(checks), tables, by_id, clues, found)


def without_readings(vehicle_id: str, parts: Sequence[str], recorded: Visit, odds: float = -2.0) -> Diagnosed:
    """A visit without a reading: parts are worn as likely as these log odds and the visit's symptoms say."""
    vehicle = load_vehicles()[vehicle_id]
    states = [part_states(vehicle.parts[part], beliefs()) for part in parts]
    weighed, log_odds = with_conditions(states, dict.fromkeys(parts, odds), recorded.conditions)
    prior = Prior(log_odds, witnessed(recorded, [s.part for s in states]))
    found = posterior(weighed, prior, (), beliefs())
    return Diagnosed(recorded, vehicle, beliefs(), (), {}, {s.part.id: s for s in weighed}, (), found)


def taken_in(vehicle_id: str, *symptoms: SymptomSeen, conditions: Sequence[ConditionSeen] = ()) -> Visit:
    """A visit of a vehicle on which nothing was gripped."""
    return replace(visit(conditions=conditions), vehicle=vehicle_id, symptoms=symptoms)
