"""Tables that several layouts have in common, read from shared data files."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib import resources
from typing import Any

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError


def include_shared(data: dict[str, Any], file: str) -> None:
    """Put the entries of the shared files that `data` includes behind its own; `file` names it in errors.

    What is no list, as the steering wheel, is the layout's own where it gives one.

    Raises
    ------
    InputError
        If a shared file is unknown.
    """
    for name in data.get("include", ()):
        for key, value in _shared(name, file).items():
            data[key] = [*data.get(key, ()), *value] if isinstance(value, list) else data.get(key, value)


def _shared(name: str, file: str) -> Mapping[str, Any]:
    folder = resources.files("looseends.vehicle") / "data" / "layouts" / "shared"
    known = {f.name.removesuffix(".toml"): f for f in folder.iterdir() if f.name.endswith(".toml")}
    if name not in known:
        raise InputError(unknown_name_sentence("shared file", name, known, where=f"{file}, include"))
    return tomllib.loads(known[name].read_text(encoding="utf-8"))
