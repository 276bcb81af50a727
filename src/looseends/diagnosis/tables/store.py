"""Response tables kept on disk, one file per vehicle and setup, named by the content that they were computed from."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import tokenize
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from io import BytesIO
from math import prod
from pathlib import Path
from typing import Any

import numpy as np
import platformdirs

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.tables.table import PairCorrection, ResponseTable
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.reduction import ReducedStroke
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck, PreparedStroke

_ROOMS = ("mechanics", "catalogue", "vehicle", "diagnosis/tables")
_FIGURES = (
    "knots",
    "ensemble_members",
    "hand_force_share",
    "geometry_common_mm",
    "geometry_own_mm",
    "share_members",
)
"""Beliefs that go into a table; the others weigh what it holds, and may change without it."""

# What numpy and zipfile raise on cut, flipped or foreign bytes, found by damaging a file at every kind of place.
_DAMAGED = (
    OSError,
    EOFError,
    ValueError,
    KeyError,
    TypeError,
    RuntimeError,
    tokenize.TokenError,
    zipfile.BadZipFile,
)


class TableStore:
    """A folder of response tables.

    A file's name holds a hash of everything it depends on (code, data, setup): a changed catalogue is never answered
    from an old table. Files are written beside and moved into place, so that a stopped run leaves whole files only.
    """

    def __init__(self, directory: Path) -> None:
        self.directory = directory

    def has(self, vehicle_id: str, setup: Setup) -> bool:
        """Whether there is a table of a setup; a damaged one shows only when it is loaded."""
        return self._path(vehicle_id, setup).exists()

    def load(self, vehicle_id: str, setup: Setup) -> ResponseTable | None:
        """The table of a setup, or None if there is none (or only a damaged one)."""
        path = self._path(vehicle_id, setup)
        if not path.exists():
            return None
        try:
            # Read as a whole: numpy asks for it in hundreds of pieces, and leaves a damaged file open.
            with np.load(BytesIO(path.read_bytes()), allow_pickle=False) as data:
                return _unpacked({name: data[name] for name in data.files})
        except _DAMAGED:
            # A damaged file is worth no question to the user: it is computed again and overwritten.
            return None

    def save(self, vehicle_id: str, table: ResponseTable) -> None:
        """Keep a table."""
        self.directory.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=self.directory, suffix=".part", delete=False) as file:
            try:
                np.savez(file, **_packed(table))
            except BaseException:
                os.unlink(file.name)
                raise
        os.replace(file.name, self._path(vehicle_id, table.setup))

    def _path(self, vehicle_id: str, setup: Setup) -> Path:
        own = load_vehicles()[vehicle_id].content if vehicle_id in load_vehicles() else ""
        made_from = f"{code_hash()} {vehicle_id} {own} {json.dumps(asdict(setup))}"
        key = hashlib.sha256(made_from.encode()).hexdigest()[:24]
        return self.directory / f"{vehicle_id}-{setup.check}-{key}.npz"


def default_store() -> TableStore:
    """The store in LOOSEENDS_CACHE, else in the user's cache folder."""
    folder = os.environ.get("LOOSEENDS_CACHE") or platformdirs.user_cache_dir("looseends", appauthor=False)
    return TableStore(Path(folder) / "tables")


@cache
def code_hash() -> str:
    """Hash of the code and data that tables depend on."""
    package = resources.files("looseends")
    digest = hashlib.sha256()
    for room in _ROOMS:
        for name, content in sorted(_contents(package / room, room)):
            digest.update(name.encode() + b"\0" + content + b"\0")
    beliefs = load_beliefs()
    digest.update(repr([(name, getattr(beliefs, name)) for name in _FIGURES]).encode())
    return digest.hexdigest()


def _contents(entry: Traversable, name: str) -> list[tuple[str, bytes]]:
    if entry.is_file():
        return [(name, entry.read_bytes())] if name.endswith((".py", ".toml", ".csv")) else []
    return [found for inner in entry.iterdir() for found in _contents(inner, f"{name}/{inner.name}")]


def _packed(table: ResponseTable) -> dict[str, Any]:
    prepared = table.prepared
    meta = {
        "setup": asdict(table.setup),
        "watches": table.watches,
        "singles": list(table.singles),
        "pairs": [[*pair, _shapes(found)] for pair, found in table.pairs.items()],
        "beside": [[*pair, watches.tolist()] for pair, watches in table.beside.items()],
        "stop_gaps": dict(prepared.stop_gaps),
        "strokes": [_stroke_meta(stroke) for stroke in prepared.strokes],
    }
    arrays: dict[str, Array] = {"sound": table.sound, "spread": table.spread, "members": table.members}
    for i, name in enumerate(table.singles):
        arrays[f"single{i}"] = table.singles[name]
        if name in table.shares:
            arrays[f"shares{i}"] = table.shares[name]
    for (first, second), found in table.pairs.items():
        arrays |= {f"index-{first}": found.first.astype(float), f"index-{second}": found.second.astype(float)}
    for i, stroke in enumerate(prepared.strokes):
        arrays |= {f"stroke{i}-{name}": value for name, value in _stroke_arrays(stroke.reduced).items()}
    return {"meta": np.array(json.dumps(meta)), "grids": _grids(table.pairs), **_joined(arrays)}


