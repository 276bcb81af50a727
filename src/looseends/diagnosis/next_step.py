"""The next step of a visit, planned anew after each reading: what to do now, or why enough is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.diagnosis.calls import By
from looseends.diagnosis.complaints import complaints_meant, suspicion_of
from looseends.diagnosis.diagnose import Diagnosed
from looseends.diagnosis.information import Told, entropy, told_by
from looseends.diagnosis.judge import finding_on, findings_of, rules_of, under_policy
from looseends.diagnosis.looks import fault_chances, looks_left
from looseends.diagnosis.next_check import described, tables_left
from looseends.diagnosis.policy import Policy
from looseends.diagnosis.policy_file import load_policy
from looseends.diagnosis.remarks import cannot_show_cases
from looseends.diagnosis.stands import change_minutes, check_minutes
from looseends.errors import InputError
from looseends.inspection.types import NextCheck
from looseends.language import Number, Percent, Text, joined, say, say_count
from looseends.vehicle.setup import Setup

_NAMED = 6
"""So many parts that stay open are named; the rest are counted."""


@dataclass(frozen=True)
class Step:
    """What to do now.

    `worth` is what it settles of the stakes [weighted bits]; `then` are the setups that follow under the same support,
    as planned now; `minutes_left` after it, None without a limit; `open_parts` are still to be decided.
    """

    check: NextCheck
    worth: float
    then: tuple[Setup, ...]
    minutes_left: float | None
    open_parts: tuple[str, ...]


@dataclass(frozen=True)
class Enough:
    """Why to stop: every suspect part is decided, nothing left is worth its minutes, or the time is used up.

    `words` says it in one sentence; `open_parts` are suspect and not decided, `unproven` all that nothing proves.
    """

    because: Literal["decided", "little left", "no time"]
    words: str
    open_parts: tuple[str, ...]
    unproven: tuple[str, ...]


def next_step(
    diagnosed: Diagnosed,
    minutes_left: float | None = None,
    policy: Policy | None = None,
    by: By = "hand",
    *,
    looks: bool = True,
) -> Step | Enough:
    """The check to do now, or why to stop, by a shop's policy; by the one that ships if None.

    A support is chosen with what can be done there in the time, so that stands move once for several checks: the one
    where most is told per minute, the move included. A part that could not be checked weighs nothing. Without
    `looks` only checks of movement are planned.
    """
    policy = policy or load_policy()
    found = under_policy(diagnosed, policy)
    stakes = stakes_of(found, policy)
    if not stakes:
        return _enough("decided", found, policy, ())
    told = told_by(found.posterior, tables_left(found), found.beliefs, by) | (looks_left(found) if looks else {})
    here = found.checks[-1].setup.support if found.checks else None
    plan = best_plan(told, stakes, here, policy, minutes_left)
    least = policy.next.least_bits_per_minute
    if plan is None or plan.rate < least:
        with_time = best_plan(told, stakes, here, policy, None)
        short = with_time is not None and with_time.rate >= least
        return _enough("no time" if short else "little left", found, policy, tuple(stakes))
    first = plan.setups[0]
    minutes = plan.change_minutes + check_minutes(first)
    advice = described(found, first, minutes, told[first].bits)
    after = None if minutes_left is None else minutes_left - minutes
    return Step(advice, worth_of([told[first]], stakes), plan.setups[1:], after, tuple(stakes))


@dataclass(frozen=True)
class Plan:
    """Checks under one support, the first first, and what they tell per minute [weighted bits/min]."""

    setups: tuple[Setup, ...]
    change_minutes: float
    rate: float


def best_plan(
    told: Mapping[Setup, Told],
    stakes: Mapping[str, float],
    here: str | None,
    policy: Policy,
    minutes_left: float | None,
) -> Plan | None:
    """The support, and the checks under it, that tell most per minute within the time; None where nothing tells.

    Under each support the checks are taken one after another, each time the one that adds most per minute, as long as
    the rate of all with the move of stands grows.
    """
    groups: dict[str, list[Setup]] = {}
    for setup, entry in told.items():
        if worth_of([entry], stakes) > 0.0:
            groups.setdefault(setup.support, []).append(setup)
    plans = [
        plan
        for support, setups in groups.items()
        if (plan := _plan(setups, told, stakes, change_minutes(here, support, policy), minutes_left)) is not None
    ]
    return max(plans, key=lambda plan: plan.rate, default=None)


def _plan(
    setups: Sequence[Setup],
    told: Mapping[Setup, Told],
    stakes: Mapping[str, float],
    move: float,
    minutes_left: float | None,
) -> Plan | None:
    taken: list[Setup] = []
    minutes, rate = move, 0.0
    rest = list(setups)
    while True:
        before = worth_of([told[setup] for setup in taken], stakes)
        fits = [s for s in rest if minutes_left is None or minutes + check_minutes(s) <= minutes_left]
        if not fits:
            break

        def gain(setup: Setup, before: float = before) -> float:
            return (worth_of([told[s] for s in (*taken, setup)], stakes) - before) / check_minutes(setup)

        best = max(fits, key=gain)
        grown = (before + gain(best) * check_minutes(best)) / (minutes + check_minutes(best))
        if grown <= rate:
            break
        taken.append(best)
        rest.remove(best)
        minutes, rate = minutes + check_minutes(best), grown
    return Plan(tuple(taken), move, rate) if taken else None


def worth_of(told: Sequence[Told], stakes: Mapping[str, float]) -> float:
    """What checks settle together of the stakes [weighted bits]: each settles its share of what the others leave."""
    total = 0.0
    for name, stake in stakes.items():
        left = 1.0
        for entry in told:
            left *= 1.0 - entry.settles.get(name, 0.0)
        total += stake * (1.0 - left)
    return total


def stakes_of(found: Diagnosed, policy: Policy) -> dict[str, float]:
    """The doubt about each part that is still open [bits], times what it is worth.

    By the part's group, and more where the complaint raises it or it stands on record as tight without proof. Open is
    what is suspect and neither proven worn nor sound, and could be checked. The greatest first.
    """
    raised, rules = raised_by_complaint(found) | passed_without_proof(found), rules_of(found, policy)
    skipped = {entry.part for entry in found.visit.not_checked}
    stakes = {}
    for name, states in found.states.items():
        chance = found.posterior.marginal(name)
        is_open = policy.next.unlikely_at_most < chance < found.beliefs.worn_at_least and name not in skipped
        if is_open and finding_on(states.part, found, rules).verdict != "sound":
            weight = policy.weight(states.part.kind.group, raised=name in raised)
            stakes[name] = weight * float(entropy(np.array(chance)))
    for name, chance in fault_chances(found).items():
        if chance > policy.next.unlikely_at_most:
            weight = policy.weight(found.vehicle.parts[name].kind.group, raised=name in raised)
            stakes[name] = weight * float(entropy(np.array(chance)))
    return dict(sorted(stakes.items(), key=lambda entry: -entry[1]))


def passed_without_proof(found: Diagnosed) -> frozenset[str]:
    """Parts that stand on record as tight from a check that could not have shown their play."""
    cases = cannot_show_cases(found.checks, found.clues, found.states, found.tables, found.beliefs)
    return frozenset(case.states.part.id for case in cases if case.passed)


def raised_by_complaint(found: Diagnosed) -> frozenset[str]:
    """Parts that the visit's complaint makes likelier: those on file with the visit, else what its words are like."""
    complaints = load_catalogue().complaints
    meant = [complaints[s.id] for s in found.visit.symptoms if s.kind == "complaint" and s.present]
    if not meant and found.visit.complaint:
        try:
            meant = list(complaints_meant(found.visit.complaint, complaints.values()))
        except InputError:  # words like no complaint raise nothing
            return frozenset()
    return frozenset(suspicion_of(found.vehicle, meant, found.beliefs).raised)


