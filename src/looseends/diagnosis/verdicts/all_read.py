"""All readings of a visit, and what they say of every part, worked out for all parts at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any, chances_seen_by_any
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.verdicts.remarks import says_none


@dataclass(frozen=True)
class AllRead:
    """The readings of a visit with the posterior that they gave, by some beliefs."""

    posterior: Posterior
    clues: Sequence[Clue]
    beliefs: Beliefs

    @cached_property
    def silent(self) -> list[Clue]:
        """Readings that came out as on a sound vehicle: only these can prove anything sound."""
        return [clue for clue in self.clues if says_none(clue)]

    def seen_by_any(self, states: PartStates, axis: Axis | None = None) -> float:
        """Chance that one of the silent readings would have shown a part at its reject clearance.

        Along its leading axis if none is named.
        """
        if axis is None and states.part.id in self._along_leading:
            return self._along_leading[states.part.id]
        return chance_seen_by_any(self.silent, states, axis or states.axes[0], self.beliefs)

    @cached_property
    def _along_leading(self) -> Mapping[str, float]:
        return chances_seen_by_any(self.silent, tuple(self.posterior.states.values()), self.beliefs)
