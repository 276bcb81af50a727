"""What a route says, as plain text records; the screen, the printed sheet and the plain sheet print exactly this."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.catalogue.types import WatchPlace
from looseends.diagnosis.observed.complaints import Suspicion
from looseends.diagnosis.observed.words import BRAKE, SIDE_OF_VEHICLE, STEERING
from looseends.diagnosis.planning.route import Route
from looseends.diagnosis.planning.unproven import Left, Together
from looseends.diagnosis.planning.walk import Leg, Proof, Step
from looseends.language import (
    ENGLISH,
    InSentence,
    Minutes,
    Percent,
    Speech,
    Text,
    Value,
    joined,
    say,
)
from looseends.report.route_summary import route_summary, route_title
from looseends.report.wording import AXIS_WORDS, listed
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

DO, STOP, CAUTION, HOLD, PROOF = say("Do"), say("Stop here if"), say("Caution"), say("Hold"), say("Proof")
TOGETHER = say("Seen by several steps between them, if at all: the judgement decides")
LEFT = say("Stays unproven, and why")


@dataclass(frozen=True)
class WatchText:
    """Where to watch in a step: its id, where that is, what it proves and whether to read the dead zone.

    `proves` is a whole sentence. Of a look without movement the id is the condition looked for, `where` its words.
    """

    watch: str
    where: str
    proves: str
    dead_zone: bool
    by_look: bool = False


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
    """A whole route as it is printed, in the language and units of `speech`; `by_gauge`: readings are numbers."""

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
    speech: Speech


def route_content(
    route: Route, vehicle: Vehicle, suspicion: Suspicion | None = None, speech: Speech = ENGLISH
) -> RouteContent:
    """The words of a route of a vehicle; with the suspicion that it was chosen for, if there is one."""
    opening, said = route.opening, speech.words
    return RouteContent(
        vehicle_id=vehicle.id,
        title=said(route_title(route, vehicle)),
        summary=tuple(said(words) for words in route_summary(route, vehicle, suspicion)),
        opening_name=f"{said(opening.name)} ({opening.check})",
        opening_time=said(Minutes(opening.minutes)),
        opening=tuple(
            (said(label), said(words))
            for label, words in ((DO, opening.do), (STOP, opening.stop), (CAUTION, opening.caution))
        ),
        legs=tuple(_leg(leg, vehicle, speech) for leg in route.legs),
        together=tuple(said(_together(found, vehicle)) for found in route.together),
        unproven=tuple(said(words) for words in _unproven(route.unproven, vehicle)),
        by_gauge=route.by == "gauge",
        speech=speech,
    )


def setup_held(setup: Setup) -> Text:
    """Side, steering and brake of a setup in words, as far as the check leaves a choice."""
    check = load_catalogue().checks[setup.check]
    said: list[Value] = [SIDE_OF_VEHICLE[setup.side]] if setup.side else []
    said += [STEERING[setup.steer]] if len(check.steer_states) > 1 else []
    said += [BRAKE[setup.brake]] if len(check.brake_states) > 1 else []
    return joined(said, ", ")


def _leg(leg: Leg, vehicle: Vehicle, speech: Speech) -> LegText:
    support, said = load_catalogue().supports[leg.support], speech.words
    time = say("{minutes} to bring it there", minutes=Minutes(leg.minutes)) if leg.minutes else say("it comes in so")
    ends = vehicle.layout.supports[leg.support].ends
    hangs = "front" in ends and ends["front"].tires in ("none", "other-side") and bool(vehicle.layout.stops)
    return LegText(
        support=support.id,
        name=said(support.name),
        time=said(time),
        how=said(support.how),
        proof=said(support.proof),
        caution=said(support.caution),
        stop_gap=hangs,
        steps=tuple(_step(step, vehicle, speech) for step in leg.steps),
    )


def _step(step: Step, vehicle: Vehicle, speech: Speech) -> StepText:
    check, said = load_catalogue().checks[step.setup.check], speech.words
    places = {place.id: place for place in watches_of(check, step.setup.side)}
    by_watch: dict[str, list[Proof]] = {}
    for proof in (*step.proves, *step.shows):
        by_watch.setdefault(proof.watch, []).append(proof)
    return StepText(
        number=step.number,
        name=f"{said(check.name)} ({check.id})",
        held=said(setup_held(step.setup)),
        time=said(Minutes(step.minutes)),
        do=said(check.do),
        caution=said(check.caution),
        watches=tuple(
            _watch(places[watch], proofs, vehicle, speech)
            if check.kind == "movement"
            else _looked_for(watch, proofs, vehicle, speech)
            for watch, proofs in by_watch.items()
        ),
        again=said(listed([vehicle.parts[part].name for part in step.again])),
    )


def _watch(place: WatchPlace, proofs: Sequence[Proof], vehicle: Vehicle, speech: Speech) -> WatchText:
    proven, shown = ([proof for proof in proofs if proof.enough is enough] for enough in (True, False))
    said: list[Value] = []
    if proven:
        said.append(say("Proves {parts}.", parts=_seen(proven, vehicle)))
    if shown:
        said.append(say("Shows best, and does not prove: {parts}.", parts=_seen(shown, vehicle)))
    dead_zone = any(proof.dead_zone for proof in proofs)
    return WatchText(place.id, speech.words(place.words), speech.words(joined(said)), dead_zone)


def _looked_for(condition: str, proofs: Sequence[Proof], vehicle: Vehicle, speech: Speech) -> WatchText:
    """A condition that a look looks for."""
    parts = [
        say("{part} ({chance})", part=vehicle.parts[proof.part].name, chance=Percent(proof.chance, down=True))
        for proof in proofs
    ]
    words, proves = load_catalogue().conditions[condition].words, say("Proves {parts}.", parts=joined(parts, ", "))
    return WatchText(condition, speech.words(words), speech.words(proves), dead_zone=False, by_look=True)


def _seen(proofs: Sequence[Proof], vehicle: Vehicle) -> Text:
    return joined(
        [
            say(
                "{part} {axis} ({chance})",
                part=vehicle.parts[proof.part].name,
                axis=AXIS_WORDS[proof.axis],
                chance=Percent(proof.chance, down=True),
            )
            for proof in proofs
        ],
        ", ",
    )


def _together(found: Together, vehicle: Vehicle) -> Text:
    return say(
        "{part} {axis}: steps {steps} between them, {chance}",
        part=vehicle.parts[found.part].name,
        axis=AXIS_WORDS[found.axis],
        steps=found.steps,
        chance=Percent(found.chance, down=True),
    )


def _unproven(left: Sequence[Left], vehicle: Vehicle) -> list[Text]:
    """One line for each part, or for both sides of it where the reason is the same."""
    names: dict[tuple[str, str], list[Text]] = {}
    reasons: dict[tuple[str, str], Text] = {}
    for entry in left:
        part, why = vehicle.parts[entry.part], _reason(entry)
        reasons[why, part.kind.id] = why
        names.setdefault((why, part.kind.id), []).append(part.name)
    return [joined([listed(names[key]), why]) for key, why in reasons.items()]


def _reason(entry: Left) -> Text:
    """The axis and why it stays unproven, with the setup that would show it best."""
    if entry.best is None:
        return say("{axis}: {why}", axis=AXIS_WORDS[entry.axis], why=entry.why)
    setup, catalogue = entry.best.setup, load_catalogue()
    named = (catalogue.checks[setup.check].name, catalogue.supports[setup.support].name)
    held: list[Value] = [InSentence(name) for name in named]
    held += [setup_held(setup)] if setup_held(setup) else []
    return say("{axis}: {why} ({setup})", axis=AXIS_WORDS[entry.axis], why=entry.why, setup=joined(held, ", "))
