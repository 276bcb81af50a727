"""Vehicles and readings for studies, drawn from a truth unlike the model that diagnosis uses.

Unlike: every joint has its own stiffness and sound clearance, joint centers are shifted, both hands push another
force than the check says, wear has any size on a continuous scale, observers have other thresholds and scatter than
the catalogue's, some joints are masked, some readings are plainly wrong. All of it is drawn; nothing is fitted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.catalogue.types import Axis, Observer
from looseends.diagnosis.tables.states import reject_clearance, worn_axes
from looseends.inspection.types import GRADES, CheckDone, Reading
from looseends.mechanics.bodies import Array
from looseends.vehicle.build import holding_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Held, answer_stroke, hold, nominal_preload, prepare_held
from looseends.vehicle.specimen import Specimen, drawn_specimen
from looseends.vehicle.vehicle import Part, Vehicle

WORN_COUNT_CHANCES = (0.2, 0.45, 0.35)
"""Chance of no, one or two worn parts."""

GEOMETRY_MM = 3.0
FORCE_SHARE = 0.2
THRESHOLD_LOG_SPREAD = 0.25
WRONG_READING_CHANCE = 0.02
MASKED_CHANCE = 0.02
GAUGE_ERROR_MM = 0.03
GAUGE_ERROR_SHARE = 0.03
DEAD_ZONE_ERROR_MM = 0.06
DEAD_ZONE_ERROR_SHARE = 0.15
ELASTIC_FELT = (0.02, 0.1)
"""Bounds of the share of springy movement that a person takes for play; each person has their own."""

ALL_LOOSE = (0.1, 0.9)
"""Bounds of the share of wrong gauge readings in which all that is shown seems to go lightly; so too."""

Elsewhere = Callable[[Vehicle, np.random.Generator], Vehicle]
"""Moves a vehicle's joint centers."""


@dataclass(frozen=True)
class TrueVehicle:
    """One drawn vehicle: its worn parts with clearance per axis [mm], and what each watch of each setup would show.

    `movement` setup -> (k, 2) total and free [mm] in the order of `watches`.
    """

    worn: Mapping[tuple[str, Axis], float]
    movement: Mapping[Setup, Array]
    watches: Mapping[Setup, tuple[str, ...]]

    def parts(self, vehicle: Vehicle, *, least_share: float) -> frozenset[str]:
        """Parts worn to at least this share of their reject clearance on some axis."""
        return frozenset(
            part
            for (part, axis), mm in self.worn.items()
            if mm >= least_share * reject_clearance(vehicle.parts[part], axis)
        )


@dataclass(frozen=True)
class StandingVehicle(TrueVehicle):
    """One that may be shaken again: its true joint centers and joints, and how it rests sound, by `holding_of`."""

    vehicle: Vehicle
    specimen: Specimen
    standing: dict[Setup, Held]
    masked: frozenset[str] = frozenset()

    def shown(self, setup: Setup, force_share: float) -> tuple[tuple[str, ...], Array]:
        """Watches (k,) of a setup, and total and free movement (k, 2) [mm] at them by hands of this share of force."""
        true, holding = self.vehicle, holding_of(self.vehicle, setup)
        if holding not in self.standing:
            self.standing[holding] = hold(true, self.specimen, setup, nominal_preload(true.id))
        prepared = prepare_held(true, self.standing[holding], setup, force_share=force_share)
        felt = {key: mm for key, mm in self.worn.items() if key[0] not in self.masked}
        clearances = self.specimen.clearances(true, felt)
        answers = [answer_stroke(stroke, clearances).movements for stroke in prepared.strokes]
        movement = np.array([(m.total, m.free) for answer in answers for m in answer.values()])
        return tuple(name for answer in answers for name in answer), movement


