"""How often whole visits are right, on four layouts: routes, observers, and what goes wrong on paper."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from looseends.diagnosis.tables.prepare import prepare_tables
from looseends.diagnosis.tables.store import default_store
from looseends.errors import InputError
from looseends.vehicle.loading import load_vehicles
from studies.kept import kept_or
from studies.truth import drawn_standing
from studies.visits_bay import bay_of, drawn_complaint
from studies.visits_bound import fixed_plan
from studies.visits_score import Score, interval, scored, summary
from studies.visits_slips import Slip, at_least_slight, one_wild, sides_mixed_up
from studies.visits_taken import (
    MOST_MINUTES_MORE,
    MOST_STEPS_MORE,
    OBSERVERS,
    PATHS,
    Observer,
    Paper,
    Path,
    Shaken,
    Taken,
    by_of,
    taken,
)

NAME = "visits"
LAYOUTS = ("yard-pickup", "pilots-sedan", "crew-van", "harbour-runabout")
COUNT, COUNT_BESIDE = 60, 13
"""Vehicles of each layout, and how many of them, the first, in rows beside the main ones.

VISITS_VEHICLES in the environment asks for fewer of the same.
"""

FIRST = 7100
"""Number of the first one: those of lower numbers were looked at while the diagnosis was made, and are not counted."""

_FEWER = "VISITS_VEHICLES"

WORN_COUNT_CHANCES = (0.15, 0.3, 0.25, 0.2, 0.1)
"""Chance of no, one, two, three or four worn parts, fixed before anything was computed."""


@dataclass(frozen=True)
class Row:
    """One way to take a visit.

    Where it follows the complaint it is bound by `minutes`, or by a `share` of those that the same person's full route
    takes on this vehicle, with what is asked after it. Where it is `asked`, what the tool names next is done after the
    route until it says enough. `said`: a novice is called one on paper. `slip` is what goes wrong on paper.
    """

    path: Path
    observer: Observer
    minutes: float | None = None
    share: float | None = None
    asked: bool = False
    said: bool = True
    slip: Slip | None = None

    @property
    def beside(self) -> bool:
        """Whether it stands beside the main rows: nothing asked after the route, or a slip on paper."""
        silent = self.path == "full route" and not self.asked
        return silent or self.slip is not None


ROWS: Mapping[str, Row] = {
    "full route by gauges": Row("full route", "gauges", asked=True),
    "full route by gauges and nothing after it": Row("full route", "gauges"),
    "full route by eye and hand": Row("full route", "eye and hand", asked=True),
    "full route by eye and hand and nothing after it": Row("full route", "eye and hand"),
    "full route by a novice": Row("full route", "novice", asked=True),
    "full route by a novice and nothing after it": Row("full route", "novice"),
    "full route by a novice of whom nobody says so": Row("full route", "novice", asked=True, said=False),
    "complaint first by gauges": Row("complaint first", "gauges", 15.0),
    "complaint first by eye and hand": Row("complaint first", "eye and hand", 15.0),
    "complaint first by a novice": Row("complaint first", "novice", 15.0),
    "complaint first within two fifths by gauges": Row("complaint first", "gauges", share=0.4),
    "complaint first within two fifths by eye and hand": Row("complaint first", "eye and hand", share=0.4),
    "wheel shake by gauges": Row("wheel shake", "gauges"),
    "wheel shake by eye and hand": Row("wheel shake", "eye and hand"),
    "wheel shake by a novice": Row("wheel shake", "novice"),
    "one wild reading": Row("full route", "gauges", asked=True, slip=one_wild),
    "one wild reading and nothing after it": Row("full route", "gauges", slip=one_wild),
    "sides mixed up in one check": Row("full route", "gauges", asked=True, slip=sides_mixed_up),
    "sides mixed up in one check and nothing after it": Row("full route", "gauges", slip=sides_mixed_up),
    "all at least slight": Row("full route", "eye and hand", slip=at_least_slight),
}


def run(rows: list[str] | None) -> dict[str, Any]:
    """The study; `rows` are rows' names, with all layouts, or layouts' names, with all rows."""
    layouts, names = chosen(NAME, rows, ROWS)
    count = _count()
    for layout in layouts:
        prepare_tables(load_vehicles()[layout], store=default_store(), progress=_told)
    scores = {layout: _visits(layout, names, count) for layout in layouts}
    return result(scores, names) | {"plans fixed beforehand": fixed_plans(scores)}


def fixed_plans(scores: Mapping[str, Sequence[Mapping[str, Score]]]) -> dict[str, Any]:
    """What a plan fixed beforehand could prove in the minutes that the short visits of each layout took."""
    found = {}
    for layout, vehicles in scores.items():
        for name in (name for name, row in ROWS.items() if row.share is not None):
            taken = [one[name].minutes for one in vehicles if name in one]
            if taken:
                minutes = float(np.mean(taken))
                plan = fixed_plan(bay_of(layout), by_of(ROWS[name].observer), minutes, WORN_COUNT_CHANCES)
                found[f"{layout}: {ROWS[name].observer}"] = plan
    return found


def result(scores: Mapping[str, Sequence[Mapping[str, Score]]], names: Sequence[str]) -> dict[str, Any]:
    """What the study tells of the vehicles of each layout, as many of each, in some rows."""
    layouts, count = list(scores), min(map(len, scores.values()))
    of_layout = {
        layout: {name: [one[name] for one in scores[layout] if name in one] for name in names} for layout in layouts
    }
    together = {name: [one for layout in layouts for one in of_layout[layout][name]] for name in names}
    return {
        "title": "Whole visits on vehicles that are not the model",
        "about": (
            f"{count} drawn vehicles of each of {len(layouts)} layouts, none to four parts worn; the first "
            f"{min(count, COUNT_BESIDE)} of them in rows with nothing asked after the route or a slip on paper. "
            "Truth as in "
            "studies/truth.py: other stiffness, sound clearance, joint centers, hand force, thresholds and scatter "
            "than the inference assumes, 2 % wrong readings, 2 % masked joints. Each comes with a complaint that one "
            "of its worn parts may cause, and the judgement knows it. A part counts as worn from its reject clearance "
            "and as sound below half of it; the band between counts neither way. Grave is play over twice the reject "
            "clearance in a ball joint of the steering or a carrier that is not masked, missed where its chance to be "
            "worn is below 0.5. A visit does what the tool asks for: rows of a full route go on after it, with the "
            "step that the tool names next (a reading again, another check), until it says enough, for "
            f"{MOST_MINUTES_MORE:g} minutes and {MOST_STEPS_MORE} steps at most; the goals for full routes speak of "
            "these rows, and so it is where one reading or one check went wrong on paper. Beside them stand rows in "
            "which nothing is asked after the route. A masked part shows in no reading, so that no visit finds its "
            "set: masked parts apart, they count neither way. Looks (a hand on the strut's top, the wrench on clamps, "
            "brackets and jam nuts) are done where the route or the tool asks for them, and their minutes count. The "
            "tool takes them as it ships: one chance to see wear and one of a false call for all. They are drawn "
            "otherwise (studies/visits_looks.py): each person sees wear of the reject clearance with a chance of "
            "their own, 85 % in the middle and not the catalogue's 90 %, one in six with a seventh of the odds, a "
            "novice with a third; wear of twice the size has twice the odds, and each part shows more or less plainly; "
            "on half to eight of a hundred sound parts something seems to be there, and as many answers are put down "
            "wrong as readings. The wild reading has an answer of a look put down the wrong way beside it, sides may "
            "be mixed up in a look, and who calls all at least slight finds something on half of the sound parts. Only "
            "wear is drawn: looks at springs, dampers and the frame find nothing but by mistake. All worn parts in "
            "reach: some visit within the time could prove every worn part, "
            "each by one check or look; no visit can be expected to find more sets. Plans fixed beforehand: the checks "
            "and looks that prove the most in the minutes of the short visits, by an exact solver, and how often they "
            "hold all parts that are worn, of 4,000 vehicles (studies/visits_bound.py): what a visit finds beyond "
            "that it owes to the complaint, to planning anew after each reading, and to what tells without proving."
        ),
        "goals": _goals(together),
        "all layouts": {name: summary(found) for name, found in together.items()},
        "rows": {
            f"{layout}: {name}": summary(found) for layout in layouts for name, found in of_layout[layout].items()
        },
    }


def chosen(study: str, rows: list[str] | None, known: Collection[str]) -> tuple[list[str], list[str]]:
    """Layouts and rows' names that are asked for, of those `known` to a study of visits.

    Raises
    ------
    InputError
        If a word is neither.
    """
    asked = rows or []
    for word in asked:
        if word not in known and word not in LAYOUTS:
            raise InputError(
                f'study "{study}": ROW must be one of {"; ".join(known)} or a layout of {", ".join(LAYOUTS)}, '
                f'found "{word}".'
            )
    layouts = [layout for layout in LAYOUTS if layout in asked] or list(LAYOUTS)
    return layouts, [name for name in known if name in asked] or list(known)


def _told(words: str, done: int, steps: int) -> None:
    print(f"  {words}: {done} of {steps}", flush=True)


def _count() -> int:
    """Vehicles of each layout.

    Raises
    ------
    InputError
        If fewer are asked for by a word that is no such number.
    """
    given = os.environ.get(_FEWER, str(COUNT))
    if not given.isdecimal() or not 1 <= int(given) <= COUNT:
        raise InputError(f'study "{NAME}": {_FEWER} must be a whole number from 1 to {COUNT}, found "{given}".')
    return int(given)


def _visits(layout: str, names: Sequence[str], count: int) -> list[dict[str, Score]]:
    with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
        asked = [_names_of(number, names) for number in range(count)]
        seeds = range(FIRST, FIRST + count)
        found: Iterable[dict[str, Score]] = pool.map(_kept_scores, [layout] * count, seeds, asked, chunksize=1)
        scores = []
        for score in found:
            scores.append(score)
            if len(scores) % 6 == 0:
                _told(f"{layout}, vehicles", len(scores), count)
    return scores


def _names_of(number: int, names: Sequence[str]) -> tuple[str, ...]:
    """The rows that a layout's vehicle of this number is taken in."""
    return tuple(name for name in names if number < COUNT_BESIDE or not ROWS[name].beside)


