"""Exact movements of one prepared check for any worn sets, many at a time."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import ClearanceArrays, axis_unknowns
from looseends.mechanics.travel import StrokeAnswers, solve_strokes, stroke_clearances
from looseends.vehicle.shake import PreparedCheck, answer_stroke
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import Vehicle

Worn = Mapping[tuple[str, Axis], float]
"""Worn clearance, total travel [mm], by part id and axis."""


_Alone = frozenset[tuple[tuple[str, Axis], float]]
"""Worn clearances of one part."""


def _by_part(worn: Worn) -> list[_Alone]:
    parts: dict[str, list[tuple[tuple[str, Axis], float]]] = {}
    for axis, travel in worn.items():
        parts.setdefault(axis[0], []).append((axis, travel))
    return [frozenset(axes) for axes in parts.values()]


def ends_of(answers: StrokeAnswers) -> Array:
    """Clearance taken up [mm], joint force [N] and slope [mm] of n answers at both ends (n, 2, 3, p)."""
    return np.stack([np.stack([end.g, end.f, end.slope], axis=1) for end in (answers.first, answers.last)], axis=1)


class Solver:
    """Exact movements of one prepared check on one specimen.

    The sound vehicle is solved first: its answers start the later ones and stand in for strokes that are left out. What
    single parts were found to change is remembered, and starts the sets that they are in.
    """

    def __init__(self, vehicle: Vehicle, specimen: Specimen, prepared: PreparedCheck, *, few: bool = False) -> None:
        """`few`: only a few sets will be asked for; the compiled kernel is then not loaded."""
        self.vehicle, self.prepared, self._few = vehicle, prepared, few
        sound = specimen.clearances(vehicle, {})
        self.sound_clearances = [stroke_clearances(stroke.reduced, sound) for stroke in prepared.strokes]
        self._answers = [answer_stroke(stroke, sound, few=few) for stroke in prepared.strokes]
        self._alone: list[dict[_Alone, NDArray[np.float64]]] = [{} for _ in prepared.strokes]
        self._sound_ends: dict[int, Array] = {}
        self._unknowns: dict[tuple[str, Axis], NDArray[np.intp]] = {}
        self.watches = tuple(name for stroke in prepared.strokes for name in stroke.reduced.watch_names)
        self.stroke_of: NDArray[np.intp] = np.repeat(
            np.arange(len(prepared.strokes)), [len(stroke.reduced.watch_names) for stroke in prepared.strokes]
        )
        self.sound = np.array([(m.total, m.free) for a in self._answers for m in a.movements.values()]).reshape(-1, 2)

    def movements(self, worn: Worn, strokes: Collection[int] | None = None) -> Array:
        """Total and free movement (k, 2) [mm] of every watch; strokes that are not asked for stay as sound."""
        return np.asarray(self.many([worn], strokes)[0])

    def many(self, worn_sets: Sequence[Worn], strokes: Collection[int] | None = None) -> Array:
        """Total and free movement (n, k, 2) [mm] of every watch for n worn sets."""
        moved = np.tile(self.sound, (len(worn_sets), 1, 1))
        for number in range(len(self.prepared.strokes)):
            if strokes is None or number in strokes:
                answers = self.solved(number, worn_sets)
                at = self.stroke_of == number
                moved[:, at, 0], moved[:, at, 1] = answers.total, answers.free
        return moved

    def changes(self, worn_sets: Sequence[Worn], strokes: Collection[int] | None = None) -> Array:
        """Change (n, k, 2) [mm] of every watch against the sound vehicle."""
        return np.asarray(self.many(worn_sets, strokes) - self.sound)

    def alone(self, number: int, worn_sets: Sequence[Worn]) -> Array:
        """Change (n, 2, 3, p) against sound of the answers in one stroke, each set of one part; kept ones as they are.

        At the first and the last end: clearance taken up [mm], joint force [N], and what more of the first the load
        takes up for each of its shares [mm].
        """
        known, keys = self._alone[number], [frozenset(worn.items()) for worn in worn_sets]
        missing = [worn for worn, key in zip(worn_sets, keys, strict=True) if key not in known]
        if missing:
            self.solved(number, missing)
        return np.stack([known[key] for key in keys]) - self.sound_ends(number)

    def sound_ends(self, number: int) -> Array:
        """The sound vehicle's answer (2, 3, p) in one stroke, as in `alone`."""
        if number not in self._sound_ends:
            self._sound_ends[number] = ends_of(self.solved(number, [{}]))[0]
        return self._sound_ends[number]

    def semi_axes(self, number: int, worn_sets: Sequence[Worn]) -> Array:
        """Semi-axes (n, p) [mm] of all clearance unknowns with these parts worn."""
        semi = np.tile(self.sound_clearances[number].semi, (len(worn_sets), 1))
        for row, worn in zip(semi, worn_sets, strict=True):
            for (part, axis), travel in worn.items():
                row[self._unknowns_along(part, axis)] = travel / 2.0
        return np.asarray(semi)

    def strokes_moved(self, change: Array, least: float) -> set[int]:
        """Strokes in which a change (k, 2) of the movements is larger than `least` [mm]."""
        return {int(number) for number in self.stroke_of[np.any(np.abs(change) > least, axis=1)]}

    def solved(self, number: int, worn_sets: Sequence[Worn], start: Array | None = None) -> StrokeAnswers:
        """Answers in one stroke; `start` (n, 2, 2, p), a guess of g and f at both ends, saves time."""
        stroke, sound = self.prepared.strokes[number], self.sound_clearances[number]
        n = len(worn_sets)
        clearances = ClearanceArrays(
            self.semi_axes(number, worn_sets), np.tile(sound.seats, (n, 1)), np.tile(sound.softness, (n, 1))
        )
        by_part = [_by_part(worn) for worn in worn_sets]
        guess = self._guesses(number, by_part) if start is None else start
        answers = solve_strokes(
            stroke.reduced,
            clearances,
            stroke.first_share,
            stroke.last_share,
            ((guess[:, 0, 0], guess[:, 0, 1]), (guess[:, 1, 0], guess[:, 1, 1])),
            few=self._few,
        )
        self._remember(number, by_part, answers)
        return answers

    def _guesses(self, number: int, by_part: Sequence[Sequence[_Alone]]) -> Array:
        """g and f at both ends (n, 2, 2, p): sound, and what each part was found to change alone."""
        sound, alone = self._answers[number], self._alone[number]
        base = np.stack([np.stack([end.g, end.f]) for end in (sound.first, sound.last)])
        start = np.tile(base, (len(by_part), 1, 1, 1))
        for row, parts in zip(start, by_part, strict=True):
            for part in parts:
                if part in alone:
                    row += alone[part][:, :2] - base
        return start

    def _remember(self, number: int, by_part: Sequence[Sequence[_Alone]], answers: StrokeAnswers) -> None:
        single = [row for row, parts in enumerate(by_part) if len(parts) == 1]
        if single:
            for row, ends in zip(single, ends_of(answers)[single], strict=True):
                self._alone[number][by_part[row][0]] = ends.copy()

    def _unknowns_along(self, part: str, axis: Axis) -> NDArray[np.intp]:
        """Unknowns that a part's clearance on one axis bounds, of all its joints."""
        if (part, axis) not in self._unknowns:
            reduced = self.prepared.strokes[0].reduced
            places = [
                axis_unknowns(reduced.joints[joint], reduced.held[joint], axis)
                for joint in self.vehicle.parts[part].joints
            ]
            self._unknowns[part, axis] = np.concatenate(places)
        return self._unknowns[part, axis]
