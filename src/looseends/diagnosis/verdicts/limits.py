"""Published limits against readings: of the whole linkage, and of single parts where a limit speaks of one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Limit, LimitStatus
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.words import RESPONSE_TABLE, SIDES, check_name, check_words, clue_words, held_words
from looseends.inspection.types import Grounds, SystemFinding
from looseends.language import Length, Text, say
from looseends.vehicle.limits import applies_if, limit_mm, speaks_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_ANYWHERE = "any"
_OUTCOME: Mapping[bool | None, Text] = {True: say("exceeded"), False: say("kept"), None: say("too near to call")}


@dataclass(frozen=True)
class Judged:
    """A limit laid against one reading."""

    limit: Limit
    clue: Clue
    finding: SystemFinding


def judged_limits(vehicle: Vehicle, jurisdiction: str, clues: Sequence[Clue], beliefs: Beliefs) -> tuple[Judged, ...]:
    """Every limit for the vehicle, of the jurisdiction or without one, that a reading of this visit speaks to."""
    found = []
    for limit in load_catalogue().limits.values():
        if limit.jurisdiction not in (jurisdiction, _ANYWHERE) or speaks_of(limit, vehicle) is False:
            continue
        for clue in clues:
            setup = clue.check.setup
            watch = (limit.watch or "").replace("{side}", setup.side or "")
            if setup.check == limit.check and clue.reading.watch == watch:
                found.append(Judged(limit, clue, _judged(limit, vehicle, clue, beliefs)))
    return tuple(found)


def system_findings(
    vehicle: Vehicle, jurisdiction: str, clues: Sequence[Clue], beliefs: Beliefs
) -> tuple[SystemFinding, ...]:
    """What these limits say, limit by limit."""
    return tuple(entry.finding for entry in judged_limits(vehicle, jurisdiction, clues, beliefs))


def _judged(limit: Limit, vehicle: Vehicle, clue: Clue, beliefs: Beliefs) -> SystemFinding:
    observation = Grounds("observation", clue_words(clue), None, check_name(clue.check), check_words(clue.check))
    rule_words = say(
        "{citation}: {quantity}, {printed}; {precondition}.",
        citation=limit.citation,
        quantity=limit.quantity,
        printed=limit.printed,
        precondition=limit.precondition,
    )
    status: LimitStatus = "to be confirmed" if limit.status == "derived" else limit.status
    rule = Grounds("limit", rule_words, status, limit.source, "")
    name = say("{quantity} ({citation})", quantity=limit.quantity, citation=limit.citation)
    setup = clue.check.setup
    if speaks_of(limit, vehicle) is None:
        words = say(
            "Not judged: {limit} applies if {condition}, which the vehicle's file does not say.",
            limit=name,
            condition=applies_if(limit),
        )
        return SystemFinding(limit.id, words, None, (observation, rule))
    if setup.support not in limit.supports or not _steered_so(setup):
        words = say(
            "Not judged: {limit} speaks of another way to hold the vehicle than {setup}.",
            limit=name,
            setup=held_words(setup),
        )
        return SystemFinding(limit.id, words, None, (observation, rule))
    if clue.reading.gauge_mm is None:
        words = say("Not judged: {limit} needs a reading in mm.", limit=name)
        return SystemFinding(limit.id, words, None, (observation, rule))
    value_mm = limit_mm(limit, vehicle)
    if value_mm is None:
        words = say(
            "Not judged: {limit} goes by the diameter of the steering wheel, which the vehicle's file does not say.",
            limit=name,
        )
        return SystemFinding(limit.id, words, None, (observation, rule))
    travel, doubt = free_travel(clue, beliefs)
    compared = travel if limit.compares == "free travel" else clue.reading.gauge_mm
    exceeded = _exceeded(compared, doubt if limit.compares == "free travel" else 0.0, value_mm)
    words = say(
        "{limit}: {outcome}. Free travel about {travel} of the {reading} read ({side}); limit {value}.",
        limit=name,
        outcome=_OUTCOME[exceeded],
        travel=Length(travel, 1, doubt),
        reading=Length(clue.reading.gauge_mm),
        side=say("whole axle") if setup.side is None else SIDES[setup.side],
        value=Length(value_mm),
    )
    rest = say("The rest of the movement read is elastic, as a sound linkage shows it.")
    model = Grounds("model", rest, None, RESPONSE_TABLE, "")
    return SystemFinding(limit.id, words, exceeded, (observation, model, rule))


def free_travel(clue: Clue, beliefs: Beliefs) -> tuple[float, float]:
    """Free travel [mm] in a gauge reading and its standard deviation: the reading less a sound vehicle's elastic part.

    The elastic part's spread over the ensemble is the doubt; free travel is never below zero.
    """
    assert clue.reading.gauge_mm is not None
    if clue.reading.free_mm is not None:
        judged = np.hypot(beliefs.dead_zone_error_mm, beliefs.dead_zone_error_share * clue.reading.free_mm)
        return clue.reading.free_mm, float(judged)
    elastic = float(clue.sound[0] - clue.sound[1])
    elastic_spread = np.sqrt(max(clue.spread[0] ** 2 - clue.spread[1] ** 2, 0.0))
    doubt = float(np.hypot(elastic_spread, 2.0 * beliefs.floor_mm))
    return max(0.0, clue.reading.gauge_mm - elastic), doubt


def _steered_so(setup: Setup) -> bool:
    """Whether the steering is held, where the check may be done either way."""
    return setup.steer == "held" or len(load_catalogue().checks[setup.check].steer_states) == 1


def _exceeded(value: float, doubt: float, limit: float) -> bool | None:
    if value - doubt > limit:
        return True
    if value + doubt <= limit:
        return False
    return None
