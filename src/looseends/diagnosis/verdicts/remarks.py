"""What has to be said about the visit itself: checks that could not show a thing, and readings that contradict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.observed.detect import at_reject, best_by_hand, chance_seen
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import GaugeReading
from looseends.diagnosis.observed.words import (
    AXES,
    RESPONSE_TABLE,
    THE_VISIT,
    WatchName,
    check_words,
    reading_words,
    setup_words,
)
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import CheckDone, Grounds
from looseends.language import Length, Value, joined, say
from looseends.mechanics.bodies import GROUND, Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_APART = 3.0
"""Readings of one thing that lie this many standard deviations apart contradict each other."""

_SELDOM = 0.02
"""A grade with a smaller chance than this is not explained; a lapse alone gives less."""

_OUTVOTED_BY = 2
"""So many readings of the same watch in the same setup that fit settle that one which does not was wrong."""


@dataclass(frozen=True)
class CannotShow:
    """A part that was passed, or showed nothing at its own joint, in a setup that could not have shown its wear."""

    done: CheckDone
    states: PartStates
    clues: tuple[Clue, ...]
    passed: bool


def cannot_show_cases(
    checks: Sequence[CheckDone],
    clues: Sequence[Clue],
    states: Mapping[str, PartStates],
    tables: Mapping[Setup, ResponseTable],
    beliefs: Beliefs,
) -> list[CannotShow]:
    """Every such part of every check, in order."""
    cases = []
    for done in checks:
        own = [clue for clue in clues if clue.check is done]
        passed = [part for part in done.passed_parts if part in states]
        watched = [part for clue in own if (part := watched_part(clue.reading.watch)) in states]
        for part in dict.fromkeys([*passed, *watched]):
            looked = [c for c in own if watched_part(c.reading.watch) == part] or own
            leading = states[part].axes[0]
            chance = max((chance_seen(clue, states[part], leading, beliefs) for clue in looked), default=0.0)
            if chance > beliefs.cannot_show_at_most:
                continue
            silent = any(says_none(clue) for clue in looked)
            if part in passed or (silent and _shows_elsewhere(done.setup, states[part], tables, beliefs)):
                cases.append(CannotShow(done, states[part], tuple(looked), part in passed))
    return cases


def watched_part(watch: str) -> str:
    """The part id that a watch speaks of."""
    return watch.removesuffix(".axial")


def says_none(clue: Clue) -> bool:
    """Whether a reading came out as it does on a sound vehicle."""
    if isinstance(clue.evidence, GaugeReading):
        mean, deviation = clue.evidence.expected(clue.sound, clue.spread)
        return bool(clue.evidence.reading < mean + 2.0 * deviation + 0.1)
    return isinstance(clue.evidence, Grade) and clue.evidence.grade == 0


def _shows_elsewhere(setup: Setup, states: PartStates, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs) -> bool:
    """Whether the same check in another support would show this part's leading play: then it is meant to."""
    return any(
        best_by_hand(table, states, states.axes[0], beliefs)[0] > 0.5
        for other, table in tables.items()
        if (other.check, other.side) == (setup.check, setup.side) and other.support != setup.support
    )


def cannot_show_remark(vehicle: Vehicle, case: CannotShow) -> Grounds:
    """The remark on one case, with the mechanical reason where the model knows one."""
    part, axis, done = case.states.part, case.states.axes[0], case.done
    shown = max((_shown_at_reject(clue, case.states) for clue in case.clues), default=0.0)
    said: dict[str, Value] = {
        "part": part.name,
        "check": check_words(done),
        "setup": setup_words(done.setup),
        "reject": Length(float(case.states.reject[0])),
        "axis": AXES[axis],
        "shown": Length(shown, 1),
    }
    if case.passed:
        words = say(
            "{part} was passed as tight in {check} ({setup}), but there {reject} of {axis} play would have shown only "
            "{shown}: this proves nothing about it.",
            **said,
        )
    else:
        words = say(
            "{part} showed nothing in {check} ({setup}), but there {reject} of {axis} play would have shown only "
            "{shown}: this proves nothing about it.",
            **said,
        )
    why = _why(vehicle, done, case.states)
    return Grounds("cannot show", joined([words, why]) if why else words, None, RESPONSE_TABLE, check_words(done))


def _shown_at_reject(clue: Clue, states: PartStates) -> float:
    change = clue.change.get(states.part.id)
    return 0.0 if change is None else abs(float(at_reject(states, states.axes[0], change)[0]))


def _why(vehicle: Vehicle, done: CheckDone, states: PartStates) -> str:
    """The mechanical reason as a sentence, where the joint carries a load that keeps it shut."""
    roles, kind = vehicle.layout.roles, states.part.kind.id
    support = vehicle.layout.supports.get(done.setup.support)
    if kind not in (roles.get("carrier"), roles.get("follower")) or support is None:
        return ""
    if support.tires:
        return say("In that support the vehicle's weight keeps the joint shut.")
    if support.stands and not _stand_holds_spring(vehicle):
        return say("In that support the stand carries the vehicle through the knuckle and presses the joint shut.")
    if roles["spring_arm"] == roles["stop_arm"]:
        return ""  # the stop takes the spring itself: nothing presses through the joint
    if support.stands:
        return say("In that support the stop touches and the spring presses through the joint again.")
    return say("In that support the spring still presses through the joint onto the rebound stop.")


def _stand_holds_spring(vehicle: Vehicle) -> bool:
    """Whether front stands stand under what the spring acts on, and so take it off the knuckle's joints."""
    stands = [stand for stand in vehicle.layout.stands if stand.end == "front" and stand.on == GROUND]
    return any(stand.under == vehicle.layout.roles["spring_arm"] for stand in stands)


