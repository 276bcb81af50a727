"""The checks of a vehicle's visit as cards: words, setups, places on the plan, and the order without advice."""

from __future__ import annotations

from functools import lru_cache

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Check, Condition, SupportState
from looseends.diagnosis.observed.looked import load_looks, setups_of_look, shows_any
from looseends.language import Minutes, Speech
from looseends.report.route_content import setup_held
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part, Vehicle
from looseends.web.bay.check_views import look_view, view_of
from looseends.web.bay.plan_picture import PlanPicture, plan_picture
from looseends.web.bay.records import Cards, CheckCard, SetupCard, SupportCard, View
from looseends.web.judged.of_vehicle import once_a_vehicle, usual_setups_of


def setup_key(setup: Setup) -> str:
    """A setup as an address names it: "wheel39.arm.left.held.off"."""
    return ".".join((setup.check, setup.support, setup.side or "whole", setup.steer, setup.brake))


@lru_cache(maxsize=64)
def cards_of(vehicle_id: str, speech: Speech, order: tuple[Setup, ...], shortest: bool) -> Cards:
    """The cards of a known vehicle, the setups of `order` first; `shortest`: it is the shortest route's."""
    vehicle, catalogue = load_vehicles()[vehicle_id], load_catalogue()
    setups = tuple(dict.fromkeys((*order, *setups_with_cards(vehicle))))
    picture = plan_picture(vehicle_id, speech)
    views: dict[str, View] = {}
    for setup in setups:
        if _view_key(setup) not in views:
            views[_view_key(setup)] = _view(vehicle, setup, picture, speech)
    seen_on = {part.id: _seen_on(part) for part in vehicle.parts.values()}
    return Cards(
        checks={name: _check(catalogue.checks[name], speech) for name in {setup.check: None for setup in setups}},
        supports={
            name: _support(catalogue.supports[name], speech) for name in {setup.support: None for setup in setups}
        },
        setups=[_setup(setup, vehicle, speech) for setup in setups],
        views=views,
        parts={part.id: speech.words(part.name) for part in vehicle.parts.values()},
        conditions={
            seen.id: speech.words(seen.words) for seen in {seen: None for on in seen_on.values() for seen in on}
        },
        seen_on={part: [seen.id for seen in on] for part, on in seen_on.items()},
        places={part: (round(x, 1), round(y, 1)) for part, (x, y) in picture.places.items()},
        order=[setup_key(setup) for setup in order],
        shortest=shortest,
    )


@once_a_vehicle
def setups_with_cards(vehicle: Vehicle) -> tuple[Setup, ...]:
    """The usual setups, then those of every look that has something to look at on this vehicle."""
    looks = [
        setup for look in load_looks() for setup in setups_of_look(look, vehicle) if shows_any(look, setup, vehicle)
    ]
    return (*usual_setups_of(vehicle), *looks)


def _view(vehicle: Vehicle, setup: Setup, picture: PlanPicture, speech: Speech) -> View:
    if load_catalogue().checks[setup.check].kind != "movement":
        return look_view(vehicle, setup, picture, speech)
    return view_of(vehicle, setup.check, setup.side, picture, speech)


def _seen_on(part: Part) -> list[Condition]:
    """The conditions that can be seen on a part: of its kind or group, then those of any part."""
    known = load_catalogue().conditions.values()
    own = [seen for seen in known if {part.kind.id, part.kind.group} & set(seen.applies_to)]
    return [*own, *(seen for seen in known if not seen.applies_to)]


def asks_gap(setup: Setup, vehicle: Vehicle) -> bool:
    """Whether a gap at the rebound stop is looked for as the vehicle is held so."""
    if load_catalogue().checks[setup.check].kind != "movement":
        return False
    support = vehicle.layout.supports[setup.support]
    stops = any(stop.id == "rebound-stop" for stop in vehicle.layout.stops)
    return support.stands and not support.frame_clamped and stops


def _view_key(setup: Setup) -> str:
    return f"{setup.check}.{setup.side or 'whole'}"


def _check(check: Check, speech: Speech) -> CheckCard:
    return CheckCard(
        name=speech.words(check.name),
        do=speech.words(check.do),
        sound_shows=speech.words(check.sound_shows),
        caution=speech.words(check.caution),
        false_calls=[speech.words(call) for call in check.false_calls],
        minutes=speech.words(Minutes(check.minutes)),
        look_for=[speech.words(said) for said in check.watch_words],
    )


def _support(support: SupportState, speech: Speech) -> SupportCard:
    return SupportCard(
        name=speech.words(support.name),
        how=speech.words(support.how),
        proof=speech.words(support.proof),
        caution=speech.words(support.caution),
    )


def _setup(setup: Setup, vehicle: Vehicle, speech: Speech) -> SetupCard:
    return SetupCard(
        key=setup_key(setup),
        view=_view_key(setup),
        held=speech.words(setup_held(setup)),
        asks_gap=asks_gap(setup, vehicle),
        setup={
            "check": setup.check,
            "support": setup.support,
            "side": setup.side,
            "steer": setup.steer,
            "brake": setup.brake,
            "stand_inboard_mm": setup.stand_inboard_mm,
        },
    )
