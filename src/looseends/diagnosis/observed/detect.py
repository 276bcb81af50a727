"""What a check could have shown: the chance to have seen wear at the reject clearance."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any
from weakref import finalize

import numpy as np
from scipy.special import ndtr

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade, grade_chances
from looseends.diagnosis.observed.likelihood import GaugeReading
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array

NOTICED = 2.0
"""A gauge shows wear when its reading lies this many standard deviations above a sound vehicle's."""


def at_reject(states: PartStates, axis: Axis, change: Array) -> Array:
    """Change (..., 2) [mm] with one axis at its reject clearance, from changes (s, ..., 2) at the knots."""
    number = states.axes.index(axis)
    below, above, share = _beside_reject(
        states.index.tobytes(), states.index.shape, states.knots[number].tobytes(), states.reject[number], number
    )
    return np.asarray(change[below] + share * (change[above] - change[below]))


@lru_cache(maxsize=512)
def _beside_reject(
    index: bytes, shape: tuple[int, int], knots: bytes, reject: float, number: int
) -> tuple[int, int, float]:
    """The states with this axis alone worn whose clearances lie about the reject clearance, and how far it is up."""
    knot, clearance = np.frombuffer(index, dtype=np.intp).reshape(shape), np.frombuffer(knots)
    alone = np.flatnonzero(np.all(np.delete(knot, number, axis=1) < 0, axis=1) & (knot[:, number] >= 0))
    ladder = alone[np.argsort(knot[alone, number])]
    i = int(np.clip(np.searchsorted(clearance, reject) - 1, 0, len(clearance) - 2))
    share = (reject - clearance[i]) / (clearance[i + 1] - clearance[i])
    return int(ladder[i]), int(ladder[i + 1]), float(share)


def chance_seen(clue: Clue, states: PartStates, axis: Axis, beliefs: Beliefs) -> float:
    """Chance that this reading would have stood out with the part at its reject clearance, masking included."""
    if states.part.id not in clue.change:
        return 0.0
    if seen_key(states, axis, beliefs) not in clue.chances_seen:
        _foresee(clue, [(states, axis)], beliefs)
    return clue.chances_seen[seen_key(states, axis, beliefs)]


def foresee(clues: Sequence[Clue], states: Collection[PartStates], beliefs: Beliefs) -> None:
    """Have `chance_seen` ready for every part and axis in every reading: many at once take little longer than one."""
    asked = [(s, axis) for s in states for axis in s.axes]
    for clue in clues:
        of_clue = [(s, axis) for s, axis in asked if s.part.id in clue.change]
        if of_clue and seen_key(*of_clue[-1], beliefs) not in clue.chances_seen:
            _foresee(clue, of_clue, beliefs)


def _foresee(clue: Clue, asked: Sequence[tuple[PartStates, Axis]], beliefs: Beliefs) -> None:
    """Keep the chances that a reading stands out, with each part worn along one axis."""
    known = answers_of(clue.table).setdefault(_read_so(clue, beliefs), {})
    missing = [one for one in asked if _at_reject(*one) not in known]
    if missing:
        known.update(zip((_at_reject(*one) for one in missing), _shown(clue, missing, beliefs), strict=True))
    for states, axis in asked:
        masked = max(beliefs.masked_chance, clue.hidden.get(states.part.id, 0.0))
        clue.chances_seen[seen_key(states, axis, beliefs)] = (1.0 - masked) * known[_at_reject(states, axis)]


def seen_key(states: PartStates, axis: Axis, beliefs: Beliefs) -> object:
    """All that `chance_seen` depends on, of one reading: by this a clue keeps it."""
    return states.part.id, axis, beliefs.masked_chance, beliefs.share_of_change


def _at_reject(states: PartStates, axis: Axis) -> object:
    """A part at its reject clearance along an axis."""
    number = states.axes.index(axis)
    return states.part.id, axis, states.knots[number].tobytes(), states.reject[number]


def _read_so(clue: Clue, beliefs: Beliefs) -> object:
    """All that a reading of a table stands out by, but for what hides a joint in it: whoever reads it, and when."""
    read, of_gauge = clue.evidence, None
    if isinstance(read, GaugeReading):
        own = read.beliefs
        free = own.dead_zone_error_mm, own.dead_zone_error_share, own.springy_taken, own.springy_taken_spread
        of_gauge = read.quantity, read.resolution, free
    return clue.watch, clue.reading.by, of_gauge, clue.sound.tobytes(), clue.spread.tobytes(), beliefs.share_of_change


def _shown(clue: Clue, asked: Sequence[tuple[PartStates, Axis]], beliefs: Beliefs) -> list[float]:
    """Chance that a reading stands out with each part worn that nothing hides, as the mean over vehicles' shares."""
    shares = [clue.shares(states.part.id) for states, _ in asked]
    worn = [
        share * at_reject(states, axis, clue.change[states.part.id])
        for share, (states, axis) in zip(shares, asked, strict=True)
    ]
    ends = np.cumsum([len(share) for share in shares])
    of_each = np.split(_stands_out(clue, np.concatenate(worn), beliefs), ends[:-1])
    return [float(chance.mean()) for chance in of_each]


