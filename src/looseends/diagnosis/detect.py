"""What a check could have shown: the chance to have seen wear at the reject clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.special import ndtr

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.likelihood import GaugeReading, grade_chances
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.table import ResponseTable
from looseends.inspection.types import Hidden
from looseends.mechanics.bodies import Array

NOTICED = 2.0
"""A gauge shows wear when its reading lies this many standard deviations above a sound vehicle's."""


def at_reject(states: PartStates, axis: Axis, change: Array) -> Array:
    """Change (..., 2) [mm] with one axis at its reject clearance, from changes (s, ..., 2) at the knots."""
    number = states.axes.index(axis)
    others = [a for a in range(len(states.axes)) if a != number]
    alone = np.all(states.index[:, others] < 0, axis=1) & (states.index[:, number] >= 0)
    ladder = change[alone][np.argsort(states.index[alone, number])]
    return np.asarray(_interpolated(states.reject[number], states.knots[number], ladder))


def _interpolated(at: float, knots: Array, ladder: Array) -> Array:
    i = int(np.clip(np.searchsorted(knots, at) - 1, 0, len(knots) - 2))
    share = (at - knots[i]) / (knots[i + 1] - knots[i])
    return np.asarray(ladder[i] + share * (ladder[i + 1] - ladder[i]))


def chance_seen(clue: Clue, states: PartStates, axis: Axis, beliefs: Beliefs) -> float:
    """Chance that this reading would have stood out with the part at its reject clearance, masking included."""
    masked = max(beliefs.masked_chance, clue.hidden.get(states.part.id, 0.0))
    return (1.0 - masked) * _shown(clue, states, axis, beliefs)


def _shown(clue: Clue, states: PartStates, axis: Axis, beliefs: Beliefs) -> float:
    """The same of a joint that nothing masks."""
    change = clue.change.get(states.part.id)
    if change is None:
        return 0.0
    worn = at_reject(states, axis, change)
    return float(np.mean([_stands_out(clue, share * worn, beliefs) for share in clue.shares(states.part.id)]))


def _stands_out(clue: Clue, worn: Array, beliefs: Beliefs) -> float:
    spread = clue.spread_at(worn, np.zeros(2), beliefs)
    if isinstance(clue.evidence, GaugeReading):
        # What the gauge would have shown in all on such a vehicle, not what it showed on this one.
        foreseen = replace(clue.evidence, in_all=None)
        expected, sound = foreseen.expected(clue.sound, clue.spread)
        read, with_worn = foreseen.expected(np.maximum(clue.sound + worn, 0.0), spread)
        called = ndtr((read - expected - NOTICED * sound) / with_worn)
        return float(above_false(called, ndtr(-NOTICED)))
    observer = load_catalogue().observers[clue.reading.by]
    called = grade_chances(observer, np.maximum(clue.sound + worn, 0.0), spread)
    return float(told_apart(called, grade_chances(observer, clue.sound, clue.spread)))


def above_false(called: Array, false_call: Array) -> Array:
    """How much more often a worn part is called than a sound one: a call that both draw alike proves nothing.

    Source: W. J. Youden, Cancer 3 (1950) 32-35 (from memory).
    """
    return np.asarray(np.maximum(0.0, called - false_call))


def told_apart(worn: Array, sound: Array) -> Array:
    """How well grades tell a worn part from a sound one (...), from their chances (..., grades): 1 always, 0 never.

    The grade is taken from which a call counts that parts them best: a joint that shows a little when sound is told by
    the step from slight to clear.
    """
    beyond_worn, beyond_sound = (np.cumsum(c[..., ::-1], axis=-1)[..., :-1] for c in (worn, sound))
    return np.asarray(np.max(above_false(beyond_worn, beyond_sound), axis=-1))


def chance_seen_by_any(clues: Sequence[Clue], states: PartStates, axis: Axis, beliefs: Beliefs) -> float:
    """Chance that at least one of the readings would have shown the part at its reject clearance.

    Masking (grease, rust, a dry joint) hides a joint in every reading alike, so it counts once; what some checks name
    as hiding it does so in all of these. What hides it in one reading of a watch hides it in the next: of readings of
    one watch in one setup the best counts.
    """
    best: dict[Hidden | None, dict[object, float]] = {}
    hides: dict[Hidden | None, float] = {}
    for clue in clues:
        hider = next((entry for entry in clue.check.hidden if entry.part == states.part.id), None)
        watch, of_hider = (clue.check.setup, clue.reading.watch), best.setdefault(hider, {})
        of_hider[watch] = max(of_hider.get(watch, 0.0), _shown(clue, states, axis, beliefs))
        hides[hider] = max(0.0, clue.hidden.get(states.part.id, 0.0) - beliefs.masked_chance)
    missed = 1.0
    for hider, of_hider in best.items():
        hidden = hides[hider] / (1.0 - beliefs.masked_chance)
        missed *= hidden + (1.0 - hidden) * float(np.prod([1.0 - min(1.0, chance) for chance in of_hider.values()]))
    return float((1.0 - beliefs.masked_chance) * (1.0 - missed))


def best_by_hand(table: ResponseTable, states: PartStates, axis: Axis, beliefs: Beliefs) -> tuple[float, str]:
    """The watch of a setup that shows the part best by hand, its own joint first, with the chance to see it there."""
    change = table.singles.get(states.part.id)
    if change is None:
        return 0.0, ""
    observer = load_catalogue().observers["hand"]
    shares = table.shares.get(states.part.id)
    # The poorest quarter of vehicles decides whether a setup is a good one to look in.
    shown = np.ones(len(table.watches)) if shares is None else np.quantile(shares, 0.25, axis=0)
    worn = shown[:, None] * at_reject(states, axis, change)
    spread = np.hypot(table.spread, beliefs.floor_mm)
    worn_spread = np.hypot(spread, beliefs.share_of_change * worn)
    called = grade_chances(observer, np.maximum(table.sound + worn, 0.0), worn_spread)
    chance = (1.0 - beliefs.masked_chance) * told_apart(called, grade_chances(observer, table.sound, spread))
    own = [i for i, watch in enumerate(table.watches) if watch.removesuffix(".axial") == states.part.id]
    best = max(own, key=lambda i: chance[i], default=int(np.argmax(chance)))
    if chance[best] < 0.5:
        best = int(np.argmax(chance))
    return float(chance[best]), table.watches[best]
