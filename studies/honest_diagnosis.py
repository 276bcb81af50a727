"""How often diagnosis is right, and how sure it is, on vehicles that are not the model."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
from scipy.optimize import minimize
from scipy.special import expit

from looseends.diagnosis.again import doubtful_readings
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.evidence import Clue, clues_of
from looseends.diagnosis.exact import with_leading_solved
from looseends.diagnosis.explanation import Posterior
from looseends.diagnosis.masking import with_masked_joints
from looseends.diagnosis.posterior import posterior
from looseends.diagnosis.prepare import prepare_tables, table_for
from looseends.diagnosis.shared import with_shared_errors
from looseends.diagnosis.states import plain_odds, vehicle_states
from looseends.diagnosis.store import default_store
from looseends.diagnosis.table import ResponseTable
from looseends.inspection.types import CheckDone
from looseends.mechanics.bodies import Array
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import SIDES
from studies.truth import TrueVehicle, Way, draw_vehicle, recorded, taken_again

NAME = "honest_diagnosis"
VEHICLE = "yard-pickup"
COUNT = 300
"""Vehicles a row; they take about half an hour on two cores."""

SHAKES = tuple(Setup("wheel39", "frame", side, "held", brake, 0.0) for side in SIDES for brake in ("off", "on"))
ALL = (
    *SHAKES,
    *(Setup("wheel126", "arm", side, "held", brake, 0.0) for side in SIDES for brake in ("off", "on")),
    *(Setup("bj-axial", "arm", side, "held", "off", 0.0) for side in SIDES),
    *(Setup("idler", support, None, "held", "off", 0.0) for support in ("frame", "arm")),
    *(Setup("bushpry", support, side, "held", "off", 0.0) for support in ("ride", "frame") for side in SIDES),
    Setup("dry-park", "wheels", None, "held", "off", 0.0),
    Setup("lash", "wheels", None, "held", "off", 0.0),
    Setup("gear-lash", "wheels", None, "free", "off", 0.0),
    *(Setup("rear-shake", "axle", side, "held", brake, 0.0) for side in SIDES for brake in ("off", "on")),
    *(Setup("leaf-pry", "axle", side, "held", "off", 0.0) for side in SIDES),
)


@dataclass(frozen=True)
class Row:
    """One row: which setups, read how, which watch only; in how many rounds doubtful readings are taken again."""

    setups: tuple[Setup, ...]
    tool: Literal["dead zone", "total", "hand"]
    only: str | None
    rounds: int = 0


ROWS = {
    "all checks by gauge": Row(ALL, "dead zone", None),
    "all checks by gauge totals only": Row(ALL, "total", None),
    "all checks by eye and hand": Row(ALL, "hand", None),
    "wheel shake by gauge": Row(SHAKES, "dead zone", None),
    "wheel shake by eye and hand": Row(SHAKES, "hand", None),
    "tread only by gauge": Row(SHAKES, "dead zone", "tread"),
    "all checks by gauge, doubtful readings again": Row(ALL, "dead zone", None, 2),
    "all checks by eye and hand, doubtful readings again": Row(ALL, "hand", None, 2),
}


@dataclass(frozen=True)
class Score:
    """One vehicle, one row."""

    exact_first: bool
    blamed_right: bool
    false_calls: int
    missed: int
    log_score: float
    prior_log_score: float
    marginals: tuple[tuple[float, bool], ...]
    taken_again: int


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study: every chosen row over the same drawn vehicles."""
    chosen = {name: row for name, row in ROWS.items() if rows is None or name in rows}
    vehicle = load_vehicles()[VEHICLE]
    prepare_tables(vehicle, store=default_store(), setups=ALL, progress=_told)
    seeds = list(range(COUNT))
    with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
        scores = []
        for score in pool.map(_scored, seeds, [tuple(chosen)] * COUNT, chunksize=10):
            scores.append(score)
            if len(scores) % 10 == 0:
                _told("vehicles", len(scores), COUNT)
    return {
        "title": "Diagnosis on vehicles that are not the model",
        "about": (
            f"{COUNT} drawn yard pickups a row, none, one or two parts worn; truth as in studies/truth.py: other "
            "stiffness, sound clearance, joint centers, hand force, thresholds and scatter than the inference assumes, "
            "2 % wrong readings, 2 % masked joints. A part counts as worn from its reject clearance and as sound below "
            "half of it; the band between counts neither way."
        ),
        "rows": {name: _summary([score[name] for score in scores]) for name in chosen},
    }


