"""Compiling with numba: one place for its settings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit

Function = TypeVar("Function", bound=Callable[..., Any])

_REORDERED = {"reassoc", "contract", "nsz"}
"""What a sum may do to be computed several terms at a time; infinities and not-a-numbers keep their meaning."""


def compiled(function: Function) -> Function:
    """Compile a function of numbers and arrays; its machine code is kept on disk for the next start."""
    return _compiled(function, error_model="numpy", nogil=True)


def compiled_sums(function: Function) -> Function:
    """The same for long sums, whose terms may be added in any order."""
    return _compiled(function, error_model="numpy", nogil=True, fastmath=_REORDERED)


def _compiled(function: Function, **options: Any) -> Function:
    try:
        return cast(Function, njit(cache=True, **options)(function))
    except RuntimeError:
        # Neither the package's folder nor the user's can be written: compiled anew at every start, but it works.
        return cast(Function, njit(**options)(function))
