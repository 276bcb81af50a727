"""What is believed of every set of worn parts before any reading: odds of each part, and symptoms that sets explain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import exp

import numpy as np

from looseends.diagnosis.inference.worn_sets import WornSets
from looseends.diagnosis.observed.symptoms import Symptom, Witnesses
from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class Prior:
    """Log odds by part, and symptoms (complaint, road test, tires) that one worn part or another may explain."""

    log_odds: Mapping[str, float]
    symptoms: tuple[Symptom | Witnesses, ...] = field(default=())

    def log_weight(self, parts: Sequence[str]) -> float:
        """Log weight of a set of worn parts over that of none."""
        odds = sum(self.log_odds[part] for part in parts)
        return odds + sum(symptom.gain(parts) for symptom in self.symptoms)

    def log_weights(self, sets: Sequence[Sequence[str]]) -> Array:
        """Log weight (n,) of many sets, each as `log_weight` gives it."""
        return self.log_weights_of(WornSets.of([tuple(parts) for parts in sets]))

    def log_weights_of(self, sets: WornSets) -> Array:
        """Log weight (e,) of sets in a row."""
        return self.log_weights_where(sets.worn.astype(float), sets.names)

    def log_weights_where(self, worn: Array, names: Sequence[str]) -> Array:
        """Log weight (e,) of sets from which of some parts each has worn (e, p), as ones and zeros."""
        odds = worn @ np.array([self.log_odds[name] for name in names]).reshape(len(names))
        return np.asarray(odds + sum(symptom.gains(worn, names) for symptom in self.symptoms))

    def chance(self, part: str) -> float:
        """Chance that a part is worn, with symptoms taken as if no other part were."""
        return 1.0 / (1.0 + exp(-self.log_weight((part,))))
