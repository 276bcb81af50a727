"""A visit, what was observed in it, and the findings drawn from it."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from looseends.catalogue.types import LimitStatus, VerdictWord
from looseends.vehicle.setup import Setup

Grade = Literal["none", "slight", "clear", "gross"]
GRADES: tuple[Grade, ...] = ("none", "slight", "clear", "gross")


@dataclass(frozen=True)
class Reading:
    """One watch of one check: a gauge reading [mm] or a grade by hand or eye.

    Exactly one of `gauge_mm` and `grade` is set; `by` says gauge, hand or eye. `free_mm` is what the gauge showed of
    the dead zone alone, moved lightly until it goes tight.
    """

    watch: str
    by: Literal["gauge", "hand", "eye"]
    gauge_mm: float | None
    grade: Grade | None
    note: str
    free_mm: float | None = None


@dataclass(frozen=True)
class CheckDone:
    """One check as it was done, with its readings. `number` counts from 1 in the order of the file."""

    number: int
    setup: Setup
    stop_gap_mm: float | None
    observer: str
    readings: tuple[Reading, ...]
    passed_parts: tuple[str, ...]
    note: str


@dataclass(frozen=True)
class ConditionSeen:
    """A condition seen on a part (torn boot, missing cotter pin, ...); `number` as in the file."""

    number: int
    part: str
    condition: str
    observer: str
    note: str


@dataclass(frozen=True)
class NotChecked:
    """A part or check that could not be done, and why."""

    number: int
    part: str
    because: str


@dataclass(frozen=True)
class Visit:
    """One vehicle's stay, as recorded."""

    vehicle: str
    date: datetime.date
    place: str
    technician: str
    plate: str
    odometer_km: float | None
    customer: str
    complaint: str
    jurisdiction: str
    checks: tuple[CheckDone, ...]
    conditions: tuple[ConditionSeen, ...]
    not_checked: tuple[NotChecked, ...]


@dataclass(frozen=True)
class Grounds:
    """One reason behind a verdict.

    `kind` says what sort of reason; `words` is the whole sentence; `status` is the rank of the limit
    where one is named; `source` its citation; `refers_to` is the observation in words ("check 3").
    """

    kind: Literal["observation", "limit", "model", "contradiction", "cannot show", "policy"]
    words: str
    status: LimitStatus | None
    source: str
    refers_to: str


@dataclass(frozen=True)
class Finding:
    """The verdict on one part with its grounds.

    `probability` is the posterior chance that the part is worn past half its reject clearance;
    `clearance_mm` the posterior mean of the leading axis given worn, with its 90 % range.
    """

    part: str
    name: str
    verdict: VerdictWord
    summary: str
    effect: str
    advice: str
    probability: float
    axis: Literal["radial", "axial"] | None
    clearance_mm: float | None
    clearance_range_mm: tuple[float, float] | None
    grounds: tuple[Grounds, ...]


@dataclass(frozen=True)
class SystemFinding:
    """A limit that speaks of the whole linkage, not of one part (49 CFR 570.7(b)), judged."""

    limit_id: str
    words: str
    exceeded: bool | None
    grounds: tuple[Grounds, ...]


@dataclass(frozen=True)
class Suspect:
    """A part that may be worn, with its probability, in order of probability."""

    part: str
    name: str
    probability: float
    prior: float


@dataclass(frozen=True)
class SuspectSet:
    """One explanation: the set of worn parts (empty: nothing worn) and its probability."""

    parts: tuple[str, ...]
    probability: float
    solved_exactly: bool


@dataclass(frozen=True)
class Unproven:
    """A part for which nothing done so far could have shown wear, and the check that would."""

    part: str
    name: str
    why: str
    proving_check: str
    proving_support: str
    proving_words: str


@dataclass(frozen=True)
class NextCheck:
    """The check that tells most per minute, its reason in one line, and its setup."""

    setup: Setup
    watches: tuple[str, ...]
    minutes: float
    information_bits: float
    separates: tuple[str, ...]
    reason: str


@dataclass(frozen=True)
class Judgement:
    """Everything that was concluded from one visit."""

    visit: Visit
    vehicle_name: str
    findings: tuple[Finding, ...]
    system_findings: tuple[SystemFinding, ...]
    suspects: tuple[Suspect, ...]
    sets: tuple[SuspectSet, ...]
    unproven: tuple[Unproven, ...]
    next_checks: tuple[NextCheck, ...]
    remarks: tuple[Grounds, ...]
