"""Judging a visit: evidence, posterior, verdicts, what is unproven, and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp
from typing import cast

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.consequences.seen import to_replace_as_seen
from looseends.diagnosis.inference.diagnose import Diagnosed, diagnose
from looseends.diagnosis.inference.moved import Moved, moved_by
from looseends.diagnosis.observed.calls import By
from looseends.diagnosis.observed.detect import foresee
from looseends.diagnosis.observed.words import WatchName, check_words, reading_words
from looseends.diagnosis.planning.next_check import next_checks
from looseends.diagnosis.tables.prepare import Progress
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.verdicts.again import Doubtful, again_remarks, doubtful_readings, readings_of
from looseends.diagnosis.verdicts.all_read import AllRead
from looseends.diagnosis.verdicts.as_done import learning_remark, overcalling_remark, stand_remarks
from looseends.diagnosis.verdicts.hiding import hiding_remarks
from looseends.diagnosis.verdicts.law import beyond_law
from looseends.diagnosis.verdicts.limits import judged_limits, system_findings
from looseends.diagnosis.verdicts.policy import Policy
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.diagnosis.verdicts.proving import unproven_parts
from looseends.diagnosis.verdicts.remarks import (
    CannotShow,
    cannot_show_cases,
    cannot_show_remark,
    contradiction_remarks,
)
from looseends.diagnosis.verdicts.repairs import repairs_of
from looseends.diagnosis.verdicts.rules import Rules
from looseends.diagnosis.verdicts.verdict import finding_of, in_order, verdict_of
from looseends.diagnosis.verdicts.verdict_word import PartEvidence
from looseends.inspection.types import (
    Finding,
    Grounds,
    Judgement,
    Mover,
    Suspect,
    SuspectSet,
    Unproven,
    Visit,
)
from looseends.language import say
from looseends.vehicle.vehicle import Part, Vehicle

_TOLD, _MOST_TOLD, _MOVERS = 0.02, 12, 4
"""What moved a part is told from this chance on, of so many parts at most, by so many readings."""


def judge_visit(
    visit: Visit,
    vehicle: Vehicle,
    *,
    store: TableStore,
    progress: Progress | None = None,
    beliefs: Beliefs | None = None,
    policy: Policy | None = None,
    by: By = "hand",
) -> Judgement:
    """Everything that follows from a visit, by a shop's own `beliefs` and `policy` or by those that ship.

    What to do next is planned for who looks: `by`.

    Tables that the store lacks are computed first, with progress.

    Raises
    ------
    MechanicsError
        If a setup of the visit cannot be settled.
    """
    found = diagnose(visit, vehicle, store=store, progress=progress, beliefs=beliefs)
    return judgement_of(found, policy or load_policy(), by)


@dataclass(frozen=True)
class Standing:
    """How every part stands after a reading, as a `Judgement` has it, but for what moved the suspects."""

    findings: tuple[Finding, ...]
    suspects: tuple[Suspect, ...]
    unproven: tuple[Unproven, ...]


def standing_of(diagnosed: Diagnosed, policy: Policy) -> Standing:
    """The part of a judgement that is asked for after each reading; the whole takes about as long again."""
    found = under_policy(diagnosed, policy)
    rules = rules_of(found, policy)
    findings = findings_of(found, rules)
    unproven = _unproven(found, findings, [cannot_show_remark(found.vehicle, case) for case in _cases(found)])
    return Standing(_ordered(found, findings, rules), _suspects(found, findings, told=0), unproven)


def judgement_of(diagnosed: Diagnosed, policy: Policy, by: By = "hand") -> Judgement:
    """Everything that follows from a visit laid against its vehicle."""
    found = under_policy(diagnosed, policy)
    visit, vehicle = found.visit, found.vehicle
    beliefs, tables, clues, final = found.beliefs, found.tables, found.clues, found.posterior
    checks = found.checks
    rules = rules_of(found, policy)
    findings = findings_of(found, rules)
    cases = _cases(found)
    remarks = [
        *(cannot_show_remark(vehicle, case) for case in cases),
        *contradiction_remarks(clues, final, beliefs),
        *again_remarks(vehicle, doubtful_of(found), final),
        *stand_remarks(visit.checks, checks, tables),
        *(overcalling_remark(observer) for observer in found.overcalling),
        *(learning_remark(observer) for observer in found.learning),
        *hiding_remarks(found, findings),
    ]
    return Judgement(
        visit=visit,
        vehicle_name=vehicle.name,
        findings=_ordered(found, findings, rules),
        system_findings=system_findings(vehicle, visit.jurisdiction, clues, beliefs),
        suspects=_suspects(found, findings),
        sets=tuple(SuspectSet(e.parts, p, e.solved_exactly) for e, p in final.leading(beliefs.leading_sets)),
        unproven=_unproven(found, findings, remarks),
        next_checks=next_checks(found, policy, [case.states for case in cases if case.passed], by),
        remarks=tuple(remarks),
        repairs=repairs_of(found),
    )


def _cases(found: Diagnosed) -> list[CannotShow]:
    """Parts that a check could not have shown; what it showed of a part that is new by then is told as its repair."""
    checks = found.checks
    replaced = {(event.part, done.number) for event in found.visit.replaced for done in checks[event.after_check :]}
    shown = cannot_show_cases(checks, found.clues, found.states, found.tables, found.beliefs)
    return [case for case in shown if (case.states.part.id, case.done.number) not in replaced]


def _unproven(found: Diagnosed, findings: Sequence[Finding], remarks: Sequence[Grounds]) -> tuple[Unproven, ...]:
    skipped = found.visit.not_checked
    return unproven_parts(found.vehicle, findings, found.states, found.tables, skipped, remarks, found.beliefs)


def rules_of(found: Diagnosed, policy: Policy) -> Rules:
    """What law and policy say in this visit; the same object for all who ask by one policy."""
    known = found.known.get("rules")
    if known is None or known.policy != policy:
        visit, vehicle = found.visit, found.vehicle
        judged = judged_limits(vehicle, visit.jurisdiction, found.clues, found.beliefs)
        beyond = beyond_law(judged, vehicle, found.posterior, found.beliefs)
        known = found.known["rules"] = Rules(policy, vehicle, visit.jurisdiction, visit.conditions, beyond)
    return cast(Rules, known)


def findings_of(found: Diagnosed, rules: Rules) -> list[Finding]:
    """The finding on every part, in the vehicle's order; kept for who asks again by the same rules."""
    known = found.known.get("findings")
    if known is None or known[0] is not rules:
        made = [finding_on(part, found, rules) for part in found.vehicle.parts.values()]
        known = found.known["findings"] = rules, made
    return list(known[1])


