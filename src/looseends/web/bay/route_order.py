"""The order in which a vehicle's checks are done without advice: the shortest route, as soon as tables are there."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from looseends.diagnosis.observed.looked import load_looks, setups_of_look, shows_any
from looseends.diagnosis.planning.route import change_minutes, full_route
from looseends.diagnosis.planning.walk import setup_order
from looseends.diagnosis.planning.ways import setups_for, vehicle_ways
from looseends.diagnosis.shop import Shop
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged.of_vehicle import usual_setups_of
from looseends.web.judged.preparing import Preparing


@dataclass(frozen=True)
class Order:
    """Setups one after the other; `shortest`: it is the shortest route that proves all that can be proven by hand."""

    setups: tuple[Setup, ...]
    shortest: bool


class RouteOrder:
    """The orders of vehicles, each route computed once, in the caller's thread, which must be a worker's."""

    def __init__(self, preparing: Preparing, shop: Shop) -> None:
        self._preparing, self.shop = preparing, shop
        self._turn = threading.Lock()
        self._routes: dict[tuple[str, str], Order] = {}

    def of(self, vehicle: Vehicle) -> Order:
        """The shortest route's order; where tables are still to be computed, the catalogue's, support by support.

        Raises
        ------
        LooseEndsError
            If the solver cannot prove that the route is the shortest.
        """
        if not self._preparing.ready(vehicle):
            return Order(with_looks(vehicle, by_catalogue(vehicle)), shortest=False)
        key = (vehicle.id, vehicle.content)
        with self._turn:
            if key not in self._routes:
                ways = vehicle_ways(
                    vehicle, setups_for(vehicle), store=self._preparing.tables, beliefs=self.shop.beliefs
                )
                route = full_route(vehicle, ways, "hand", self.shop.beliefs, self.shop.policy)
                steps = tuple(step.setup for step in route.steps)
                self._routes[key] = Order(with_looks(vehicle, steps), shortest=True)
            return self._routes[key]


def by_catalogue(vehicle: Vehicle) -> tuple[Setup, ...]:
    """Every usual setup that is plainly done, those that need no raising first."""
    changes = change_minutes()
    plain: dict[tuple[str, str, str | None], Setup] = {}
    for setup in sorted(usual_setups_of(vehicle), key=setup_order):
        plain.setdefault((setup.check, setup.support, setup.side), setup)
    return tuple(sorted(plain.values(), key=lambda setup: (changes[setup.support] > 0.0, *setup_order(setup))))


def with_looks(vehicle: Vehicle, order: tuple[Setup, ...]) -> tuple[Setup, ...]:
    """The order with every look, where the vehicle first stands as it asks for: boots first, others last.

    A look that asks for a support which this order never comes to is left out.
    """
    looks: dict[str, list[list[Setup]]] = {}
    for look in load_looks():
        ways = [setup for setup in setups_of_look(look, vehicle) if shows_any(look, setup, vehicle)]
        stands = next((step.support for step in order if step.support in {way.support for way in ways}), None)
        if stands is not None:
            first, last = looks.setdefault(stands, [[], []])
            (last if look.proves else first).extend(way for way in ways if way.support == stands)
    found: list[Setup] = []
    for at, step in enumerate(order):
        first, last = looks.get(step.support, [[], []])
        begins = step.support not in {before.support for before in order[:at]}
        ends = step.support not in {after.support for after in order[at + 1 :]}
        found += [*(first if begins else ()), step, *(last if ends else ())]
    return tuple(found)
