"""What comes before every route, and how much a complaint says, read from data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any


@dataclass(frozen=True)
class Opening:
    """The look at the lift points [min] before anything is raised, and the support in which the vehicle comes in.

    `check` is the check that it is a part of.
    """

    name: str
    check: str
    do: str
    stop: str
    caution: str
    minutes: float
    arrives_on: str
    source: str


@dataclass(frozen=True)
class ComplaintFigures:
    """By how much a complaint raises a part's odds, by its weight, and the time [min] of a visit that has one.

    `empty_words` say nothing about a vehicle; `circumstance_words` say where or when, and not what is wrong.
    """

    odds_factor: Mapping[str, float]
    minutes: float
    empty_words: frozenset[str]
    circumstance_words: frozenset[str]


@cache
def load_opening() -> Opening:
    """The opening that ships with the package."""
    return Opening(**_data()["opening"])


@cache
def load_complaint_figures() -> ComplaintFigures:
    """The figures that ship with the package."""
    given = _data()["complaint"]
    return ComplaintFigures(
        given["odds_factor"],
        given["minutes"],
        frozenset(given["empty_words"]),
        frozenset(given["circumstance_words"]),
    )


@cache
def load_again_minutes() -> float:
    """Minutes to read one watch again, as shipped with the package."""
    return float(_data()["again"]["minutes"])


def _data() -> dict[str, dict[str, Any]]:
    # Not in the data folder that the response tables depend on: they need not be computed again for it.
    file = resources.files("looseends.diagnosis.observed") / "data" / "opening.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))
