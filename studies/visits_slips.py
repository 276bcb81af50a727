"""What goes wrong between the wheel and the paper of a visit in the study."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from looseends.inspection.types import GRADES, CheckDone, Reading
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import SIDES
from studies.visits_looks import one_turned_round, too_much_there
from studies.visits_taken import Paper

Slip = Callable[[Paper, np.random.Generator], Paper]
"""What goes wrong between the wheel and the paper."""

WILD_MM = (3.0, 8.0)
"""A wild gauge reading, with half of it or more taken for dead zone."""


def one_wild(paper: Paper, rng: np.random.Generator) -> Paper:
    """One reading of the visit is wild, and one answer of its looks the wrong way round."""
    checks = paper.checks
    places = [(i, k) for i, done in enumerate(checks) for k in range(len(done.readings))]
    i, k = places[int(rng.integers(len(places)))]
    total = float(np.round(rng.uniform(*WILD_MM), 2))
    free = float(np.round(total * rng.uniform(0.5, 1.0), 2))
    readings = list(checks[i].readings)
    readings[k] = Reading(readings[k].watch, "gauge", total, None, "", free)
    wild = replace(checks[i], readings=tuple(readings))
    return replace(paper, checks=(*checks[:i], wild, *checks[i + 1 :]), seen=one_turned_round(paper.seen, rng))


def sides_mixed_up(paper: Paper, rng: np.random.Generator) -> Paper:
    """In one check or look that was done on both sides, left is written down as right and right as left."""
    there = {done.setup for done in paper.checks}
    both = [done.setup for done in paper.checks if done.setup.side == "left" and _other(done.setup) in there]
    if not both:
        return paper
    mixed = both[int(rng.integers(len(both)))]
    checks = tuple(_mirrored(done) if done.setup in (mixed, _other(mixed)) else done for done in paper.checks)
    seen = tuple(replace(one, part=_across(one.part)) if one.note == mixed.check else one for one in paper.seen)
    return replace(paper, checks=checks, seen=seen)


def at_least_slight(paper: Paper, rng: np.random.Generator) -> Paper:
    """Whoever looks calls nothing none, and much there that is not."""
    checks = tuple(
        replace(done, readings=tuple(_slight(reading) for reading in done.readings)) for done in paper.checks
    )
    return replace(paper, checks=checks, seen=too_much_there(paper.seen, rng))


def _slight(reading: Reading) -> Reading:
    return replace(reading, grade=GRADES[1]) if reading.grade == GRADES[0] else reading


def _other(setup: Setup) -> Setup:
    return replace(setup, side=SIDES[setup.side == SIDES[0]])


def _mirrored(done: CheckDone) -> CheckDone:
    readings = tuple(replace(reading, watch=_across(reading.watch)) for reading in done.readings)
    return replace(done, setup=_other(done.setup), readings=readings)


def _across(watch: str) -> str:
    """The same place on the other side."""
    swap = {"left": "right", "right": "left"}
    return "-".join(swap.get(word, word) for word in watch.replace(".axial", "-.axial").split("-")).replace("-.", ".")
