"""How often grave play is missed: whole visits to vehicles that all have some, so that enough of it is seen."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from itertools import count, islice
from typing import Any

import numpy as np

from looseends.diagnosis.tables.prepare import prepare_tables
from looseends.diagnosis.tables.store import default_store
from looseends.vehicle.loading import load_vehicles
from studies.kept import kept_or
from studies.truth import drawn_standing
from studies.visits import LAYOUTS, WORN_COUNT_CHANCES, chosen, visit_scores
from studies.visits_score import Score, grave_parts, interval

NAME = "grave_play"
ROWS: Mapping[str, str] = {
    "grave play by gauges": "full route by gauges",
    "grave play by eye and hand": "full route by eye and hand",
}
"""The rows, each with the row of the study of visits that its vehicles are taken in."""

COUNT, FIRST = 45, 8000
"""Vehicles of each layout, and the number that the first is looked for from; others were looked at before."""

GOAL = 1.0
"""Of a hundred parts with grave play fewer than this are to be missed."""


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study; `rows` are rows' names or layouts' names."""
    layouts, names = chosen(NAME, rows, ROWS)
    scores: dict[str, list[Mapping[str, Score]]] = {}
    for layout in layouts:
        prepare_tables(load_vehicles()[layout], store=default_store())
        with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
            seeds = list(islice(with_grave_play(layout), COUNT))
            scores[layout] = list(pool.map(scores_of, [layout] * COUNT, seeds, [names] * COUNT, chunksize=1))
        print(f"  {layout}: {COUNT} vehicles", flush=True)
    return result(scores, names)


def scores_of(layout: str, seed: int, names: Sequence[str]) -> dict[str, Score]:
    """One vehicle's scores in some of the rows."""
    found = kept_or(NAME, layout, seed, [ROWS[name] for name in names], visit_scores)
    return {name: found[ROWS[name]] for name in names}


def with_grave_play(layout: str) -> Iterator[int]:
    """Numbers of drawn vehicles, as the study of visits draws them, with grave play that is not masked."""
    vehicle = load_vehicles()[layout]
    for seed in count(FIRST):
        rng = np.random.default_rng([LAYOUTS.index(layout), seed, 1])
        true = drawn_standing(vehicle, rng, count_chances=WORN_COUNT_CHANCES)
        if grave_parts(true, vehicle) - true.masked:
            yield seed


def result(scores: Mapping[str, Sequence[Mapping[str, Score]]], names: Sequence[str]) -> dict[str, Any]:
    """What the study tells of the vehicles of each layout."""
    every = [one for of_layout in scores.values() for one in of_layout]
    pooled = [one[name] for one in every for name in names]
    grave, missed = sum(one.grave for one in pooled), sum(one.grave_missed for one in pooled)
    low, high = interval(missed, grave)
    return {
        "title": "Grave play in whole visits",
        "about": (
            f"{len(every)} drawn vehicles of {len(scores)} layouts, drawn as in the study of whole visits: all, in the "
            "order of their numbers, that have play over twice the reject clearance in a ball joint "
            "of the steering or a carrier that grease or rust does not mask. Each is visited along the full route, and "
            "then with what the tool asks for next, by gauges and by eye and hand. Missed is where its chance to be "
            "worn is below 0.5 at the end."
        ),
        "goals": [
            {
                "goal": f"grave play missed %, of {grave}, 95 % interval {100 * low:.1f} to {100 * high:.1f}",
                "wished": f"under {GOAL:g}",
                "found": round(100.0 * missed / max(grave, 1), 2),
                "met": "yes" if 100.0 * missed < GOAL * grave else "no",
            }
        ],
        "all layouts": {name: row_of([one[name] for one in every]) for name in names},
        "rows": {
            f"{layout}: {name}": row_of([one[name] for one in of_layout])
            for layout, of_layout in scores.items()
            for name in names
        },
    }


def row_of(scores: Sequence[Score]) -> dict[str, Any]:
    """One row: vehicles, their parts with grave play, and how many of these were missed or called sound."""
    grave, missed = sum(one.grave for one in scores), sum(one.grave_missed for one in scores)
    low, high = interval(missed, grave)
    return {
        "vehicles": len(scores),
        "grave play": grave,
        "missed": missed,
        "its 95 % interval %": f"{100 * low:.1f} to {100 * high:.1f}",
        "called sound": sum(one.grave_sound for one in scores),
        "exact set first %": round(100.0 * float(np.mean([one.exact_first for one in scores])), 1),
        "false calls per vehicle": round(float(np.mean([one.false_calls for one in scores])), 3),
        "minutes": round(float(np.mean([one.minutes for one in scores])), 1),
    }