def finding_on(part: Part, found: Diagnosed, rules: Rules) -> Finding:
    """The finding on one part."""
    return finding_of(_evidence_on(part, found, rules))


def verdict_on(part: Part, found: Diagnosed, rules: Rules) -> VerdictWord:
    """The word of the finding on one part alone."""
    return verdict_of(_evidence_on(part, found, rules))


def _evidence_on(part: Part, found: Diagnosed, rules: Rules) -> PartEvidence:
    if "read" not in found.known:
        found.known["read"] = AllRead(found.posterior, found.clues, found.beliefs)
    seen = [condition for condition in found.visit.conditions if condition.part == part.id and condition.present]
    return PartEvidence(part, found.states.get(part.id), found.known["read"], seen, rules)


def replaced_as_seen(visit: Visit, found: Diagnosed, policy: Policy) -> tuple[str, ...]:
    """Ids of parts that are to be replaced, or unsafe, for what was seen on them, as law and policy have it."""
    seen = to_replace_as_seen(visit.conditions)
    if not seen:
        return ()
    under = under_policy(found, policy)
    rules = rules_of(under, policy)
    return tuple(part for part in seen if verdict_on(found.vehicle.parts[part], under, rules) != "plan")


def under_policy(found: Diagnosed, policy: Policy) -> Diagnosed:
    """The same with the thresholds that a shop sets; one object for all who ask, and itself where they are its own."""
    beliefs = policy.applied_to(found.beliefs)
    known = found if beliefs == found.beliefs else found.known.get("under")
    if known is None or known.beliefs != beliefs:
        known = found.known["under"] = replace(found, beliefs=beliefs)
    if "foreseen" not in known.known:
        foresee(known.clues, known.states.values(), beliefs)
        known.known["foreseen"] = True
    return known


def doubtful_of(found: Diagnosed) -> list[Doubtful]:
    """Readings whose repetition decides, gravest first."""
    if "doubtful" not in found.known:
        found.known["doubtful"] = doubtful_readings(found.clues, found.posterior, found.beliefs, readings_of(found))
    return list(found.known["doubtful"])


def _ordered(found: Diagnosed, findings: Sequence[Finding], rules: Rules) -> tuple[Finding, ...]:
    """Findings that say something; parts that nobody looked at stand under what is unproven."""
    seen = {c.part for c in found.visit.conditions if c.present}
    said = [f for f in findings if f.verdict != "unproven" or f.part in seen]
    return in_order(said, {part.id: part.kind.group for part in found.vehicle.parts.values()}, rules)


def _suspects(found: Diagnosed, findings: Sequence[Finding], told: int = _MOST_TOLD) -> tuple[Suspect, ...]:
    """Every part that may be worn, the likeliest first; of `told` of them the readings that speak for or against."""
    final, names = found.posterior, {finding.part: finding.name for finding in findings}
    chances = {part: (final.marginal(part), final.prior.chance(part)) for part in final.states}
    order = sorted(chances, key=lambda part: -chances[part][0])
    moved = [part for part in order if chances[part][0] >= _TOLD][:told]
    movers = moved_by(final, readings_of(found), moved) if found.clues and moved else {}
    return tuple(
        Suspect(part, names[part], *chances[part], tuple(map(_mover, movers.get(part, ())[:_MOVERS]))) for part in order
    )


def _mover(moved: Moved) -> Mover:
    clue = moved.clue
    words = say("{watch} {reading}", watch=WatchName(clue.reading.watch), reading=reading_words(clue.reading))
    return Mover(words, exp(moved.log_odds), check_words(clue.check))