def _kept_scores(layout: str, seed: int, names: Sequence[str]) -> dict[str, Score]:
    return kept_or(NAME, layout, seed, names, visit_scores)


def visit_scores(layout: str, seed: int, names: Sequence[str]) -> dict[str, Score]:
    """One drawn vehicle of a layout in some rows.

    Its wear, its movements and its complaint are the same in all, and so is who reads along the same path: rows that
    differ by a slip or by what is taken again differ by that alone.
    """
    bay, key = bay_of(layout), (LAYOUTS.index(layout), seed)
    true = drawn_standing(bay.vehicle, np.random.default_rng([*key, 1]), count_chances=WORN_COUNT_CHANCES)
    shaken = Shaken(true, bay, drawn_complaint(true, np.random.default_rng([*key, 2])), (*key, 3))

    @cache
    def visit(name: str) -> Taken:
        row = ROWS[name]
        reader = np.random.default_rng([*key, 4, PATHS.index(row.path), OBSERVERS.index(row.observer)])
        return taken(shaken, row.path, row.observer, bound(row), row.asked, reader, _slipped(row, key), said=row.said)

    def bound(row: Row) -> float | None:
        return row.minutes if row.share is None else row.share * visit(f"full route by {row.observer}").minutes

    scores = {}
    for name in names:
        row, done = ROWS[name], visit(name)
        least = bay.least_minutes(true.parts(bay.vehicle, least_share=1.0), by_of(row.observer))
        in_reach = least < float("inf") and least <= (bound(row) or float("inf"))
        scores[name] = scored(true, shaken.diagnosed(done.paper), done.paper.checks, done.minutes, in_reach)
    return scores


