"""Symptoms of the whole vehicle that any of several worn parts may cause: complaint, road test, tire wear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, expm1, log, log1p

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
        log_absent = self._log_absent(parts)
        return log(-expm1(log_absent)) if self.present else log_absent

    def chance_told(self, parts: Sequence[str]) -> float:
        """Chance that it is told with just these parts worn, whatever was."""
        return -expm1(self._log_absent(parts))

    def _log_absent(self, parts: Sequence[str]) -> float:
        return log1p(-self.otherwise) + sum(log1p(-self.causes.get(part, 0.0)) for part in parts)

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


@dataclass(frozen=True)
class Witnesses:
    """One symptom that several tell of: the customer, and who drove the vehicle.

    With the chance `alike` all of them speak of one event: then who tells less of it never tells of it alone, by one
    uniform number for all. Else they speak independently. Each by itself is as likely to tell of it as ever.

    Source: a mixture of independent and comonotone witnesses; own choice, see docs/diagnosis.md.
    """

    symptoms: tuple[Symptom, ...]
    alike: float

    @property
    def words(self) -> str:
        """The symptom in the first witness's words."""
        return self.symptoms[0].words

    def log_likelihood(self, parts: Sequence[str]) -> float:
        """Log chance of what all of them said, with just these parts worn."""
        apart = exp(sum(symptom.log_likelihood(parts) for symptom in self.symptoms))
        told = [symptom.chance_told(parts) for symptom in self.symptoms]
        there = min((p for p, s in zip(told, self.symptoms, strict=True) if s.present), default=1.0)
        not_there = max((p for p, s in zip(told, self.symptoms, strict=True) if not s.present), default=0.0)
        return log(self.alike * max(0.0, there - not_there) + (1.0 - self.alike) * apart)

    def gain(self, parts: Sequence[str]) -> float:
        """The same over that with no part worn."""
        return self.log_likelihood(parts) - self.log_likelihood(())

    def gains(self, worn: Array, parts: Sequence[str]) -> Array:
        """As `gain` (n,) for many sets of these parts (p,): `worn` (n, p) is 1 where a part is in the set, else 0."""
        alone = np.array([symptom.gains(worn, parts) + symptom.log_likelihood(()) for symptom in self.symptoms])
        told = np.array(
            [np.exp(log) if s.present else -np.expm1(log) for s, log in zip(self.symptoms, alone, strict=True)]
        )
        present = np.array([symptom.present for symptom in self.symptoms])
        there = np.min(told[present], axis=0, initial=1.0)
        not_there = np.max(told[~present], axis=0, initial=0.0)
        both = self.alike * np.maximum(0.0, there - not_there) + (1.0 - self.alike) * np.exp(alone.sum(axis=0))
        return np.asarray(np.log(both) - self.log_likelihood(()))

    def sample(self, parts: Sequence[str], rng: np.random.Generator, count: int = 1) -> Array:
        """Drawn presence (count, witnesses): 1 present, 0 absent."""
        told = np.array([symptom.chance_told(parts) for symptom in self.symptoms])
        own, common = rng.random((count, len(told))), rng.random((count, 1))
        together = rng.random((count, 1)) < self.alike
        return (np.where(together, common, own) < told).astype(float)
