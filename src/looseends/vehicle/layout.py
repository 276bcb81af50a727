"""Layouts: arrangements of bodies, joints, springs, stops and supports, read from data files."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from looseends.errors import InputError

_STIFFNESSES = ("stiffness_N_per_mm", "rotational_N_mm_per_rad")

Place = str | tuple[str, ...]
Direction = tuple[str, str] | tuple[float, float, float]


@dataclass(frozen=True)
class LayoutBody:
    """A body: its place (a point or the middle of several) and mass [kg] (None: the rest of the axle's weight)."""

    id: str
    sided: bool
    at: Place
    mass: float | None


@dataclass(frozen=True)
class LayoutJoint:
    """A joint that a part owns; `offset` [mm] moves it from `at` along its axis; `slot` makes it one-directional."""

    id: str
    part: str
    sided: bool
    a: str
    b: str
    at: Place
    axis: Direction
    offset: float
    slot: tuple[float, float, float] | None
    role: str | None


@dataclass(frozen=True)
class LayoutGuide:
    """A joint that nobody buys: stiffness [N/mm] and rotation [N·mm/rad] given here or named as a vehicle number."""

    id: str
    sided: bool
    a: str
    b: str
    at: Place
    axis: Direction
    offset: float
    stiffness: tuple[float | str, float | str, float | str]
    rotational: tuple[float | str, float | str, float | str]


@dataclass(frozen=True)
class LayoutTorsion:
    """A torsion spring about `axis` that pushes the point `pushes_down` of body b down."""

    id: str
    sided: bool
    a: str
    b: str
    axis: Direction
    pushes_down: str


@dataclass(frozen=True)
class LayoutStop:
    """A one-sided stop; b leaves a along `normal`; `gap` names a vehicle number [mm]; stiffness [N/mm]."""

    id: str
    sided: bool
    a: str
    b: str
    at: Place
    normal: tuple[float, float, float]
    gap: str
    stiffness: float


@dataclass(frozen=True)
class LayoutBrake:
    """What the applied brake clamps, and how stiffly [N/mm, N·mm/rad]."""

    a: str
    b: str
    at: str
    stiffness: tuple[float, float, float]
    rotational: tuple[float, float, float]


@dataclass(frozen=True)
class LayoutStand:
    """Where a stand goes: under a body, from a point toward an axis, `drop` [mm] below; stiffness [N/mm]."""

    under: str
    start: str
    toward: tuple[str, str]
    drop: float
    stiffness: float


@dataclass(frozen=True)
class LayoutSupport:
    """What holds the vehicle in one support state."""

    frame_clamped: bool
    stands: bool
    tires: bool


@dataclass(frozen=True)
class LayoutLine:
    """A line of the underside plan through named points, drawn `width` [mm] wide."""

    name: str
    sided: bool
    through: tuple[str, ...]
    width: float


@dataclass(frozen=True)
class LayoutPart:
    """A part that owns no joint and is judged by its condition; `at` is where the plan draws it."""

    kind: str
    sided: bool
    at: Place


@dataclass(frozen=True)
class Layout:
    """An arrangement of steering and suspension."""

    id: str
    name: str
    source: str
    roles: Mapping[str, str]
    bodies: tuple[LayoutBody, ...]
    joints: tuple[LayoutJoint, ...]
    guides: tuple[LayoutGuide, ...]
    torsions: tuple[LayoutTorsion, ...]
    stops: tuple[LayoutStop, ...]
    brake: LayoutBrake
    stand: LayoutStand
    supports: Mapping[str, LayoutSupport]
    parts: tuple[LayoutPart, ...]
    lines: tuple[LayoutLine, ...]


@cache
def load_layouts() -> Mapping[str, Layout]:
    """All layouts that ship with the package, by id."""
    folder = resources.files("looseends.vehicle") / "data" / "layouts"
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    layouts = [parse_layout(f.read_text(encoding="utf-8"), f.name) for f in files]
    return {layout.id: layout for layout in layouts}


def parse_layout(text: str, file: str) -> Layout:
    """A layout from TOML text; `file` names it in errors.

    Raises
    ------
    InputError
        If the text is not TOML or an entry lacks a key.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{file}: not a TOML file: {error}") from error
    entry = _Entries(data, file)
    return Layout(
        id=entry.top("id"),
        name=entry.top("name"),
        source=entry.top("source"),
        roles=dict(entry.top("roles")),
        bodies=tuple(
            LayoutBody(e["id"], e["sided"], _place(e["at"]), None if e["mass_kg"] == "rest" else float(e["mass_kg"]))
            for e in entry.each("body", "id", "at", "mass_kg")
        ),
        joints=tuple(_joint(e) for e in entry.each("joint", "id", "part", "a", "b", "at", "axis")),
        guides=tuple(
            _guide(e)
            for e in entry.each("guide", "id", "a", "b", "at", "axis", "stiffness_N_per_mm", "rotational_N_mm_per_rad")
        ),
        torsions=tuple(
            LayoutTorsion(e["id"], e["sided"], e["a"], e["b"], _direction(e["axis"]), e["pushes_down"])
            for e in entry.each("torsion", "id", "a", "b", "axis", "pushes_down")
        ),
        stops=tuple(_stop(e) for e in entry.each("stop", "id", "a", "b", "at", "normal", "gap", "stiffness_N_per_mm")),
        brake=_brake(entry.table("brake", "a", "b", "at", *_STIFFNESSES)),
        stand=_stand(entry.table("stand", "under", "from", "toward", "drop_mm", "stiffness_N_per_mm")),
        supports={
            name: LayoutSupport(s["frame"] == "clamped", bool(s["stands"]), bool(s["tires"]))
            for name, s in entry.top("supports").items()
        },
        parts=tuple(LayoutPart(e["kind"], e["sided"], _place(e["at"])) for e in entry.each("part", "kind", "at")),
        lines=tuple(
            LayoutLine(e["name"], e["sided"], tuple(e["through"]), float(e["width_mm"]))
            for e in entry.each("line", "name", "through", "width_mm")
        ),
    )


@dataclass(frozen=True)
class _Entries:
    data: Mapping[str, Any]
    file: str

    def top(self, key: str) -> Any:
        if key not in self.data:
            raise InputError(f'{self.file}: key "{key}" is missing')
        return self.data[key]

    def table(self, key: str, *needed: str) -> Mapping[str, Any]:
        return self._complete(key, self.top(key), needed)

    def each(self, key: str, *needed: str) -> list[Mapping[str, Any]]:
        return [self._complete(f"[[{key}]] number {i}", e, needed) for i, e in enumerate(self.data.get(key, ()), 1)]

    def _complete(self, where: str, entry: Mapping[str, Any], needed: tuple[str, ...]) -> Mapping[str, Any]:
        for name in needed:
            if name not in entry:
                raise InputError(f'{self.file}, {where}: key "{name}" is missing')
        return {"sided": False, "offset_mm": 0.0, **entry}


def _place(value: Any) -> Place:
    return value if isinstance(value, str) else tuple(value)


def _vector(value: Any) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in value)
    return (x, y, z)


def _direction(value: Any) -> Direction:
    if isinstance(value[0], str):
        return (value[0], value[1])
    return _vector(value)


def _joint(e: Mapping[str, Any]) -> LayoutJoint:
    slot = _vector(e["slot"]) if "slot" in e else None
    axis, at = _direction(e["axis"]), _place(e["at"])
    offset = float(e["offset_mm"])
    return LayoutJoint(e["id"], e["part"], e["sided"], e["a"], e["b"], at, axis, offset, slot, e.get("role"))


def _stop(e: Mapping[str, Any]) -> LayoutStop:
    at, normal, stiffness = _place(e["at"]), _vector(e["normal"]), float(e["stiffness_N_per_mm"])
    return LayoutStop(e["id"], e["sided"], e["a"], e["b"], at, normal, e["gap"], stiffness)


def _guide(e: Mapping[str, Any]) -> LayoutGuide:
    stiffness, rotational = tuple(e["stiffness_N_per_mm"]), tuple(e["rotational_N_mm_per_rad"])
    axis, at = _direction(e["axis"]), _place(e["at"])
    return LayoutGuide(e["id"], e["sided"], e["a"], e["b"], at, axis, float(e["offset_mm"]), stiffness, rotational)


def _brake(e: Mapping[str, Any]) -> LayoutBrake:
    return LayoutBrake(e["a"], e["b"], e["at"], _vector(e["stiffness_N_per_mm"]), _vector(e["rotational_N_mm_per_rad"]))


def _stand(e: Mapping[str, Any]) -> LayoutStand:
    toward = (e["toward"][0], e["toward"][1])
    return LayoutStand(e["under"], e["from"], toward, float(e["drop_mm"]), float(e["stiffness_N_per_mm"]))
