"""The place that a watch reads, by the ids of its check and its own."""

from __future__ import annotations

from functools import cache

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import Side, watches_of
from looseends.catalogue.types import WatchPlace
from looseends.vehicle.setup import Setup


def place_read(setup: Setup, watch: str) -> WatchPlace:
    """The place of a watch in a setup of a check of the catalogue."""
    return _place(setup.check, setup.side, watch)


@cache
def _place(check: str, side: Side | None, watch: str) -> WatchPlace:
    (place,) = (place for place in watches_of(load_catalogue().checks[check], side) if place.id == watch)
    return place