def _stands_out(clue: Clue, worn: Array, beliefs: Beliefs) -> Array:
    """Chance (m,) that the reading tells changes (m, 2) [mm] from a sound vehicle."""
    spread = clue.spread_at(worn, np.zeros(2), beliefs)
    if isinstance(clue.evidence, GaugeReading):
        # What the gauge would have shown in all on such a vehicle, not what it showed on this one.
        foreseen = replace(clue.evidence, in_all=None)
        expected, sound = foreseen.expected(clue.sound, clue.spread)
        read, with_worn = foreseen.expected(np.maximum(clue.sound + worn, 0.0), spread)
        called = ndtr((read - expected - NOTICED * sound) / with_worn)
        return above_false(called, ndtr(-NOTICED))
    observer = (
        clue.evidence.observer if isinstance(clue.evidence, Grade) else load_catalogue().observers[clue.reading.by]
    )
    called = grade_chances(observer, np.maximum(clue.sound + worn, 0.0), spread)
    return told_apart(called, grade_chances(observer, clue.sound, clue.spread))


def above_false(called: Array, false_call: Array) -> Array:
    """How much more often a worn part is called than a sound one: a call that both draw alike proves nothing.

    Source: W. J. Youden, Cancer 3 (1950) 32-35 (from memory).
    """
    return np.asarray(np.maximum(0.0, called - false_call))


def told_apart(worn: Array, sound: Array) -> Array:
    """How well grades tell a worn part from a sound one (...), from their chances (..., grades): 1 always, 0 never.

    The grade is taken from which a call counts that parts them best: a joint that shows a little when sound is told by
    the step from slight to clear.
    """
    beyond_worn, beyond_sound = (np.cumsum(c[..., ::-1], axis=-1)[..., :-1] for c in (worn, sound))
    return np.asarray(np.max(above_false(beyond_worn, beyond_sound), axis=-1))


def best_by_hand(table: ResponseTable, states: PartStates, axis: Axis, beliefs: Beliefs) -> tuple[float, str]:
    """The watch of a setup that shows the part best by hand, its own joint first, with the chance to see it there."""
    return best_of_each((table,), states, axis, beliefs)[0]


def best_of_each(
    tables: Sequence[ResponseTable], states: PartStates, axis: Axis, beliefs: Beliefs
) -> list[tuple[float, str]]:
    """As `best_by_hand`, of many setups at once; what a table in memory was asked before it is not asked again."""
    asked = best_by(states, axis, beliefs)
    missing = [table for table in tables if asked not in answers_of(table)]
    for table, best in zip(missing, _best_of_each(missing, states, axis, beliefs), strict=True):
        answers_of(table)[asked] = best
    return [answers_of(table)[asked] for table in tables]


def best_by(states: PartStates, axis: Axis, beliefs: Beliefs) -> object:
    """All that decides how well tables show a part by hand."""
    return _at_reject(states, axis), beliefs.masked_chance, beliefs.floor_mm, beliefs.share_of_change


_by_tables: dict[tuple[int, ...], dict[object, Any]] = {}


def answers_of(*tables: ResponseTable) -> dict[object, Any]:
    """What a table, or several together, answered by what was asked; forgotten with the first that leaves memory."""
    ids = tuple(map(id, tables))
    if ids not in _by_tables:
        _by_tables[ids] = {}
        for table in tables:
            finalize(table, _by_tables.pop, ids, None).atexit = False
    return _by_tables[ids]


def _best_of_each(
    tables: Sequence[ResponseTable], states: PartStates, axis: Axis, beliefs: Beliefs
) -> list[tuple[float, str]]:
    part = states.part.id
    showing = [table for table in tables if part in table.singles]
    if not showing:
        return [(0.0, "")] * len(tables)
    worn = np.concatenate([_as_shown(table, states, axis) for table in showing])
    spread = np.hypot(np.concatenate([table.spread for table in showing]), beliefs.floor_mm)
    sound = np.concatenate([table.sound for table in showing])
    observer = load_catalogue().observers["hand"]
    called = grade_chances(observer, np.maximum(sound + worn, 0.0), np.hypot(spread, beliefs.share_of_change * worn))
    every = (1.0 - beliefs.masked_chance) * told_apart(called, grade_chances(observer, sound, spread))
    found, first = [], 0
    for table in tables:
        if part not in table.singles:
            found.append((0.0, ""))
            continue
        chance = every[first : first + len(table.watches)]
        first += len(table.watches)
        best = _own_first(chance, [i for i, watch in enumerate(table.watches) if watch.removesuffix(".axial") == part])
        found.append((float(chance[best]), table.watches[best]))
    return found


def _own_first(chance: Array, own: Sequence[int]) -> int:
    """The place of the best chance; among a part's own watches, if it is any good there."""
    best = max(own, key=lambda i: float(chance[i]), default=int(np.argmax(chance)))
    return best if chance[best] >= 0.5 else int(np.argmax(chance))


def _as_shown(table: ResponseTable, states: PartStates, axis: Axis) -> Array:
    """Change (k, 2) [mm] with the part at its reject clearance.

    The poorest quarter of vehicles decides whether a setup is a good one to look in.
    """
    worn = at_reject(states, axis, table.singles[states.part.id])
    shares = table.shares.get(states.part.id)
    return worn if shares is None else _lower_quartile(shares) * worn


def _lower_quartile(values: Array) -> Array:
    """As numpy.quantile(values, 0.25, axis=0), which takes ten times as long on so few."""
    ordered, at = np.sort(values, axis=0), 0.25 * (len(values) - 1)
    below = int(at)
    above = min(below + 1, len(values) - 1)
    return np.asarray(ordered[below] + (at - below) * (ordered[above] - ordered[below]))
