"""How visits are taken in the study: who reads, which checks are done, and what goes wrong on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal, get_args

import numpy as np

from looseends.diagnosis.diagnose import Diagnosed, Diagnosing
from looseends.diagnosis.next_step import Step, next_step
from looseends.diagnosis.opening import load_opening
from looseends.diagnosis.ways import By
from looseends.inspection.types import GRADES, CheckDone, NextCheck, Reading
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import SIDES
from studies.truth import THRESHOLD_LOG_SPREAD, StandingVehicle, TrueVehicle, Way, drawn_force, recorded, taken_again
from studies.visits_bay import Bay

Observer = Literal["gauges", "eye and hand", "novice"]
Path = Literal["full route", "complaint first", "wheel shake"]
OBSERVERS: tuple[Observer, ...] = get_args(Observer)
PATHS: tuple[Path, ...] = get_args(Path)
Checks = tuple[CheckDone, ...]
Slip = Callable[[Checks, np.random.Generator], Checks]
"""What goes wrong between the wheel and the paper."""

NOVICE_SLIPS = 0.08
NOVICE_SPREAD = 2.0
"""A novice's scatter over that of others, and as much wider lie the thresholds from one novice to the next."""

WILD_MM = (3.0, 8.0)
"""A wild gauge reading, with half of it or more taken for dead zone."""


MOST_MINUTES_MORE, MOST_STEPS_MORE = 30.0, 20
"""After its route a visit goes on for so many minutes and steps at most, whatever the tool still asks."""


@dataclass(frozen=True)
class Taken:
    """The checks of a visit in their order, and its minutes, opening and moves of stands included."""

    checks: Checks
    minutes: float


@dataclass(frozen=True)
class Shaken:
    """A vehicle with its complaint, shaken when a setup is asked for: the same whoever asks and in whatever order.

    `seed` draws the hands' force; `movement` keeps what was asked before, `known` the last answer, for it is large.
    """

    true: StandingVehicle
    bay: Bay
    complaint: str
    seed: tuple[int, ...]
    movement: dict[Setup, TrueVehicle] = field(default_factory=dict)
    known: dict[Checks, Diagnosed] = field(default_factory=dict)

    @cached_property
    def going_on(self) -> Diagnosing:
        """The vehicle's diagnosis, gone on with after each step."""
        return Diagnosing(self.bay.vehicle, self.bay.store, lasting=True)

    def in_setup(self, setup: Setup) -> TrueVehicle:
        """What it shows in one setup."""
        if setup not in self.movement:
            force = drawn_force(np.random.default_rng([*self.seed, self.bay.setups.index(setup)]))
            watches, movement = self.true.shown(setup, force)
            self.movement[setup] = TrueVehicle(self.true.worn, {setup: movement}, {setup: watches})
        return self.movement[setup]

    def diagnosed(self, checks: Checks) -> Diagnosed:
        """The visit as a judgement takes it; who asks for the same again at once has it at once."""
        if checks not in self.known:
            self.known.clear()
            self.known[checks] = self.bay.diagnosed(self.going_on, checks, self.complaint)
        return self.known[checks]


def person(observer: Observer, rng: np.random.Generator) -> Way:
    """Who reads: thresholds, scatter and slips are their own, and the diagnosis does not know them."""
    if observer == "gauges":
        return Way.drawn("dead zone", rng)
    way = Way.drawn("hand", rng)
    if observer == "novice":
        wider = float(np.exp(rng.normal(0.0, NOVICE_SPREAD * THRESHOLD_LOG_SPREAD)))
        return replace(
            way,
            observer_factor=wider,
            observer_spread=NOVICE_SPREAD * way.observer_spread,
            wrong_chance=NOVICE_SLIPS,
        )
    return way


def taken(
    shaken: Shaken,
    path: Path,
    observer: Observer,
    minutes: float | None,
    asked: bool,
    rng: np.random.Generator,
    slipped: Callable[[Checks], Checks] | None = None,
) -> Taken:
    """One visit along a path; `minutes` bound the path that follows the complaint.

    `slipped` is what goes wrong on the paper of a route. Where it is `asked`, the same person then does what the tool
    names next until it says enough, in bounds, and nothing goes wrong any more.
    """
    way = person(observer, rng)
    if path == "complaint first":
        assert minutes is not None
        return _complaint_first(shaken, way, by_of(observer), minutes, rng)
    setups = route_of(shaken.bay, observer) if path == "full route" else shaken.bay.shakes
    checks = tuple(_done(shaken, setup, number, way, rng) for number, setup in enumerate(setups, 1))
    done = Taken(slipped(checks) if slipped else checks, shaken.bay.minutes(setups))
    return _asked(shaken, done, way, by_of(observer), rng) if asked else done


