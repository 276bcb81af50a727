"""Symptoms of the whole vehicle that any of several worn parts may cause: complaint, road test, tire wear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import expm1, log, log1p

import numpy as np

from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class Symptom:
    """One symptom, present or looked for and absent.

    Each worn part causes it with its own chance `causes`, independent of the others; `otherwise` is the chance that it
    is there, or said to be there, with none of them.

    Source: noisy-or, J. Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, section 4.3 (from memory).
    """

    words: str
    present: bool
    causes: Mapping[str, float]
    otherwise: float

    def log_likelihood(self, parts: Sequence[str]) -> float:
        """Log chance of what was said, with just these parts worn."""
        log_absent = log1p(-self.otherwise) + sum(log1p(-self.causes.get(part, 0.0)) for part in parts)
        return log(-expm1(log_absent)) if self.present else log_absent

    def gain(self, parts: Sequence[str]) -> float:
        """The same over that with no part worn."""
        return self.log_likelihood(parts) - self.log_likelihood(())

    def gains(self, worn: Array, parts: Sequence[str]) -> Array:
        """As `gain` (n,) for many sets of these parts (p,): `worn` (n, p) is 1 where a part is in the set, else 0."""
        causes = np.array([self.causes.get(part, 0.0) for part in parts]).reshape(len(parts))
        log_absent = log1p(-self.otherwise) + worn @ np.log1p(-causes)
        found = np.log(-np.expm1(log_absent)) if self.present else log_absent
        return np.asarray(found - self.log_likelihood(()))

    def sample(self, parts: Sequence[str], rng: np.random.Generator, count: int = 1) -> Array:
        """Drawn presence (count,): 1 present, 0 absent."""
        absent = (1.0 - self.otherwise) * float(np.prod([1.0 - self.causes.get(part, 0.0) for part in parts]))
        return (rng.random(count) >= absent).astype(float)
