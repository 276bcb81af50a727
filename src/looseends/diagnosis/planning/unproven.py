"""What a route leaves unproven, and why; and what several of its steps prove between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.words import BY
from looseends.diagnosis.planning.walk import Step
from looseends.diagnosis.planning.ways import By, Way
from looseends.language import Minutes, Percent, Text, either, say


@dataclass(frozen=True)
class Together:
    """A part that no step proves alone, but these do together, with the chance that one of them shows its wear."""

    part: str
    axis: Axis
    steps: tuple[int, ...]
    chance: float


@dataclass(frozen=True)
class Left:
    """A part that a route leaves unproven, and why; `best` is the way that would show it best, if there is one."""

    part: str
    axis: Axis
    why: Text
    best: Way | None


def proven_together(
    parts: Sequence[str], steps: Sequence[Step], ways: Sequence[Way], by: By, beliefs: Beliefs
) -> tuple[Together, ...]:
    """The parts that are seen by at least one of the steps with the chance that proves.

    What masks a joint masks it in every step alike, so it counts once; else steps miss it independently, as a judgement
    counts it (`seen_by_any`).
    """
    found = []
    for part in parts:
        seen = [(step.number, way) for step in steps for way in ways if (way.setup, way.part) == (step.setup, part)]
        missed = 1.0
        for _, way in seen:
            missed *= 1.0 - min(1.0, way.sights[by].chance / (1.0 - beliefs.masked_chance))
        chance = (1.0 - beliefs.masked_chance) * (1.0 - missed)
        if chance >= beliefs.seen_at_least:
            telling = tuple(number for number, way in seen if way.sights[by].chance > beliefs.cannot_show_at_most)
            found.append(Together(part, seen[0][1].axis, telling, chance))
    return tuple(found)


def left_unproven(
    parts: Sequence[str],
    axes: Mapping[str, Axis],
    ways: Sequence[Way],
    by: By,
    beliefs: Beliefs,
    within: float | None,
) -> tuple[Left, ...]:
    """The parts, each with the reason why it stays unproven and the way that would show it best."""
    left = []
    for part in parts:
        best = max((way for way in ways if way.part == part), key=lambda way: way.sights[by].chance, default=None)
        left.append(Left(part, axes[part], _why(best, by, beliefs, within), best))
    return tuple(left)


def _why(best: Way | None, by: By, beliefs: Beliefs, within: float | None) -> Text:
    if best is None:
        return say("no check in the catalogue moves it")
    chance = best.sights[by].chance
    if chance >= beliefs.seen_at_least:
        assert within is not None
        return say("not within {minutes}", minutes=Minutes(within))
    words = say(
        "the best check shows it {by} with a chance of {chance} only", by=BY[by], chance=Percent(chance, down=True)
    )
    others = [other for other, sight in best.sights.items() if sight.chance >= beliefs.seen_at_least]
    if not others:
        return words
    return say("{words}; {by} the same check would prove it", words=words, by=either([BY[other] for other in others]))
