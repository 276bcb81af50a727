"""How far the model is off a shop's own vehicles, learned from visits in which nothing was worn."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.likelihood import GaugeReading
from looseends.errors import InputError
from looseends.language import refusal

_DOUBT = 0.5
"""Spread, in logarithms, of what is believed of both figures before anything is learned. Assumed."""

_COUNTED = 8
"""Readings of one vehicle share its softness and its geometry: together they count as so many at most. Assumed."""

_BOUNDS = (0.2, 5.0)
"""What is learned stays within these multiples of what was believed."""


@dataclass(frozen=True)
class Learned:
    """What sound vehicles taught: how much softer and stiffer they are than the ensemble, and the floor [mm].

    `readings` and `vehicles` say from how much it was learned; `off_before`, `off_after` is the root mean square of the
    readings' errors over what was expected of them, which is 1 where the spread is right.
    """

    shared_softness: float
    floor_mm: float
    readings: int
    vehicles: int
    off_before: float
    off_after: float

    def applied(self, beliefs: Beliefs) -> Beliefs:
        """The beliefs with these figures."""
        return replace(beliefs, shared_softness=self.shared_softness, floor_mm=self.floor_mm)


def learned(vehicles: Sequence[Sequence[Clue]], beliefs: Beliefs) -> Learned:
    """Softness and floor that fit the gauge readings of sound vehicles best, held by what was believed before.

    Parameters
    ----------
    vehicles : sequence of sequences
        The clues of each vehicle's visit; grades and heard or felt readings teach nothing about millimeters.

    Source: maximum a posteriori, log-normal prior; the likelihood is that of docs/diagnosis.md.
    """
    from scipy.optimize import minimize  # only where something is learned

    gauges = [[clue for clue in clues if isinstance(clue.evidence, GaugeReading)] for clues in vehicles]
    gauges = [clues for clues in gauges if clues]
    believed = np.array([beliefs.shared_softness, beliefs.floor_mm])

    def cost(logs: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
        softness, floor = believed * np.exp(np.clip(logs, *np.log(_BOUNDS)))
        total = 0.5 * float(np.sum((logs / _DOUBT) ** 2))
        for clues in gauges:
            fit = sum(_log_likelihood(clue, softness, floor) for clue in clues)
            total -= min(1.0, _COUNTED / len(clues)) * fit
        return total

    found = minimize(cost, np.zeros(2), method="Nelder-Mead", options={"xatol": 1e-3, "fatol": 1e-4}).x
    softness, floor = (float(v) for v in believed * np.exp(np.clip(found, *np.log(_BOUNDS))))
    each = [clue for clues in gauges for clue in clues]
    before, after = (
        _off(each, *figures) for figures in ((beliefs.shared_softness, beliefs.floor_mm), (softness, floor))
    )
    return Learned(softness, floor, len(each), len(gauges), before, after)


def _spread(clue: Clue, softness: float, floor: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.asarray(np.hypot(clue.table.spread[clue.watch] * np.array([softness, 1.0]), floor))


def _log_likelihood(clue: Clue, softness: float, floor: float) -> float:
    return float(clue.evidence.log_likelihood(clue.sound, _spread(clue, softness, floor)))


def _off(clues: Sequence[Clue], softness: float, floor: float) -> float:
    """Root mean square of errors over their expected deviation; what is off by more than 4 is a wrong reading."""
    errors = []
    for clue in clues:
        assert isinstance(clue.evidence, GaugeReading)
        mean, deviation = clue.evidence.expected(clue.sound, _spread(clue, softness, floor))
        errors.append(float((clue.evidence.reading - mean) / deviation))
    kept = [error for error in errors if abs(error) < 4.0]
    return float(np.sqrt(np.mean(np.square(kept)))) if kept else 1.0


def shop_text(found: Learned) -> str:
    """What was learned as the text of a shop's file (docs/diagnosis.md, "What a shop learns")."""
    return (
        "# Learned from visits in which nothing was worn; read by way of LOOSEENDS_SHOP.\n"
        "format = 1\n\n[discrepancy]\n"
        f"shared_softness_factor = {found.shared_softness:.3f}\n"
        f"floor_mm = {found.floor_mm:.4f}\n"
        f"vehicles = {found.vehicles}\n"
        f"readings = {found.readings}\n"
    )


def with_shop(beliefs: Beliefs, path: Path) -> Beliefs:
    """The beliefs with what a shop's file holds.

    Raises
    ------
    InputError
        If the file cannot be read, or a figure is not as `shop_text` writes it.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as problem:
        raise InputError(
            refusal(
                "{file}: a shop's file must be TOML that can be read, found: {problem}.",
                file=path.name,
                problem=problem,
            )
        ) from problem
    own = data.get("discrepancy")
    if data.get("format") != 1 or not isinstance(own, dict):
        raise InputError(
            refusal(
                "{file}: format must be 1 and [discrepancy] be there, as `looseends learn` writes it.", file=path.name
            )
        )
    figures = {}
    for key, believed in (("shared_softness_factor", beliefs.shared_softness), ("floor_mm", beliefs.floor_mm)):
        least, most = (bound * believed for bound in _BOUNDS)
        value = own.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            raise InputError(
                refusal(
                    "{file}: {key} must be a number from {least} to {most}, found {found}.",
                    file=path.name,
                    key=key,
                    least=f"{least:g}",
                    most=f"{most:g}",
                    found=repr(value),
                )
            )
        figures[key] = float(value)
    return replace(beliefs, shared_softness=figures["shared_softness_factor"], floor_mm=figures["floor_mm"])
