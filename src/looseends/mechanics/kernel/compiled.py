"""Compiling with numba: one place for its settings, and for where the machine code is kept."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from numba.core import config

Function = TypeVar("Function", bound=Callable[..., Any])

_REORDERED = {"reassoc", "contract", "nsz"}
"""What a sum may do to be computed several terms at a time; infinities and not-a-numbers keep their meaning."""


def compiled(function: Function) -> Function:
    """Compile a function of numbers and arrays; its machine code is kept on disk for the next start."""
    return _compiled(function)


def compiled_within(function: Function) -> Function:
    """The same for what has one caller: it is compiled as a part of that one, once instead of at every level."""
    return _compiled(function, inline="always")


def compiled_sums(function: Function) -> Function:
    """The same for long sums, whose terms may be added in any order."""
    return _compiled(function, fastmath=_REORDERED)


def _compiled(function: Function, **options: Any) -> Function:
    # No counting of references: the kernel makes no array of its own, and what it works in outlives each call. Counting
    # took as long as the mathematics of a small problem, and a third of the time to compile.
    options |= {"error_model": "numpy", "nogil": True, "_nrt": False}
    if _FOLDER is None:
        # Nowhere to write: compiled anew at every start, but it works.
        return cast(Function, numba.njit(**options)(function))
    settings = vars(config)
    before = settings["CACHE_DIR"]
    settings["CACHE_DIR"] = str(_FOLDER)
    try:
        return cast(Function, numba.njit(cache=True, **options)(function))
    finally:
        settings["CACHE_DIR"] = before


def _code_folder() -> Path | None:
    """Where the machine code of exactly these sources is kept.

    By itself numba looks at the file of the outermost function only, and would run old code after a change of another
    file of the kernel; so the folder's name holds a hash of them all.
    """
    own = Path(__file__).parent
    digest = hashlib.sha256(numba.__version__.encode())
    for source in sorted(own.glob("*.py")):
        digest.update(source.name.encode() + b"\0" + source.read_bytes())
    name = f"kernel-{digest.hexdigest()[:16]}"
    for base in (os.environ.get("NUMBA_CACHE_DIR"), own / "__pycache__", Path.home() / ".cache" / "looseends"):
        if base is None:
            continue
        try:
            (Path(base) / name).mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(Path(base) / name, os.W_OK):
            return Path(base) / name
    return None


_FOLDER = _code_folder()