def _slipped(row: Row, key: tuple[int, int]) -> Callable[[Paper], Paper] | None:
    """What goes wrong on the paper of a row, the same with whatever is asked after it."""
    slip = row.slip
    return None if slip is None else lambda paper: slip(paper, np.random.default_rng([*key, 5]))


def _goals(together: Mapping[str, Sequence[Score]]) -> list[Mapping[str, Any]]:
    """What was wished before anything was computed, and what came out; only of rows that were run."""
    rows = {name: summary(scores) for name, scores in together.items()}
    found: list[Mapping[str, Any]] = []
    for name, row in rows.items():
        least = 95.0 if ROWS[name].observer == "gauges" else 80.0
        if ROWS[name].asked and ROWS[name].observer != "novice" and not ROWS[name].slip:
            found.append(_goal(f"{name}: exact set first %", float(row["exact set first %"]), least=least))
        if ROWS[name].path == "complaint first" and (full := rows.get(f"full route by {ROWS[name].observer}")):
            for measure, bounds in (("exact set first %", {"least": 90.0}), ("minutes", {"most": 40.0})):
                share = round(100.0 * float(row[measure]) / max(float(full[measure]), 1e-9), 1)
                found.append(_goal(f"{name}: {measure}, % of the full route's", share, **bounds))
        found.append(_goal(f"{name}: above 0.9, worn %", float(row["above 0.9, worn %"]), least=95.0))
        if ROWS[name].slip:
            gain = round(float(row["log score"]) - float(row["prior's log score"]), 3)
            found.append(_goal(f"{name}: log score above the prior's", gain, least=0.0))
    routes = [name for name in together if ROWS[name].path == "full route"]
    for words, names in (("full routes", routes), ("full routes gone on with", [n for n in routes if ROWS[n].asked])):
        pooled = [score for name in names for score in together[name]]
        if grave := sum(score.grave for score in pooled):
            missed = sum(score.grave_missed for score in pooled)
            low, high = interval(missed, grave)
            words += f": grave play missed %, of {grave}, 95 % interval {100 * low:.1f} to {100 * high:.1f}"
            found.append(_goal(words, round(100.0 * missed / grave, 1), most=1.0))
    return found


def _goal(words: str, value: float, *, least: float | None = None, most: float | None = None) -> Mapping[str, Any]:
    wished = f"at least {least:g}" if least is not None else f"at most {most:g}"
    met = value >= least if least is not None else most is not None and value <= most
    return {"goal": words, "wished": wished, "found": value, "met": "yes" if met else "no"}
