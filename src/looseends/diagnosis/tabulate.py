"""Computing a response table: the sound vehicle, its ensemble, single parts, and the pairs that interact."""

from __future__ import annotations

import zlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import combinations

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.states import PartStates, vehicle_states
from looseends.diagnosis.table import ResponseTable
from looseends.mechanics.bodies import Array, Pose
from looseends.mechanics.travel import StrokeAnswer
from looseends.vehicle.bodies import body_centers
from looseends.vehicle.carrying import Preload
from looseends.vehicle.scatter import scattered
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
    states = vehicle_states(vehicle, beliefs)
    singles = {}
    for part in states:
        change = _single(solver, part)
        if change is not None:
            singles[part.part.id] = change
    reference = {s.part.id: singles[s.part.id][_reference(s)] for s in states if s.part.id in singles}
    pairs = _pairs(solver, [s for s in states if s.part.id in singles], reference)
    ensemble = _Ensemble(vehicle, prepared, beliefs, preload)
    sound = np.array([member.sound for member in ensemble.members])
    spread = np.std(sound, axis=0, ddof=1)
    shares = {s.part.id: ensemble.shares(s, reference[s.part.id], solver) for s in states if s.part.id in singles}
    return ResponseTable(
        setup, prepared, solver.watches, solver.sound, spread, singles, pairs, reference, shares, sound
    )


class Solver:
    """Exact movements of one prepared check for any worn set.

    The sound vehicle is solved first: its answers start the later ones and stand in for strokes that are left out.
    """

    def __init__(self, vehicle: Vehicle, specimen: Specimen, prepared: PreparedCheck) -> None:
        self.vehicle, self.specimen, self.prepared = vehicle, specimen, prepared
        clearances = specimen.clearances(vehicle, {})
        self._sound = [answer_stroke(stroke, clearances) for stroke in prepared.strokes]
        self.watches = tuple(name for stroke in prepared.strokes for name in stroke.reduced.watch_names)
        self.stroke_of = np.repeat(
            np.arange(len(prepared.strokes)), [len(stroke.reduced.watch_names) for stroke in prepared.strokes]
        )
        self.sound = _rows(self._sound)

    def movements(self, worn: Worn, strokes: Collection[int] | None = None) -> Array:
        """Total and free movement (k, 2) [mm] of every watch; strokes that are not asked for stay as sound."""
        clearances = self.specimen.clearances(self.vehicle, worn)
        answers = list(self._sound)
        for number, stroke in enumerate(self.prepared.strokes):
            if strokes is None or number in strokes:
                answers[number] = answer_stroke(stroke, clearances, self._sound[number])
        return _rows(answers)

    def strokes_moved(self, change: Array) -> set[int]:
        """Strokes in which a change (k, 2) of the movements counts."""
        return {int(number) for number in self.stroke_of[np.any(np.abs(change) > _COUNTS, axis=1)]}


def _rows(answers: Sequence[StrokeAnswer]) -> Array:
    return np.array([(m.total, m.free) for answer in answers for m in answer.movements.values()]).reshape(-1, 2)


def _single(solver: Solver, part: PartStates) -> Array | None:
    """Change (s, k, 2) of every state; None if even the largest changes nothing.

    A state of two axes is solved only where the axes do not simply add, and only in strokes that the part moves.
    """
    n = len(part.knots[0])
    largest = [_change(solver, part, {axis: n - 1}) for axis in range(len(part.axes))]
    both = _change(solver, part, dict.fromkeys(range(len(part.axes)), n - 1))
    strokes = set().union(*(solver.strokes_moved(change) for change in [*largest, both]))
    if not strokes:
        return None
    ladders = [_ladder(solver, part, axis, largest[axis], strokes) for axis in range(len(part.axes))]
    adds = float(np.max(np.abs(both - sum(largest)), initial=0.0)) < _INTERACTS
    change = np.zeros((len(part.index), len(solver.sound), 2))
    for state, knots in enumerate(part.index):
        alone = {axis: int(knot) for axis, knot in enumerate(knots) if knot >= 0}
        if len(alone) == 1 or adds:
            change[state] = sum(ladders[axis][knot] for axis, knot in alone.items())
        else:
            change[state] = _change(solver, part, alone, strokes)
    return change


def _change(
    solver: Solver, part: PartStates, knots: Mapping[int, int], strokes: Collection[int] | None = None
) -> Array:
    """Change (k, 2) [mm] against the sound vehicle with the part's axes at the given knots."""
    worn = {(part.part.id, part.axes[axis]): float(part.knots[axis][knot]) for axis, knot in knots.items()}
    return np.asarray(solver.movements(worn, strokes) - solver.sound)


