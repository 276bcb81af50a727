"""Joint centers that belong together, read from data: what moves as one when a vehicle is not the one measured."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.vehicle.layout_types import ENDS, End

RIDES = ("hub", "frame", "arm", "strut")
"""What a group goes with when the vehicle stands higher; the last two lie between hub and frame."""


@dataclass(frozen=True)
class PointGroup:
    """Points that keep their shape among themselves, by name without a side.

    `turned` are elements whose axis is a direction of the layout and leans with the group; `hub_points` and
    `frame_points` ride otherwise than the group. `common_mm`, `own_mm` and `lean_deg` (None: cannot lean) are the
    spread, 1 sigma, where nobody measured more; `measure` says what would help.
    """

    id: str
    words: str
    end: End
    rides: str
    points: tuple[str, ...]
    turned: tuple[str, ...]
    hub_points: tuple[str, ...]
    frame_points: tuple[str, ...]
    common_mm: float
    own_mm: float
    lean_deg: float | None
    measure: str


@cache
def load_groups() -> Mapping[str, PointGroup]:
    """All groups that ship with the package, by id.

    Raises
    ------
    InputError
        If the data file is not as it should be.
    """
    file = resources.files("looseends.vehicle") / "data" / "tape" / "groups.toml"
    entries = toml_entries(file.read_text(encoding="utf-8"), file.name, "group", "group")
    return by_id([_group(entry) for entry in entries], file.name, "group")


def groups_of(points: Iterable[str]) -> dict[str, PointGroup]:
    """The groups of which a vehicle with these points, named with their sides, has some, by id."""
    return groups_with({stem_of(name) for name in points})


def groups_with(points: Collection[str]) -> dict[str, PointGroup]:
    """The groups whose first point is among these, named without a side; a point goes to the first of its groups."""
    found: dict[str, PointGroup] = {}
    taken = set[str]()
    for group in load_groups().values():
        if group.points[0] in points and group.points[0] not in taken:
            found[group.id] = group
            taken |= {*group.points}
    return found


def stem_of(name: str) -> str:
    """A point's name without its side."""
    return name.removesuffix("-left").removesuffix("-right")


def _group(entry: Entry) -> PointGroup:
    group = PointGroup(
        id=entry.identifier(),
        words=entry.text("words"),
        end=entry.choice("end", ENDS),
        rides=entry.choice("rides", RIDES),
        points=entry.texts("points", empty_allowed=False),
        turned=entry.texts("turned") if entry.has("turned") else (),
        hub_points=entry.texts("hub_points") if entry.has("hub_points") else (),
        frame_points=entry.texts("frame_points") if entry.has("frame_points") else (),
        common_mm=entry.positive("common_mm"),
        own_mm=entry.positive("own_mm"),
        lean_deg=entry.positive("lean_deg") if entry.has("lean_deg") else None,
        measure=entry.text("measure"),
    )
    entry.known("source", load_catalogue().sources)
    entry.finish()
    return group