def contradiction_remarks(clues: Sequence[Clue], posterior: Posterior, beliefs: Beliefs) -> list[Grounds]:
    """Pairs of readings of the same watch in the same setup that cannot both be right."""
    remarks = []
    for a, b in combinations(clues, 2):
        # What was read before a part was replaced does not contradict what is read after.
        if a.check.setup != b.check.setup or a.reading.watch != b.reading.watch or a.change.keys() != b.change.keys():
            continue
        if _contradict(a, b):
            words = say(
                "{watch} in {setup}: {first} in {first_check}, {second} in {second_check}; they contradict, and both "
                "were kept. Do it again.",
                watch=WatchName(a.reading.watch),
                setup=setup_words(a.check.setup),
                first=reading_words(a.reading),
                first_check=check_words(a.check),
                second=reading_words(b.reading),
                second_check=check_words(b.check),
            )
            both = joined([check_words(a.check), check_words(b.check)], ", ")
            remarks.append(Grounds("contradiction", words, None, THE_VISIT, both))
    return remarks + _unexplained(clues, posterior, beliefs)


def _contradict(a: Clue, b: Clue) -> bool:
    if a.reading.gauge_mm is not None and b.reading.gauge_mm is not None:
        both_free = a.reading.free_mm is not None and b.reading.free_mm is not None
        one = a.reading.free_mm if both_free else a.reading.gauge_mm
        other = b.reading.free_mm if both_free else b.reading.gauge_mm
        assert one is not None and other is not None
        return bool(abs(one - other) > _APART * np.hypot(0.1, 0.15 * max(one, other)))
    ends = {a.reading.grade, b.reading.grade}
    return "none" in ends and bool(ends & {"clear", "gross"})


def _unexplained(clues: Sequence[Clue], posterior: Posterior, beliefs: Beliefs) -> list[Grounds]:
    """Gauge readings that the leading explanation does not account for."""
    remarks, leading = [], leading_weights(posterior)
    for clue in clues:
        if isinstance(clue.evidence, GaugeReading) and not explained(clue, leading, beliefs):
            expected = float(_expected(clue, leading)[clue.evidence.quantity])
            words = say(
                "{watch} {reading} in {check}, where the best explanation expects about {expected}: something else "
                "moves there, or the reading is wrong. Do it again.",
                watch=WatchName(clue.reading.watch),
                reading=reading_words(clue.reading),
                check=check_words(clue.check),
                expected=Length(expected, 1),
            )
            remarks.append(Grounds("contradiction", words, None, RESPONSE_TABLE, check_words(clue.check)))
    return remarks


def leading_weights(posterior: Posterior) -> dict[str, Array]:
    """Of each part of the leading explanation the weights (s,) of its states there."""
    leading, _ = posterior.leading(1)[0]
    return {name: leading.state_weights(name, len(posterior.states[name].weight)) for name in leading.parts}


def _expected(clue: Clue, leading: Mapping[str, Array]) -> Array:
    """Total and free movement (2,) [mm] that the leading explanation expects at a reading."""
    change = np.zeros(2)
    for name, weights in leading.items():
        if name in clue.change:
            change = change + float(clue.shares(name).mean()) * weights @ clue.change[name]
    return np.asarray(np.maximum(clue.sound + change, 0.0))


def explained(clue: Clue, leading: Mapping[str, Array], beliefs: Beliefs) -> bool:
    """Whether the leading explanation, by its `leading_weights`, accounts for a reading."""
    expected = _expected(clue, leading)
    spread = clue.spread_at(expected - clue.sound, np.full(2, 0.1), beliefs)
    if isinstance(clue.evidence, GaugeReading):
        mean, deviation = clue.evidence.expected(expected, spread)
        return bool(abs(clue.evidence.reading - mean) <= _APART * deviation) and _springs_so(clue, expected, spread)
    return float(np.exp(clue.evidence.log_likelihood(expected, spread))) > _SELDOM


def _springs_so(clue: Clue, expected: Array, spread: Array) -> bool:
    """Whether what a gauge showed in all, beside its dead zone, is no more than that."""
    evidence = clue.evidence
    if not isinstance(evidence, GaugeReading) or evidence.in_all is None:
        return True
    in_all = GaugeReading(evidence.in_all, evidence.resolution, evidence.beliefs)
    mean, deviation = in_all.expected(expected, spread)
    return bool(evidence.in_all - mean <= _APART * deviation)


def unresolved(clues: Sequence[Clue], posterior: Posterior, beliefs: Beliefs) -> list[Clue]:
    """Readings of more than the leading explanation expects that no two others of the same watch outvote."""
    leading = leading_weights(posterior)
    return [
        clue
        for clue in clues
        if _reads_more(clue, leading)
        and not explained(clue, leading, beliefs)
        and _agreeing(clue, clues, leading, beliefs) < _OUTVOTED_BY
    ]


def _reads_more(clue: Clue, leading: Mapping[str, Array]) -> bool:
    if isinstance(clue.evidence, GaugeReading):
        expected = _expected(clue, leading)
        more_free = clue.evidence.reading > expected[clue.evidence.quantity]
        return bool(more_free) or not _springs_so(clue, expected, clue.spread)
    return not says_none(clue)


def _agreeing(clue: Clue, clues: Sequence[Clue], leading: Mapping[str, Array], beliefs: Beliefs) -> int:
    """So many readings of the same watch in the same setup are explained."""
    same = [c for c in clues if c.check.setup == clue.check.setup and c.reading.watch == clue.reading.watch]
    return sum(explained(other, leading, beliefs) for other in same)
