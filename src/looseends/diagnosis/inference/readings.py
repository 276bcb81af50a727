"""All readings of a visit as arrays: what any movement and spread would make of every one of them at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import Evidence, Expansion, GaugeReading
from looseends.diagnosis.observed.repeated import Repeated, grouped, same_watch
from looseends.diagnosis.tables.table import PairCorrection, ResponseTable
from looseends.mechanics.bodies import Array

Columns = NDArray[np.intp]

Interaction = tuple[Columns, NDArray[np.intp], PairCorrection]
"""Readings of one setup, their watches there, and what two worn parts show beyond the sum."""


@dataclass(frozen=True)
class Stack:
    """Readings of one kind that one formula answers together: `columns` their numbers among all readings."""

    columns: Columns
    evidence: Evidence

    def of(self, columns: Columns) -> Stack:
        """Those of some columns; the new columns count within `columns`."""
        wanted = np.flatnonzero(np.isin(columns, self.columns))
        kept = np.searchsorted(self.columns, columns[wanted])
        if isinstance(self.evidence, GaugeReading):
            return Stack(wanted, _taken(self.evidence, kept))
        return Stack(wanted, self.evidence)


def stacks_of(evidence: Sequence[Evidence]) -> tuple[Stack, ...]:
    """Readings of the same kind together: gauges by what they read, grades by observer and grade, others alone."""
    groups: dict[object, list[int]] = {}
    for k, one in enumerate(evidence):
        groups.setdefault(_kind(one), []).append(k)
    return tuple(Stack(np.array(group), _stacked([evidence[k] for k in group])) for group in groups.values())


def _kind(evidence: Evidence) -> object:
    if isinstance(evidence, GaugeReading):
        return "gauge", evidence.quantity, evidence.in_all is None, id(evidence.beliefs)
    return evidence if isinstance(evidence, Grade) else id(evidence)


def _stacked(evidence: Sequence[Evidence]) -> Evidence:
    first = evidence[0]
    if not isinstance(first, GaugeReading):
        return first
    gauges = [one for one in evidence if isinstance(one, GaugeReading)]
    return replace(
        first,
        reading=np.array([gauge.reading for gauge in gauges]),
        resolution=np.array([gauge.resolution for gauge in gauges]),
        in_all=None if first.in_all is None else np.array([gauge.in_all for gauge in gauges]),
        softer_beside=np.array([gauge.softer_beside for gauge in gauges]),
    )


def _taken(gauge: GaugeReading, kept: Columns) -> GaugeReading:
    return replace(
        gauge,
        reading=np.asarray(gauge.reading)[kept],
        resolution=np.asarray(gauge.resolution)[kept],
        in_all=None if gauge.in_all is None else np.asarray(gauge.in_all)[kept],
        softer_beside=np.asarray(gauge.softer_beside)[kept],
    )


def _key(clue: Clue) -> object:
    return same_watch(clue), clue.by_load, _evidence_key(clue.evidence)


def _evidence_key(evidence: Evidence) -> object:
    """What an evidence is known by, among those of the same beliefs."""
    if isinstance(evidence, GaugeReading):
        wrong = evidence.beliefs.wrong_chance  # the one figure that differs from reader to reader
        return "gauge", evidence.reading, evidence.resolution, evidence.quantity, evidence.in_all, wrong
    if isinstance(evidence, Repeated):
        recordings: list[Evidence] = [*evidence.gauges, *evidence.grades]
        return "repeated", tuple(_evidence_key(one) for one in recordings)
    return evidence


def log_likelihoods(stacks: Sequence[Stack], movement: Array, spread: Array) -> Array:
    """Log likelihood (..., k) of every reading for movements (..., k, 2) with their spreads [mm]."""
    found = np.zeros(np.broadcast_shapes(movement.shape, spread.shape)[:-1])
    spread = np.broadcast_to(spread, (*found.shape, 2))
    for stack in stacks:
        at = stack.columns
        found[..., at] = stack.evidence.log_likelihood(movement.take(at, axis=-2), spread.take(at, axis=-2))
    return found


def expansions(stacks: Sequence[Stack], movement: Array, spread: Array) -> Expansion:
    """Log likelihood, slope and information (..., k) of every reading."""
    value, slope, information = (np.zeros(movement.shape[:-1]) for _ in range(3))
    for stack in stacks:
        at = stack.columns
        value[..., at], slope[..., at], information[..., at] = stack.evidence.expanded(
            movement.take(at, axis=-2), spread.take(at, axis=-2)
        )
    return value, slope, information


@dataclass(frozen=True)
class ReadingSet:
    """The readings of a visit, recordings of one watch in one setup as one, and what a sound vehicle shows there.

    `sound`, `spread` (k, 2) [mm] in the order of `clues`.
    """

    clues: tuple[Clue, ...]
    beliefs: Beliefs
    sound: Array
    spread: Array
    stacks: tuple[Stack, ...]

    @staticmethod
    def of(clues: Sequence[Clue], beliefs: Beliefs) -> ReadingSet:
        """From the clues of a visit in any order."""
        together = grouped(clues)
        sound = np.array([clue.sound for clue in together]).reshape(-1, 2)
        spread = np.array([clue.spread for clue in together]).reshape(-1, 2)
        return ReadingSet(together, beliefs, sound, spread, stacks_of([clue.evidence for clue in together]))

    @cached_property
    def keys(self) -> tuple[object, ...]:
        """What each reading is known by (k,): the same wherever the same was read in the same way.

        Of readings of one vehicle, weighed by the same beliefs.
        """
        return tuple(_key(clue) for clue in self.clues)

    @cached_property
    def sound_log(self) -> Array:
        """Log likelihood (k,) of every reading on a sound vehicle."""
        return log_likelihoods(self.stacks, self.sound, self.spread)

    @cached_property
    def most(self) -> Array:
        """By how much at most (k,) any movement raises the log likelihood of a reading over the sound vehicle's."""
        peak = [clue.evidence.most(clue.spread) for clue in self.clues]
        return np.asarray(np.array(peak).reshape(-1) - self.sound_log)

    def pressed_chance(self, number: int) -> float:
        """Chance that a worn part moves at a reading of its dead zone and shows none there, on some vehicles.

        A load that the tables' vehicles do not have presses the joint to one end: it gives, and never lightly.
        """
        evidence = self.clues[number].evidence
        gauges = evidence.gauges if isinstance(evidence, Repeated) else (evidence,)
        reads_dead_zone = any(isinstance(one, GaugeReading) and one.in_all is not None for one in gauges)
        return self.beliefs.pressed_chance if reads_dead_zone else 0.0

    def interactions(self, first: str, second: str) -> Sequence[Interaction]:
        """Readings in which two worn parts show more or less than the sum, setup by setup."""
        key = (first, second)
        if key not in self._interactions:
            found = []
            for table, columns in self._tables:
                correction = table.correction(first, second)
                if correction is not None:
                    found.append((columns, np.array([self.clues[k].watch for k in columns]), correction))
            self._interactions[key] = found
        return self._interactions[key]

    def all_interacting(self, number: Mapping[str, int]) -> NDArray[np.bool_]:
        """Whether every two parts (p, p, k), by their numbers, may show more or less than the sum in a reading."""
        found = np.zeros((len(number), len(number), len(self.clues)), dtype=bool)
        for table, columns in self._tables:
            pairs = [(number[a], number[b]) for a, b in table.pairs if a in number and b in number]
            if pairs:
                first, second = np.array(pairs).T[:, :, None]
                found[first, second, columns] = True
                found[second, first, columns] = True
        return found

    def beside(self, parts: Sequence[str]) -> NDArray[np.bool_]:
        """Readings (k,) at which two of some parts show something together though one of them alone does not."""
        found = np.zeros(len(self.clues), dtype=bool)
        for first, second in combinations(parts, 2):
            for key in ((first, second), (second, first)):
                found[self._pairs_beside.get(key, [])] = True
        return found

    def all_beside(self, number: Mapping[str, int]) -> NDArray[np.bool_]:
        """The same of every two parts (p, p, k), by their numbers."""
        found = np.zeros((len(number), len(number), len(self.clues)), dtype=bool)
        for (first, second), columns in self._pairs_beside.items():
            if first in number and second in number:
                found[number[first], number[second], columns] = True
                found[number[second], number[first], columns] = True
        return found

    @cached_property
    def _pairs_beside(self) -> dict[tuple[str, str], list[int]]:
        """Readings at which two parts show something together though one of them alone does not, by both."""
        found: dict[tuple[str, str], list[int]] = {}
        for table, columns in self._tables:
            of_watch: dict[int, list[int]] = {}
            for k in columns.tolist():
                of_watch.setdefault(self.clues[k].watch, []).append(k)
            for pair, watches in table.beside.items():
                for watch in watches.tolist():
                    found.setdefault(pair, []).extend(of_watch.get(watch, ()))
        return {pair: columns for pair, columns in found.items() if columns}

    def interact(self, parts: Sequence[str]) -> bool:
        """Whether any two of some worn parts show more or less than the sum in some reading."""
        return any(self.interactions(first, second) for first, second in combinations(parts, 2))

    @cached_property
    def _interactions(self) -> dict[tuple[str, str], list[Interaction]]:
        return {}

    @cached_property
    def _tables(self) -> list[tuple[ResponseTable, Columns]]:
        """Every response table that readings are laid against, with these readings."""
        by_table: dict[int, list[int]] = {}
        for k, clue in enumerate(self.clues):
            by_table.setdefault(id(clue.table), []).append(k)
        return [(self.clues[ks[0]].table, np.array(ks)) for ks in by_table.values()]

    def gain(self, change: Array, cell: Array, columns: Columns) -> Array:
        """Log likelihood (..., c) of some readings with changes (..., c, 2) [mm], less that of a sound vehicle.

        `cell` is the width of the severity cell that the change stands for, as a standard deviation.
        """
        movement = np.maximum(self.sound[columns] + change, 0.0)
        spread = np.sqrt(self.spread[columns] ** 2 + (self.beliefs.share_of_change * change) ** 2 + cell**2)
        return log_likelihoods(self._of(columns), movement, spread) - self.sound_log[columns]

    def gain_at(self, number: int, change: Array, cell: Array) -> Array:
        """Log likelihood (...) of one reading with changes (..., 2) [mm], less that of a sound vehicle; as `gain`."""
        movement = np.maximum(self.sound[number] + change, 0.0)
        spread = np.sqrt(self.spread[number] ** 2 + (self.beliefs.share_of_change * change) ** 2 + cell**2)
        return np.asarray(self.clues[number].evidence.log_likelihood(movement, spread) - self.sound_log[number])

    def _of(self, columns: Columns) -> tuple[Stack, ...]:
        if len(columns) == len(self.clues):
            return self.stacks
        key = columns.tobytes()
        if key not in self._parts:
            chosen = (stack.of(columns) for stack in self.stacks)
            self._parts[key] = tuple(stack for stack in chosen if stack.columns.size)
        return self._parts[key]

    @cached_property
    def _parts(self) -> dict[bytes, tuple[Stack, ...]]:
        return {}
