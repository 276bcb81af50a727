"""What a plan fixed beforehand could prove within a visit's minutes: how far the goal for short visits is off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.planning.route import change_minutes, looks_proving
from looseends.diagnosis.planning.shortest import most_proven
from looseends.diagnosis.planning.ways import By
from looseends.diagnosis.tables.states import log_odds
from studies.truth import draw_wear
from studies.visits_bay import Bay

_DRAWS = 4000


def fixed_plan(bay: Bay, by: By, minutes: float, count_chances: Sequence[float]) -> Mapping[str, Any]:
    """The checks and looks that prove the most within some minutes, and how often they hold all worn parts.

    "Proves": a worn part would have been seen with the chance that a verdict asks for. Parts count by their odds to be
    worn, complaint apart. Beside it stands what all checks together prove. Wear is drawn as the study draws it.
    """
    beliefs = load_beliefs()
    looks = looks_proving(bay.vehicle, bay.ways, by, beliefs)
    provable = frozenset[str]().union(*(look.proves for look in looks))
    weights = {part.id: float(np.exp(log_odds(part, beliefs))) for part in bay.vehicle.wearable if part.id in provable}
    chosen = most_proven(looks, change_minutes(), weights, minutes - load_opening().minutes)
    proven = frozenset[str]().union(*(looks[number].proves for number in chosen.taken))
    rng = np.random.default_rng([_DRAWS, len(provable)])
    worn = [{part for part, _ in draw_wear(bay.vehicle, rng, None, count_chances)} for _ in range(_DRAWS)]
    fixed, all_checks = (100.0 * float(np.mean([one <= held for one in worn])) for held in (proven, provable))
    return {
        "minutes": round(minutes, 1),
        "parts that it proves": len(proven & weights.keys()),
        "of parts": len(bay.vehicle.wearable),
        "all worn parts among them %": round(fixed, 1),
        "among those that all checks prove %": round(all_checks, 1),
        "share %": round(100.0 * fixed / all_checks, 1) if all_checks else 0.0,
    }
