"""What one posterior worked out of a visit's readings and the next of the same visit need not work out again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from looseends.diagnosis.inference.rows import StateRows
from looseends.diagnosis.inference.together import KnownPairs, KnownSums
from looseends.diagnosis.inference.views import ReadingColumn
from looseends.diagnosis.tables.states import PartStates


@dataclass
class KnownGrowth:
    """Of sets that one more part makes: with each part, of the seeds, and as estimated and summed."""

    joined: KnownSums = field(default_factory=KnownSums)
    seeds: KnownSums = field(default_factory=KnownSums)
    larger: KnownSums = field(default_factory=KnownSums)
    summed: KnownSums = field(default_factory=KnownSums)


@dataclass
class Known:
    """Of one vehicle and one set of beliefs: whoever keeps it sees to that.

    Everything in it is an answer to a question that names all it depends on, so that a reading may be added, corrected
    or withdrawn. Each field holds what the last posterior asked and no more.
    """

    columns: dict[object, ReadingColumn] = field(default_factory=dict)
    pairs: tuple[KnownPairs, KnownPairs] = field(default_factory=lambda: (KnownPairs(), KnownPairs()))
    growth: defaultdict[int, KnownGrowth] = field(default_factory=lambda: defaultdict(KnownGrowth))
    _rows: StateRows | None = None
    _supposing: dict[str, Known] = field(default_factory=dict)

    def rows_of(self, states: Sequence[PartStates]) -> StateRows:
        """The rows of all states with their weights of today."""
        self._rows = StateRows.of(states) if self._rows is None else self._rows.weighed(states)
        return self._rows

    def supposing(self, observer: str) -> Known:
        """The same of readings that one observer's habits are supposed to have coloured."""
        return self._supposing.setdefault(observer, Known())
