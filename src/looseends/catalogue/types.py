"""What the catalogue knows, as frozen records. Lengths mm, forces N, stiffness N/mm, rotation N·mm/rad."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ClearanceShape = Literal["ball", "pin", "slot", "rubber"]
Axis = Literal["radial", "axial"]
VerdictWord = Literal["unsafe", "replace", "plan", "sound", "unproven"]
PlayAllowance = Literal["none", "sound-band", "rubber"]
SteeringAssist = Literal["manual", "power"]
LimitStatus = Literal["law", "maker", "common practice", "to be confirmed"]
Region = Literal["any", "MX", "ES", "SA", "AR"]
"""Where a Spanish word is used: anywhere, Mexico and Central America, Spain, South America, Argentina."""
Cold = Literal["none", "slight", "sticks", "sticks when dry", "sticks when rusty", "stiffens", "squeaks"]
WearMode = Literal["sliding", "rolling", "rubber tear", "rubber wear", "fretting"]
PartGroup = Literal[
    "steering", "carrier", "bearing", "arm", "follower", "bushing", "sway", "damper", "spring",
    "tire", "driveline", "brake", "frame",
]  # fmt: skip
CheckKind = Literal["movement", "condition", "measurement", "road"]
Decider = Literal["law", "maker", "common practice"]
Rejects = Literal["above", "from", "below"]
VehicleKind = Literal["car", "light truck", "truck", "bus", "trailer"]


@dataclass(frozen=True)
class Band:
    """A closed interval of one quantity, lo <= hi."""

    lo: float
    hi: float

    @property
    def middle(self) -> float:
        """Arithmetic middle of the band."""
        return 0.5 * (self.lo + self.hi)


@dataclass(frozen=True)
class AxisFigures:
    """One axis (across or along) of one joint figure; clearances are total travel.

    `stiffness` is None where the joint does not hold that axis. `reject` is None where the trade has no
    figure. `measured` says in words where a gauge reads this clearance.
    """

    stiffness: Band | None
    sound_clearance: Band
    reject: float | None
    measured: str


@dataclass(frozen=True)
class JointFigure:
    """Stiffness and clearance of one kind of joint, as new and as worn.

    Stiffness [N/mm], clearance [mm total travel], torsion and tilt stiffness [N·mm/rad] about the
    joint's own axis and across it. What follows `source` is None where the trade has no figure: the torque that
    turns a sound one [N·mm] and where it is read, the force along the axis below which a loaded seat does not move [N],
    how many times faster it wears without its boot, how rust takes it (0 not to 3 badly), what cold does to it,
    which share of its wear is along the axis, how it wears, and how it ends.
    """

    id: str
    shape: ClearanceShape
    radial: AxisFigures
    axial: AxisFigures
    torsion_stiffness: float
    tilt_stiffness: float
    relative_wear: float
    wear_axis: Axis
    basis: str
    source: str
    preload_torque: Band | None = None
    preload_measured: str | None = None
    axial_preload: Band | None = None
    torn_boot_wear_factor: float | None = None
    corrosion_sensitivity: int | None = None
    cold: Cold | None = None
    axial_wear_share: float | None = None
    wear_mode: WearMode | None = None
    failure_end: str | None = None


@dataclass(frozen=True)
class RegionalWord:
    """A Spanish word for a part and where it is used so."""

    word: str
    region: Region


@dataclass(frozen=True)
class PartKind:
    """A kind of part that is inspected, bought and replaced.

    `figure` names the joint figure of each joint the part owns (None: judged by its condition only).
    `worn_by` lists the axes whose clearance diagnosis treats as unknown.
    `play` says what a sound one may show: nothing, its sound band, or rubber's elastic movement.
    `effect` is a plain sentence for the customer. `group` ranks urgency. `spanish` is the word that is understood
    best in a US shop; `spanish_synonyms` carry their region, for one word may mean two parts in two countries.
    """

    id: str
    name: str
    plural: str
    synonyms: tuple[str, ...]
    spanish: str
    spanish_plural: str
    spanish_synonyms: tuple[RegionalWord, ...]
    group: PartGroup
    figure: str | None
    worn_by: tuple[Axis, ...]
    play: PlayAllowance
    has_boot: bool
    fails_by: tuple[str, ...]
    purpose: str
    effect: str
    how_shown: str
    source: str


@dataclass(frozen=True)
class Condition:
    """A condition that is seen, not computed, and the verdict it carries.

    `applies_to` lists part kinds or groups; empty means any part. `grounds` names the rule.
    """

    id: str
    words: str
    plain: str
    verdict: VerdictWord
    applies_to: tuple[str, ...]
    status: LimitStatus
    grounds: str
    source: str
    caution: str | None = None


@dataclass(frozen=True)
class SupportState:
    """How the vehicle is held while a check is done; `minutes` is the time to bring it there from another support."""

    id: str
    name: str
    how: str
    proof: str
    caution: str
    minutes: float
    source: str


@dataclass(frozen=True)
class Grip:
    """One force of a stroke: where it is put in and which way at the stroke's first end.

    `at` names a mark of the vehicle ("tread-front", "tread-top", ...) or a joint center;
    `direction` is a unit-less vector in vehicle axes with y positive outboard on sided checks;
    `share` multiplies the check's force; `reacts_on` is the body that takes the counter-force
    ("ground" for a hand or a bar resting on the floor).
    """

    body: str
    at: str
    direction: tuple[float, float, float]
    share: float
    reacts_on: str


@dataclass(frozen=True)
class WatchPlace:
    """Where the eye, the finger or the gauge is, and which movement counts.

    `kind` "joint": movement between the two bodies of a part's joint, `component` radial, axial or
    a vehicle direction. `kind` "point": movement of a mark on `body` relative to `against`, `part` being the part
    that it speaks for, if any.
    `words` tells a technician where to look.
    """

    id: str
    kind: Literal["joint", "point"]
    part: str | None
    component: Literal["radial", "axial", "x", "y", "z"]
    body: str | None
    at: str | None
    against: str
    words: str
    gauge_resolution_mm: float


@dataclass(frozen=True)
class Stroke:
    """One push and pull: its force [N], its grips and its watches.

    `from_share`, `to_share` give the two ends as multiples of `force`: -1 to 1 for a hand shake,
    0 to 1 for a bar that only lifts. A vehicle offers the stroke where it has the bodies and places that are gripped,
    something that is watched, and the bodies of `needs`. A wheel that is lifted takes at least `lifts` times its own
    weight, whatever `force` says.
    """

    id: str
    words: str
    force: float
    from_share: float
    to_share: float
    grips: tuple[Grip, ...]
    watches: tuple[WatchPlace, ...]
    needs: tuple[str, ...] = ()
    lifts: float = 0.0


@dataclass(frozen=True)
class Check:
    """A way of looking: support, steering, brake, strokes, and what a sound one shows.

    Only a check of kind "movement" has strokes; of the others `watch_words` say where to look and what counts.
    `at_lock`: it is also done with the steering turned to each lock. `meter` lists instruments, `accept` what decides,
    the strongest first.
    """

    id: str
    name: str
    supports: tuple[str, ...]
    sided: bool
    steer_states: tuple[Literal["held", "free"], ...]
    brake_states: tuple[Literal["off", "on"], ...]
    strokes: tuple[Stroke, ...]
    do: str
    sound_shows: str
    false_calls: tuple[str, ...]
    caution: str
    minutes: float
    source: str
    kind: CheckKind = "movement"
    meter: tuple[str, ...] = ()
    accept: tuple[Decider, ...] = ()
    watch_words: tuple[str, ...] = ()
    at_lock: bool = False


@dataclass(frozen=True)
class Drill:
    """A trial that tells two causes of the same movement apart.

    `first`, `second` are the causes in words, `first_parts`, `second_parts` the part kinds or groups they stand for
    (empty: no part, as softness). `check` is the check it belongs to, done under one of `supports`.
    """

    id: str
    first: str
    second: str
    first_parts: tuple[str, ...]
    second_parts: tuple[str, ...]
    do: str
    if_gone: str
    if_stays: str
    check: str
    supports: tuple[str, ...]
    caution: str
    source: str


@dataclass(frozen=True)
class Limit:
    """A published or customary limit with the support state and quantity it speaks of.

    It gives one of three: `value_mm`, `value` with its `unit`, or a `condition` that is rejected when seen. `value_mm`
    of a `watch` is total travel. `rejects`: "above" the value, "from" it on, or "below" it. With `per_rim_mm` the value
    holds for a steering wheel of that diameter and is taken in proportion for others. A "derived" one says its
    `arithmetic`.

    It may speak of some vehicles only: those with a steering wheel of more than `rim_over_mm` and up to `rim_up_to_mm`
    in diameter, those steered by hand alone ("manual") or with help ("power"), those on wheel rims of more than
    `wheel_rim_over_mm` and up to `wheel_rim_up_to_mm`, those that have a `body`, those with a gross vehicle weight
    rating of more than `gvwr_over_kg` and up to `gvwr_up_to_kg`, those of some `vehicle_kinds`;
    None or empty: of any.
    """

    id: str
    jurisdiction: str
    citation: str
    applies_to: str
    quantity: str
    check: str
    watch: str | None
    supports: tuple[str, ...]
    compares: Literal["free travel", "reading"] | None
    value_mm: float | None
    printed: str
    status: LimitStatus | Literal["derived"]
    precondition: str
    source: str
    rim_over_mm: float | None = None
    rim_up_to_mm: float | None = None
    assist: SteeringAssist | None = None
    value: float | None = None
    unit: str | None = None
    condition: str | None = None
    rejects: Rejects = "above"
    per_rim_mm: float | None = None
    body: str | None = None
    wheel_rim_over_mm: float | None = None
    wheel_rim_up_to_mm: float | None = None
    gvwr_over_kg: float | None = None
    gvwr_up_to_kg: float | None = None
    vehicle_kinds: tuple[VehicleKind, ...] = ()
    arithmetic: str | None = None


@dataclass(frozen=True)
class Observer:
    """How a way of looking turns movement into a grade.

    What is taken for play is the free travel and `elastic_share` of the springy movement. `thresholds` [mm] are the
    amounts at which half of the calls go on to the next of `grades`, which are one more; `spread` is the log-normal
    scatter (1 sigma) of one call, `lapse` the share of calls that are anything.
    """

    id: Literal["hand", "eye", "ear", "feel", "group"]
    grades: tuple[str, ...]
    thresholds: tuple[float, ...]
    elastic_share: float
    spread: float
    lapse: float
    basis: str
    source: str
