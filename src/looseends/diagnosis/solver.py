"""Exact movements of one prepared check for any worn sets, many at a time."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import ClearanceArrays, axis_unknowns, stacked
from looseends.mechanics.travel import StrokeAnswers, solve_strokes, stroke_clearances
from looseends.vehicle.shake import PreparedCheck, answer_stroke
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import Part, Vehicle

Worn = Mapping[tuple[str, Axis], float]
"""Worn clearance, total travel [mm], by part id and axis."""


_Alone = frozenset[tuple[tuple[str, Axis], float]]
"""Worn clearances of one part."""


def _by_part(worn: Worn) -> list[_Alone]:
    parts: dict[str, list[tuple[tuple[str, Axis], float]]] = {}
    for axis, travel in worn.items():
        parts.setdefault(axis[0], []).append((axis, travel))
    return [frozenset(axes) for axes in parts.values()]


class Solver:
    """Exact movements of one prepared check on one specimen.

    The sound vehicle is solved first: its answers start the later ones and stand in for strokes that are left out. What
    single parts were found to change is remembered, and starts the sets that they are in.
    """

    def __init__(self, vehicle: Vehicle, specimen: Specimen, prepared: PreparedCheck) -> None:
        self.vehicle, self.prepared = vehicle, prepared
        sound = specimen.clearances(vehicle, {})
        self._sound = [stroke_clearances(stroke.reduced, sound) for stroke in prepared.strokes]
        self._answers = [answer_stroke(stroke, sound) for stroke in prepared.strokes]
        self._alone: list[dict[_Alone, NDArray[np.float64]]] = [{} for _ in prepared.strokes]
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
                answers = self._solved(number, worn_sets)
                at = self.stroke_of == number
                moved[:, at, 0], moved[:, at, 1] = answers.total, answers.free
        return moved

    def changes(self, worn_sets: Sequence[Worn], strokes: Collection[int] | None = None) -> Array:
        """Change (n, k, 2) [mm] of every watch against the sound vehicle."""
        return np.asarray(self.many(worn_sets, strokes) - self.sound)

    def joint_forces(self, worn_sets: Sequence[Worn]) -> Array:
        """Forces (n, e, p) [N] on all clearance unknowns at both ends of every stroke, first and last in turn."""
        ends = []
        for number in range(len(self.prepared.strokes)):
            answers = self._solved(number, worn_sets)
            ends += [answers.first.f, answers.last.f]
        return np.stack(ends, axis=1)

    def unknowns_of(self, part: Part) -> list[NDArray[np.intp]]:
        """Places of each of a part's joints among the clearance unknowns, the same in every stroke."""
        joints = self.prepared.strokes[0].reduced.joints
        return [np.arange(joints[joint].start, joints[joint].stop) for joint in part.joints]

    def strokes_moved(self, change: Array, least: float) -> set[int]:
        """Strokes in which a change (k, 2) of the movements is larger than `least` [mm]."""
        return {int(number) for number in self.stroke_of[np.any(np.abs(change) > least, axis=1)]}

    def _solved(self, number: int, worn_sets: Sequence[Worn]) -> StrokeAnswers:
        stroke = self.prepared.strokes[number]
        clearances: ClearanceArrays = stacked(self._sound[number], len(worn_sets))
        for row, worn in zip(clearances.semi, worn_sets, strict=True):
            for (part, axis), travel in worn.items():
                row[self._unknowns_along(part, axis)] = travel / 2.0
        by_part = [_by_part(worn) for worn in worn_sets]
        start = self._guesses(number, by_part)
        answers = solve_strokes(
            stroke.reduced,
            clearances,
            stroke.first_share,
            stroke.last_share,
            ((start[0], start[1]), (start[2], start[3])),
        )
        self._remember(number, by_part, answers)
        return answers

    def _guesses(self, number: int, by_part: Sequence[Sequence[_Alone]]) -> Array:
        """g and f of the first end and of the last (4, n, p): sound, and what each part was found to change alone."""
        sound, alone = self._answers[number], self._alone[number]
        base = np.stack([sound.first.g, sound.first.f, sound.last.g, sound.last.f])
        start = np.tile(base[:, None], (1, len(by_part), 1))
        for row, parts in enumerate(by_part):
            for part in parts:
                if part in alone:
                    start[:, row] += alone[part] - base
        return start

    def _remember(self, number: int, by_part: Sequence[Sequence[_Alone]], answers: StrokeAnswers) -> None:
        ends = (answers.first.g, answers.first.f, answers.last.g, answers.last.f)
        for row, parts in enumerate(by_part):
            if len(parts) == 1:
                self._alone[number][parts[0]] = np.stack([end[row] for end in ends])

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
