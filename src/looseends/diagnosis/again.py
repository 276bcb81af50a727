"""Which readings to take again: those that nothing explains, and those on which the leading set alone rests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.explanation import Posterior
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.readings import ReadingSet
from looseends.diagnosis.remarks import explained
from looseends.diagnosis.views import gain_together
from looseends.diagnosis.words import RESPONSE_TABLE, WatchName, check_words, reading_words, setup_words
from looseends.inspection.types import Grounds
from looseends.language import Text, Value, say
from looseends.mechanics.bodies import Array
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


def doubtful_readings(clues: Sequence[Clue], posterior: Posterior, beliefs: Beliefs) -> list[Doubtful]:
    """Readings whose repetition decides, gravest first; none that was taken often enough already."""
    readings = ReadingSet.of(clues, beliefs)
    together, gains = readings.clues, _gains(posterior, readings)
    times = [sum(_same(clue, other) for other in clues) for clue in together]
    found = []
    for k, clue in enumerate(together):
        if times[k] >= beliefs.again_at_most:
            continue
        decided = _decided(posterior, gains, k, beliefs)
        if decided is not None:
            found.append(Doubtful(clue, *decided))
        elif not all(explained(c, posterior, beliefs) for c in clues if _same(clue, c)):
            found.append(Doubtful(clue, None, 0.0))
    return sorted(found, key=lambda doubtful: -doubtful.weight)


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


def _same(clue: Clue, other: Clue) -> bool:
    return clue.check.setup == other.check.setup and clue.reading.watch == other.reading.watch


def _gains(posterior: Posterior, readings: ReadingSet) -> list[Array]:
    """Gain (n, k) of log likelihood by every reading in the joint states of each leading set."""
    return [gain_together(e.parts, e.places, posterior.views, readings) for e, _ in posterior.leading(_RIVALS)]


def _decided(
    posterior: Posterior, gains: Sequence[Array], k: int, beliefs: Beliefs
) -> tuple[tuple[str, ...], float] | None:
    """The set that leads without reading k, with the reading's weight in it; None where the leading set stays.

    Without the reading a set's weight is divided by the reading's mean likelihood over the states it leaves:
    P(set | others) ~ P(set | all) * sum over states of P(state | set, all) / p(reading | state).
    """
    leading = posterior.leading(_RIVALS)
    without = []
    for (explanation, chance), gain in zip(leading, gains, strict=True):
        with np.errstate(divide="ignore"):
            lost = float(log_sum_exp(np.log(explanation.weights) - gain[:, k]))
        without.append(float(np.log(max(chance, 1e-300))) + lost)
    best = int(np.argmax(without))
    if best == 0:
        return None
    odds = np.log(max(leading[0][1], 1e-300)) - np.log(max(leading[best][1], 1e-300))
    weight = float(odds - (without[0] - without[best]))
    return (leading[best][0].parts, weight) if weight > beliefs.decides_from else None