def _told(words: str, done: int, steps: int) -> None:
    print(f"  {words}: {done} of {steps}", flush=True)


def _scored(seed: int, names: tuple[str, ...]) -> dict[str, Score]:
    vehicle = load_vehicles()[VEHICLE]
    true = draw_vehicle(vehicle, ALL, np.random.default_rng([seed, 1]))
    scores = {}
    for number, name in enumerate(names):
        row, rng = ROWS[name], np.random.default_rng([seed, 2, number])
        way = Way.drawn(row.tool, rng)
        checks = recorded(true, row.setups, way, row.only, rng)
        checks, found = _with_repetitions(true, checks, way, row.rounds, rng)
        scores[name] = _score(true, checks, found)
    return scores


def _with_repetitions(
    true: TrueVehicle, checks: tuple[CheckDone, ...], way: Way, rounds: int, rng: np.random.Generator
) -> tuple[tuple[CheckDone, ...], Posterior]:
    """The checks with what the diagnosis asked to be done again, by the same person, and what it then says."""
    clues, found = diagnosed(checks)
    for _ in range(rounds):
        asked = [(d.clue.check.setup, d.clue.reading.watch) for d in doubtful_readings(clues, found, load_beliefs())]
        if not asked:
            break
        checks += taken_again(true, asked, way, len(checks), rng)
        clues, found = diagnosed(checks)
    return checks, found


def diagnosed(checks: Sequence[CheckDone]) -> tuple[tuple[Clue, ...], Posterior]:
    """Clues and posterior of a visit without conditions, as `judge` takes them."""
    vehicle, beliefs = load_vehicles()[VEHICLE], load_beliefs()
    states = vehicle_states(vehicle, beliefs)
    odds = plain_odds(states, beliefs)
    clues = clues_of(checks, {c.number: _table(c.setup) for c in checks}, states, beliefs)
    solved = with_leading_solved(posterior(states, odds, clues, beliefs), vehicle, clues, beliefs)
    return clues, with_masked_joints(with_shared_errors(solved, clues, beliefs), beliefs)


def _score(true: TrueVehicle, checks: Sequence[CheckDone], found: Posterior) -> Score:
    vehicle, beliefs = load_vehicles()[VEHICLE], load_beliefs()
    prior = _prior()
    worn, any_wear = true.parts(vehicle, least_share=1.0), true.parts(vehicle, least_share=0.5)
    first = frozenset(found.leading(1)[0][0].parts)
    marginals = {s.part.id: found.marginal(s.part.id) for s in vehicle_states(vehicle, beliefs)}
    called = {part for part, p in marginals.items() if p >= beliefs.worn_at_least}
    return Score(
        exact_first=worn <= first <= any_wear,
        blamed_right=worn <= _blamed(checks) <= any_wear,
        false_calls=len(called - any_wear),
        missed=sum(marginals[part] < 0.5 for part in worn),
        log_score=_log_chance(found, worn, any_wear),
        prior_log_score=_log_chance(prior, worn, any_wear),
        marginals=tuple(
            (p, part in worn) for part, p in marginals.items() if p > 0.05 and (part in worn or part not in any_wear)
        ),
        taken_again=_repetitions(checks),
    )


@cache
def _table(setup: Setup) -> ResponseTable:
    return table_for(load_vehicles()[VEHICLE], setup, default_store())


@cache
def _prior() -> Posterior:
    beliefs = load_beliefs()
    states = vehicle_states(load_vehicles()[VEHICLE], beliefs)
    return posterior(states, plain_odds(states, beliefs), (), beliefs)


def _log_chance(found: Posterior, worn: frozenset[str], any_wear: frozenset[str]) -> float:
    """Log of the probability given to the truth; a part in the band may be in the set or not."""
    total = sum(
        p for e, p in zip(found.explanations, found.probabilities, strict=True) if worn <= set(e.parts) <= any_wear
    )
    return float(np.log(max(float(total), 1e-12)))


