"""How well tables that add single parts and correct pairs foretell sets of up to four worn parts."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np

from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.tables.prepare import prepare_tables, table_for
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import PartStates, vehicle_states
from looseends.diagnosis.tables.store import default_store
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle

NAME = "table_accuracy"
VEHICLE = "yard-pickup"
SETS = 2000
DRAWS = (
    ("as wear is believed", False, 4),
    ("all states alike", True, 4),
    ("one or two parts as wear is believed", False, 2),
)
"""How sets are drawn: words, all states alike, and how many parts are worn at most."""
MOVES_MM, GOOD_MM, GOOD_SHARE = 0.1, 0.02, 0.02
ROWS = {
    "wheel39 on frame": Setup("wheel39", "frame", "left", "held", "off", 0.0),
    "wheel39 on arm": Setup("wheel39", "arm", "left", "held", "off", 0.0),
    "wheel126 on arm": Setup("wheel126", "arm", "left", "held", "off", 0.0),
    "bj-axial on arm": Setup("bj-axial", "arm", "left", "held", "off", 0.0),
    "bushpry on ride": Setup("bushpry", "ride", "left", "held", "off", 0.0),
    "idler on frame": Setup("idler", "frame", None, "held", "off", 0.0),
}


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study: every chosen setup over the same drawn sets."""
    chosen = {name: setup for name, setup in ROWS.items() if rows is None or name in rows}
    vehicle, beliefs = load_vehicles()[VEHICLE], load_beliefs()
    prepare_tables(vehicle, store=default_store(), setups=tuple(chosen.values()))
    found = {}
    for name, setup in chosen.items():
        table = table_for(vehicle, setup, default_store())
        for words, even, most in DRAWS:
            rng = np.random.default_rng(17)
            told, exact = compared(vehicle, table, beliefs, SETS, rng, even=even, most=most)
            found[f"{name}, {words}"] = _summary(told, exact)
    return {
        "title": "Tables of single parts and pairs against exact solutions",
        "about": (
            f"{SETS} drawn sets of one to four worn parts of the yard pickup a row, in states of the table: once as "
            "the diagnosis believes wear to be spread, once all states alike, up to eight times the reject clearance; "
            "and once with one or two worn parts only, which is all that the diagnosis asks tables for. "
            f"Of the readings that move by more than {MOVES_MM} mm: share within {GOOD_MM} mm or {GOOD_SHARE:.0%} of "
            "the exact change, the error that 99 % keep to, and the worst, for the movement in all and for its dead "
            "zone. Leading sets of a judgement are solved exactly and do not hang on this."
        ),
        "rows": found,
    }


def compared(
    vehicle: Vehicle,
    table: ResponseTable,
    beliefs: Beliefs,
    count: int,
    rng: np.random.Generator,
    *,
    even: bool = False,
    most: int = 4,
) -> tuple[Array, Array]:
    """Change told by the table and exact change (n, k, 2) [mm] of drawn sets of one to so many worn parts."""
    states = vehicle_states(vehicle, beliefs)
    sets = [_drawn(states, rng, even, most) for _ in range(count)]
    solver = Solver(vehicle, nominal_specimen(vehicle), table.prepared)
    exact = solver.changes([{k: mm for s, state in worn for k, mm in s.worn(state).items()} for worn in sets])
    return np.array([_told(table, worn) for worn in sets]), exact


def _drawn(
    states: tuple[PartStates, ...], rng: np.random.Generator, even: bool, most: int
) -> list[tuple[PartStates, int]]:
    chosen = sorted(rng.choice(len(states), int(rng.integers(1, most + 1)), replace=False))
    return [(states[i], int(rng.choice(len(states[i].weight), p=None if even else states[i].weight))) for i in chosen]


def _told(table: ResponseTable, worn: list[tuple[PartStates, int]]) -> Array:
    told = np.zeros((len(table.watches), 2))
    for s, state in worn:
        told += table.change(s.part.id, len(s.weight))[state]
    for (a, i), (b, j) in combinations(worn, 2):
        correction = table.correction(a.part.id, b.part.id)
        if correction is not None:
            told += correction.of_states(i, j)
    return told


def share_good(told: Array, exact: Array) -> float:
    """Share of the readings that move which the table tells within the limits."""
    moved = np.abs(exact) > MOVES_MM
    off = np.abs(told - exact)[moved]
    return float(np.mean(off <= np.maximum(GOOD_MM, GOOD_SHARE * np.abs(exact)[moved])))


def _summary(told: Array, exact: Array) -> dict[str, float]:
    found: dict[str, float] = {}
    for which, words in enumerate(("in all", "dead zone")):
        moved = np.abs(exact[..., which]) > MOVES_MM
        off = np.abs(told - exact)[..., which][moved]
        found |= {
            f"readings {words}": int(np.sum(moved)),
            f"good {words} %": round(100.0 * share_good(told[..., which], exact[..., which]), 2),
            f"99 % within {words} mm": round(float(np.quantile(off, 0.99)), 3),
            f"worst {words} mm": round(float(np.max(off)), 3),
        }
    return found
