"""How well a vehicle that is known by tape only is diagnosed, against one whose joint centers are known."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.inference.exact import with_leading_solved
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.masking import with_masked_joints
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.shared import with_shared_errors
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.planning.ways import ways_of
from looseends.diagnosis.tables.prepare import prepare_tables, table_for
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import plain_odds, reject_clearance, vehicle_states, worn_axes
from looseends.diagnosis.tables.store import default_store
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import CheckDone
from looseends.mechanics.bodies import Array
from looseends.vehicle.build import holding_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import prepare_held
from looseends.vehicle.vehicle import SIDES, Part, Vehicle
from studies.tape_drawn import COUNT, KNOWN, LEAN_DEG, OWN_MM, ROWS, TEMPLATE, Row, drawn, taped
from studies.truth import StandingVehicle, Way, recorded

NAME = "tape_vehicles"
PARTS = 4
"""Parts of each vehicle whose best check is looked for."""

NEARLY = 0.05
"""A check whose chance to see a part lies within this of the best one's is as good."""

SHOWN = 0.5
"""A part may be worn if one of the checks shows it on the template with this chance."""

SETUPS = (
    *(Setup("wheel39", "frame", side, "held", brake, 0.0) for side in SIDES for brake in ("off", "on")),
    *(Setup("wheel126", "arm", side, "held", "off", 0.0) for side in SIDES),
    *(Setup("bj-axial", "arm", side, "held", "off", 0.0) for side in SIDES),
    Setup("idler", "frame", None, "held", "off", 0.0),
    *(Setup("bushpry", support, side, "held", "off", 0.0) for support in ("ride", "frame") for side in SIDES),
    Setup("lash", "wheels", None, "held", "off", 0.0),
)
"""What shows the front end and the steering; the rear would cost as much again and tell the same of a tape."""


