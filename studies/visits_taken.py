"""How visits are taken in the study: who reads and looks, which checks are done, and what goes wrong on paper."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal, get_args

import numpy as np

from looseends.diagnosis.inference.diagnose import Diagnosed, Diagnosing
from looseends.diagnosis.next_step import Step, next_step
from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.planning.stands import change_minutes
from looseends.diagnosis.planning.ways import By
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import CheckDone, NextCheck
from looseends.vehicle.setup import Setup
from studies.truth import THRESHOLD_LOG_SPREAD, StandingVehicle, TrueVehicle, Way, drawn_force, recorded, taken_again
from studies.visits_bay import Bay
from studies.visits_looks import Eyes, Seen, look_of, looked

Observer = Literal["gauges", "eye and hand", "novice"]
Path = Literal["full route", "complaint first", "wheel shake"]
OBSERVERS: tuple[Observer, ...] = get_args(Observer)
PATHS: tuple[Path, ...] = get_args(Path)
Checks = tuple[CheckDone, ...]


@dataclass(frozen=True)
class Paper:
    """What is written down of a visit: its checks in their order, looks among them, and what looks found or did not.

    `learner`: that who read and looked is still learning.
    """

    checks: Checks = ()
    seen: Seen = ()
    learner: bool = False


NOVICE_SLIPS = 0.08
NOVICE_SPREAD = 2.0
"""A novice's scatter over that of others, and as much wider lie the thresholds from one novice to the next."""

MOST_MINUTES_MORE, MOST_STEPS_MORE = 30.0, 20
"""After its route a visit goes on for so many minutes and steps at most, whatever the tool still asks."""


@dataclass(frozen=True)
class Taken:
    """A visit as it is written down, and its minutes, opening and moves of stands included."""

    paper: Paper
    minutes: float

    @property
    def here(self) -> str | None:
        """The support on which the vehicle stands; None where it has just come in."""
        return self.paper.checks[-1].setup.support if self.paper.checks else None

    @property
    def planned_from(self) -> str | None:
        """The support on which the plan takes it to stand, which heeds checks of movement alone."""
        moved = [done.setup for done in self.paper.checks if look_of(done.setup) is None]
        return moved[-1].support if moved else None


@dataclass(frozen=True)
class Shaken:
    """A vehicle with its complaint, shaken when a setup is asked for: the same whoever asks and in whatever order.

    `seed` draws the hands' force and how plainly wear shows; `movement` keeps what was asked before, `known` the last
    answer, for it is large.
    """

    true: StandingVehicle
    bay: Bay
    complaint: str
    seed: tuple[int, ...]
    movement: dict[Setup, TrueVehicle] = field(default_factory=dict)
    known: dict[Paper, Diagnosed] = field(default_factory=dict)

    @cached_property
    def going_on(self) -> Diagnosing:
        """The vehicle's diagnosis, gone on with after each step."""
        return Diagnosing(self.bay.vehicle, self.bay.store, common=self.bay.common)

    def in_setup(self, setup: Setup) -> TrueVehicle:
        """What it shows in one setup."""
        if setup not in self.movement:
            force = drawn_force(np.random.default_rng([*self.seed, self.bay.setups.index(setup)]))
            watches, movement = self.true.shown(setup, force)
            self.movement[setup] = TrueVehicle(self.true.worn, {setup: movement}, {setup: watches})
        return self.movement[setup]

    def diagnosed(self, paper: Paper) -> Diagnosed:
        """The visit as a judgement takes it; who asks for the same again at once has it at once."""
        if paper not in self.known:
            self.known.clear()
            self.known[paper] = self.bay.diagnosed(
                self.going_on, paper.checks, paper.seen, self.complaint, learner=paper.learner
            )
        return self.known[paper]


@dataclass(frozen=True)
class Person:
    """Who reads and looks, with the draws of each: readings come out the same whatever is looked at between them."""

    way: Way
    eyes: Eyes
    reader: np.random.Generator
    looker: np.random.Generator

    @staticmethod
    def drawn(observer: Observer, rng: np.random.Generator) -> Person:
        """Somebody whose thresholds, scatter, sharpness and slips are their own."""
        (looker,) = rng.spawn(1)
        way = reading_way(observer, rng)
        return Person(way, Eyes.drawn(looker, way.wrong_chance, novice=observer == "novice"), rng, looker)


