"""Layouts: arrangements of bodies, joints, springs, stops and supports, read from data files."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal, TypeVar, get_args

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.vehicle.include import extended, include_shared
from looseends.vehicle.layout_types import (
    ENDS,
    FRAME_HOLDS,
    Direction,
    EndSupport,
    Layout,
    LayoutAirSpring,
    LayoutBody,
    LayoutBrake,
    LayoutGuide,
    LayoutJoint,
    LayoutLine,
    LayoutNeeds,
    LayoutOption,
    LayoutPart,
    LayoutRatio,
    LayoutRim,
    LayoutRing,
    LayoutSpring,
    LayoutStand,
    LayoutStop,
    LayoutSupport,
    LayoutTerm,
    LayoutTorsion,
    LayoutWheel,
    Place,
    Stands,
    Tires,
)

__all__ = ["Direction", "Layout", "LayoutLine", "Place", "load_layouts", "parse_layout"]

Word = TypeVar("Word", bound=str)
_STIFFNESSES = ("stiffness_N_per_mm", "rotational_N_mm_per_rad")
_PUSH_UP = (0.0, 0.0, 1.0)
_TABLES = (
    "id", "name", "end", "source", "needs", "offers", "roles", "body", "joint", "guide", "torsion", "spring", "ratio",
    "stop", "brake", "stand", "wheel", "rim", "ring", "supports", "part", "line", "options", "include", "air_spring",
)  # fmt: skip


def load_layouts() -> Mapping[str, Layout]:
    """All layouts that ship with the package, by id."""
    return {layout_id: load_layout(layout_id) for layout_id in layout_ids()}


@cache
def layout_ids() -> tuple[str, ...]:
    """Ids of the layouts that ship with the package, in order: the names of their files."""
    folder = resources.files("looseends.vehicle") / "data" / "layouts"
    return tuple(sorted(f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml")))


@cache
def load_layout(layout_id: str) -> Layout:
    """The layout of an id that `layout_ids` lists."""
    file = resources.files("looseends.vehicle") / "data" / "layouts" / f"{layout_id}.toml"
    return parse_layout(file.read_text(encoding="utf-8"), file.name)


def parse_layout(text: str, file: str) -> Layout:
    """A layout from TOML text; `file` names it in errors.

    Raises
    ------
    InputError
        If the text is not TOML, a table is unknown, or an entry lacks a key or has a word that is not accepted.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{file}: not a TOML file: {error}") from error
    data = extended(data, file)
    include_shared(data, file)
    for key in data:
        if key not in _TABLES:
            raise InputError(unknown_name_sentence("table", key, _TABLES, where=file))
    entry = _Entries(data, file)
    end = entry.word(data, "end", ENDS)
    at = ("id", "a", "b", "at")
    return Layout(
        id=entry.top("id"),
        name=entry.top("name"),
        end=end,
        sources=(entry.top("source"),),
        needs=_needs(data.get("needs", {})),
        offers=tuple(data.get("offers", {}).get("points", ())),
        roles=dict(data.get("roles", {})),
        bodies=tuple(
            LayoutBody(e["id"], e["sided"], _place(e["at"]), float(e["mass_kg"]))
            for e in entry.each("body", "id", "at", "mass_kg")
        ),
        joints=tuple(_joint(e) for e in entry.each("joint", *at, "part", "axis")),
        guides=tuple(_guide(e) for e in entry.each("guide", *at, "axis", *_STIFFNESSES)),
        torsions=tuple(
            LayoutTorsion(e["id"], e["sided"], e["a"], e["b"], _direction(e["axis"]), e["pushes_down"], e["carries"])
            for e in entry.each("torsion", "id", "a", "b", "axis", "pushes_down", "carries")
        ),
        springs=tuple(_spring(e, file) for e in entry.each("spring", *at, "axis")),
        ratios=tuple(_ratio(e, entry) for e in entry.each("ratio", "id", "at", "term")),
        stops=tuple(_stop(e) for e in entry.each("stop", *at, "normal", "gap", "stiffness_N_per_mm")),
        brakes=tuple(_brake(e) for e in entry.each("brake", *at, *_STIFFNESSES)),
        stands=tuple(
            _stand(e, end) for e in entry.each("stand", "id", "under", "from", "drop_mm", "stiffness_N_per_mm")
        ),
        wheels=tuple(
            LayoutWheel(end, e["body"], e["center"], e["prefix"])
            for e in entry.each("wheel", "body", "center", "prefix")
        ),
        rim=_rim(entry),
        rings=tuple(
            LayoutRing(e["name"], (e["axis"][0], e["axis"][1]), e["diameter_mm"])
            for e in entry.each("ring", "name", "axis", "diameter_mm")
        ),
        supports={name: _support(entry, name, s, end) for name, s in data.get("supports", {}).items()},
        parts=tuple(LayoutPart(e["kind"], e["sided"], _place(e["at"])) for e in entry.each("part", "kind", "at")),
        lines=tuple(
            LayoutLine(e["name"], e["sided"], tuple(e["through"]), float(e["width_mm"]))
            for e in entry.each("line", "name", "through", "width_mm")
        ),
        options={name: _option(entry, name, option) for name, option in data.get("options", {}).items()},
        air_springs=tuple(
            LayoutAirSpring(
                e["id"],
                e["sided"],
                e["a"],
                e["b"],
                _place(e["at"]),
                _direction(e["push"]),
                e["carries"],
                float(e["share"]),
                e["area_mm2"],
                e["height_mm"],
            )
            for e in entry.each("air_spring", *at, "push", "carries", "share", "area_mm2", "height_mm")
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

    def each(self, key: str, *needed: str) -> list[Mapping[str, Any]]:
        return [self.complete(f"[[{key}]] number {i}", e, needed) for i, e in enumerate(self.data.get(key, ()), 1)]

    def complete(self, where: str, entry: Mapping[str, Any], needed: tuple[str, ...]) -> Mapping[str, Any]:
        for name in needed:
            if name not in entry:
                raise InputError(f'{self.file}, {where}: key "{name}" is missing')
        return {"sided": False, "offset_mm": 0.0, **entry}

    def word(self, table: Mapping[str, Any], key: str, accepted: tuple[Word, ...], where: str = "") -> Word:
        for word in accepted:
            if table.get(key) == word:
                return word
        place = f"{self.file}, {where}" if where else self.file
        raise InputError(f"{place}: {key} must be one of {', '.join(accepted)}, found {table.get(key)!r}")


def _place(value: Any) -> Place:
    return value if isinstance(value, str) else tuple(value)


def _vector(value: Any) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in value)
    return (x, y, z)


def _direction(value: Any) -> Direction:
    return (value[0], value[1]) if isinstance(value[0], str) else _vector(value)


def _needs(table: Mapping[str, Any]) -> LayoutNeeds:
    return LayoutNeeds(tuple(table.get("bodies", ())), tuple(table.get("points", ())), tuple(table.get("numbers", ())))


def _joint(e: Mapping[str, Any]) -> LayoutJoint:
    axis, at, apart = _direction(e["axis"]), _place(e["at"]), e.get("apart_mm", 0.0)
    ends, offset, seat = (e["id"], e["part"], e["sided"], e["a"], e["b"]), float(e["offset_mm"]), e.get("seat_N", 0.0)
    stud = _direction(e["stud"]) if "stud" in e else None
    return LayoutJoint(*ends, at, axis, offset, apart, seat, stud=stud)


def _stop(e: Mapping[str, Any]) -> LayoutStop:
    at, normal = _place(e["at"]), _direction(e["normal"])
    return LayoutStop(e["id"], e["sided"], e["a"], e["b"], at, normal, e["gap"], e["stiffness_N_per_mm"])


def _guide(e: Mapping[str, Any]) -> LayoutGuide:
    stiffness, rotational = tuple(e["stiffness_N_per_mm"]), tuple(e["rotational_N_mm_per_rad"])
    axis, at = _direction(e["axis"]), _place(e["at"])
    return LayoutGuide(e["id"], e["sided"], e["a"], e["b"], at, axis, float(e["offset_mm"]), stiffness, rotational)


def _spring(e: Mapping[str, Any], file: str) -> LayoutSpring:
    beam, rates = (None if key not in e else tuple(e[key]) for key in ("beam", "rates"))
    if (beam is None) == (rates is None) or len(beam or ()) not in (0, 4) or len(rates or ()) not in (0, 6):
        raise InputError(f'{file}, spring "{e["id"]}": needs either beam with four numbers or rates with six')
    ends, at = (e["id"], e["sided"], e["a"], e["b"]), _place(e["at"])
    carries, push = e.get("carries"), _direction(e.get("push", _PUSH_UP))
    share, bows = float(e.get("share", 0.0)), bool(e.get("bows", False))
    return LayoutSpring(*ends, at, _direction(e["axis"]), rates, beam, carries, push, share, bows)


def _ratio(e: Mapping[str, Any], entry: _Entries) -> LayoutRatio:
    where = f'ratio "{e["id"]}"'
    terms = tuple(_term(entry.complete(where, term, ("kind", "a", "b", "axis")), entry, where) for term in e["term"])
    if ("part" in e) == ("stiffness_N_per_mm" in e):
        raise InputError(f"{entry.file}, {where}: needs either part or stiffness_N_per_mm")
    table = tuple((float(angle), float(lash)) for angle, lash in e.get("lash_off_center_deg_mm", ()))
    stiffness = e.get("stiffness_N_per_mm", 0.0)
    at, seat = _place(e["at"]), e.get("seat_N", 0.0)
    return LayoutRatio(e["id"], e.get("part"), e["sided"], at, terms, stiffness, table, seat)


def _term(e: Mapping[str, Any], entry: _Entries, where: str) -> LayoutTerm:
    kind: Literal["turn", "shift"] = entry.word(e, "kind", ("turn", "shift"), where)
    if kind == "shift" and "at" not in e:
        raise InputError(f'{entry.file}, {where}: a term of kind "shift" needs the key "at"')
    at = _place(e["at"]) if "at" in e else None
    lever, over, factor = e.get("lever", 1.0), e.get("over", 1.0), float(e.get("factor", 1.0))
    return LayoutTerm(kind, e["a"], e["b"], at, _direction(e["axis"]), lever, over, factor)


def _option(entry: _Entries, name: str, table: Mapping[str, Any]) -> LayoutOption:
    e = entry.complete(f"options.{name}", table, ("bodies",))
    bodies, lines, joints = (tuple(e.get(key, ())) for key in ("bodies", "lines", "joints"))
    return LayoutOption(bodies, lines, joints, e.get("one_of", ""))


def _brake(e: Mapping[str, Any]) -> LayoutBrake:
    stiffness, rotational = (_vector(e[key]) for key in _STIFFNESSES)
    return LayoutBrake(e["id"], e["a"], e["b"], e["at"], stiffness, rotational)


def _stand(e: Mapping[str, Any], end: str) -> LayoutStand:
    toward = (e["toward"][0], e["toward"][1]) if "toward" in e else None
    drop, stiffness = float(e["drop_mm"]), float(e["stiffness_N_per_mm"])
    return LayoutStand(e["id"], end, e["under"], e["from"], toward, drop, stiffness, e.get("on", "ground"))


def _rim(entry: _Entries) -> LayoutRim | None:
    if "rim" not in entry.data:
        return None
    needed = ("body", "a", "axis", "held_N_mm_per_rad", "free_N_mm_per_rad", "turned_by")
    e = entry.complete("rim", entry.data["rim"], needed)
    axis = (e["axis"][0], e["axis"][1])
    return LayoutRim(e["body"], e["a"], axis, e["held_N_mm_per_rad"], e["free_N_mm_per_rad"], tuple(e["turned_by"]))


def _support(entry: _Entries, name: str, table: Mapping[str, Any], end: str) -> LayoutSupport:
    where = f"supports.{name}"
    tires: Tires = entry.word(table, "tires", get_args(Tires), where)
    stands: Stands = entry.word(table, "stands", get_args(Stands), where)
    frame = entry.word(table, "frame", FRAME_HOLDS, where)
    return LayoutSupport(frame, {end: EndSupport(tires, stands)}, table.get("others", ""))
