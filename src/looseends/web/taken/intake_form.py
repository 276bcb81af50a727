"""What the form of taking in a vehicle holds, read and checked field by field."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, get_args

from looseends.catalogue import load_catalogue
from looseends.diagnosis.observed.complaints import complaints_meant
from looseends.errors import InputError
from looseends.inspection.types import SymptomSeen, Wheel
from looseends.language import AsWritten, Speech, Text, say
from looseends.language.quantity import KM_PER_MILE
from looseends.store.ids import is_time_ordered
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vin import check_digit, read_vin
from looseends.web.taken.forms import line, several, text
from looseends.web.taken.numbers import number
from looseends.web.taken.time_at_hand import read_minutes

WHEELS: tuple[Wheel, ...] = get_args(Wheel)
WHEEL_WORDS: Mapping[Wheel, Text] = {
    "front-left": say("front left tire"),
    "front-right": say("front right tire"),
    "rear-left": say("rear left tire"),
    "rear-right": say("rear right tire"),
}
EVEN, NOT_LOOKED = "even", "not looked at"
MOST_ODOMETER_KM = 5_000_000.0


@dataclass(frozen=True)
class Intake:
    """A vehicle as it came in; `minutes` are at hand for its checks, None for the whole route.

    `mistakes` has one sentence for each field that cannot be kept; then nothing is.
    """

    visit_id: str
    vehicle: str
    plate: str
    odometer_km: float | None
    vin: str
    customer: str
    phone: str
    complaint: str
    symptoms: tuple[SymptomSeen, ...]
    alterations: tuple[str, ...]
    alteration_note: str
    minutes: float | None = None
    mistakes: Mapping[str, Text | str] = field(default_factory=dict)


def read_intake(sent: Mapping[str, Any], speech: Speech, observer: str) -> Intake:
    """The form as it was sent by `observer`, in their units; what is wrong stands under `mistakes`."""
    mistakes: dict[str, Text | str] = {}
    visit_id = line(sent, "visit_id")
    if not is_time_ordered(visit_id):
        mistakes["visit_id"] = say("This page cannot be sent as it is: load it again.")
    vehicle = line(sent, "vehicle")
    if vehicle not in load_vehicles():
        mistakes["vehicle"] = say("Vehicle: choose the one that is built like it.")
    complaint = text(sent, "complaint")
    return Intake(
        visit_id=visit_id,
        vehicle=vehicle,
        plate=line(sent, "plate", 24),
        odometer_km=_odometer(line(sent, "odometer"), speech, mistakes),
        vin=_vin(line(sent, "vin", 40), mistakes),
        customer=line(sent, "customer"),
        phone=line(sent, "phone", 60),
        complaint=complaint,
        symptoms=(*_told(complaint, sent, observer), *_road_test(sent, observer), *_tires(sent, observer)),
        alterations=tuple(name for name in several(sent, "alteration") if name in load_catalogue().alterations),
        alteration_note=text(sent, "alteration_note", 600),
        minutes=read_minutes(sent, mistakes),
        mistakes=mistakes,
    )


def understood(complaint: str) -> tuple[str, ...]:
    """Ids of the catalogue's complaints that the customer's words are like; none where they are like none."""
    if not complaint.strip():
        return ()
    try:
        return tuple(meant.id for meant in complaints_meant(complaint, load_catalogue().complaints.values()))
    except InputError:
        return ()


def vin_remark(vin: str) -> Text | None:
    """What to look at again in an identification number of right length; a wrong check digit stops nobody.

    Raises
    ------
    InputError
        If it has not 17 characters, or one that no such number has.
    """
    read = _read_vin(vin)
    if not read or "".join(vin.upper().split())[8] == check_digit(read):
        return None
    return say(
        "The check digit does not fit: character 9 is {found} and should be {right}. Read the number off the vehicle "
        "again; where the vehicle was made for another continent the rule may not hold.",
        found=AsWritten(read[8]),
        right=AsWritten(check_digit(read)),
    )


def _read_vin(vin: str) -> str:
    if not vin.strip():
        return ""
    try:
        return read_vin(vin).text
    except InputError as error:
        found = "".join(vin.split())
        raise InputError(
            say(
                "Identification number: has 17 digits and letters other than I, O and Q, found {count} in {found}.",
                count=len(found),
                found=AsWritten(found.upper()),
            )
        ) from error


def _vin(given: str, mistakes: dict[str, Text | str]) -> str:
    try:
        return _read_vin(given)
    except InputError as error:
        mistakes["vin"] = error.args[0]
        return given


def _odometer(given: str, speech: Speech, mistakes: dict[str, Text | str]) -> float | None:
    if not given:
        return None
    value = number(given)
    factor = KM_PER_MILE if speech.units == "us" else 1.0
    if value is None or not 0.0 <= value * factor <= MOST_ODOMETER_KM:
        mistakes["odometer"] = say(
            "Odometer: write a distance as digits, such as 148200, found {found}.", found=AsWritten(given)
        )
        return None
    return value * factor


def _told(complaint: str, sent: Mapping[str, Any], observer: str) -> list[SymptomSeen]:
    meant = understood(complaint)
    if line(sent, "told_shown"):  # somebody saw what was understood, and left ticked what is meant
        meant = tuple(name for name in meant if name in several(sent, "told"))
    return [SymptomSeen(0, "complaint", name, None, observer, "") for name in meant]


def _road_test(sent: Mapping[str, Any], observer: str) -> list[SymptomSeen]:
    possible = {known.id for known in load_catalogue().complaints.values() if "road test" in known.witnesses}
    shown = [name for name in several(sent, "road_shows") if name in possible]
    return [SymptomSeen(0, "road-test", name, None, observer, "") for name in shown]


def _tires(sent: Mapping[str, Any], observer: str) -> list[SymptomSeen]:
    found = []
    for wheel in WHEELS:
        pattern = line(sent, f"tire-{wheel}")
        if pattern in load_catalogue().wear_patterns:
            found.append(SymptomSeen(0, "tire", pattern, wheel, observer, ""))
    return found


def today() -> datetime.date:
    """The day at the place itself, by the clock of this computer."""
    return datetime.datetime.now().astimezone().date()
