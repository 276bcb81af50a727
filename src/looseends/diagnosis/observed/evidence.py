"""The evidence of a visit, laid against the response tables: what each reading would be in every state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.circumstances import load_circumstances
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import FREE, Evidence, GaugeReading
from looseends.diagnosis.observed.place_read import place_read
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import CheckDone, Reading, Replaced
from looseends.mechanics.bodies import Array

ALIKE = 0.15
"""Shares that lie closer together than this are taken as one."""


@dataclass(frozen=True)
class Clue:
    """One reading with the model's view of it.

    `check` and `reading` as recorded; `table` the response table of its setup, `watch` its index there;
    `sound` (2,) and `spread` (2,) [mm] of a sound vehicle; `change` part id -> (s, 2) [mm] per state;
    `hidden` part id -> chance that its play cannot show here, `by_load` the same of any part.
    """

    check: CheckDone
    reading: Reading
    evidence: Evidence
    table: ResponseTable
    watch: int
    sound: Array
    spread: Array
    change: Mapping[str, Array]
    hidden: Mapping[str, float] = field(default_factory=dict)
    by_load: float = 0.0

    def masked_chance(self, part_id: str) -> float:
        """Chance that load, grease, rust or a dry joint hides a part's play in this reading."""
        return max(self.by_load, self.hidden.get(part_id, 0.0))

    @cached_property
    def sound_log_likelihood(self) -> Array:
        """Log likelihood () of the reading on a sound vehicle."""
        return self.evidence.log_likelihood(self.sound, self.spread)

    @cached_property
    def chances_seen(self) -> dict[object, float]:
        """Chances to have seen parts worn, kept by what was asked: see `detect.chance_seen`."""
        return {}

    def shares(self, part_id: str) -> Array:
        """Shares (m, 2) of the part's nominal change that vehicles of other geometry and stiffness show here."""
        found = self.table.shares.get(part_id)
        if found is None:
            return np.ones((1, 2))
        shares = found[:, self.watch]
        return shares.mean(axis=0)[None] if np.ptp(shares, axis=0).max() < ALIKE else shares

    @property
    def deviations(self) -> Array:
        """Deviation (m, 2) [mm] of each of the ensemble's vehicles from their mean, over the root of m less one."""
        members = self.table.members[:, self.watch]
        return np.asarray((members - members.mean(axis=0)) / np.sqrt(max(len(members) - 1, 1)))

    def gain(self, change: Array, cell: Array, beliefs: Beliefs) -> Array:
        """Log likelihood (...) with a change (..., 2) of the prediction, less that of a sound vehicle."""
        movement = np.maximum(self.sound + change, 0.0)
        with_part = self.evidence.log_likelihood(movement, self.spread_at(change, cell, beliefs))
        return np.asarray(with_part - self.sound_log_likelihood)

    def spread_at(self, change: Array, cell: Array, beliefs: Beliefs) -> Array:
        """Spread (..., 2) [mm] of the prediction with a change (..., 2) and the width of its severity cell."""
        return np.asarray(np.sqrt(self.spread**2 + (beliefs.share_of_change * change) ** 2 + cell**2))


def clues_of(
    checks: Sequence[CheckDone],
    tables: Mapping[int, ResponseTable],
    states: Sequence[PartStates],
    beliefs: Beliefs,
    replaced: Sequence[Replaced] = (),
    known: dict[object, tuple[Clue, ...]] | None = None,
) -> tuple[Clue, ...]:
    """Clues of all readings; `tables` by the number of the check.

    A part that was gripped with others and did not move counts as read at its own place, by the group's grade. A part
    that was replaced before a check no longer moves what that check read. Checks that are `known` have the same clues
    as before, where vehicle, tables and beliefs are the same; afterwards just these checks are.
    """
    found: dict[object, tuple[Clue, ...]] = {}
    known = {} if known is None else known
    for done in checks:
        gone = frozenset(event.part for event in replaced if event.after_check < done.number)
        left = [s for s in states if s.part.id not in gone]
        found[done, gone] = known.get((done, gone)) or _clues_of_check(done, tables[done.number], left, beliefs)
    known.clear()
    known.update(found)
    return tuple(clue for clues in found.values() for clue in clues)


def _clues_of_check(
    done: CheckDone, table: ResponseTable, states: Sequence[PartStates], beliefs: Beliefs
) -> tuple[Clue, ...]:
    return tuple(
        _clue(done, reading, table, states, beliefs)
        for reading in (*done.readings, *group_readings(done, table))
        if reading.watch in table.watches
    )


def group_readings(done: CheckDone, table: ResponseTable) -> list[Reading]:
    """One reading for the own place of every part that was passed in a check and not read by itself."""
    read = {reading.watch for reading in done.readings}
    own = [watch for watch in table.watches if watch.removesuffix(".axial") in done.passed_parts and watch not in read]
    return [Reading(watch, "group", None, "none", "") for watch in own]


def _clue(
    done: CheckDone, reading: Reading, table: ResponseTable, states: Sequence[PartStates], beliefs: Beliefs
) -> Clue:
    watch = table.watches.index(reading.watch)
    spread = np.hypot(table.spread[watch] * np.array([beliefs.shared_softness, 1.0]), beliefs.floor_mm)
    return Clue(
        done,
        reading,
        evidence_of(reading, place_read(done.setup, reading.watch).gauge_resolution_mm, beliefs),
        table,
        watch,
        table.expected[watch],
        spread,
        {s.part.id: table.singles[s.part.id][:, watch] for s in states if s.part.id in table.singles},
        {hidden.part: load_circumstances().hidden[hidden.by] for hidden in done.hidden},
        beliefs.masked_chance if table.shares else 0.0,
    )


def evidence_of(reading: Reading, resolution: float, beliefs: Beliefs) -> Evidence:
    """The likelihood model of one reading."""
    if reading.free_mm is not None:
        # Where the dead zone was read, the rest of the movement is springy: it says nothing about play, but how much
        # may have been read into the dead zone.
        return GaugeReading(reading.free_mm, resolution, beliefs, FREE, reading.gauge_mm)
    if reading.gauge_mm is not None:
        return GaugeReading(reading.gauge_mm, resolution, beliefs)
    assert reading.grade is not None
    observer = load_catalogue().observers[reading.by]
    return Grade(observer.grades.index(reading.grade), observer)


def cell_width(states: PartStates, change: Array) -> Array:
    """Standard deviation (s, ...) [mm] of a prediction over the severity cell that each knot stands for.

    A knot stands for clearances half-way to its neighbors; over that cell the prediction is taken as uniform.
    """
    spans = [0.5 * np.abs(change[above] - change[below]) for below, above in states.neighbors]
    return np.asarray(np.sqrt(sum(span**2 for span in spans) / 12.0))
