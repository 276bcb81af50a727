"""One recorded fact as a device sends it, and which of the inspection's types each kind stands for."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.inspection.plain_values import shown
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
from looseends.store.canonical import canonical_json, checksum
from looseends.store.ids import is_time_ordered
from looseends.store.typed_json import ASSIGNED, plain, typed

MOST_PAYLOAD_BYTES = 64_000
"""A check with all its readings and notes is a few kilobytes."""


@dataclass(frozen=True)
class ReadingTaken:
    """A reading of a check that was recorded before, by the id of that observation."""

    check: str
    reading: Reading


@dataclass(frozen=True)
class HiddenFound:
    """What hid a part in a check that was recorded before, by the id of that observation."""

    check: str
    hidden: Hidden


@dataclass(frozen=True)
class Withdrawn:
    """An earlier observation does not hold, and nothing takes its place."""

    because: str


@dataclass(frozen=True)
class TimeAtHand:
    """How many minutes somebody has for the checks of a visit; None: the whole route is done."""

    minutes: float | None


WITHDRAWN = "withdrawn"
KINDS: dict[str, type[Any]] = {
    "check": CheckDone,
    "reading": ReadingTaken,
    "hidden": HiddenFound,
    "condition": ConditionSeen,
    "not-checked": NotChecked,
    "symptom": SymptomSeen,
    "replaced": Replaced,
    "use": Use,
    "minutes": TimeAtHand,
    WITHDRAWN: Withdrawn,
}


@dataclass(frozen=True)
class Observation:
    """A fact of a visit: the device makes `id` (UUID version 7), so that sending it twice is harmless.

    `payload` holds the fields of the kind's type without the numbers that a visit assigns. `account` is who recorded
    it, `device_time` when, by the device's clock. `supersedes` is the id of the observation that it corrects.
    """

    id: str
    visit: str
    kind: str
    payload: Mapping[str, object]
    account: str
    device_time: datetime.datetime
    supersedes: str | None = None


@dataclass(frozen=True)
class Checked:
    """An observation whose form is right: its payload in the one spelling, and the checksum of all that was sent."""

    sent: Observation
    content: Any
    payload: str
    sha256: str


def checked(sent: Observation) -> Checked:
    """The observation with its payload in the one spelling.

    Raises
    ------
    InputError
        If id, kind, time or payload are not of the form that is kept.
    """
    if not is_time_ordered(sent.id):
        raise InputError(
            refusal("observation: id must be a UUID of version 7 in lower case, found {found}.", found=shown(sent.id))
        )
    where = f"observation {sent.id}"
    if sent.kind not in KINDS:
        raise InputError(unknown_name_sentence("kind", shown(sent.kind)[1:-1], KINDS, where=where))
    if sent.device_time.tzinfo is None:
        raise InputError(
            refusal(
                "{where}: device_time must tell its time zone, found {found}.",
                where=where,
                found=sent.device_time.isoformat(),
            )
        )
    if sent.kind == WITHDRAWN and sent.supersedes is None:
        raise InputError(
            refusal("{where}: supersedes must name the observation that is withdrawn, found nothing.", where=where)
        )
    content = typed(KINDS[sent.kind], sent.payload, f"{where}, {sent.kind}")
    payload = canonical_json(plain(content, ASSIGNED))
    if len(payload.encode()) > MOST_PAYLOAD_BYTES:
        raise InputError(
            refusal(
                "{where}: payload must be at most {most} bytes, found {found}.",
                where=where,
                most=MOST_PAYLOAD_BYTES,
                found=len(payload.encode()),
            )
        )
    return Checked(sent, content, payload, checksum_of(sent, payload))


def checksum_of(sent: Observation, payload: str) -> str:
    """SHA-256 over everything that the device says in an observation, the payload in its one spelling."""
    at = sent.device_time.astimezone(datetime.UTC).isoformat()
    return checksum(canonical_json([sent.id, sent.visit, sent.kind, payload, sent.account, at, sent.supersedes]))