def route_of(bay: Bay, observer: Observer) -> tuple[Setup, ...]:
    """The setups of the shortest full route for who reads."""
    return tuple(step.setup for step in bay.routes[by_of(observer)].steps)


def by_of(observer: Observer) -> By:
    """How the plan takes an observer's readings; it knows no novice."""
    return "gauge" if observer == "gauges" else "hand"


def _asked(shaken: Shaken, done: Taken, way: Way, by: By, rng: np.random.Generator) -> Taken:
    """What the tool names next, step by step, until it says enough; at most so many minutes and steps more.

    Checks of movement only: what looks and a wrench would find is not drawn.
    """
    most = done.minutes + MOST_MINUTES_MORE
    for _ in range(MOST_STEPS_MORE):
        step = next_step(shaken.diagnosed(done.checks), by=by, looks=False)
        if not isinstance(step, Step) or done.minutes + step.check.minutes > most:
            break
        done = _stepped(shaken, done, step.check, way, rng)
    return done


def _complaint_first(shaken: Shaken, way: Way, by: By, minutes: float, rng: np.random.Generator) -> Taken:
    """One step at a time, planned anew after each, until the time is up or nothing more is asked."""
    done = Taken((), load_opening().minutes)
    while isinstance(
        step := next_step(shaken.diagnosed(done.checks), minutes - done.minutes, by=by, looks=False), Step
    ):
        done = _stepped(shaken, done, step.check, way, rng)
    return done


def _stepped(shaken: Shaken, done: Taken, step: NextCheck, way: Way, rng: np.random.Generator) -> Taken:
    """The visit with one step more: a check with all its watches, or some watches again."""
    if step.again:
        asked = [(step.setup, watch) for watch in step.watches]
        more = taken_again(shaken.in_setup(step.setup), asked, way, len(done.checks), rng)
    else:
        more = (_done(shaken, step.setup, len(done.checks) + 1, way, rng),)
    return Taken((*done.checks, *more), done.minutes + step.minutes)


def _done(shaken: Shaken, setup: Setup, number: int, way: Way, rng: np.random.Generator) -> CheckDone:
    (done,) = recorded(shaken.in_setup(setup), (setup,), way, None, rng)
    return replace(done, number=number)


def one_wild(checks: Checks, rng: np.random.Generator) -> Checks:
    """One reading of the visit is wild."""
    places = [(i, k) for i, done in enumerate(checks) for k in range(len(done.readings))]
    i, k = places[int(rng.integers(len(places)))]
    total = float(np.round(rng.uniform(*WILD_MM), 2))
    free = float(np.round(total * rng.uniform(0.5, 1.0), 2))
    readings = list(checks[i].readings)
    readings[k] = Reading(readings[k].watch, "gauge", total, None, "", free)
    return (*checks[:i], replace(checks[i], readings=tuple(readings)), *checks[i + 1 :])


def sides_mixed_up(checks: Checks, rng: np.random.Generator) -> Checks:
    """In one check that was done on both sides, left is written down as right and right as left."""
    there = {done.setup for done in checks}
    both = [done.setup for done in checks if done.setup.side == "left" and _other(done.setup) in there]
    if not both:
        return checks
    mixed = both[int(rng.integers(len(both)))]
    return tuple(_mirrored(done) if done.setup in (mixed, _other(mixed)) else done for done in checks)


def at_least_slight(checks: Checks, rng: np.random.Generator) -> Checks:
    """Whoever looks calls nothing none."""
    return tuple(replace(done, readings=tuple(_slight(reading) for reading in done.readings)) for done in checks)


def _slight(reading: Reading) -> Reading:
    return replace(reading, grade=GRADES[1]) if reading.grade == GRADES[0] else reading


def _other(setup: Setup) -> Setup:
    return replace(setup, side=SIDES[setup.side == SIDES[0]])


def _mirrored(done: CheckDone) -> CheckDone:
    readings = tuple(replace(reading, watch=_across(reading.watch)) for reading in done.readings)
    return replace(done, setup=_other(done.setup), readings=readings)


def _across(watch: str) -> str:
    """The same place on the other side."""
    swap = {"left": "right", "right": "left"}
    return "-".join(swap.get(word, word) for word in watch.replace(".axial", "-.axial").split("-")).replace("-.", ".")
