"""Computing a response table: the sound vehicle, its ensemble, single parts, and the pairs that interact."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from itertools import combinations

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.states import PartStates, vehicle_states
from looseends.diagnosis.table import ResponseTable
from looseends.mechanics.bodies import Array
from looseends.mechanics.travel import StrokeAnswer
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck, answer_stroke, nominal_preload, prepare_check
from looseends.vehicle.specimen import Specimen, drawn_specimen, nominal_specimen
from looseends.vehicle.vehicle import SIDES, Vehicle

_COUNTS = 0.02
"""A change [mm] below this, a fifth of the best gauge step at the tread, is not worth a state of its own."""

_INTERACTS = 0.05
"""Two parts interact in a setup when their joint change differs from the sum by more than this [mm]."""

Worn = Mapping[tuple[str, Axis], float]


def usual_setups(vehicle: Vehicle) -> tuple[Setup, ...]:
    """Setups that a visit ordinarily uses; others are tabulated when they are met."""
    setups: list[Setup] = []
    beliefs = load_beliefs()
    for check in load_catalogue().checks.values():
        held = [(check.steer_states[0], brake) for brake in check.brake_states]
        free = [(steer, check.brake_states[0]) for steer in check.steer_states[1:]]
        for support in check.supports:
            if support not in vehicle.layout.supports or support in beliefs.seldom.get(check.id, ()):
                continue
            for side in SIDES if check.sided else (None,):
                setups += [Setup(check.id, support, side, steer, brake, 0.0) for steer, brake in held + free]
    return tuple(setups)


def tabulate(vehicle: Vehicle, setup: Setup, beliefs: Beliefs) -> ResponseTable:
    """The response table of one setup of one vehicle."""
    specimen, preload = nominal_specimen(vehicle), nominal_preload(vehicle.id)
    prepared = prepare_check(vehicle, specimen, setup, preload)
    solver = Solver(vehicle, specimen, prepared)
    sound = solver.movements({})
    states = vehicle_states(vehicle, beliefs)
    singles = {}
    for part in states:
        change = _single(solver, part, sound)
        if change is not None:
            singles[part.part.id] = change
    reference = {s.part.id: singles[s.part.id][_reference(s)] for s in states if s.part.id in singles}
    pairs = _pairs(solver, [s for s in states if s.part.id in singles], sound, reference)
    spread = _spread(vehicle, prepared, beliefs, preload, len(sound))
    return ResponseTable(setup, prepared, solver.watches, sound, spread, singles, pairs, reference)


class Solver:
    """Exact movements of one prepared check for any worn set; the first answer of each stroke starts the later ones."""

    def __init__(self, vehicle: Vehicle, specimen: Specimen, prepared: PreparedCheck) -> None:
        self.vehicle, self.specimen, self.prepared = vehicle, specimen, prepared
        self._starts: dict[str, StrokeAnswer] = {}
        self.watches = tuple(name for stroke in prepared.strokes for name in stroke.reduced.watch_names)

    def movements(self, worn: Worn) -> Array:
        """Total and free movement (k, 2) [mm] of every watch."""
        clearances = self.specimen.clearances(self.vehicle, worn)
        rows = []
        for stroke in self.prepared.strokes:
            answer = answer_stroke(stroke, clearances, self._starts.get(stroke.stroke_id))
            self._starts.setdefault(stroke.stroke_id, answer)
            rows += [(answer.movements[name].total, answer.movements[name].free) for name in stroke.reduced.watch_names]
        return np.array(rows).reshape(-1, 2)


def _single(solver: Solver, part: PartStates, sound: Array) -> Array | None:
    """Change (s, k, 2) of every state; None if even the largest changes nothing.

    A state of two axes is solved only where the axes do not simply add.
    """
    n = len(part.knots[0])
    largest = [_largest(solver, part, axis, sound) for axis in range(len(part.axes))]
    matters = [float(np.max(np.abs(change), initial=0.0)) > _COUNTS for change in largest]
    both = solver.movements(part.worn(len(part.index) - 1)) - sound
    if not any(matters) and float(np.max(np.abs(both), initial=0.0)) <= _COUNTS:
        return None
    ladders = [
        _ladder(solver, part, axis, sound, n) if matters[axis] else np.zeros((n, len(sound), 2))
        for axis in range(len(part.axes))
    ]
    adds = float(np.max(np.abs(both - sum(largest)), initial=0.0)) < _INTERACTS
    change = np.zeros((len(part.index), len(sound), 2))
    for state, knots in enumerate(part.index):
        alone = [axis for axis, knot in enumerate(knots) if knot >= 0]
        if len(alone) == 1 or adds:
            change[state] = sum(ladders[axis][knots[axis]] for axis in alone)
        else:
            change[state] = solver.movements(part.worn(state)) - sound
    return change


def _largest(solver: Solver, part: PartStates, axis: int, sound: Array) -> Array:
    return solver.movements({(part.part.id, part.axes[axis]): float(part.knots[axis][-1])}) - sound


def _ladder(solver: Solver, part: PartStates, axis: int, sound: Array, n: int) -> Array:
    """Change (n, k, 2) at each knot of one axis; solved at three and, where these are not in line, at all."""
    name, knots = (part.part.id, part.axes[axis]), part.knots[axis]

    def at(knot: int) -> Array:
        return solver.movements({name: float(knots[knot])}) - sound

    low, middle, high = at(0), at(n // 2), at(n - 1)
    share = (knots - knots[0]) / (knots[-1] - knots[0])
    line = low + share[:, None, None] * (high - low)
    if float(np.max(np.abs(line[n // 2] - middle), initial=0.0)) < 0.5 * _COUNTS:
        return np.asarray(line)
    return np.array([{0: low, n // 2: middle, n - 1: high}.get(i, None) if i in (0, n // 2, n - 1) else at(i) for i in range(n)])


def _reference(part: PartStates) -> int:
    """State in which pair corrections are taken: every axis at its middle knot."""
    middle = len(part.knots[0]) // 2
    return int(np.flatnonzero(np.all(part.index == middle, axis=1))[0])


def _pairs(
    solver: Solver, states: Iterable[PartStates], sound: Array, reference: Mapping[str, Array]
) -> dict[tuple[str, str], Array]:
    pairs = {}
    for first, second in combinations(states, 2):
        a, b = reference[first.part.id], reference[second.part.id]
        shared = np.any((np.abs(a) > _INTERACTS) & (np.abs(b) > _INTERACTS))
        if not shared:
            continue
        worn = {**first.worn(_reference(first)), **second.worn(_reference(second))}
        correction = solver.movements(worn) - sound - a - b
        if float(np.max(np.abs(correction))) > _INTERACTS:
            pairs[first.part.id, second.part.id] = correction
    return pairs


def _spread(vehicle: Vehicle, nominal: PreparedCheck, beliefs: Beliefs, preload: float, watches: int) -> Array:
    """Standard deviation (k, 2) [mm] of a sound vehicle's readings over drawn specimens and hand forces."""
    setup = nominal.setup
    rng = np.random.default_rng(zlib.crc32(repr(setup).encode()))
    drawn = np.zeros((beliefs.ensemble_members, watches, 2))
    for member in range(beliefs.ensemble_members):
        specimen = drawn_specimen(vehicle, rng)
        force = float(_hand(rng, beliefs))
        prepared = prepare_check(vehicle, specimen, setup, preload, force_share=force, start=nominal.poses)
        drawn[member] = Solver(vehicle, specimen, prepared).movements({})
    return np.asarray(np.std(drawn, axis=0, ddof=1))


def _hand(rng: np.random.Generator, beliefs: Beliefs) -> float:
    return rng.uniform(1.0 - beliefs.hand_force_share, 1.0 + beliefs.hand_force_share)
