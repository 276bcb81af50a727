"""Tables that several layouts have in common: shared data files, and a layout that another one is a variant of."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError

_NAMED_BY = {"line": "name", "ring": "name", "part": "kind", "wheel": "body"}
"""Key that names an entry of a table; of all others, its id."""


def extended(data: dict[str, Any], file: str) -> dict[str, Any]:
    """The data of the layout that `data` extends, with its own entries in place of those of the same name.

    `drops` lists by table what the variant has not. Without `extends` the data as they are; `file` names
    them in errors.

    Raises
    ------
    InputError
        If the layout to extend, or an entry to drop, is unknown.
    """
    if "extends" not in data:
        return data
    base = extended(_read("", data["extends"], "layout", f"{file}, extends"), file)
    merged = base | {key: value for key, value in data.items() if key not in ("extends", "drops")}
    for key, own in data.items():
        there = base.get(key)
        if isinstance(own, list) and isinstance(there, list):
            merged[key] = _replaced(key, there, own)
        elif isinstance(own, dict) and isinstance(there, dict):
            merged[key] = there | own
    for table, names in data.get("drops", {}).items():
        merged[table] = _dropped(table, names, merged.get(table, []), file)
    return merged


def _name_of(table: str, entry: Any) -> Any:
    return entry.get(_NAMED_BY.get(table, "id")) if isinstance(entry, dict) else entry


def _replaced(table: str, there: list[Any], own: list[Any]) -> list[Any]:
    instead = {_name_of(table, entry): entry for entry in own}
    kept = [instead.pop(_name_of(table, entry), entry) for entry in there]
    return [*kept, *instead.values()]


def _dropped(table: str, names: list[str], entries: list[Any], file: str) -> list[Any]:
    known = {_name_of(table, entry) for entry in entries}
    for name in names:
        if name not in known:
            raise InputError(unknown_name_sentence(table, name, known, where=f"{file}, drops"))
    return [entry for entry in entries if _name_of(table, entry) not in names]


def include_shared(data: dict[str, Any], file: str) -> None:
    """Put the entries of the shared files that `data` includes behind its own; `file` names it in errors.

    An entry of its own stands in place of a shared one of the same name, as do the steering wheel and what else is no
    list.

    Raises
    ------
    InputError
        If a shared file is unknown.
    """
    for name in data.get("include", ()):
        for key, value in _read("shared", name, "shared file", f"{file}, include").items():
            data[key] = _joined(key, data.get(key, []), value) if isinstance(value, list) else data.get(key, value)


def _joined(table: str, own: list[Any], shared: list[Any]) -> list[Any]:
    names = [_name_of(table, entry) for entry in own]
    return [*own, *(entry for entry in shared if _name_of(table, entry) not in names)]


def _read(under: str, name: str, what: str, where: str) -> dict[str, Any]:
    folder = resources.files("looseends.vehicle") / "data" / "layouts" / under
    known = {f.name.removesuffix(".toml"): f for f in folder.iterdir() if f.name.endswith(".toml")}
    if name not in known:
        raise InputError(unknown_name_sentence(what, name, known, where=where))
    return tomllib.loads(known[name].read_text(encoding="utf-8"))
