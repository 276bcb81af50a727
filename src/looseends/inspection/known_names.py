"""What a single record names, held against the catalogue and the vehicle: what stands there, or one sentence."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from looseends.catalogue import Catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.sides import watches_of
from looseends.errors import InputError
from looseends.inspection.checks_done import ARM_SUPPORT, MOST_STAND_INBOARD_MM, MOST_STOP_GAP_MM
from looseends.inspection.plain_values import shown
from looseends.inspection.readings import MOST_AT_TREAD_MM
from looseends.inspection.types import (
    CheckDone,
    ConditionSeen,
    Hidden,
    NotChecked,
    Reading,
    Replaced,
    SymptomSeen,
    Use,
)
from looseends.language import refusal
from looseends.vehicle.setup import Setup

MOST_AGE_YEARS = 150.0


@dataclass(frozen=True)
class Known:
    """What the records of a visit may name: the catalogue's entries, the vehicle's parts and supports."""

    catalogue: Catalogue
    parts: Collection[str]
    supports: Collection[str]

    def require(self, content: Any, where: str, setup: Setup | None = None) -> None:
        """Refuse a record that names what there is not, or a reading that cannot be one.

        Parameters
        ----------
        content : one of the inspection's records
            Lengths in mm. Records of other types are passed over.
        where : str
            The record in a sentence.
        setup : Setup, optional
            Of the check that a single reading belongs to.

        Raises
        ------
        InputError
            In one sentence: the record, the field, what was found, what is accepted.
        """
        if isinstance(content, CheckDone):
            self._require_check(content, where)
        elif isinstance(content, Reading) and setup is not None:
            self._require_reading(content, setup, where)
        elif isinstance(content, Hidden | Replaced | ConditionSeen):
            self._require_part(content.part, where)
            if isinstance(content, ConditionSeen):
                _require("condition", content.condition, self.catalogue.conditions, where)
        elif isinstance(content, NotChecked):
            _require("part", content.part, {*self.parts, *self.catalogue.checks}, where)
        elif isinstance(content, SymptomSeen):
            tire = content.kind == "tire"
            _require("id", content.id, self.catalogue.wear_patterns if tire else self.catalogue.complaints, where)
        elif isinstance(content, Use) and content.age_years is not None:
            _require_span("age_years", content.age_years, MOST_AGE_YEARS, where)

    def _require_part(self, part: str, where: str) -> None:
        _require("part", part, self.parts, where)

    def _require_check(self, done: CheckDone, where: str) -> None:
        self._require_setup(done.setup, where)
        if done.stop_gap_mm is not None:
            _require_span("stop_gap_mm", done.stop_gap_mm, MOST_STOP_GAP_MM, where)
        for part in (*done.passed_parts, *(hidden.part for hidden in done.hidden)):
            self._require_part(part, where)
        for reading in done.readings:
            self._require_reading(reading, done.setup, where)

    def _require_setup(self, setup: Setup, where: str) -> None:
        _require("check", setup.check, self.catalogue.checks, where)
        check = self.catalogue.checks[setup.check]
        if check.kind != "movement":
            return  # a look, which is written down as a check and grips nothing
        _require("support", setup.support, [name for name in check.supports if name in self.supports], where)
        _require("steer", setup.steer, check.steer_states, where)
        _require("brake", setup.brake, check.brake_states, where)
        if not any(watch.part is None or watch.part in self.parts for watch in watches_of(check, setup.side)):
            raise InputError(
                refusal(
                    '{where}: check "{id}" watches none of the parts that this vehicle has.', where=where, id=check.id
                )
            )
        most = MOST_STAND_INBOARD_MM if setup.support == ARM_SUPPORT else 0.0
        _require_span("stand_inboard_mm", setup.stand_inboard_mm, most, where)

    def _require_reading(self, reading: Reading, setup: Setup, where: str) -> None:
        watches = watches_of(self.catalogue.checks[setup.check], setup.side)
        on_vehicle = [watch.id for watch in watches if watch.part is None or watch.part in self.parts]
        _require("watch", reading.watch, on_vehicle, where)
        if (reading.gauge_mm is not None) != (reading.by == "gauge") or (reading.grade is None) != (
            reading.by == "gauge"
        ):
            raise InputError(
                refusal("{where}: a reading by gauge must have gauge_mm alone, any other its grade alone.", where=where)
            )
        if reading.gauge_mm is None:
            _require("grade", str(reading.grade), self.catalogue.observers[reading.by].grades, where)
            if reading.free_mm is not None:
                raise InputError(refusal("{where}: free_mm goes with gauge_mm, found it with a grade.", where=where))
            return
        _require_span("gauge_mm", reading.gauge_mm, MOST_AT_TREAD_MM, where)
        if reading.free_mm is not None:
            _require_span("free_mm", reading.free_mm, reading.gauge_mm, where)


def _require(key: str, found: str, accepted: Collection[str], where: str) -> None:
    if found not in accepted:
        raise InputError(unknown_name_sentence(key, shown(found)[1:-1], accepted, where=where))


def _require_span(key: str, found: float, most: float, where: str) -> None:
    if not (math.isfinite(found) and 0.0 <= found <= most):
        raise InputError(
            refusal(
                "{where}: {key} must be from 0 to {most}, found {found}.",
                where=where,
                key=key,
                most=f"{most:g}",
                found=f"{found:g}",
            )
        )
