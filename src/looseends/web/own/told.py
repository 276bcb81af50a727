"""What is told of an own vehicle: how far each joint center may be off, and what to measure first."""

from __future__ import annotations

import math
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.verdicts.unmeasured import Doubt, cause_words, doubts, measure_words, sharpens_most
from looseends.errors import MechanicsError
from looseends.language import Angle, Length, Percent, Text, say
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import nominal_preload
from looseends.vehicle.tape.known import unknown_shafts, widest_groups
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged.of_vehicle import usual_setups_of

_WEIGHED = ("wheel39", "wheel126", "bj-axial", "idler")
"""Checks in which most of a front end's wear shows, each looked at once, on the left."""


@dataclass(frozen=True)
class CenterSpread:
    """A joint center or an axis: how far it may be off and lean, 1 sigma, and what to measure against it."""

    words: str
    spread: Length
    lean: Angle | None
    measure: str
    unknown: bool


@dataclass(frozen=True)
class Sharpening:
    """The one measurement that takes most doubt away, with its share of it; `done` False while it is worked out."""

    done: bool
    said: Text | str


def center_spreads(vehicle: Vehicle) -> tuple[CenterSpread, ...]:
    """Every joint center, the one that is known least first; none for a vehicle that is known by drawing."""
    if vehicle.spread is None:
        return ()
    unknown = {group.id for group in unknown_shafts(vehicle)}
    leans: Mapping[str, float] = {name: spread.lean for name, spread in vehicle.spread.groups.items()}
    return tuple(
        CenterSpread(
            group.words,
            Length(mm, 0),
            Angle(math.degrees(leans[group.id]), 1) if leans[group.id] else None,
            group.measure,
            group.id in unknown,
        )
        for group, mm in widest_groups(vehicle, len(vehicle.spread.groups))
    )


class Sharpest:
    """Works out in a thread of its own what to measure first, one vehicle at a time, and keeps the answer."""

    def __init__(self) -> None:
        self._known: dict[str, Text | str] = {}
        self._asked: set[str] = set()
        self._lock, self._turn = threading.Lock(), threading.Lock()

    def of(self, vehicle: Vehicle) -> Sharpening:
        """What is known now; the first to ask sets the work going."""
        key = f"{vehicle.id} {vehicle.content}"
        with self._lock:
            if key in self._known:
                return Sharpening(True, self._known[key])
            if key not in self._asked:
                self._asked.add(key)
                threading.Thread(target=self._work_out, args=(key, vehicle), daemon=True).start()
        return Sharpening(False, "")

    def _work_out(self, key: str, vehicle: Vehicle) -> None:
        with self._turn:
            said = sharpest_words(vehicle)
        with self._lock:
            self._known[key] = said


def sharpest_words(vehicle: Vehicle) -> Text:
    """The measurement that the readings of the most telling checks hang on most, in a sentence."""
    try:
        found = [doubt for setup in _weighed(vehicle) for doubt in _doubts(vehicle, setup)]
    except MechanicsError as error:
        return say("What to measure first cannot be told: {why}.", why=error.sentence)
    cause = sharpens_most(found)
    if cause is None:
        return say("No single measurement would sharpen the readings much: what is left is in the joints and the hand.")
    return say(
        "To sharpen the readings most, {measure}: {share} of their doubt hangs on {cause}.",
        measure=measure_words(cause, vehicle),
        share=Percent(_share(found, cause)),
        cause=cause_words(cause, vehicle),
    )


def _weighed(vehicle: Vehicle) -> list[Setup]:
    first: dict[str, Setup] = {}
    for setup in usual_setups_of(vehicle):
        if setup.check in _WEIGHED and setup.side != "right":
            first.setdefault(setup.check, setup)
    return list(first.values())


def _doubts(vehicle: Vehicle, setup: Setup) -> Sequence[Doubt]:
    return doubts(vehicle, setup, nominal_preload(vehicle.id), {}, load_beliefs())


def _share(found: Sequence[Doubt], cause: str) -> float:
    everything = sum(doubt.spread_mm**2 for doubt in found)
    return sum(doubt.shares.get(cause, 0.0) * doubt.spread_mm**2 for doubt in found) / everything
