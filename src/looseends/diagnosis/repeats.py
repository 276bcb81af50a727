"""What reading one watch again would tell: expected information, given what was read there so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis.diagnose import Diagnosed
from looseends.diagnosis.evidence import Clue, cell_width
from looseends.diagnosis.explanation import Explanation
from looseends.diagnosis.information import Told, entropy
from looseends.diagnosis.read_again import calls_again
from looseends.diagnosis.readings import Columns, ReadingSet
from looseends.diagnosis.remarks import unresolved
from looseends.diagnosis.stands import Again
from looseends.diagnosis.views import change_together, gain_together
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
    readings, posterior = ReadingSet.of(found.clues, found.beliefs), found.posterior
    sets = posterior.leading(_SETS)
    weight = np.array([p for _, p in sets])
    weight /= weight.sum()
    names = tuple(dict.fromkeys(chain.from_iterable(e.parts for e, _ in sets)))
    worn = np.array([[name in e.parts for name in names] for e, _ in sets], dtype=float).reshape(len(sets), len(names))
    repeats = {}
    for k in _parting(found, readings, [e for e, _ in sets], weight):
        clue = readings.clues[k]
        chances = np.array([_chances(e, found, readings, k) for e, _ in sets])
        told = _told(chances, weight, worn, names)
        rival = max(range(1, len(sets)), key=lambda e: weight[e] * float(np.abs(chances[e] - chances[0]).sum()))
        repeats[Again(clue.check.setup, clue.reading.watch)] = Repeat(told, sets[0][0].parts, sets[rival][0].parts)
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


def _parting(found: Diagnosed, readings: ReadingSet, sets: Sequence[Explanation], weight: Array) -> Sequence[int]:
    """Readings whose likelihood parts the leading sets, those that part them most first."""
    if len(sets) < 2 or not readings.clues:
        return []
    gains = []
    for explanation in sets:
        rows = explanation.leading_places(_STATES)
        own = explanation.weights[rows] / explanation.weights[rows].sum()
        gains.append(own @ gain_together(explanation.parts, explanation.places[rows], found.posterior.views, readings))
    gain = np.array(gains)
    doubt = np.sqrt(weight @ (gain - weight @ gain) ** 2)
    may = [k for k, clue in enumerate(readings.clues) if _may_be_read_again(found, clue)]
    return sorted((k for k in may if doubt[k] > _DIFFER), key=lambda k: -float(doubt[k]))[:_WATCHES]


def _chances(explanation: Explanation, found: Diagnosed, readings: ReadingSet, k: int) -> Array:
    """Chance (calls,) of each call of reading k taken again, over a set's states and what is shown of them there."""
    clue = readings.clues[k]
    movers = [name for name in explanation.parts if found.posterior.views[name].moves[k]]
    rows = explanation.leading_places(_STATES)
    own = explanation.weights[rows] / explanation.weights[rows].sum()
    change, cell, shown = _changes(explanation, rows, movers, found, readings, k)
    movement = np.maximum(clue.sound + change, 0.0)
    log_read, calls = calls_again(clue, movement, clue.spread_at(change, cell, found.beliefs), found.beliefs)
    # Which share shows, or none, is known by what was read: each state has its own weights of them.
    log_each = log_read + np.log(shown)
    each = np.exp(log_each - log_each.max(axis=1, keepdims=True))
    each /= each.sum(axis=1, keepdims=True)
    return np.asarray(np.einsum("s,sm,smc->c", own, each, calls))


def _changes(
    explanation: Explanation,
    rows: Columns,
    movers: Sequence[str],
    found: Diagnosed,
    readings: ReadingSet,
    k: int,
) -> tuple[Array, Array, Array]:
    """Change and width of cell (s, m, 2) [mm] of some joint states in every share, and the shares' chances (m,)."""
    clue, views, places = readings.clues[k], found.posterior.views, explanation.places[rows]
    if len(movers) != 1:
        change, cell = change_together(explanation.parts, places, views, readings, np.array([k]))
        return change, cell, np.ones(1)
    (name,) = movers
    states, nominal = found.posterior.states[name], clue.change[name]
    at = places[:, explanation.parts.index(name)]
    hidden = clue.masked_chance(name)
    shares = clue.shares(name)
    chances = np.append((1.0 - hidden) * np.full(len(shares), 1.0 / len(shares)), max(hidden, 1e-12))
    each = np.concatenate([shares, np.zeros((1, 2))])[None]
    return each * nominal[at][:, None], each * cell_width(states, nominal)[at][:, None], chances


def _told(chances: Array, weight: Array, worn: Array, names: Sequence[str]) -> Told:
    """Bits about the set, and the share settled of each part's doubt, from chances (sets, calls)."""
    joint = weight[:, None] * chances
    mixed = joint.sum(axis=0)
    after = joint / mixed
    bits = float(np.sum(joint * np.log2(after / weight[:, None])))
    before = entropy(weight @ worn)
    settled = np.clip(1.0 - mixed @ entropy(after.T @ worn) / before, 0.0, 1.0) if len(names) else np.zeros(0)
    return Told(max(0.0, bits), {name: float(s) for name, s in zip(names, settled, strict=True) if s > 0.0})
