"""What a route says, as plain text records; the screen, the printed sheet and the plain sheet print exactly this."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.catalogue.types import WatchPlace
from looseends.diagnosis.complaints import Suspicion
from looseends.diagnosis.route import Route
from looseends.diagnosis.unproven import Left, Together
from looseends.diagnosis.walk import Leg, Proof, Step
from looseends.report.wording import AXIS_WORDS, listed
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

MAKER_FIRST = (
    "The vehicle maker’s procedure, local codes and licensed practice come before anything printed here. Times are "
    "assumed until the own bay has been timed."
)


@dataclass(frozen=True)
class WatchText:
    """Where to watch in a step: its id, where that is, what is proven there, and whether to read the dead zone."""

    watch: str
    where: str
    proves: str
    dead_zone: bool


@dataclass(frozen=True)
class StepText:
    """One check as it is printed."""

    number: int
    name: str
    held: str
    time: str
    do: str
    caution: str
    watches: tuple[WatchText, ...]
    again: str


@dataclass(frozen=True)
class LegText:
    """One support as it is printed; `stop_gap`: there is a gap at a rebound stop to be written down."""

    support: str
    name: str
    time: str
    how: str
    proof: str
    caution: str
    stop_gap: bool
    steps: tuple[StepText, ...]


@dataclass(frozen=True)
class RouteContent:
    """A whole route as it is printed; `by_gauge`: readings are numbers, else grades."""

    vehicle_id: str
    title: str
    summary: tuple[str, ...]
    opening_name: str
    opening_time: str
    opening: tuple[tuple[str, str], ...]
    legs: tuple[LegText, ...]
    together: tuple[str, ...]
    unproven: tuple[str, ...]
    by_gauge: bool


def route_content(route: Route, vehicle: Vehicle, suspicion: Suspicion | None = None) -> RouteContent:
    """The words of a route of a vehicle; with the suspicion that it was chosen for, if there is one."""
    opening = route.opening
    kind = "the whole route" if route.within is None else f"a route of {route.within:g} min"
    return RouteContent(
        vehicle_id=vehicle.id,
        title=f"{vehicle.name[0].upper()}{vehicle.name[1:]}: {kind}, by {route.by}",
        summary=_summary(route, vehicle, suspicion),
        opening_name=f"{opening.name} ({opening.check})",
        opening_time=f"{opening.minutes:g} min",
        opening=(("Do", opening.do), ("Stop here if", opening.stop), ("Caution", opening.caution)),
        legs=tuple(_leg(leg, vehicle) for leg in route.legs),
        together=tuple(_together(found, vehicle) for found in route.together),
        unproven=_unproven(route.unproven, vehicle),
        by_gauge=route.by == "gauge",
    )


def setup_held(setup: Setup) -> str:
    """Side, steering and brake of a setup in words, as far as the check leaves a choice."""
    check = load_catalogue().checks[setup.check]
    said = [f"{setup.side} side"] if setup.side else []
    said += [f"steering {setup.steer}"] if len(check.steer_states) > 1 else []
    said += [f"brake {setup.brake}"] if len(check.brake_states) > 1 else []
    return ", ".join(said)


def whole_percent(chance: float) -> str:
    """Whole percent, never rounded up: 90 % stands for what proves."""
    return f"{math.floor(100.0 * chance + 1e-9)} %"


def _summary(route: Route, vehicle: Vehicle, suspicion: Suspicion | None) -> tuple[str, ...]:
    asked, proven = whole_percent(route.asked), sum(len(step.proves) for step in route.steps)
    checks = sum(step.minutes for step in route.steps)
    said = [
        f"{route.minutes:g} min in all: {route.opening.minutes:g} for the lift points, {checks:g} for "
        f"{_counted(len(route.steps), 'check')}, {sum(leg.minutes for leg in route.legs):g} to bring the vehicle from "
        "one support to the next.",
        f"A part is proven where a step shows its wear at the reject clearance by {route.by} with a chance of {asked} "
        f"or more. So proven, each by one step alone: {_counted(proven, 'part')}.",
        _bound_words(route, suspicion),
    ]
    if route.by == "gauge":
        said.append("The minutes are those of the checks: setting a dial anew at every watch takes longer.")
    said += _complaint_words(suspicion, route, vehicle) if suspicion else []
    return (*said, MAKER_FIRST)


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _bound_words(route: Route, suspicion: Suspicion | None) -> str:
    if route.within is None:
        return (
            f"Proven shortest: of all routes that prove these parts none takes less than {route.bound:g} min. (Checks, "
            "supports and minutes as the catalogue has them; each support is visited once.)"
        )
    of_what = "what is likely worn by its kind alone" if suspicion is None else "the suspicion"
    return (
        f"It proves {whole_percent(route.goal)} of {of_what}; within {route.within:g} min no route proves more than "
        f"{whole_percent(route.bound)}."
    )


def _complaint_words(suspicion: Suspicion, route: Route, vehicle: Vehicle) -> list[str]:
    said = ["The complaint is taken as: " + "; ".join(f"“{words}”" for words in suspicion.complaints) + "."]
    if suspicion.raised:
        names = listed([vehicle.parts[part].name for part in suspicion.raised])
        said.append(f"It makes these likelier, which is a hint where to look first and no finding: {names}.")
    if suspicion.elsewhere:
        causes = "; ".join(suspicion.elsewhere)
        said.append(f"It points also to what no clearance of this vehicle tells: {causes}. Look there too.")
    done = {step.setup.check for step in route.steps}
    missing = [check for check in suspicion.checks if check not in done]
    if missing:
        names = listed([_check_name(check) for check in missing])
        said.append(f"By common practice it is decided by what is not in this route: {names}.")
    return said


def _check_name(check: str) -> str:
    found = load_catalogue().checks.get(check)
    return check.replace("-", " ") if found is None else found.name


def _leg(leg: Leg, vehicle: Vehicle) -> LegText:
    support = load_catalogue().supports[leg.support]
    time = f"{leg.minutes:g} min to bring it there" if leg.minutes else "it comes in so"
    ends = vehicle.layout.supports[leg.support].ends
    hangs = "front" in ends and ends["front"].tires in ("none", "other-side") and bool(vehicle.layout.stops)
    steps = tuple(_step(step, vehicle) for step in leg.steps)
    return LegText(support.id, support.name, time, support.how, support.proof, support.caution, hangs, steps)


def _step(step: Step, vehicle: Vehicle) -> StepText:
    check = load_catalogue().checks[step.setup.check]
    places = {place.id: place for place in watches_of(check, step.setup.side)}
    by_watch: dict[str, list[Proof]] = {}
    for proof in step.proves:
        by_watch.setdefault(proof.watch, []).append(proof)
    return StepText(
        number=step.number,
        name=f"{check.name} ({check.id})",
        held=setup_held(step.setup),
        time=f"{step.minutes:g} min",
        do=check.do,
        caution=check.caution,
        watches=tuple(_watch(places[watch], proofs, vehicle) for watch, proofs in by_watch.items()),
        again=listed([vehicle.parts[part].name for part in step.again]),
    )


def _watch(place: WatchPlace, proofs: Sequence[Proof], vehicle: Vehicle) -> WatchText:
    proven = [
        f"{vehicle.parts[proof.part].name} {AXIS_WORDS[proof.axis]} ({whole_percent(proof.chance)})" for proof in proofs
    ]
    return WatchText(place.id, place.words, listed(proven), any(proof.dead_zone for proof in proofs))


def _together(found: Together, vehicle: Vehicle) -> str:
    steps = listed([str(number) for number in found.steps])
    name = vehicle.parts[found.part].name
    return f"{name} {AXIS_WORDS[found.axis]}: steps {steps} between them, {whole_percent(found.chance)}"


def _unproven(left: Sequence[Left], vehicle: Vehicle) -> tuple[str, ...]:
    """One line for each part, or for both sides of it where the reason is the same."""
    names: dict[tuple[str, str], list[str]] = {}
    for entry in left:
        part = vehicle.parts[entry.part]
        names.setdefault((f"{AXIS_WORDS[entry.axis]}: {entry.why}{_where(entry)}", part.kind.id), []).append(part.name)
    return tuple(f"{listed(found)} {words}" for (words, _), found in names.items())


def _where(entry: Left) -> str:
    if entry.best is None:
        return ""
    setup = entry.best.setup
    held = [f"support {setup.support}", *([setup_held(setup)] if setup_held(setup) else [])]
    return f" ({setup.check}, {', '.join(held)})"
