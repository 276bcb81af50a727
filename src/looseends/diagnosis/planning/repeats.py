"""What reading one watch again would tell: expected information, given what was read there so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.many_sets import SetStates, mean_gains
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import Numbers
from looseends.diagnosis.inference.views import change_together
from looseends.diagnosis.observed.evidence import Clue, cell_width
from looseends.diagnosis.observed.read_again import calls_again
from looseends.diagnosis.planning.information import Told, entropy
from looseends.diagnosis.planning.stands import Again
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.verdicts.again import readings_of
from looseends.diagnosis.verdicts.remarks import unresolved
from looseends.mechanics.bodies import GROUND, Array

_SETS = 20
_STATES = 8
"""So many leading sets are told apart, each in so many leading joint states."""

_WATCHES = 24
_DIFFER = 0.02
"""So many watches are looked into, those whose reading parts the leading sets most; none that parts them less."""


@dataclass(frozen=True)
class Repeat:
    """What a reading taken again tells, and which sets it decides between: the leading one and its strongest rival."""

    told: Told
    leads: tuple[str, ...]
    instead: tuple[str, ...]


def repeats_of(found: Diagnosed) -> dict[Again, Repeat]:
    """Every watch that may be read again, with what that tells; none that was read often enough."""
    if "repeats" not in found.known:
        found.known["repeats"] = _repeats_of(found)
    return dict(found.known["repeats"])


def _repeats_of(found: Diagnosed) -> dict[Again, Repeat]:
    readings, posterior = readings_of(found), found.posterior
    leading = posterior.leading(_SETS)
    weight = np.array([p for _, p in leading])
    weight /= weight.sum()
    sets = [SetStates.leading(e, _STATES) for e, _ in leading]
    names = tuple(dict.fromkeys(chain.from_iterable(one.parts for one in sets)))
    worn = np.array([[name in one.parts for name in names] for one in sets], dtype=float).reshape(len(sets), len(names))
    repeats = {}
    for k in _parting(found, readings, sets, weight):
        clue = readings.clues[k]
        chances = _chances(sets, found, readings, k)
        told = _told(chances, weight, worn, names)
        apart = weight[1:] * np.abs(chances[1:] - chances[0]).sum(axis=1)
        rival = sets[1 + int(np.argmax(apart))]
        repeats[Again(clue.check.setup, clue.reading.watch)] = Repeat(told, sets[0].parts, rival.parts)
    return repeats


def unexplained(found: Diagnosed) -> dict[Again, Clue]:
    """Readings of more than anything explains that may be taken again; against the floor all that is soft shows."""
    return {
        Again(clue.check.setup, clue.reading.watch): clue
        for clue in unresolved(found.clues, found.posterior, found.beliefs)
        if not _against_floor(clue) and _may_be_read_again(found, clue)
    }


def _against_floor(clue: Clue) -> bool:
    check, setup = load_catalogue().checks[clue.check.setup.check], clue.check.setup
    places = {place.id: place for place in watches_of(check, setup.side)}
    return places[clue.reading.watch].against == GROUND


def _may_be_read_again(found: Diagnosed, clue: Clue) -> bool:
    """Read less often than a limit, in a setup as it was written down, of parts that are still the same."""
    skipped = {entry.part for entry in found.visit.not_checked}
    times = sum(c.check.setup == clue.check.setup and c.reading.watch == clue.reading.watch for c in found.clues)
    as_written = any(done.setup == clue.check.setup for done in found.visit.checks)
    gone = any(e.after_check >= clue.check.number and e.part in clue.change for e in found.visit.replaced)
    by_itself = clue.reading.watch in {r.watch for r in clue.check.readings}
    few = times < found.beliefs.again_at_most
    return few and as_written and by_itself and not gone and clue.check.setup.check not in skipped


def _parting(found: Diagnosed, readings: ReadingSet, sets: Sequence[SetStates], weight: Array) -> Sequence[int]:
    """Readings whose likelihood parts the leading sets, those that part them most first."""
    if len(sets) < 2 or not readings.clues:
        return []
    gain = mean_gains(sets, found.posterior.views, readings)
    doubt = np.sqrt(weight @ (gain - weight @ gain) ** 2)
    may = [k for k, clue in enumerate(readings.clues) if doubt[k] > _DIFFER and _may_be_read_again(found, clue)]
    return sorted(may, key=lambda k: -float(doubt[k]))[:_WATCHES]


def _chances(sets: Sequence[SetStates], found: Diagnosed, readings: ReadingSet, k: int) -> Array:
    """Chance (sets, calls) of each call of reading k taken again, over a set's states and what is shown of them there.

    What any set asks for anew is worked out at once; a part's state that alone moves the reading, once for all sets.
    """
    choices = [_choices(one, found, readings, k) for one in sets]
    kept = found.forecasts.again.of(readings.keys[k], found.beliefs)
    new = dict.fromkeys(choice for own in choices for choice in own if choice not in kept.row)
    if new:
        by_parts: dict[tuple[str, ...], list[tuple[int, ...]]] = {}
        for parts, places in new:
            by_parts.setdefault(parts, []).append(places)
        shown = [_shown(found, readings, k, parts, np.array(places)) for parts, places in by_parts.items()]
        kept.add(
            [(parts, place) for parts, places in by_parts.items() for place in places],
            _calls(readings.clues[k], shown, found.beliefs),
        )
    calls = kept.of([choice for own in choices for choice in own])
    weighed = np.concatenate([one.weights for one in sets])[:, None] * calls
    counts = np.array([len(own) for own in choices])
    return np.asarray(np.add.reduceat(weighed, np.cumsum(counts) - counts))


_Choice = tuple[tuple[str, ...], tuple[int, ...]]
"""Parts and their states: the one that alone moves a reading, or all of a set; none where nothing moves it."""


def _choices(one: SetStates, found: Diagnosed, readings: ReadingSet, k: int) -> list[_Choice]:
    """What moves a reading in each of a set's joint states."""
    moving = [column for column, name in enumerate(one.parts) if found.posterior.views[name].moves[k]]
    if len(moving) == 1:
        alone = (one.parts[moving[0]],)
        return [(alone, (state,)) for state in one.places[:, moving[0]].tolist()]
    if moving or readings.beside(one.parts)[k]:
        return [(one.parts, tuple(places)) for places in one.places.tolist()]
    return [((), ())] * len(one.weights)


