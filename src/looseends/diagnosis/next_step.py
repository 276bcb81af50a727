"""The next step of a visit, planned anew after each reading: what to do now, or why enough is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.judge import doubtful_of, findings_of, rules_of, under_policy, verdict_on
from looseends.diagnosis.observed.calls import By
from looseends.diagnosis.observed.complaints import meant_in_catalogue, suspicion_of
from looseends.diagnosis.planning.information import entropy_of
from looseends.diagnosis.planning.looks import fault_chances
from looseends.diagnosis.planning.next_check import described, described_again, described_unexplained, looks_of
from looseends.diagnosis.planning.next_plan import best_plan, whole_plan, worth_of
from looseends.diagnosis.planning.repeats import unexplained
from looseends.diagnosis.planning.stands import Again, Look, change_minutes, look_minutes
from looseends.diagnosis.verdicts.policy import Policy
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.diagnosis.verdicts.remarks import cannot_show_cases
from looseends.inspection.types import NextCheck
from looseends.language import Number, Percent, Text, joined, say, say_count
from looseends.vehicle.setup import Setup

_NAMED = 6
"""So many parts that stay open are named; the rest are counted."""


@dataclass(frozen=True)
class Step:
    """What to do now.

    `worth` is what it settles of the stakes [weighted bits]; `then` are the setups that follow as planned now;
    `minutes_left` after it, None without a limit; `open_parts` are still to be decided.
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

    Without a limit the support is chosen where most is told per minute, the move included, so that stands move once for
    several checks. Within minutes the looks are chosen that settle most in all of them (`next_plan.whole_plan`). A
    reading taken again is a look like any other. A part that could not be checked weighs nothing. Without `looks` only
    checks of movement are planned. Before enough is said, what nothing explains is read again.
    """
    policy = policy or load_policy()
    found = under_policy(diagnosed, policy)
    stakes = stakes_of(found, policy)
    if not stakes:
        return _unexplained(found, minutes_left, policy, ()) or _enough("decided", found, policy, ())
    told, repeats = looks_of(found, by, looks=looks)
    here = found.support
    least = _least_rate(found, stakes, policy, minutes_left)
    quick = best_plan(told, stakes, here, policy, minutes_left)
    if quick is None or quick.rate < least:
        if step := _unexplained(found, minutes_left, policy, tuple(stakes)):
            return step
        with_time = best_plan(told, stakes, here, policy, None)
        short = with_time is not None and with_time.rate >= least
        return _enough("no time" if short else "little left", found, policy, tuple(stakes))
    plan = quick if minutes_left is None else whole_plan(told, stakes, here, policy, minutes_left) or quick
    now, then = _first(plan.looks)
    minutes = plan.change_minutes + sum(look_minutes(look) for look in now)
    bits = told[now[0]].bits
    again = [look for look in now if isinstance(look, Again)]
    advice = (
        described_again(found, again, minutes, bits, repeats[again[0]])
        if again
        else described(found, _setup(now[0]), minutes, bits)
    )
    after = None if minutes_left is None else minutes_left - minutes
    return Step(advice, worth_of([told[look] for look in now], stakes), then, after, tuple(stakes))


def _unexplained(
    found: Diagnosed, minutes_left: float | None, policy: Policy, open_parts: tuple[str, ...]
) -> Step | None:
    """Readings of one setup that nothing explains, once more: of the setup that takes the fewest minutes."""
    here = found.support
    by_setup: dict[Setup, list[Again]] = {}
    for look in unexplained(found):
        by_setup.setdefault(look.setup, []).append(look)
    minutes = {
        setup: change_minutes(here, setup.support, policy) + sum(look_minutes(look) for look in looks)
        for setup, looks in by_setup.items()
    }
    fits = [setup for setup in by_setup if minutes_left is None or minutes[setup] <= minutes_left]
    if not fits:
        return None
    setup = min(fits, key=lambda setup: minutes[setup])
    after = None if minutes_left is None else minutes_left - minutes[setup]
    return Step(described_unexplained(by_setup[setup], minutes[setup]), 0.0, (), after, open_parts)


def _first(looks: Sequence[Look]) -> tuple[list[Look], tuple[Setup, ...]]:
    """What is done at once, all readings again of the first one's setup, and the setups that follow.

    What else is to be read again is left out: it may be decided by then.
    """
    first = looks[0]
    now = [first]
    if isinstance(first, Again):
        now = [look for look in looks if isinstance(look, Again) and look.setup == first.setup]
    return now, tuple(look for look in looks if not isinstance(look, Again) and look not in now)


def _setup(look: Look) -> Setup:
    return look.setup if isinstance(look, Again) else look


def _least_rate(found: Diagnosed, stakes: Mapping[str, float], policy: Policy, minutes_left: float | None) -> float:
    """The rate [weighted bits/min] to stop at: a lower one while there is time and a part of a safety group is open."""
    rules = policy.next
    critical = any(found.vehicle.parts[name].kind.group in rules.safety_groups for name in stakes)
    return rules.least_while_safety_open if critical and minutes_left is not None else rules.least_bits_per_minute


def stakes_of(found: Diagnosed, policy: Policy) -> dict[str, float]:
    """The doubt about each part that is still open [bits], times what it is worth.

    By the part's group, and more where the complaint raises it or it stands on record as tight without proof. Open is
    what is suspect and neither proven worn nor sound, and could be checked; also what counts as worn on the strength of
    one reading. The greatest first.
    """
    raised, rules = raised_by_complaint(found) | passed_without_proof(found), rules_of(found, policy)
    skipped = {entry.part for entry in found.visit.not_checked}
    on_one = resting_on_one_reading(found)
    stakes = {}
    for name, states in found.states.items():
        chance = found.posterior.marginal(name)
        decided = chance >= found.beliefs.worn_at_least and name not in on_one
        is_open = policy.next.unlikely(states.part.kind.group) < chance and not decided and name not in skipped
        if is_open and verdict_on(states.part, found, rules) != "sound":
            weight = policy.weight(states.part.kind.group, raised=name in raised)
            stakes[name] = weight * entropy_of(chance)
    for name, chance in fault_chances(found).items():
        if chance > policy.next.unlikely_at_most:
            weight = policy.weight(found.vehicle.parts[name].kind.group, raised=name in raised)
            stakes[name] = weight * entropy_of(chance)
    return dict(sorted(stakes.items(), key=lambda entry: -entry[1]))


def resting_on_one_reading(found: Diagnosed) -> frozenset[str]:
    """Parts of the leading set that one reading alone puts there: no part is condemned on one look."""
    leads = set(found.posterior.leading(1)[0][0].parts)
    doubtful = doubtful_of(found)
    return frozenset(part for one in doubtful if one.instead is not None for part in leads - set(one.instead))


def passed_without_proof(found: Diagnosed) -> frozenset[str]:
    """Parts that stand on record as tight from a check that could not have shown their play."""
    cases = cannot_show_cases(found.checks, found.clues, found.states, found.tables, found.beliefs)
    return frozenset(case.states.part.id for case in cases if case.passed)


def raised_by_complaint(found: Diagnosed) -> frozenset[str]:
    """Parts that the visit's complaint makes likelier: those on file with the visit, else what its words are like."""
    complaints = load_catalogue().complaints
    meant = [complaints[s.id] for s in found.visit.symptoms if s.kind == "complaint" and s.present]
    if not meant and found.visit.complaint:
        meant = list(meant_in_catalogue(found.visit.complaint))
    if not meant:  # nor do words that are like no complaint raise anything
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
