"""How well a vehicle that is known by tape only is diagnosed, against one whose joint centers are known."""

from __future__ import annotations

import multiprocessing
import os
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.evidence import clues_of
from looseends.diagnosis.exact import with_leading_solved
from looseends.diagnosis.explanation import Posterior
from looseends.diagnosis.masking import with_masked_joints
from looseends.diagnosis.posterior import posterior
from looseends.diagnosis.prepare import prepare_tables, table_for
from looseends.diagnosis.shared import with_shared_errors
from looseends.diagnosis.solver import Solver
from looseends.diagnosis.states import plain_odds, reject_clearance, vehicle_states, worn_axes
from looseends.diagnosis.store import default_store
from looseends.diagnosis.table import ResponseTable
from looseends.errors import LooseEndsError, MechanicsError
from looseends.inspection.types import CheckDone
from looseends.mechanics.bodies import Array
from looseends.vehicle.build import holding_of
from looseends.vehicle.groups import groups_of, stem_of
from looseends.vehicle.lean import turned
from looseends.vehicle.own_files import FOLDER_VARIABLE
from looseends.vehicle.scatter import drawn_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Held, hold, nominal_preload, prepare_held
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import SIDES, Part, Vehicle, load_vehicles
from studies.truth import TrueVehicle, Way, draw_vehicle, recorded, shifted

NAME = "tape_vehicles"
TEMPLATE = "yard-pickup"
COUNT = 300
"""Vehicles a row."""

PARTS = 4
"""Parts of each vehicle whose best check is looked for."""

NEARLY = 0.9
"""A check that shows as much as this share of what the best one shows is as good."""

TRIES = 20
"""So often a vehicle is drawn until one can rest in every support."""

OWN_MM, LEAN_DEG = 3.0, 1.0
SHAFT_SPAN_MM = 62.0
"""How far the two ends of an idler shaft or a sector shaft stand apart."""

SETUPS = (
    *(Setup("wheel39", "frame", side, "held", brake, 0.0) for side in SIDES for brake in ("off", "on")),
    *(Setup("wheel126", "arm", side, "held", "off", 0.0) for side in SIDES),
    *(Setup("bj-axial", "arm", side, "held", "off", 0.0) for side in SIDES),
    *(Setup("idler", support, None, "held", "off", 0.0) for support in ("frame", "arm")),
    Setup("dry-park", "wheels", None, "held", "off", 0.0),
)


@dataclass(frozen=True)
class Row:
    """One row: the spread that the file states [mm] (None: the template as it ships), and whether axes are kept."""

    stated_mm: float | None
    axes_kept: bool = True

    @property
    def vehicle_id(self) -> str:
        """The vehicle that the diagnosis believes in."""
        return TEMPLATE if self.stated_mm is None else f"taped-{self.stated_mm:g}"


ROWS = {
    "geometry known": Row(None),
    "10 mm, structure kept": Row(10.0),
    "20 mm, structure kept": Row(20.0),
    "10 mm, ends of axes apart": Row(10.0, axes_kept=False),
}


