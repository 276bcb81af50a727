"""What is seen, told or known of a vehicle beside movement: figures of how far it speaks for worn parts, from data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from looseends.catalogue.causes import Weight
from looseends.catalogue.types import Axis
from looseends.inspection.types import Hider, SymptomKind


@dataclass(frozen=True)
class SymptomFigures:
    """Chance that a worn part causes the symptom by the cause's weight; `otherwise`: that it is there without one.

    `elsewhere` is the share of a cause's chance that is left for parts of another wheel.
    """

    by_weight: Mapping[Weight, float]
    otherwise: float
    elsewhere: float


@dataclass(frozen=True)
class ConditionFigures:
    """What a condition says of its part: a factor on the odds, or chances within and beyond the reject clearance."""

    odds_factor: float | None
    axis: Axis | None
    seen_if_beyond: float
    seen_if_within: float


@dataclass(frozen=True)
class UseFigures:
    """How the odds of wear grow with distance [km], age [years], hard work and rust; meanings stand in the file."""

    reference_km: float
    distance_power: float
    reference_years: float
    age_power: float
    least_factor: float
    most_factor: float
    hard_work_factor: float
    rust_factor_by_sensitivity: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True)
class Circumstances:
    """All of these figures; `witnesses_alike` is the chance that two who tell of one symptom speak of one event."""

    symptoms: Mapping[SymptomKind, SymptomFigures]
    witnesses_alike: float
    conditions: Mapping[str, ConditionFigures]
    hidden: Mapping[Hider, float]
    use: UseFigures


@cache
def load_circumstances() -> Circumstances:
    """The figures that ship with the package."""
    # Not in the data folder that the response tables depend on: they need not be computed again for it.
    file = resources.files("looseends.diagnosis.observed") / "data" / "evidence.toml"
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    kinds: tuple[SymptomKind, ...] = ("complaint", "road-test", "tire")
    hiders: tuple[Hider, ...] = ("grease", "rust", "dry joint", "cover")
    use = {key: value for key, value in data["use"].items() if key != "source"}
    rust = {kind: tuple(factors) for kind, factors in use.pop("rust_factor_by_sensitivity").items()}
    return Circumstances(
        symptoms={kind: _symptom(data["symptom"][kind]) for kind in kinds},
        witnesses_alike=data["symptom"]["witnesses_alike"],
        conditions={entry["id"]: _condition(entry) for entry in data["condition"]},
        hidden={hider: data["hidden"][hider] for hider in hiders},
        use=UseFigures(**use, rust_factor_by_sensitivity=rust),
    )


def _symptom(entry: Mapping[str, Any]) -> SymptomFigures:
    weights: dict[Weight, float] = {"strong": entry["strong"], "medium": entry["medium"], "weak": entry["weak"]}
    return SymptomFigures(weights, entry["otherwise"], entry.get("elsewhere", 1.0))


def _condition(entry: Mapping[str, Any]) -> ConditionFigures:
    return ConditionFigures(
        entry.get("odds_factor"), entry.get("axis"), entry.get("seen_if_beyond", 0.0), entry.get("seen_if_within", 0.0)
    )
