"""All vehicles there are, those that ship and the user's own, each read when it is first asked for."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache, lru_cache, partial
from importlib import resources
from pathlib import Path
from typing import TypeVar

from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.own_files import OwnFile, content_mark, own_files, text_of
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.vehicle import Vehicle

_OWN_KEPT = 64
"""So many files of the user's own stay read: a class's folder, and what was asked for before a file changed."""


Read = TypeVar("Read")


class ReadWhenAsked(Mapping[str, Read]):
    """Things by id; the ids are known at once, each thing is read when it is asked for."""

    def __init__(self, readers: Mapping[str, Callable[[], Read]]) -> None:
        self._readers = readers

    def __getitem__(self, name: str) -> Read:
        return self._readers[name]()

    def __contains__(self, name: object) -> bool:
        return name in self._readers  # a mapping's own test would read the file

    def __iter__(self) -> Iterator[str]:
        return iter(self._readers)

    def __len__(self) -> int:
        return len(self._readers)


def load_vehicles() -> Mapping[str, Vehicle]:
    """All vehicles by id: those that ship with the package, then the user's own.

    Asking for a vehicle raises what `own_vehicle` raises.

    Raises
    ------
    InputError
        If a file of the user's gives no id, or has the id of another vehicle.
    """
    own = own_files()
    return _with_own(own) if own else shipped_vehicles()


@cache
def shipped_vehicles() -> Mapping[str, Vehicle]:
    """The vehicles that ship with the package, by id, which is the name of their file."""
    folder = resources.files("looseends.vehicle") / "data" / "vehicles"
    ids = sorted(f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml"))
    return ReadWhenAsked({vehicle_id: partial(_shipped, vehicle_id) for vehicle_id in ids})


@cache
def _shipped(vehicle_id: str) -> Vehicle:
    file = resources.files("looseends.vehicle") / "data" / "vehicles" / f"{vehicle_id}.toml"
    return parse_vehicle(file.read_text(encoding="utf-8"), file.name)


@lru_cache(maxsize=4)
def _with_own(files: tuple[OwnFile, ...]) -> Mapping[str, Vehicle]:
    readers: dict[str, Callable[[], Vehicle]] = {name: partial(_shipped, name) for name in shipped_vehicles()}
    for file in files:
        vehicle_id = _own_id(file.path)
        if vehicle_id in readers:
            raise InputError(
                refusal(
                    '{file}: id "{vehicle}" is taken by another vehicle; choose another id.',
                    file=file.path.name,
                    vehicle=vehicle_id,
                )
            )
        readers[vehicle_id] = partial(_own, file)
    return ReadWhenAsked(readers)


def _own_id(path: Path) -> str:
    """The id that a file gives; what is wrong with a file that gives none is told as it is when it is read."""
    try:
        given = tomllib.loads(text_of(path)).get("id")
    except tomllib.TOMLDecodeError:
        given = None
    return given if isinstance(given, str) else own_vehicle(path).id


@lru_cache(maxsize=_OWN_KEPT)
def _own(file: OwnFile) -> Vehicle:
    return own_vehicle(file.path)


def own_vehicle(path: Path) -> Vehicle:
    """The vehicle of a file that a user wrote.

    Raises
    ------
    InputError
        If the file cannot be read or is no vehicle file.
    """
    text = text_of(path)
    return replace(parse_vehicle(text, path.name), content=content_mark(text))