@dataclass(frozen=True)
class Score:
    """One vehicle of one row: exact set first, false calls, and looked-for parts whose best check was named right."""

    exact_first: bool
    false_calls: int
    best_right: int


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study: every chosen row over drawn vehicles."""
    chosen = {name: row for name, row in ROWS.items() if rows is None or name in rows}
    with tape_vehicles():
        for vehicle_id in dict.fromkeys(row.vehicle_id for row in chosen.values()):
            prepare_tables(load_vehicles()[vehicle_id], store=default_store(), setups=SETUPS, progress=_told)
        with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
            scores = {name: list(pool.map(scored, range(COUNT), [name] * COUNT, chunksize=10)) for name in chosen}
    return {
        "title": "Vehicles that are known by tape",
        "about": (
            f"{COUNT} drawn yard pickups a row, whose joint centers lie elsewhere than those of the template that the "
            "diagnosis believes in; none, one or two parts worn; all else as in studies/truth.py. Where the structure "
            f"is kept each group of joint centers moves as one, {OWN_MM:g} mm of it on each side for itself, and "
            f"shafts and axes lean by {LEAN_DEG:g} degree; else each end of a shaft or an axis moves for itself, so "
            "that short shafts lean by many degrees. The best check is that in which a part at its reject clearance "
            f"moves most at some watch; one that shows {NEARLY:.0%} of that counts too. Read by gauge, in "
            f"{len(SETUPS)} setups."
        ),
        "rows": {name: summary(found) for name, found in scores.items()},
    }


def _told(words: str, done: int, steps: int) -> None:
    print(f"  {words}: {done} of {steps}", flush=True)


def summary(scores: Sequence[Score]) -> dict[str, float]:
    """The figures of a row."""
    count = len(scores)
    share = float(np.mean([s.exact_first for s in scores]))
    return {
        "vehicles": count,
        "exact set first %": round(100 * share, 1),
        "standard error of that %": round(100 * float(np.sqrt(share * (1.0 - share) / count)), 1),
        "false calls per vehicle": round(sum(s.false_calls for s in scores) / count, 3),
        "best check right %": round(100 * sum(s.best_right for s in scores) / (PARTS * count), 1),
    }


@contextmanager
def tape_vehicles() -> Iterator[None]:
    """The template with each stated spread, as vehicles of a user's own for as long as the block lasts."""
    before = os.environ.get(FOLDER_VARIABLE)
    with tempfile.TemporaryDirectory() as folder:
        for row in ROWS.values():
            if row.stated_mm is not None:
                (Path(folder) / f"{row.vehicle_id}.toml").write_text(_text(row), encoding="utf-8")
        os.environ[FOLDER_VARIABLE] = folder
        try:
            yield
        finally:
            os.environ.pop(FOLDER_VARIABLE)
            if before is not None:
                os.environ[FOLDER_VARIABLE] = before


def _text(row: Row) -> str:
    text = (resources.files("looseends.vehicle") / "data" / "vehicles" / f"{TEMPLATE}.toml").read_text(encoding="utf-8")
    lines = [text.replace(f'id = "{TEMPLATE}"', f'id = "{row.vehicle_id}"', 1), "[spread]"]
    for name, group in groups_of(load_vehicles()[TEMPLATE]).items():
        lean = f", lean_deg = {LEAN_DEG}" if group.lean_deg is not None else ""
        lines.append(f"{name} = {{ common_mm = {row.stated_mm}, own_mm = {OWN_MM}{lean} }}")
    return "\n".join(lines) + "\n"


def scored(seed: int, name: str) -> Score:
    """One drawn vehicle of a row, read, diagnosed and compared with the truth."""
    row = ROWS[name]
    believed = load_vehicles()[row.vehicle_id]
    true, true_vehicle = _drawn(believed, row, seed)
    rng = np.random.default_rng([seed, 2])
    checks = recorded(true, SETUPS, Way.drawn("dead zone", rng), None, rng)
    found = _diagnosed(checks, believed)
    worn, any_wear = (true.parts(believed, least_share=share) for share in (1.0, 0.5))
    first = frozenset(found.leading(1)[0][0].parts)
    called = {s.part.id for s in vehicle_states(believed, load_beliefs()) if _called(found, s.part.id)}
    return Score(worn <= first <= any_wear, len(called - any_wear), _best_right(believed, true_vehicle, seed))


def _drawn(believed: Vehicle, row: Row, seed: int) -> tuple[TrueVehicle, Vehicle]:
    """A drawn vehicle with what it shows, and with its joint centers; one that cannot rest is drawn again."""
    for number in range(TRIES):
        kept: list[Vehicle] = []

        def elsewhere(vehicle: Vehicle, rng: np.random.Generator, kept: list[Vehicle] = kept) -> Vehicle:
            kept.append(_elsewhere(vehicle, row, rng))
            return kept[0]

        try:
            true = draw_vehicle(believed, SETUPS, np.random.default_rng([seed, 1, number]), elsewhere)
        except MechanicsError:
            continue
        return true, kept[0]
    raise LooseEndsError(f"{NAME}: vehicle {seed} of {row} cannot rest in {TRIES} draws")


