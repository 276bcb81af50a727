"""Judging a visit: evidence, posterior, verdicts, what is unproven, and what to do next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import exp

from looseends.diagnosis.again import again_remarks, doubtful_readings
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.evidence import clues_of
from looseends.diagnosis.exact import with_leading_solved
from looseends.diagnosis.limits import system_findings
from looseends.diagnosis.masking import with_masked_joints
from looseends.diagnosis.next_check import next_checks
from looseends.diagnosis.posterior import Posterior, posterior
from looseends.diagnosis.prepare import Progress, prepare_tables, table_for
from looseends.diagnosis.proving import unproven_parts
from looseends.diagnosis.remarks import cannot_show_cases, cannot_show_remark, contradiction_remarks
from looseends.diagnosis.shared import with_shared_errors
from looseends.diagnosis.states import PartStates, log_odds, vehicle_states
from looseends.diagnosis.store import TableStore
from looseends.diagnosis.table import ResponseTable
from looseends.diagnosis.tabulate import usual_setups
from looseends.diagnosis.verdict import GRAVITY_OF, PartEvidence, finding_of
from looseends.diagnosis.words import THE_VISIT, check_words, setup_words
from looseends.inspection.types import (
    CheckDone,
    ConditionSeen,
    Finding,
    Grounds,
    Judgement,
    Suspect,
    SuspectSet,
    Visit,
)
from looseends.language import say
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_TORN_BOOT = "torn-boot"


def judge_visit(visit: Visit, vehicle: Vehicle, *, store: TableStore, progress: Progress | None = None) -> Judgement:
    """Everything that follows from a visit.

    Tables that the store lacks are computed first, with progress.

    Raises
    ------
    MechanicsError
        If a setup of the visit cannot be settled.
    """
    beliefs = load_beliefs()
    states = vehicle_states(vehicle, beliefs)
    by_id = {s.part.id: s for s in states}
    checks = [with_true_stand(done, vehicle, store) for done in visit.checks]
    prepare_tables(vehicle, store=store, progress=progress, setups=[*usual_setups(vehicle), *(c.setup for c in checks)])
    tables = {setup: table_for(vehicle, setup, store) for setup in usual_setups(vehicle)}
    clues = clues_of(checks, {c.number: table_for(vehicle, c.setup, store) for c in checks}, states, beliefs)
    odds = prior_log_odds(states, visit.conditions, beliefs)
    first = posterior(states, odds, clues, beliefs)
    shared = with_shared_errors(with_leading_solved(first, vehicle, clues, beliefs), clues, beliefs)
    final = with_masked_joints(shared, odds, beliefs)
    findings = []
    for part in vehicle.parts.values():
        seen = [condition for condition in visit.conditions if condition.part == part.id]
        findings.append(finding_of(PartEvidence(part, by_id.get(part.id), final, clues, seen, beliefs)))
    cases = cannot_show_cases(checks, clues, by_id, tables, beliefs)
    remarks = [
        *(cannot_show_remark(vehicle, case) for case in cases),
        *contradiction_remarks(clues, final, beliefs),
        *again_remarks(vehicle, doubtful_readings(clues, final, beliefs), final),
        *_stand_remarks(visit.checks, checks, tables),
    ]
    unproven = unproven_parts(vehicle, findings, by_id, tables, visit.not_checked, remarks, beliefs)
    return Judgement(
        visit=visit,
        vehicle_name=vehicle.name,
        findings=_ordered(vehicle, findings, visit),
        system_findings=system_findings(vehicle, visit.jurisdiction, clues, beliefs),
        suspects=_suspects(states, odds, final),
        sets=tuple(SuspectSet(e.parts, p, e.solved_exactly) for e, p in final.leading(beliefs.leading_sets)),
        unproven=unproven,
        next_checks=next_checks(
            vehicle, final, tables, [c.setup for c in checks], [case.states for case in cases if case.passed], beliefs
        ),
        remarks=tuple(remarks),
    )


def prior_log_odds(
    states: Sequence[PartStates], conditions: Sequence[ConditionSeen], beliefs: Beliefs
) -> dict[str, float]:
    """Prior log odds by part; a torn boot raises them."""
    torn = {condition.part for condition in conditions if condition.condition == _TORN_BOOT}
    return {s.part.id: log_odds(s.part, beliefs, s.part.id in torn) for s in states}


def with_true_stand(done: CheckDone, vehicle: Vehicle, store: TableStore) -> CheckDone:
    """The check as it really was: a stop that was seen touching means a stand too far inboard, wherever it was put.

    It is judged with the stand far enough inboard for the model's stop to be pressed.
    """
    support = vehicle.layout.supports[done.setup.support]
    if not support.stands or support.frame_clamped or done.stop_gap_mm is None or done.stop_gap_mm > 0.0:
        return done
    return replace(done, setup=replace(done.setup, stand_inboard_mm=max(done.setup.stand_inboard_mm, _LOCKED_MM)))


_LOCKED_MM = 200.0
"""Stand this far inboard [mm]: the stop is pressed and the joint is shut.

The balance of moments stands in tests/vehicle/test_carrier_play.py.
"""


def _stand_remarks(
    recorded: Sequence[CheckDone], used: Sequence[CheckDone], tables: Mapping[Setup, ResponseTable]
) -> list[Grounds]:
    remarks = []
    for before, after in zip(recorded, used, strict=True):
        if before.setup != after.setup:
            words = say(
                "In {check} the rebound stop was touching: the stand was too far inboard, and the spring pressed "
                "through the ball joints. What this check showed was judged so.",
                check=check_words(before),
            )
            remarks.append(Grounds("cannot show", words, None, THE_VISIT, check_words(before)))
        elif before.setup.support == "arm" and before.stop_gap_mm is None:
            words = say(
                "In {check} ({setup}) no gap at the rebound stop was written down; it was taken as open. A feeler in "
                "the gap is the proof that the joint was unloaded.",
                check=check_words(before),
                setup=setup_words(before.setup),
            )
            source = say("common practice, no source")
            remarks.append(Grounds("policy", words, "common practice", source, check_words(before)))
    return remarks


def _ordered(vehicle: Vehicle, findings: Sequence[Finding], visit: Visit) -> tuple[Finding, ...]:
    """Findings that say something, gravest first; parts that nobody looked at stand under what is unproven."""
    said = [f for f in findings if f.verdict != "unproven" or f.part in {c.part for c in visit.conditions}]
    return tuple(sorted(said, key=lambda f: (-GRAVITY_OF[f.verdict], -f.probability, f.part)))


def _suspects(states: Sequence[PartStates], odds: Mapping[str, float], final: Posterior) -> tuple[Suspect, ...]:
    suspects = [
        Suspect(s.part.id, s.part.name, final.marginal(s.part.id), 1.0 / (1.0 + exp(-odds[s.part.id]))) for s in states
    ]
    return tuple(sorted(suspects, key=lambda suspect: -suspect.probability))