def _ladder(solver: Solver, part: PartStates, axis: int, largest: Array, strokes: Collection[int]) -> Array:
    """Change (n, k, 2) at each knot of one axis; solved at three and, where these are not in line, at all."""
    knots = part.knots[axis]
    n = len(knots)
    if not solver.strokes_moved(largest):
        return np.zeros((n, *largest.shape))
    solved = {n - 1: largest, **{knot: _change(solver, part, {axis: knot}, strokes) for knot in (0, n // 2)}}
    share = (knots - knots[0]) / (knots[-1] - knots[0])
    line = solved[0] + share[:, None, None] * (largest - solved[0])
    if float(np.max(np.abs(line[n // 2] - solved[n // 2]), initial=0.0)) < 0.5 * _COUNTS:
        return np.asarray(line)
    return np.array([solved[i] if i in solved else _change(solver, part, {axis: i}, strokes) for i in range(n)])


def _reference(part: PartStates) -> int:
    """State in which pair corrections are taken: every axis at its middle knot."""
    middle = len(part.knots[0]) // 2
    return int(np.flatnonzero(np.all(part.index == middle, axis=1))[0])


def _pairs(
    solver: Solver, states: Iterable[PartStates], reference: Mapping[str, Array]
) -> dict[tuple[str, str], Array]:
    pairs = {}
    for first, second in combinations(states, 2):
        a, b = reference[first.part.id], reference[second.part.id]
        shared = np.any((np.abs(a) > _INTERACTS) & (np.abs(b) > _INTERACTS), axis=1)
        if not np.any(shared):
            continue
        worn = {**first.worn(_reference(first)), **second.worn(_reference(second))}
        strokes = {int(number) for number in solver.stroke_of[shared]}
        counted = np.isin(solver.stroke_of, list(strokes))[:, None]
        correction = np.where(counted, solver.movements(worn, strokes) - solver.sound - a - b, 0.0)
        if float(np.max(np.abs(correction))) > _INTERACTS:
            pairs[first.part.id, second.part.id] = correction
    return pairs


class _Ensemble:
    """Specimens drawn over stiffness, sound clearance, geometry and hand force, each set up like the nominal one.

    A member's joints and geometry are the same in every setup of a vehicle, so that tables tell which readings go
    together; the hand pushes anew in each.
    """

    def __init__(self, vehicle: Vehicle, nominal: PreparedCheck, beliefs: Beliefs, preload: Preload) -> None:
        hand = np.random.default_rng(_number(repr(nominal.setup)))
        self.beliefs = beliefs
        self.members = []
        for number in range(beliefs.ensemble_members):
            rng = np.random.default_rng([_number(vehicle.id), number])
            drawn = scattered(vehicle, rng, beliefs.geometry_common_mm, beliefs.geometry_own_mm)
            specimen = drawn_specimen(drawn, rng)
            force = float(hand.uniform(1.0 - beliefs.hand_force_share, 1.0 + beliefs.hand_force_share))
            prepared = prepare_check(
                drawn, specimen, nominal.setup, preload, force_share=force, start=_poses_of(drawn, nominal)
            )
            self.members.append(Solver(drawn, specimen, prepared))

    def shares(self, part: PartStates, reference: Array, nominal: Solver) -> Array:
        """Share (m, k) of the part's nominal change at its reference state that the first m members show, 0 to 2.

        Where load or geometry keeps a worn joint shut on some vehicles, as in a sway link when the two sides hang
        unequally, the shares tell.
        """
        strokes = nominal.strokes_moved(reference)
        worn = part.worn(_reference(part))
        size = np.abs(reference).max(axis=1)
        counts = size > _INTERACTS
        shares = []
        for member in self.members[: self.beliefs.share_members]:
            change = np.abs(member.movements(worn, strokes) - member.sound).max(axis=1)
            shares.append(np.where(counts, np.clip(change / np.where(counts, size, 1.0), 0.0, 2.0), 1.0))
        return np.array(shares)


def _number(words: str) -> int:
    """A number to start drawing from, the same in every run."""
    return zlib.crc32(words.encode())


def _poses_of(drawn: Vehicle, nominal: PreparedCheck) -> dict[str, Pose]:
    """The nominal vehicle's settled poses as a start, about the drawn vehicle's own body centers."""
    return {
        name: Pose(center, nominal.poses[name].rotation, nominal.poses[name].shift)
        for name, center in body_centers(drawn).items()
    }
