"""What several readings together could have shown of a part: the chance that at least one of them would have."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.detect import chance_seen, foresee, seen_key
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.tables.states import PartStates
from looseends.inspection.types import Hidden
from looseends.mechanics.bodies import Array


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
        of_hider[watch] = max(of_hider.get(watch, 0.0), _unmasked(clue, states, axis, beliefs))
        hides[hider] = max(0.0, clue.hidden.get(states.part.id, 0.0) - beliefs.masked_chance)
    missed = 1.0
    for hider, of_hider in best.items():
        hidden = hides[hider] / (1.0 - beliefs.masked_chance)
        missed *= hidden + (1.0 - hidden) * float(np.prod([1.0 - min(1.0, chance) for chance in of_hider.values()]))
    return float((1.0 - beliefs.masked_chance) * (1.0 - missed))


def chances_seen_by_any(clues: Sequence[Clue], states: Sequence[PartStates], beliefs: Beliefs) -> dict[str, float]:
    """`chance_seen_by_any` of many parts at once, each along its leading axis; without those that something hid.

    Of these the readings' masking differs, and each is asked for by itself.
    """
    hidden = {entry.part for clue in clues for entry in clue.check.hidden}
    asked = [s for s in states if s.part.id not in hidden]
    foresee(clues, asked, beliefs)
    keys, unmasked = [seen_key(s, s.axes[0], beliefs) for s in asked], 1.0 - beliefs.masked_chance
    best: dict[object, Array] = {}
    for clue in clues:
        chance = np.array([clue.chances_seen.get(key, 0.0) for key in keys]) / unmasked
        watch = clue.check.setup, clue.reading.watch
        best[watch] = np.maximum(best.get(watch, 0.0), chance)
    missed = np.prod([1.0 - np.minimum(1.0, chance) for chance in best.values()], axis=0)
    seen = np.broadcast_to(unmasked * (1.0 - missed), len(asked))
    return {s.part.id: float(chance) for s, chance in zip(asked, seen, strict=True)}


def _unmasked(clue: Clue, states: PartStates, axis: Axis, beliefs: Beliefs) -> float:
    """The chance to have seen it in one reading, of a joint that nothing masks."""
    masked = max(beliefs.masked_chance, clue.hidden.get(states.part.id, 0.0))
    return chance_seen(clue, states, axis, beliefs) / (1.0 - masked)