def draw_vehicle(
    vehicle: Vehicle,
    setups: Sequence[Setup],
    rng: np.random.Generator,
    elsewhere: Elsewhere | None = None,
    among: Sequence[Part] | None = None,
) -> StandingVehicle:
    """Draw a vehicle with wear and shake it in every setup.

    `elsewhere` moves its joint centers in another way; only parts `among` these are worn (None: any that can be).
    """
    standing = drawn_standing(vehicle, rng, elsewhere, among)
    movement, watches = {}, {}
    for setup in setups:
        watches[setup], movement[setup] = standing.shown(setup, drawn_force(rng))
    return replace(standing, movement=movement, watches=watches)


def drawn_standing(
    vehicle: Vehicle,
    rng: np.random.Generator,
    elsewhere: Elsewhere | None = None,
    among: Sequence[Part] | None = None,
    count_chances: Sequence[float] = WORN_COUNT_CHANCES,
) -> StandingVehicle:
    """Draw a vehicle with wear that nobody has shaken yet; `count_chances` of no, one, two and more worn parts."""
    worn = draw_wear(vehicle, rng, among, count_chances)
    true = (elsewhere or shifted)(vehicle, rng)
    specimen = drawn_specimen(true, rng)
    # Each joint once, whether its play is worn in one direction or in two.
    masked = frozenset(part for part in dict.fromkeys(part for part, _ in worn) if rng.random() < MASKED_CHANCE)
    return StandingVehicle(worn, {}, {}, true, specimen, {}, masked)


def drawn_force(rng: np.random.Generator) -> float:
    """What hands push, as a share of what the check says."""
    return float(rng.uniform(1.0 - FORCE_SHARE, 1.0 + FORCE_SHARE))


def draw_wear(
    vehicle: Vehicle,
    rng: np.random.Generator,
    among: Sequence[Part] | None = None,
    count_chances: Sequence[float] = WORN_COUNT_CHANCES,
) -> dict[tuple[str, Axis], float]:
    """Worn clearances of none, one, two or more parts; most are past reject, some lie in the band below it."""
    candidates = [part for part in (vehicle.wearable if among is None else among) if worn_axes(part)]
    rate = np.array([_wear_rate(part) for part in candidates])
    count = int(rng.choice(len(count_chances), p=count_chances))
    chosen = rng.choice(len(candidates), count, replace=False, p=rate / rate.sum())
    worn: dict[tuple[str, Axis], float] = {}
    for index in chosen:
        part, axes = candidates[index], worn_axes(candidates[index])
        size = float(np.exp(rng.uniform(np.log(0.6), 0.0)) if rng.random() < 0.1 else rng.uniform(1.0, 3.0))
        for axis in axes if len(axes) == 1 or rng.random() < 0.5 else axes[:1]:
            worn[part.id, axis] = size * reject_clearance(part, axis) * float(rng.uniform(0.8, 1.25))
    return worn


def _wear_rate(part: Part) -> float:
    assert part.figure is not None
    return part.figure.relative_wear


def shifted(vehicle: Vehicle, rng: np.random.Generator) -> Vehicle:
    """The vehicle with every joint center shifted, left and right alike but for a third of it."""
    points: dict[str, tuple[float, float, float]] = {}
    shifts: dict[str, Array] = {}
    for name, point in vehicle.points.items():
        stem = name.removesuffix("-left").removesuffix("-right")
        common = shifts.setdefault(stem, rng.normal(0.0, GEOMETRY_MM, 3))
        own = rng.normal(0.0, GEOMETRY_MM / 3.0, 3)
        mirrored = common * np.array([1.0, -1.0 if name.endswith("-right") else 1.0, 1.0])
        x, y, z = (float(v) for v in np.array(point) + mirrored + own)
        points[name] = (x, y, z)
    return replace(vehicle, points=points)


@dataclass(frozen=True)
class Way:
    """How readings are taken: by gauge everywhere (with the dead zone or the total only), or by hand and eye.

    `all_loose` is the share of this person's wrong gauge readings in which all that is shown seems to go lightly.
    """

    tool: Literal["dead zone", "total", "hand"]
    observer_factor: float
    observer_spread: float
    elastic_felt: float
    all_loose: float = 0.5
    wrong_chance: float = WRONG_READING_CHANCE

    @staticmethod
    def drawn(tool: Literal["dead zone", "total", "hand"], rng: np.random.Generator) -> Way:
        """A person whose thresholds, scatter and sense of springiness differ from the catalogue's."""
        factor = float(np.exp(rng.normal(0.0, THRESHOLD_LOG_SPREAD)))
        scatter, felt = float(rng.uniform(0.8, 1.4)), float(rng.uniform(*ELASTIC_FELT))
        return Way(tool, factor, scatter, felt, float(rng.uniform(*ALL_LOOSE)))


