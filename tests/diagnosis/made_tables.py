"""Tables, readings and visits made by hand, so that every number in a test is known."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

import numpy as np

from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.observed.evidence import Clue, clues_of
from looseends.diagnosis.tables.pairs import shown_beside
from looseends.diagnosis.tables.states import PartStates, part_states
from looseends.diagnosis.tables.table import PairCorrection, ResponseTable
from looseends.inspection.types import CheckDone, ConditionSeen, Grade, Reading, Visit
from looseends.mechanics.bodies import Array
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck
from looseends.vehicle.vehicle import Vehicle

CARRIER = "lower-ball-joint-left"
FOLLOWER = "upper-ball-joint-left"
BEARING = "wheel-bearing-left"
JAM_NUT = "tie-rod-jam-nut-left"
TREAD = "tread-lift"
ON_ARM = Setup("bj-axial", "arm", "left", "held", "off", 0.0)
ON_FRAME = Setup("bj-axial", "frame", "left", "held", "off", 0.0)
LOCKED = Setup("bj-axial", "arm", "left", "held", "off", 200.0)
IDLER = Setup("idler", "frame", None, "held", "off", 0.0)
WATCHES = (CARRIER, FOLLOWER, BEARING, TREAD)


def yard_pickup() -> Vehicle:
    """The vehicle of the training bay."""
    return load_vehicles()["yard-pickup"]


def beliefs() -> Beliefs:
    """The beliefs that ship."""
    return load_beliefs()


def states_of(*parts: str) -> tuple[PartStates, ...]:
    """The worn states of parts of the yard pickup."""
    return tuple(part_states(yard_pickup().parts[part], beliefs()) for part in parts)


def made_table(
    singles: Mapping[str, Array],
    *,
    setup: Setup = ON_ARM,
    watches: Sequence[str] = WATCHES,
    sound: Sequence[Sequence[float]] | None = None,
    spread: float = 0.1,
    pairs: Mapping[tuple[str, str], PairCorrection] | None = None,
    shares: Mapping[str, Array] | None = None,
) -> ResponseTable:
    """A table whose vehicle does not exist: nothing is settled and nothing solved. Lengths in mm."""
    spreads, corrections = np.full((len(watches), 2), spread), dict(pairs or {})
    return ResponseTable(
        setup=setup,
        prepared=PreparedCheck(setup, (), {}, {}),
        watches=tuple(watches),
        sound=np.array(sound if sound is not None else [[0.2, 0.1]] * len(watches)),
        spread=spreads,
        singles=dict(singles),
        pairs=corrections,
        shares={part: _of_both(found) for part, found in (shares or {}).items()},
        beside=shown_beside(corrections, singles, spreads),
    )


def _of_both(shares: Array) -> Array:
    """Shares (m, k, 2) that are the same of movement in all and of free travel, from shares (m, k)."""
    return shares if shares.ndim == 3 else np.repeat(shares[..., None], 2, axis=2)


def growing(states: PartStates, share: Mapping[int, float], watches: int = len(WATCHES)) -> Array:
    """Change (s, k, 2) [mm] that shows a share of the leading clearance at some watches, all of it free."""
    change = np.zeros((len(states.weight), watches, 2))
    for watch, part_of in share.items():
        change[:, watch, :] = part_of * states.clearance(0)[:, None]
    return change


def gauge(watch: str, reading_mm: float, free_mm: float | None = None) -> Reading:
    """A gauge reading in all, with the dead zone in it where that was read too."""
    return Reading(watch, "gauge", reading_mm, None, "", free_mm)


def by_hand(watch: str, grade: Grade) -> Reading:
    """A grade by hand."""
    return Reading(watch, "hand", None, grade, "")


def check_done(
    *readings: Reading,
    setup: Setup = ON_ARM,
    number: int = 1,
    stop_gap_mm: float | None = 12.0,
    passed: Sequence[str] = (),
) -> CheckDone:
    """A check as recorded."""
    gap = stop_gap_mm if setup.support == "arm" else None
    return CheckDone(number, setup, gap, "Ines Calder", readings, tuple(passed), "")


def made_clues(table: ResponseTable, states: Sequence[PartStates], *readings: Reading) -> tuple[Clue, ...]:
    """Readings of one check laid against one table."""
    return clues_of([check_done(*readings, setup=table.setup)], {1: table}, states, beliefs())


def seen(part: str, condition: str) -> ConditionSeen:
    """A condition that somebody saw."""
    return ConditionSeen(1, part, condition, "Ines Calder", "")


def visit(*checks: CheckDone, conditions: Sequence[ConditionSeen] = ()) -> Visit:
    """A visit of the yard pickup."""
    return Visit(
        vehicle="yard-pickup", date=datetime.date(2026, 10, 14), place="", technician="Ines Calder", plate="",
        odometer_km=None, customer="", complaint="", jurisdiction="us-federal", checks=checks,
        conditions=tuple(conditions), not_checked=(),
    )  # fmt: skip