def _repetitions(checks: Sequence[CheckDone]) -> int:
    """Readings of a watch in a setup in which it was read before."""
    read = [(check.setup, reading.watch) for check in checks for reading in check.readings]
    return len(read) - len(set(read))


def _blamed(checks: Sequence[CheckDone]) -> frozenset[str]:
    """The plain rule: blame the joint that moved most at its own watch, if it moved more than a finger feels.

    Where only the tread was read, blame the outer tie rod end of the wheel that moved most.
    """
    vehicle = load_vehicles()[VEHICLE]
    size = {"none": 0.0, "slight": 0.3, "clear": 1.0, "gross": 2.0}
    moved: dict[str, float] = {}
    for check in checks:
        for reading in check.readings:
            part = reading.watch.removesuffix(".axial")
            if part == "tread":
                part = f"outer-tie-rod-end-{check.setup.side}"
                if any(r.watch.removesuffix(".axial") in vehicle.parts for r in check.readings):
                    continue
            if part in vehicle.parts:
                shown = reading.gauge_mm if reading.free_mm is None else reading.free_mm
                amount = shown if shown is not None else size[str(reading.grade)]
                moved[part] = max(moved.get(part, 0.0), amount)
    most = max(moved, key=lambda part: moved[part])
    return frozenset({most}) if moved[most] > 0.25 else frozenset()


def _summary(scores: Sequence[Score]) -> dict[str, float]:
    marginals = [pair for score in scores for pair in score.marginals]
    count = len(scores)
    return {
        "vehicles": count,
        "exact set first %": round(100 * sum(s.exact_first for s in scores) / count, 1),
        "blame what moved most %": round(100 * sum(s.blamed_right for s in scores) / count, 1),
        "false calls per vehicle": round(sum(s.false_calls for s in scores) / count, 3),
        "worn parts below 0.5 per vehicle": round(sum(s.missed for s in scores) / count, 3),
        "log score": round(float(np.mean([s.log_score for s in scores])), 3),
        "prior's log score": round(float(np.mean([s.prior_log_score for s in scores])), 3),
        "calibration slope": round(calibration_slope(marginals), 2),
        "above 0.9, worn %": round(_worn_above(marginals, 0.9), 1),
        "marginals counted": len(marginals),
        "readings taken again per vehicle": round(sum(s.taken_again for s in scores) / count, 1),
    }


def _worn_above(marginals: Sequence[tuple[float, bool]], level: float) -> float:
    above = [worn for p, worn in marginals if p > level]
    return 100.0 * sum(above) / len(above) if above else 0.0


def calibration_slope(marginals: Sequence[tuple[float, bool]]) -> float:
    """Slope of a logistic regression of worn on the log odds of the marginals; 1 is calibrated, less is too sure.

    Source: D. R. Cox, Biometrika 45 (1958) 562-565 (from memory).
    """
    return calibration(marginals)[0]


def calibration(marginals: Sequence[tuple[float, bool]]) -> tuple[float, float]:
    """That slope with its standard error, marginals taken as independent; 0 and 0 for fewer than ten.

    Source: Fisher information of a logistic regression.
    """
    if len(marginals) < 10:
        return 0.0, 0.0
    p = np.clip(np.array([m for m, _ in marginals]), 1e-6, 1.0 - 1e-6)
    x, y = np.log(p / (1.0 - p)), np.array([float(w) for _, w in marginals])
    design = np.column_stack([np.ones_like(x), x])

    def loss(beta: Array) -> float:
        return float(np.sum(np.logaddexp(0.0, design @ beta) - y * (design @ beta)))

    def slope_of_loss(beta: Array) -> Array:
        return np.asarray(design.T @ (expit(design @ beta) - y))

    beta = minimize(loss, np.array([0.0, 1.0]), jac=slope_of_loss, method="BFGS").x
    told = expit(design @ beta)
    information = design.T @ (design * (told * (1.0 - told))[:, None])
    return float(beta[1]), float(np.sqrt(np.linalg.pinv(information)[1, 1]))