def _enough(
    because: Literal["decided", "little left", "no time"],
    found: Diagnosed,
    policy: Policy,
    open_parts: Sequence[str],
) -> Enough:
    findings = findings_of(found, rules_of(found, policy))
    unproven = tuple(f.part for f in findings if f.verdict == "unproven" and f.part in found.states)
    reasons: Mapping[str, Text] = {
        "decided": say(
            "Enough is known to act: every part in question is proven worn, proven sound, or worn with a chance of at "
            "most {unlikely}",
            unlikely=Percent(policy.next.unlikely_at_most),
        ),
        "little left": say(
            "Enough: no check left tells as much as {least} bit per minute about what is still open",
            least=Number(policy.next.least_bits_per_minute),
        ),
        "no time": say("The time is used up: no check left fits into it"),
    }
    return Enough(
        because, joined([reasons[because], _left_words(found, open_parts, unproven)], "; "), tuple(open_parts), unproven
    )


def _left_words(found: Diagnosed, open_parts: Sequence[str], unproven: Sequence[str]) -> Text:
    """What stays open and unproven, as the end of a sentence."""
    if not unproven:
        return say("nothing stays unproven.")
    named = [*open_parts, *(part for part in unproven if part not in open_parts)]
    named = sorted(named, key=lambda part: -found.posterior.marginal(part))[:_NAMED]
    names = tuple(found.vehicle.parts[part].name for part in named)
    return say_count(
        "{count} part stays unproven: {names}.",
        "{count} parts stay unproven, the likeliest worn first: {names}.",
        len(set(unproven) | set(open_parts)),
        names=names,
    )