@dataclass(frozen=True)
class Score:
    """One vehicle of one row: exact set first, false calls, and looked-for parts whose best check was named right."""

    exact_first: bool
    false_calls: int
    best_right: int


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study: every chosen row, and that of known geometry, over the same drawn vehicles."""
    chosen = {name: row for name, row in ROWS.items() if rows is None or name in (KNOWN, *rows)}
    with taped():
        for vehicle_id in dict.fromkeys([TEMPLATE, *(row.vehicle_id for row in chosen.values())]):
            prepare_tables(load_vehicles()[vehicle_id], store=default_store(), setups=SETUPS, progress=_told)
        names = [_rows_of(seed, chosen) for seed in range(COUNT)]
        with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
            scores = []
            for score in pool.map(scored_rows, range(COUNT), names, chunksize=5):
                scores.append(score)
                if len(scores) % 10 == 0:
                    _told("vehicles", len(scores), COUNT)
    return result(scores)


def _rows_of(seed: int, chosen: Mapping[str, Row]) -> tuple[str, ...]:
    """The rows that a drawn vehicle stands in; those of fewer vehicles have the last ones."""
    return tuple(name for name, row in chosen.items() if seed >= COUNT - row.count)


def result(scores: Sequence[Mapping[str, Score]]) -> dict[str, Any]:
    """What the page says of the drawn vehicles, each with its score by row."""
    names = dict.fromkeys(name for score in scores for name in score)
    return {
        "title": "Vehicles that are known by tape",
        "about": (
            "Drawn yard pickups, whose joint centers lie elsewhere than those of the template that the diagnosis "
            "believes in; none, one or two parts worn, alike in every row; all else as in studies/truth.py. Where "
            f"the structure is kept each group of joint centers moves as one, {OWN_MM:g} mm of it on each side for "
            f"itself, and shafts and axes lean by {LEAN_DEG:g} degree; else each end of a shaft or an axis moves for "
            f"itself, so that short shafts lean by many degrees. Read by gauge, in {len(SETUPS)} setups of the front "
            "end and the steering; worn are parts that one of these shows on the template with a chance of "
            f"{SHOWN:.0%} or more. Best check right: {PARTS} such parts of each vehicle are looked for, each at its "
            "reject clearance, and the check that the template calls best counts as right if its chance to see the "
            f"part on the true vehicle lies within {100 * NEARLY:g} points of the best check's there. This measure was "
            "set before the run." + _stopped(len(scores))
        ),
        "rows": {name: summary([score for score in scores if name in score], name) for name in names},
    }


def _stopped(count: int) -> str:
    return "" if count == COUNT else f" Stopped after {count} of {COUNT} vehicles, for want of processor time."


def _told(words: str, done: int, steps: int) -> None:
    print(f"  {words}: {done} of {steps}", flush=True)


def summary(scores: Sequence[Mapping[str, Score]], name: str) -> dict[str, float]:
    """The figures of a row, and how far it lies below that of known geometry on the same vehicles."""
    of_row, count = [score[name] for score in scores], len(scores)
    exact = np.array([s.exact_first for s in of_row], dtype=float)
    below = np.array([score[KNOWN].exact_first for score in scores], dtype=float) - exact
    return {
        "vehicles": count,
        "exact set first %": round(100 * float(exact.mean()), 1),
        "standard error of that %": round(100 * _error(exact), 1),
        "points below known": round(100 * float(below.mean()), 1),
        "standard error of these points": round(100 * _error(below), 1),
        "false calls per vehicle": round(sum(s.false_calls for s in of_row) / count, 3),
        "best check right %": round(100 * sum(s.best_right for s in of_row) / (PARTS * count), 1),
    }


def _error(values: Array) -> float:
    """Standard error of a mean."""
    return float(np.std(values) / np.sqrt(len(values)))


def scored_rows(seed: int, names: Sequence[str]) -> dict[str, Score]:
    """One drawn vehicle in each row."""
    return {name: scored(seed, name) for name in names}


def scored(seed: int, name: str) -> Score:
    """One drawn vehicle of a row, read, diagnosed and compared with the truth."""
    row = ROWS[name]
    believed = load_vehicles()[row.vehicle_id]
    true = drawn(believed, row, seed, SETUPS, [believed.parts[part] for part in _shown_parts()])
    rng = np.random.default_rng([seed, 2])
    checks = recorded(true, SETUPS, Way.drawn("dead zone", rng), None, rng)
    found = _diagnosed(checks, believed)
    worn, any_wear = (true.parts(believed, least_share=share) for share in (1.0, 0.5))
    first = frozenset(found.leading(1)[0][0].parts)
    called = {s.part.id for s in vehicle_states(believed, load_beliefs()) if _called(found, s.part.id)}
    return Score(worn <= first <= any_wear, len(called - any_wear), _best_right(believed, true, seed))


def _called(found: Posterior, part: str) -> bool:
    return found.marginal(part) >= load_beliefs().worn_at_least


def _diagnosed(checks: Sequence[CheckDone], vehicle: Vehicle) -> Posterior:
    beliefs = load_beliefs()
    states = vehicle_states(vehicle, beliefs)
    odds = plain_odds(states, beliefs)
    clues = clues_of(checks, {c.number: _table(vehicle.id, c.setup) for c in checks}, states, beliefs)
    readings = ReadingSet.of(clues, beliefs)
    solved = with_leading_solved(posterior(states, odds, clues, beliefs), vehicle, readings)
    return with_masked_joints(with_shared_errors(solved, readings), beliefs)


@cache
def _table(vehicle_id: str, setup: Setup) -> ResponseTable:
    return table_for(load_vehicles()[vehicle_id], setup, default_store())


def _best_right(believed: Vehicle, true: StandingVehicle, seed: int) -> int:
    """For how many of some parts the check that the template calls best is the best on the true vehicle."""
    shown, foreseen = _shown_parts(), _foreseen(believed.id)
    chosen = [shown[n] for n in np.random.default_rng([seed, 3]).choice(len(shown), PARTS, replace=False)]
    on_true = _chances_on_true(true, chosen)
    best = [int(np.argmax(foreseen[part])) for part in chosen]
    return sum(bool(on_true[part][n] >= on_true[part].max() - NEARLY) for part, n in zip(chosen, best, strict=True))


@cache
def _shown_parts() -> tuple[str, ...]:
    """Parts that the checks show on the template."""
    foreseen = _foreseen(TEMPLATE)
    return tuple(part for part, chances in foreseen.items() if chances.max() >= SHOWN)


@cache
def _foreseen(vehicle_id: str) -> dict[str, Array]:
    """Chance (setups,) to see each part by gauge on the vehicle that the diagnosis believes in."""
    vehicle = load_vehicles()[vehicle_id]
    parts = [part.id for part in vehicle.wearable if worn_axes(part)]
    return _chances([_table(vehicle_id, setup) for setup in SETUPS], vehicle, parts)


def _chances_on_true(true: StandingVehicle, parts: Sequence[str]) -> dict[str, Array]:
    """Chance (setups,) to see each part on this very vehicle, among vehicles as unlike as those of known geometry."""
    vehicle, tables = true.vehicle, []
    worn = [_at_reject(vehicle.parts[part]) for part in parts]
    states = {s.part.id: s for s in vehicle_states(vehicle, load_beliefs())}
    for setup in SETUPS:
        held = true.standing[holding_of(vehicle, setup)]
        solver = Solver(vehicle, true.specimen, prepare_held(vehicle, held, setup))
        changes = dict(zip(parts, solver.changes(worn), strict=True))
        # The same in every state, so that it is found whatever is read between them.
        singles = {part: np.broadcast_to(c, (len(states[part].index), *c.shape)) for part, c in changes.items()}
        usual = _table(TEMPLATE, setup)
        tables.append(replace(usual, sound=solver.sound, members=usual.members[:0], singles=singles, shares={}))
    return _chances(tables, vehicle, parts)


def _at_reject(part: Part) -> dict[tuple[str, Axis], float]:
    axis = worn_axes(part)[0]
    return {(part.id, axis): reject_clearance(part, axis)}


def _chances(tables: Sequence[ResponseTable], vehicle: Vehicle, parts: Sequence[str]) -> dict[str, Array]:
    """Chance (tables,) to see each part by gauge, worn to its reject clearance along its first axis."""
    beliefs = load_beliefs()
    states = [s for s in vehicle_states(vehicle, beliefs) if s.part.id in parts]
    found = {part: np.zeros(len(tables)) for part in parts}
    for number, table in enumerate(tables):
        for way in ways_of(table, states, beliefs):
            if way.axis == worn_axes(vehicle.parts[way.part])[0]:
                found[way.part][number] = way.sights["gauge"].chance
    return found