def reading_way(observer: Observer, rng: np.random.Generator) -> Way:
    """How they read: thresholds, scatter and slips are their own, and the diagnosis does not know them."""
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
    slipped: Callable[[Paper], Paper] | None = None,
    *,
    said: bool = True,
) -> Taken:
    """One visit along a path; `minutes` bound the path that follows the complaint.

    `slipped` is what goes wrong on the paper of a route. Where it is `asked`, the same person then does what the tool
    names next until it says enough, in bounds, and nothing goes wrong any more. `said`: the paper says of a novice that
    it is one.
    """
    person, by = Person.drawn(observer, rng), by_of(observer)
    paper = Paper(learner=said and observer == "novice")
    if path == "complaint first":
        assert minutes is not None
        return _complaint_first(shaken, paper, person, by, minutes)
    setups = route_of(shaken.bay, observer) if path == "full route" else shaken.bay.shakes
    for setup in setups:
        paper = _with_check(shaken, paper, setup, person)
    done = Taken(slipped(paper) if slipped else paper, shaken.bay.minutes(setups))
    return _asked(shaken, done, person, by) if asked else done


def route_of(bay: Bay, observer: Observer) -> tuple[Setup, ...]:
    """The setups of the shortest full route for who reads."""
    return tuple(step.setup for step in bay.routes[by_of(observer)].steps)


def by_of(observer: Observer) -> By:
    """How the plan takes an observer's readings; it knows no novice."""
    return "gauge" if observer == "gauges" else "hand"


def _asked(shaken: Shaken, done: Taken, person: Person, by: By) -> Taken:
    """What the tool names next, step by step, until it says enough; at most so many minutes and steps more."""
    most = done.minutes + MOST_MINUTES_MORE
    for _ in range(MOST_STEPS_MORE):
        step = next_step(shaken.diagnosed(done.paper), by=by)
        if not isinstance(step, Step) or done.minutes + _minutes(done, step.check) > most:
            break
        done = _stepped(shaken, done, step.check, person)
    return done


def _complaint_first(shaken: Shaken, paper: Paper, person: Person, by: By, minutes: float) -> Taken:
    """One step at a time, planned anew after each, until the time is up or nothing more is asked."""
    done = Taken(paper, load_opening().minutes)
    while isinstance(step := next_step(shaken.diagnosed(done.paper), minutes - done.minutes, by=by), Step):
        if done.minutes + _minutes(done, step.check) > minutes:
            break
        done = _stepped(shaken, done, step.check, person)
    return done


def _stepped(shaken: Shaken, done: Taken, step: NextCheck, person: Person) -> Taken:
    """The visit with one step more: a check with all its watches, some watches again, or a look."""
    paper = done.paper
    if look_of(step.setup) is not None:
        paper = _with_look(shaken, paper, step.setup, person, step.watches)
    elif step.again:
        asked = [(step.setup, watch) for watch in step.watches]
        movement = shaken.in_setup(step.setup)
        more = taken_again(movement, asked, person.way, len(paper.checks), person.reader)
        paper = replace(paper, checks=(*paper.checks, *more))
    else:
        paper = _with_check(shaken, paper, step.setup, person)
    return Taken(paper, done.minutes + _minutes(done, step))


def _minutes(done: Taken, step: NextCheck) -> float:
    """Minutes of a step from where the vehicle really stands, which a look may have moved."""
    to, policy = step.setup.support, load_policy()
    planned, real = (change_minutes(here, to, policy) for here in (done.planned_from, done.here))
    return step.minutes - planned + real


def _with_check(shaken: Shaken, paper: Paper, setup: Setup, person: Person) -> Paper:
    """What is written down, with one check more, of movement or not."""
    if look_of(setup) is not None:
        return _with_look(shaken, paper, setup, person)
    (done,) = recorded(shaken.in_setup(setup), (setup,), person.way, None, person.reader)
    return replace(paper, checks=(*paper.checks, replace(done, number=len(paper.checks) + 1)))


def _with_look(shaken: Shaken, paper: Paper, setup: Setup, person: Person, only: Collection[str] = ()) -> Paper:
    """What is written down, with one look more; a look again is at those parts `only`."""
    vehicle, first = shaken.bay.vehicle, len(paper.seen) + 1
    seen = looked(shaken.true, vehicle, setup, person.eyes, first, shaken.seed, person.looker, paper.seen, only)
    checks = (*paper.checks, CheckDone(len(paper.checks) + 1, setup, None, "drawn", (), (), ""))
    return replace(paper, checks=checks, seen=(*paper.seen, *seen))