def _joined(arrays: Mapping[str, Array]) -> dict[str, Any]:
    """All arrays end to end in one, with their names and shapes: hundreds of small ones would load slowly."""
    places = {name: list(array.shape) for name, array in arrays.items()}
    numbers = np.concatenate([np.zeros(0), *(array.ravel() for array in arrays.values())])
    return {"places": np.array(json.dumps(places)), "numbers": numbers}


def _parted(places: str, numbers: Array) -> dict[str, Array]:
    arrays, at = {}, 0
    for name, shape in json.loads(places).items():
        size = prod(shape)
        arrays[name] = numbers[at : at + size].reshape(shape)
        at += size
    return arrays


def _grids(pairs: Mapping[tuple[str, str], PairCorrection]) -> Array:
    """All grids end to end, in the order of the meta data.

    Four bytes a number: a ten-millionth of a millimetre is enough.
    """
    grids = [grid.ravel() for found in pairs.values() for grid in found.grids.values()]
    return np.concatenate([np.zeros(0), *grids]).astype(np.float32)


def _shapes(pair: PairCorrection) -> list[list[int]]:
    """Both axes and the shape of each grid."""
    return [[*axes, *grid.shape] for axes, grid in pair.grids.items()]


def _pairs(data: Mapping[str, Array], grids: Array, meta: Sequence[Any]) -> dict[tuple[str, str], PairCorrection]:
    numbers, at = grids.astype(np.float64), 0
    pairs = {}
    for first, second, shapes in meta:
        by_axes = {}
        for a, b, *shape in shapes:
            size = prod(shape)
            by_axes[a, b] = numbers[at : at + size].reshape(shape)
            at += size
        pairs[first, second] = PairCorrection(
            by_axes, *(data[f"index-{name}"].astype(np.intp) for name in (first, second))
        )
    return pairs


def _stroke_meta(stroke: PreparedStroke) -> dict[str, Any]:
    reduced = stroke.reduced
    return {
        "id": stroke.stroke_id,
        "shares": [stroke.first_share, stroke.last_share],
        "blocks": [[block.kind, block.start, block.stop] for block in reduced.blocks],
        "joints": {name: [part.start, part.stop] for name, part in reduced.joints.items()},
        "held": {name: [bool(axis) for axis in held] for name, held in reduced.held.items()},
        "watches": list(reduced.watch_names),
    }


def _stroke_arrays(reduced: ReducedStroke) -> dict[str, Array]:
    arrays = {"S": reduced.S, "base": reduced.f_base, "hand": reduced.f_hand, "root": reduced.root}
    for i, (on_g, base, hand) in enumerate(
        zip(reduced.watch_on_g, reduced.watch_base, reduced.watch_hand, strict=True)
    ):
        arrays |= {f"on_g{i}": on_g, f"watch_base{i}": base, f"watch_hand{i}": hand}
    return arrays


def _unpacked(kept: Mapping[str, Any]) -> ResponseTable:
    meta, data = json.loads(str(kept["meta"])), _parted(str(kept["places"]), kept["numbers"])
    setup = Setup(**meta["setup"])
    strokes = tuple(_stroke(data, f"stroke{i}-", stroke) for i, stroke in enumerate(meta["strokes"]))
    return ResponseTable(
        setup=setup,
        prepared=PreparedCheck(setup, strokes, meta["stop_gaps"], {}),
        watches=tuple(meta["watches"]),
        sound=data["sound"],
        spread=data["spread"],
        singles={name: data[f"single{i}"] for i, name in enumerate(meta["singles"])},
        pairs=_pairs(data, kept["grids"], meta["pairs"]),
        shares={name: data[f"shares{i}"] for i, name in enumerate(meta["singles"]) if f"shares{i}" in data},
        beside={(first, second): np.array(watches, dtype=np.intp) for first, second, watches in meta["beside"]},
        members=data["members"],
    )


def _stroke(data: Mapping[str, Array], at: str, meta: Mapping[str, Any]) -> PreparedStroke:
    watches = range(len(meta["watches"]))
    reduced = ReducedStroke(
        S=data[at + "S"],
        f_base=data[at + "base"],
        f_hand=data[at + "hand"],
        blocks=tuple(Block(kind, start, stop) for kind, start, stop in meta["blocks"]),
        joints={name: slice(start, stop) for name, (start, stop) in meta["joints"].items()},
        held={name: np.array(held) for name, held in meta["held"].items()},
        watch_names=tuple(meta["watches"]),
        watch_on_g=tuple(data[f"{at}on_g{i}"] for i in watches),
        watch_base=tuple(data[f"{at}watch_base{i}"] for i in watches),
        watch_hand=tuple(data[f"{at}watch_hand{i}"] for i in watches),
        root=data[at + "root"],
    )
    return PreparedStroke(meta["id"], meta["shares"][0], meta["shares"][1], reduced)
