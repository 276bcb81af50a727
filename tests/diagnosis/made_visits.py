"""Visits laid against tables made by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from looseends.diagnosis.diagnose import Diagnosed
from looseends.diagnosis.evidence import clues_of
from looseends.diagnosis.posterior import posterior
from looseends.diagnosis.states import plain_odds
from looseends.diagnosis.table import ResponseTable
from looseends.inspection.types import CheckDone, ConditionSeen, NotChecked
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
