"""What a finding says of a part in a sentence or two, with the size of its play."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from looseends.catalogue.types import Axis, Condition, VerdictWord
from looseends.diagnosis.verdicts.verdict_word import PartEvidence
from looseends.language import Length, Text, Value, joined, say
from looseends.mechanics.bodies import Array


def summary_of(
    evidence: PartEvidence, verdict: VerdictWord, seen: Sequence[Condition], axis: Axis | None, clearance: float | None
) -> Text:
    sentences: list[Value] = [record.plain for record in seen]
    if evidence.rules.beyond_law.get(evidence.part.id):
        sentences.append(say("Beyond the limit of the law, as it was read."))
    if axis is not None and clearance is not None:
        surely = evidence.worn_chance >= evidence.read.beliefs.worn_at_least
        sentences.append(_size_words(axis, Length(clearance, 1), surely=surely))
    elif verdict == "sound":
        sentences.append(say("Nothing beyond what a sound one shows, in checks that could have shown it."))
    elif verdict == "unproven":
        sentences.append(say("Nothing done so far proves it worn or sound."))
    return joined(sentences)


def _size_words(axis: Axis, play: Length, *, surely: bool) -> Text:
    if axis == "axial":
        if surely:
            return say("Worn: about {play} of play along its axis.", play=play)
        return say("Probably worn: about {play} of play along its axis.", play=play)
    if surely:
        return say("Worn: about {play} of play across its axis.", play=play)
    return say("Probably worn: about {play} of play across its axis.", play=play)


def size_of(evidence: PartEvidence) -> tuple[Axis | None, float | None, tuple[float, float] | None]:
    """Axis that is worn most surely, its mean clearance [mm] given worn, and a 90 % range.

    Of axes that are as sure, the one furthest past its reject clearance; an axis that nothing spoke of keeps the chance
    of its prior, and its size is no finding.
    """
    states = evidence.states
    assert states is not None
    weights = evidence.read.posterior.state_weights(states.part.id)
    weights = weights / max(float(weights.sum()), 1e-30)

    def rank(axis: int) -> tuple[float, float]:
        clearance = states.clearance(axis)
        return round(float(weights @ (clearance > 0.0)), 1), float(weights @ clearance) / states.reject[axis]

    leading = max(range(len(states.axes)), key=rank)
    clearance = states.clearance(leading)
    present = clearance > 0.0
    share = weights[present] / max(float(weights[present].sum()), 1e-30)
    return states.axes[leading], float(share @ clearance[present]), _range(clearance[present], share)


def _range(values: Array, weights: Array) -> tuple[float, float]:
    order = np.argsort(values)
    cumulative = np.cumsum(weights[order])
    low, high = np.searchsorted(cumulative, [0.05, 0.95 - 1e-9])
    last = len(values) - 1
    # A knot stands for clearances half-way to its neighbors, about a fifth either way.
    return 0.8 * float(values[order][min(low, last)]), 1.2 * float(values[order][min(high, last)])
