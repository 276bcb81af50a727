"""States of both parts of some pairs, laid out so that they can be crossed, each or a few neighbors at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.inference.rows import Numbers, StateRows, ranges, segment_log_sums
from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class Ladders:
    """Rows (n,) of one part's states for some pairs (q), pair after pair.

    `logs` (n,) their log weights; `first` (q + 1,) where each pair's rows begin, and their end.
    """

    rows: Numbers
    logs: Array
    first: Numbers

    @property
    def counts(self) -> Numbers:
        """Count (q,) of each pair's rows."""
        return np.diff(self.first)

    def by_neighbors(self, rows: StateRows) -> tuple[Ladders, Ladders, Numbers]:
        """Themselves in the order of their neighborhoods, these as one row each, and where they begin (m + 1,).

        A neighborhood stands in its leading row, with the log weight of all.
        """
        pair, count = np.repeat(np.arange(len(self.first) - 1), self.counts), len(rows.owner)
        where = pair * count + rows.neighborhood[self.rows]
        order = np.argsort(where, kind="stable")
        sorted_rows, logs, where = self.rows[order], self.logs[order], where[order]
        begins = np.flatnonzero(np.diff(where, prepend=-1))
        ends = np.append(begins, len(order))
        first = np.searchsorted(where[begins], np.arange(len(self.first)) * count)
        together = Ladders(sorted_rows[_first_of_largest(logs, ends)], segment_log_sums(logs, ends), first)
        return Ladders(sorted_rows, logs, self.first), together, ends


def _first_of_largest(values: Array, ends: Numbers) -> Numbers:
    """The first (m,) of the largest values (n,) of each segment; `ends` (m + 1,) where each begins, none empty."""
    if not len(values):
        return ends[:-1]
    largest = np.repeat(np.maximum.reduceat(values, ends[:-1]), np.diff(ends))
    having = np.flatnonzero(values == largest)
    return having[np.searchsorted(having, ends[:-1])]


def crossed(
    first_a: Numbers, counts_a: Numbers, first_b: Numbers, counts_b: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Every pair (n,) of one of `counts_a` numbers from `first_a` on and one of `counts_b` from `first_b` on (s,).

    Number of the segment that each is of, and both numbers; segment after segment, the second running fastest.
    """
    segment = np.repeat(np.arange(len(counts_a)), counts_a)
    width = counts_b[segment]
    return np.repeat(segment, width), np.repeat(ranges(first_a, counts_a), width), ranges(first_b[segment], width)
