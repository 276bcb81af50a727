"""A visit, what was observed in it, and the findings drawn from it."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from looseends.catalogue.types import LimitStatus, VerdictWord
from looseends.vehicle.setup import Setup

By = Literal["gauge", "hand", "eye", "ear", "feel", "group"]
"""How a watch was taken: by gauge, or graded by one of the catalogue's observers."""

Grade = Literal["none", "slight", "clear", "gross", "silent", "knock", "rising", "dead zone", "moved"]
GRADES: tuple[Grade, ...] = ("none", "slight", "clear", "gross")
"""Grades by hand and eye; those of ear, feel and of a group gripped at once stand in the catalogue's observers."""

Hider = Literal["grease", "rust", "dry joint", "cover"]
SymptomKind = Literal["complaint", "road-test", "tire"]
Work = Literal["usual", "hard"]
Rust = Literal["none", "light", "heavy"]
Urgency = Literal["now", "before long", "watch"]
"""How soon a repair is due."""

Wheel = Literal["front-left", "front-right", "rear-left", "rear-right"]


@dataclass(frozen=True)
class Reading:
    """One watch of one check: a gauge reading [mm] or a grade.

    Exactly one of `gauge_mm` and `grade` is set. Grades are by hand or eye, by ear (silent or a knock), or by feel
    (whether force rises from the start, or there is a dead zone before it). `free_mm` is what the gauge showed of
    the dead zone alone, moved lightly until it goes tight.
    """

    watch: str
    by: By
    gauge_mm: float | None
    grade: Grade | None
    note: str
    free_mm: float | None = None


@dataclass(frozen=True)
class Hidden:
    """A part whose play could not have shown in a check as it was done, or only poorly, and what hid it."""

    part: str
    by: Hider


@dataclass(frozen=True)
class CheckDone:
    """One check as it was done, with its readings. `number` counts from 1 in the order of the file.

    `passed_parts` were gripped, and nothing moved.
    """

    number: int
    setup: Setup
    stop_gap_mm: float | None
    observer: str
    readings: tuple[Reading, ...]
    passed_parts: tuple[str, ...]
    note: str
    hidden: tuple[Hidden, ...] = ()


@dataclass(frozen=True)
class ConditionSeen:
    """A condition seen on a part (torn boot, missing cotter pin, ...), or looked for and absent; `number` as filed.

    `again`: how often the same person had looked for it before; another look, and no correction of the first.
    """

    number: int
    part: str
    condition: str
    observer: str
    note: str
    present: bool = True
    again: int = 0


@dataclass(frozen=True)
class NotChecked:
    """A part or check that could not be done, and why."""

    number: int
    part: str
    because: str


@dataclass(frozen=True)
class SymptomSeen:
    """What the customer told, the road test showed or a tire shows, or was looked for and is absent.

    `id` is a complaint of the catalogue, or a wear pattern where `kind` is "tire", on the given wheel.
    """

    number: int
    kind: SymptomKind
    id: str
    wheel: Wheel | None
    observer: str
    note: str
    present: bool = True


@dataclass(frozen=True)
class Use:
    """What the vehicle has behind it; the distance stands in the visit."""

    age_years: float | None = None
    work: Work = "usual"
    rust: Rust = "none"


@dataclass(frozen=True)
class Replaced:
    """A part that was replaced in this visit, after so many checks had been done."""

    number: int
    part: str
    after_check: int
    by: str
    note: str


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
    symptoms: tuple[SymptomSeen, ...] = ()
    use: Use = Use()
    replaced: tuple[Replaced, ...] = ()
    learners: tuple[str, ...] = ()
    """Who of those that looked is still learning: what they wrote down counts for less."""


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
    `clearance_mm` the posterior mean of the leading axis given worn, with its 90 % range. `urgency` says how soon the
    repair is due, None where there is none.
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
    urgency: Urgency | None = None


@dataclass(frozen=True)
class SystemFinding:
    """A limit that speaks of the whole linkage, not of one part (49 CFR 570.7(b)), judged."""

    limit_id: str
    words: str
    exceeded: bool | None
    grounds: tuple[Grounds, ...]


@dataclass(frozen=True)
class Mover:
    """One reading that moved a part's odds of being worn: in words, by the factor, and where it stands in the visit."""

    words: str
    factor: float
    refers_to: str


@dataclass(frozen=True)
class Suspect:
    """A part that may be worn, with its probability, in order of probability, and the readings that moved it most."""

    part: str
    name: str
    probability: float
    prior: float
    moved_by: tuple[Mover, ...] = ()


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
class Repair:
    """A part that was replaced in the visit, and whether a check done since would have shown play there.

    `chance` is that of having seen play at the reject clearance; `words` the sentence, `proving_words` the check that
    would prove the repair, empty where it is proven.
    """

    part: str
    name: str
    after_check: int
    proven: bool
    chance: float
    words: str
    proving_words: str


@dataclass(frozen=True)
class NextCheck:
    """The check that tells most per minute, its reason in one line, and its setup.

    `again`: it was done in this setup already, and only these watches are read again, or these parts looked at again.
    """

    setup: Setup
    watches: tuple[str, ...]
    minutes: float
    information_bits: float
    separates: tuple[str, ...]
    reason: str
    again: bool = False


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
    repairs: tuple[Repair, ...] = ()
