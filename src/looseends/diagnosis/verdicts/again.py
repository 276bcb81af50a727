"""Which readings to take again: those that nothing explains, and those on which the leading set alone rests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.many_sets import SetStates, log_lost
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.words import RESPONSE_TABLE, WatchName, check_words, reading_words, setup_words
from looseends.diagnosis.verdicts.remarks import explained, leading_weights
from looseends.inspection.types import Grounds
from looseends.language import Text, Value, say
from looseends.vehicle.vehicle import Vehicle

_RIVALS = 20
"""So many leading sets are asked what they would be without a reading."""


@dataclass(frozen=True)
class Doubtful:
    """A reading to take again: `instead` is the set that leads without it, None where the leading set stays.

    `weight` is by how much the odds of the leading set against that rival hang on it, in logarithms.
    """

    clue: Clue
    instead: tuple[str, ...] | None
    weight: float


def doubtful_readings(
    clues: Sequence[Clue], posterior: Posterior, beliefs: Beliefs, readings: ReadingSet | None = None
) -> list[Doubtful]:
    """Readings whose repetition decides, gravest first; none that was taken often enough already.

    `readings` are the same clues, where somebody has put them together.
    """
    readings = readings or ReadingSet.of(clues, beliefs)
    recordings: dict[object, list[Clue]] = {}
    for clue in clues:
        recordings.setdefault(_place(clue), []).append(clue)
    decisions, leading, found = _decisions(posterior, readings, beliefs), leading_weights(posterior), []
    for clue, decided in zip(readings.clues, decisions, strict=True):
        same = recordings[_place(clue)]
        if len(same) >= beliefs.again_at_most:
            continue
        if decided is not None:
            found.append(Doubtful(clue, *decided))
        elif not all(explained(c, leading, beliefs) for c in same):
            found.append(Doubtful(clue, None, 0.0))
    return sorted(found, key=lambda doubtful: -doubtful.weight)


def readings_of(found: Diagnosed) -> ReadingSet:
    """The readings of a visit put together; the same object for all who ask."""
    if "readings" not in found.known:
        found.known["readings"] = ReadingSet.of(found.clues, found.beliefs)
    return cast(ReadingSet, found.known["readings"])


def again_remarks(vehicle: Vehicle, doubtful: Sequence[Doubtful], posterior: Posterior) -> list[Grounds]:
    """Remarks on the readings to take again; contradictions speak already of gauge readings that nothing explains."""
    leads = set_words(vehicle, posterior.leading(1)[0][0].parts)
    remarks = []
    for reading in doubtful:
        clue = reading.clue
        said: dict[str, Value] = {
            "watch": WatchName(clue.reading.watch),
            "reading": reading_words(clue.reading),
            "check": check_words(clue.check),
            "setup": setup_words(clue.check.setup),
            "leads": leads,
        }
        if reading.instead is not None:
            words = say(
                "{watch} {reading} in {check} ({setup}) decides: {leads} leads, and without this reading {instead} "
                "would. Do it again.",
                instead=set_words(vehicle, reading.instead),
                **said,
            )
        elif clue.reading.grade is not None:
            words = say(
                "{watch} {reading} in {check} ({setup}) is not what {leads} would show there. Do it again.", **said
            )
        else:
            continue
        remarks.append(Grounds("model", words, None, RESPONSE_TABLE, check_words(clue.check)))
    return remarks


def set_words(vehicle: Vehicle, parts: Sequence[str]) -> Text:
    """A set of worn parts in words."""
    if not parts:
        return say("no worn part")
    first, *others = (vehicle.parts[part].name for part in parts)
    words = say("the {part}", part=first)
    for other in others:
        words = say("{parts} with the {part}", parts=words, part=other)
    return words


def _place(clue: Clue) -> object:
    return clue.check.setup, clue.reading.watch


def _decisions(
    posterior: Posterior, readings: ReadingSet, beliefs: Beliefs
) -> list[tuple[tuple[str, ...], float] | None]:
    """Of each reading the set that leads without it, with its weight in that; None where the leading set stays.

    Without a reading a set's weight is divided by the reading's mean likelihood over the states it leaves:
    P(set | others) ~ P(set | all) * sum over states of P(state | set, all) / p(reading | state).
    """
    leading = posterior.leading(_RIVALS)
    chances = np.log(np.maximum([chance for _, chance in leading], 1e-300))
    sets = [SetStates(e.parts, e.places, e.weights) for e, _ in leading]
    without = chances[:, None] + log_lost(sets, posterior.views, readings)
    best = np.argmax(without, axis=0)
    decided: list[tuple[tuple[str, ...], float] | None] = []
    for k, rival in enumerate(best.tolist()):
        weight = float(chances[0] - chances[rival] - (without[0, k] - without[rival, k]))
        decides = rival != 0 and weight > beliefs.decides_from
        decided.append((leading[rival][0].parts, weight) if decides else None)
    return decided