def _shown(found: Diagnosed, readings: ReadingSet, k: int, parts: tuple[str, ...], places: Numbers) -> _Shown:
    """What some parts show at a reading in some joint states (s, parts)."""
    if not parts:
        return _Shown(np.zeros((1, 1, 2)), np.zeros((1, 1, 2)), np.ones(1))
    if len(parts) == 1:
        states = found.posterior.states[parts[0]]
        return _shown_alone(readings.clues[k], states, places[:, 0], readings.pressed_chance(k))
    return _Shown(*change_together(parts, places, found.posterior.views, readings, np.array([k])), np.ones(1))


@dataclass(frozen=True)
class _Shown:
    """Change and width of cell (s, m, 2) [mm] of some states in every share, and the shares' chances (m,)."""

    change: Array
    cell: Array
    chances: Array


def _shown_alone(clue: Clue, states: PartStates, at: Numbers, pressed: float) -> _Shown:
    """What a part shows that alone moves a reading: every share of its states, these pressed to one end, nothing."""
    name = states.part.id
    nominal, hidden, shares = clue.change[name], clue.masked_chance(name), clue.shares(name)
    each, chances = shares, np.full(len(shares), 1.0 / len(shares))
    if pressed:
        each = np.concatenate([each, shares.mean(axis=0)[None] * np.array([1.0, 0.0])])
        chances = np.append((1.0 - pressed) * chances, pressed)
    chances = np.append((1.0 - hidden) * chances, max(hidden, 1e-12))
    each = np.concatenate([each, np.zeros((1, 2))])[None]
    return _Shown(each * nominal[at][:, None], each * cell_width(states, nominal)[at][:, None], chances)


def _calls(clue: Clue, shown: Sequence[_Shown], beliefs: Beliefs) -> Array:
    """Chance (n, calls) of each call of a reading taken again, in all these states one after another."""
    change = np.concatenate([one.change.reshape(-1, 2) for one in shown])
    cell = np.concatenate([one.cell.reshape(-1, 2) for one in shown])
    movement = np.maximum(clue.sound + change, 0.0)
    log_read, calls = calls_again(clue, movement, clue.spread_at(change, cell, beliefs), beliefs)
    # Which share shows, or none, is known by what was read: each state has its own weights of them.
    log_each = log_read + np.concatenate([np.tile(np.log(one.chances), len(one.change)) for one in shown])
    shares = np.concatenate([np.full(len(one.change), len(one.chances)) for one in shown])
    first = np.cumsum(shares) - shares
    each = np.exp(log_each - np.repeat(np.maximum.reduceat(log_each, first), shares))
    each /= np.repeat(np.add.reduceat(each, first), shares)
    return np.asarray(np.add.reduceat(each[:, None] * calls, first, axis=0))


def _told(chances: Array, weight: Array, worn: Array, names: Sequence[str]) -> Told:
    """Bits about the set, and the share settled of each part's doubt, from chances (sets, calls)."""
    joint = weight[:, None] * chances
    mixed = joint.sum(axis=0)
    after = joint / mixed
    bits = float(np.sum(joint * np.log2(after / weight[:, None])))
    before = entropy(weight @ worn)
    settled = np.clip(1.0 - mixed @ entropy(after.T @ worn) / before, 0.0, 1.0) if len(names) else np.zeros(0)
    return Told(max(0.0, bits), {name: float(s) for name, s in zip(names, settled, strict=True) if s > 0.0})