def _called(found: Posterior, part: str) -> bool:
    return found.marginal(part) >= load_beliefs().worn_at_least


def _elsewhere(vehicle: Vehicle, row: Row, rng: np.random.Generator) -> Vehicle:
    """The vehicle with its joint centers moved as the row says."""
    if row.stated_mm is None:
        return shifted(vehicle, rng)
    drawn = drawn_vehicle(vehicle, rng, 0.0, 0.0)
    return drawn if row.axes_kept else _ends_apart(drawn, row.stated_mm, rng)


def _ends_apart(vehicle: Vehicle, apart_mm: float, rng: np.random.Generator) -> Vehicle:
    """The vehicle with each end of every shaft and axis moved for itself, both sides alike."""
    points, layout = dict(vehicle.points), vehicle.layout
    for group in (group for group in groups_of(vehicle).values() if group.lean_deg is not None):
        layout = turned(layout, group.turned, rng.normal(0.0, np.sqrt(2.0) * apart_mm / SHAFT_SPAN_MM, 2))
        moves = {stem: rng.normal(0.0, apart_mm, 3) for stem in group.points}
        for name in (name for name in vehicle.points if stem_of(name) in moves and not group.turned):
            mirror = np.array([1.0, -1.0 if name.endswith("-right") else 1.0, 1.0])
            x, y, z = (float(v) for v in vehicle.point(name) + mirror * moves[stem_of(name)])
            points[name] = (x, y, z)
    return replace(vehicle, points=points, layout=layout)


def _diagnosed(checks: Sequence[CheckDone], vehicle: Vehicle) -> Posterior:
    beliefs = load_beliefs()
    states = vehicle_states(vehicle, beliefs)
    odds = plain_odds(states, beliefs)
    clues = clues_of(checks, {c.number: _table(vehicle.id, c.setup) for c in checks}, states, beliefs)
    solved = with_leading_solved(posterior(states, odds, clues, beliefs), vehicle, clues, beliefs)
    return with_masked_joints(with_shared_errors(solved, clues, beliefs), beliefs)


@cache
def _table(vehicle_id: str, setup: Setup) -> ResponseTable:
    return table_for(load_vehicles()[vehicle_id], setup, default_store())


def _best_right(believed: Vehicle, true: Vehicle, seed: int) -> int:
    """For how many of some parts the check that the template calls best is the best on the true vehicle."""
    candidates = [part for part in believed.wearable if worn_axes(part)]
    looked_for = np.random.default_rng([seed, 3]).choice(len(candidates), PARTS, replace=False)
    chosen = [candidates[number] for number in looked_for]
    shown, foreseen = _moved_most(true, believed.id, chosen), _foreseen(believed.id)
    right = 0
    for part, on_true in zip(chosen, shown.T, strict=True):
        right += bool(on_true[foreseen[part.id]] >= NEARLY * on_true.max())
    return right


@cache
def _foreseen(vehicle_id: str) -> dict[str, int]:
    """Number of the setup that shows each part best on the vehicle that the diagnosis believes in."""
    vehicle = load_vehicles()[vehicle_id]
    parts = [part for part in vehicle.wearable if worn_axes(part)]
    best = np.argmax(_moved_most(vehicle, vehicle_id, parts), axis=0)
    return {part.id: int(number) for part, number in zip(parts, best, strict=True)}


def _moved_most(vehicle: Vehicle, preload_of: str, parts: Sequence[Part]) -> Array:
    """Largest change (setups, parts) [mm] at any watch with each part at its reject clearance along its first axis."""
    specimen, standing = nominal_specimen(vehicle), dict[Setup, Held]()
    worn = [{(part.id, worn_axes(part)[0]): reject_clearance(part, worn_axes(part)[0])} for part in parts]
    rows = []
    for setup in SETUPS:
        holding = holding_of(vehicle, setup)
        if holding not in standing:
            standing[holding] = hold(vehicle, specimen, setup, nominal_preload(preload_of))
        solver = Solver(vehicle, specimen, prepare_held(vehicle, standing[holding], setup))
        rows.append(np.abs(solver.changes(worn)[:, :, 0]).max(axis=1))
    return np.array(rows)