def recorded(
    true: TrueVehicle, setups: Sequence[Setup], way: Way, only: str | None, rng: np.random.Generator
) -> tuple[CheckDone, ...]:
    """The checks of a visit as this person records them; `only` keeps one watch (and its opposite)."""
    checks = []
    for number, setup in enumerate(setups, 1):
        places = {place.id: place for place in watches_of(load_catalogue().checks[setup.check], setup.side)}
        readings = []
        for name, movement in zip(true.watches[setup], true.movement[setup], strict=True):
            if only is not None and only not in name:
                continue
            place = places[name]
            by_eye = place.kind == "point" and place.part is None
            readings.append(_reading(name, movement, place.gauge_resolution_mm, by_eye, way, rng))
        checks.append(CheckDone(number, setup, None, "drawn", tuple(readings), (), ""))
    return tuple(checks)


def taken_again(
    true: TrueVehicle, asked: Sequence[tuple[Setup, str]], way: Way, after: int, rng: np.random.Generator
) -> tuple[CheckDone, ...]:
    """Checks in which the same person takes these readings (setup, watch) again; they are numbered on after `after`."""
    checks = []
    for number, setup in enumerate(dict.fromkeys(setup for setup, _ in asked), after + 1):
        watches = {watch for other, watch in asked if other == setup}
        (done,) = recorded(true, (setup,), way, None, rng)
        kept = tuple(reading for reading in done.readings if reading.watch in watches)
        checks.append(replace(done, number=number, readings=kept))
    return tuple(checks)


def _reading(
    name: str, movement: Array, resolution: float, by_eye: bool, way: Way, rng: np.random.Generator
) -> Reading:
    wrong = rng.random() < way.wrong_chance
    if way.tool != "hand":
        return _gauged(name, movement, resolution, way, wrong, rng)
    observer = load_catalogue().observers["eye" if by_eye else "hand"]
    grade = _grade(observer, movement, way, rng)
    if wrong:
        # Most wrong calls are one grade off, some are anything: the wrong line, the wrong side.
        grade = int(rng.integers(4)) if rng.random() < 0.3 else int(np.clip(grade + rng.choice([-1, 1]), 0, 3))
    return Reading(name, observer.id, None, GRADES[grade], "")


def _gauged(name: str, movement: Array, resolution: float, way: Way, wrong: bool, rng: np.random.Generator) -> Reading:
    total = rng.normal(movement[0], np.hypot(GAUGE_ERROR_MM, GAUGE_ERROR_SHARE * movement[0]))
    felt = movement[1] + way.elastic_felt * (movement[0] - movement[1])
    free = rng.normal(felt, np.hypot(DEAD_ZONE_ERROR_MM, DEAD_ZONE_ERROR_SHARE * felt))
    if wrong:
        total = rng.uniform(0.0, 8.0)
        free = total if rng.random() < way.all_loose else rng.uniform(0.0, total)
    total = max(0.0, round(total / resolution) * resolution)
    free = min(total, max(0.0, round(free / resolution) * resolution))
    return Reading(name, "gauge", total, None, "", free if way.tool == "dead zone" else None)


def _grade(observer: Observer, movement: Array, way: Way, rng: np.random.Generator) -> int:
    """A person feels free travel and some of the springy movement, on thresholds of their own, with heavy tails."""
    felt = movement[1] + way.elastic_felt * (movement[0] - movement[1])
    felt *= float(np.exp(rng.standard_t(5) * 0.8 * observer.spread * way.observer_spread))
    return int(np.searchsorted(np.array(observer.thresholds) * way.observer_factor, felt))
