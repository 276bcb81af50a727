"""Places where the free travel of worn parts is watched, and the limits of the whole linkage, as looks at a vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal, get_args

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sides import Side, resolve_check
from looseends.catalogue.sources import citation
from looseends.catalogue.types import Check, Limit
from looseends.vehicle.limits import limit_mm, speaks_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.strokes import applies, offered
from looseends.vehicle.vehicle import SIDES, Vehicle

WatchedDirection = Literal["toe", "camber", "rim"]
_ANYWHERE = "any"


@dataclass(frozen=True)
class PlaceKind:
    """A watched place as the data tell it: a watch of a check, in the first of `supports` that a vehicle has."""

    id: str
    name: str
    direction: WatchedDirection
    check: str
    watch: str
    supports: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Look:
    """One watch of one check as it is set up on a vehicle."""

    setup: Setup
    watch: str


@dataclass(frozen=True)
class WatchedPlace:
    """A watched place of one vehicle: its name, what its movement is to the wheel, and how it is looked at."""

    id: str
    name: str
    direction: WatchedDirection
    look: Look


@dataclass(frozen=True)
class LimitLook:
    """A limit of the whole linkage that speaks of a vehicle: its value [mm], and one look that it is laid against."""

    limit: Limit
    value_mm: float
    look: Look

    def passes(self, total_mm: float, free_mm: float) -> bool:
        """Whether a movement [mm] and its free part keep the limit."""
        value = free_mm if self.limit.compares == "free travel" else total_mm
        if self.limit.rejects == "below":
            return value >= self.value_mm
        return value < self.value_mm or (self.limit.rejects == "above" and value == self.value_mm)


def read_places(text: str, file: str = "watched_places.toml") -> dict[str, PlaceKind]:
    """Watched places by id from the text of their file.

    Raises
    ------
    InputError
        If a field is not as `PlaceKind` describes it, or names a check, watch or support that is not there.

    Source
    ------
    Own format; see docs/consequences.md.
    """
    return by_id((_place_kind(entry) for entry in toml_entries(text, file, "place", "place")), file, "place")


def _place_kind(entry: Entry) -> PlaceKind:
    catalogue = load_catalogue()
    check = catalogue.checks[entry.known("check", catalogue.checks)]
    kind = PlaceKind(
        id=entry.identifier(),
        name=entry.text("name"),
        direction=entry.choice("direction", get_args(WatchedDirection)),
        check=check.id,
        watch=entry.known("watch", [watch.id for stroke in check.strokes for watch in stroke.watches]),
        supports=entry.choices("supports", check.supports),
        source=citation(entry, catalogue.sources),
    )
    entry.finish()
    return kind


@cache
def load_places() -> dict[str, PlaceKind]:
    """The watched places that ship with the package."""
    text = (resources.files("looseends.diagnosis.consequences") / "data" / "watched_places.toml").read_text(
        encoding="utf-8"
    )
    return read_places(text)


def watched_places(vehicle: Vehicle) -> tuple[WatchedPlace, ...]:
    """The places that can be watched on a vehicle, in the order of the data."""
    found = []
    for kind in load_places().values():
        for side, look in _looks(vehicle, kind.check, kind.watch, kind.supports):
            named = [text.replace("{side}", side or "") for text in (kind.id, kind.name)]
            found.append(WatchedPlace(named[0], named[1], kind.direction, look))
    return tuple(found)


def limit_looks(vehicle: Vehicle, jurisdiction: str) -> tuple[LimitLook, ...]:
    """Limits in mm of a jurisdiction, or of none, on what a check of the whole linkage reads on this vehicle.

    A limit that the vehicle's file leaves undecided (weight, wheel rims) is left out.
    """
    found = []
    for limit in load_catalogue().limits.values():
        if limit.watch is None or limit.jurisdiction not in (jurisdiction, _ANYWHERE) or not speaks_of(limit, vehicle):
            continue
        value = limit_mm(limit, vehicle)
        if value is not None:
            looks = _looks(vehicle, limit.check, limit.watch, limit.supports)
            found += [LimitLook(limit, value, look) for _, look in looks]
    return tuple(found)


def _looks(vehicle: Vehicle, check_id: str, watch: str, supports: Sequence[str]) -> list[tuple[Side | None, Look]]:
    """The watch in the first support that the vehicle has, on both sides of a sided check; none that does not apply."""
    check = load_catalogue().checks[check_id]
    support = next((name for name in supports if name in vehicle.layout.supports), None)
    if support is None:
        return []
    found: list[tuple[Side | None, Look]] = []
    for side in SIDES if check.sided else (None,):
        resolved = resolve_check(check, side)
        name = watch.replace("{side}", side or "")
        if _shows(vehicle, resolved, name):
            setup = Setup(check_id, support, side, check.steer_states[0], check.brake_states[0], 0.0)
            found.append((side, Look(setup, name)))
    return found


def _shows(vehicle: Vehicle, check: Check, watch: str) -> bool:
    strokes = [stroke for stroke in check.strokes if offered(vehicle, stroke)]
    return any(place.id == watch and applies(vehicle, place) for stroke in strokes for place in stroke.watches)
