"""An invented yard pickup and an invented visit, the way the report room receives them."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from looseends.inspection.types import (
    CheckDone,
    ConditionSeen,
    Finding,
    Grounds,
    Judgement,
    NextCheck,
    NotChecked,
    Reading,
    Suspect,
    SuspectSet,
    SystemFinding,
    Unproven,
    Visit,
)
from looseends.report import PlanGeometry, PlanLine, PlanPart, PlanWheel, Vocabulary
from looseends.vehicle.setup import Setup

PER_SIDE: tuple[tuple[str, str, tuple[float, float], str], ...] = (
    ("lower-ball-joint", "lower ball joint", (8, 750), "ball-joint"),
    ("upper-ball-joint", "upper ball joint", (-8.5, 704), "ball-joint"),
    ("lower-arm-front-bushing", "lower arm front bushing", (150, 375), "arm-bushing"),
    ("lower-arm-rear-bushing", "lower arm rear bushing", (-190, 375), "arm-bushing"),
    ("upper-arm-front-bushing", "upper arm front bushing", (80, 476), "arm-bushing"),
    ("upper-arm-rear-bushing", "upper arm rear bushing", (-110, 476), "arm-bushing"),
    ("outer-tie-rod-end", "outer tie-rod end", (-152, 738), "tie-rod-end"),
    ("inner-tie-rod-end", "inner tie-rod end", (-140, 402), "tie-rod-end"),
    ("wheel-bearing", "wheel bearing", (0, 800), "wheel-bearing"),
    ("sway-bar-link", "sway bar link", (60, 600), "sway-link"),
    ("sway-bar-bushing", "sway bar frame bushing", (330, 430), "sway-bushing"),
    ("damper", "damper", (-45, 575), "damper"),
)


def yard_pickup_plan() -> PlanGeometry:
    """The front end of the yard pickup in plan, down to the rear ends of its torsion bars [mm]."""
    steering = (
        PlanPart("steering-box", "steering box", (70, 330), "steering-box"),
        PlanPart("pitman-arm", "pitman arm ball", (-140, 330), "pitman-arm"),
        PlanPart("idler-arm", "idler arm bracket", (10, -330), "idler-arm"),
        PlanPart("center-link", "center link", (-140, -330), "center-link"),
    )
    sides = tuple(
        PlanPart(f"{side}-{ident}", f"{side} {name}", (x, sign * y), kind)
        for side, sign in (("left", 1), ("right", -1))
        for ident, name, (x, y), kind in PER_SIDE
    )
    wheels = tuple(
        PlanWheel(f"{side} front wheel", (0, sign * 825), 804, 265) for side, sign in (("left", 1), ("right", -1))
    )
    return PlanGeometry(tuple(_structure()), steering + sides, wheels, 1915, 1900)


def _structure() -> Iterator[PlanLine]:
    for side, s in (("left", 1), ("right", -1)):
        yield PlanLine(f"{side} frame rail", ((560, 400 * s), (-200, 410 * s), (-1330, 470 * s)), 80)
    yield PlanLine("front cross member", ((500, -390), (500, 390)), 90)
    yield PlanLine("torsion bar cross member", ((-1250, -440), (-1250, 440)), 110)
    for side, s in (("left", 1), ("right", -1)):
        yield PlanLine(f"{side} upper arm", ((80, 476 * s), (-8.5, 704 * s), (-110, 476 * s)), 38)
        yield PlanLine(f"{side} damper", ((-60, 540 * s), (-30, 610 * s)), 55)
        yield PlanLine(f"{side} half-shaft", ((0, 190 * s), (0, 770 * s)), 32)
    yield PlanLine("front differential", ((0, -190), (0, 190)), 150)
    for side, s in (("left", 1), ("right", -1)):
        yield PlanLine(f"{side} torsion bar", ((-190, 375 * s), (-1250, 375 * s)), 28.5)
        yield PlanLine(f"{side} lower arm", ((150, 375 * s), (8, 750 * s), (-190, 375 * s)), 52)
        yield PlanLine(f"{side} knuckle", ((0, 800 * s), (-8, 727 * s), (-152, 738 * s)), 34)
    bar = ((60, 600), (330, 560), (330, -560), (60, -600))
    yield PlanLine("sway bar", bar, 30)
    yield PlanLine("steering box", ((110, 330), (-10, 330)), 110)
    yield PlanLine("pitman arm", ((10, 330), (-140, 330)), 40)
    yield PlanLine("idler arm", ((10, -330), (-140, -330)), 40)
    yield PlanLine("center link", ((-140, 402), (-140, -402)), 34)
    for side, s in (("left", 1), ("right", -1)):
        yield PlanLine(f"{side} tie rod", ((-140, 402 * s), (-152, 738 * s)), 24)


VOCABULARY = Vocabulary(
    names={
        "ball-joint-lift": "Pry-bar lift of the lower ball joint",
        "dry-park": "Dry-park steering shake",
        "three-nine-shake": "Shake at 3 and 9 o’clock",
        "twelve-six-shake": "Shake at 12 and 6 o’clock",
        "lower-arm": "lower arm on a stand, wheel clear of the floor",
        "wheels": "on its wheels",
        "frame": "frame on stands, wheels hanging",
        "stud-up-down": "ball joint stud against the arm, up and down",
        "idler-up-down": "idler end of the center link, up and down",
        "rod-end": "outer tie-rod stud against its socket",
    },
    how={
        "ball-joint-lift": "Lift the tire with a bar from the floor, 600 N and let go; dial foot on the knuckle beside "
        "the stud, dial base on the arm.",
        "dry-park": "An assistant rocks the steering wheel a quarter turn each way, engine running.",
        "three-nine-shake": "Push and pull the tire at the height of the wheel center, steering wheel held.",
        "twelve-six-shake": "Push and pull the tire top and bottom, brake off.",
    },
    cautions={
        "ball-joint-lift": "The torsion bar is loaded: keep clear of the arm and never loosen anything in this state.",
        "lower-arm": "The stand carries spring load; set it on a flat of the arm and block the other wheels.",
    },
    resolution_mm={"stud-up-down": 0.1, "idler-up-down": 0.5},
)


def _visit() -> Visit:
    stand = Setup("ball-joint-lift", "lower-arm", "left", "free", "off", 20.0)
    return Visit(
        vehicle="yard-pickup",
        date=datetime.date(2026, 10, 14),
        place="Saltmarsh Slip, training bay",
        technician="Ines Marlow",
        plate="SLIP 07",
        odometer_km=148210,
        customer="Slip yard, Tomas Reed",
        complaint="Clunk over the ramp edge, wanders at 80 km/h",
        jurisdiction="US federal, 49 CFR 570",
        checks=(
            CheckDone(
                1,
                Setup("dry-park", "wheels", None, "held", "off", 0.0),
                None,
                "Ines Marlow",
                (Reading("idler-up-down", "eye", None, "clear", ""),),
                ("pitman-arm",),
                "",
            ),
            CheckDone(
                2,
                Setup("three-nine-shake", "frame", "right", "held", "off", 0.0),
                None,
                "Ines Marlow",
                (Reading("rod-end", "hand", None, "clear", "boot off, rust in the socket"),),
                (),
                "",
            ),
            CheckDone(
                3,
                stand,
                4.0,
                "Ines Marlow",
                (Reading("stud-up-down", "gauge", 1.4, None, "read twice"),),
                (),
                "dial reading repeated",
            ),
        ),
        conditions=(ConditionSeen(1, "right-outer-tie-rod-end", "boot-off-rust", "Ines Marlow", "grease washed out"),),
        not_checked=(NotChecked(1, "left-damper", "no road test: brakes not yet released after parking"),),
    )


def _findings() -> tuple[Finding, ...]:
    return (
        Finding(
            "left-lower-ball-joint",
            "left lower ball joint",
            "replace",
            "It moved 1.4 mm up and down; the limit is 0.5 mm.",
            "The wheel shifts under braking and over edges; left alone, the joint can come apart.",
            "Replace the joint, then have the wheel alignment measured and set.",
            0.97,
            "axial",
            1.4,
            (1.2, 1.7),
            (
                Grounds(
                    "observation",
                    "Gauge reading 1.4 mm up and down under a 600 N bar lift, lower arm on a stand, stop gap 4 mm.",
                    None,
                    "",
                    "check 3",
                ),
                Grounds(
                    "limit",
                    "1.4 mm is over the 0.5 mm that common practice allows; confirm with the maker’s limit.",
                    "common practice",
                    "common practice, no source",
                    "check 3",
                ),
                Grounds(
                    "model", "Of the parts in the load path only this one explains the reading.", None, "", "check 3"
                ),
            ),
        ),
        Finding(
            "right-outer-tie-rod-end",
            "right outer tie-rod end",
            "unsafe",
            "The ball moves sideways in its socket; its boot is off and there is rust inside.",
            "If the ball comes out, that wheel no longer steers.",
            "Do not drive it: tow it, or have it repaired before it leaves.",
            0.995,
            "radial",
            1.1,
            (0.7, 1.6),
            (
                Grounds(
                    "observation",
                    "Clear movement felt at the stud, wheel shaken at 3 and 9 o’clock, wheels hanging.",
                    None,
                    "",
                    "check 2",
                ),
                Grounds("observation", "Boot off with rust in the socket.", None, "", "condition 1"),
                Grounds(
                    "policy",
                    "Sideways play with the boot off and rust in a steering ball: do not drive.",
                    "common practice",
                    "common practice, no source",
                    "",
                ),
            ),
        ),
        Finding(
            "idler-arm",
            "idler arm bracket",
            "replace",
            "Its end of the center link rises and falls by about 4 mm when the steering is rocked.",
            "The front wheels turn in and out by themselves, so the vehicle wanders.",
            "Replace the bracket; measure and set the toe afterwards.",
            0.93,
            "axial",
            4.0,
            (2.6, 5.4),
            (
                Grounds("observation", "Clear movement seen in the dry-park check.", None, "", "check 1"),
                Grounds(
                    "limit",
                    "More than the bracket may show; confirm with the maker’s limit.",
                    "to be confirmed",
                    "from memory",
                    "check 1",
                ),
            ),
        ),
        Finding(
            "left-sway-bar-link",
            "left sway bar link",
            "plan",
            "The rubber is cracked less than half way; no play was felt.",
            "It may begin to knock.",
            "Look again within 6 months or 10 000 km.",
            0.2,
            None,
            None,
            None,
            (Grounds("observation", "Rubber cracked at the upper end.", None, "", ""),),
        ),
        *(
            Finding(
                part,
                name,
                "sound",
                "Nothing beyond what a sound one shows.",
                "",
                "",
                0.02,
                None,
                None,
                None,
                (Grounds("observation", "A check that could have shown it showed nothing.", None, "", "check 1"),),
            )
            for part, name in (
                ("pitman-arm", "pitman arm ball"),
                ("steering-box", "steering box"),
                ("left-outer-tie-rod-end", "left outer tie-rod end"),
                ("left-inner-tie-rod-end", "left inner tie-rod end"),
                ("right-inner-tie-rod-end", "right inner tie-rod end"),
                ("left-wheel-bearing", "left wheel bearing"),
                ("right-wheel-bearing", "right wheel bearing"),
            )
        ),
    )


def yard_pickup_judgement() -> Judgement:
    """What was concluded from the invented visit."""
    lift = Setup("ball-joint-lift", "lower-arm", "right", "free", "off", 20.0)
    return Judgement(
        visit=_visit(),
        vehicle_name="Yard pickup",
        findings=_findings(),
        system_findings=(
            SystemFinding(
                "tread-lash",
                "Free travel at the tread of the right front wheel is 4.1 mm; the law allows 6.4 mm.",
                False,
                (Grounds("limit", "49 CFR 570.7(b): 1/4 inch at the tread.", "law", "49 CFR 570.7(b)", "check 2"),),
            ),
        ),
        suspects=(
            Suspect("right-outer-tie-rod-end", "right outer tie-rod end", 0.995, 0.09),
            Suspect("left-lower-ball-joint", "left lower ball joint", 0.97, 0.08),
            Suspect("idler-arm", "idler arm bracket", 0.93, 0.12),
            Suspect("right-lower-ball-joint", "right lower ball joint", 0.11, 0.08),
        ),
        sets=(
            SuspectSet(("right-outer-tie-rod-end", "left-lower-ball-joint", "idler-arm"), 0.86, True),
            SuspectSet(("right-outer-tie-rod-end", "left-lower-ball-joint"), 0.06, False),
        ),
        unproven=(
            Unproven(
                "right-lower-ball-joint",
                "right lower ball joint",
                "it was only looked at with the wheels hanging, where the torsion bar holds it tight",
                "ball-joint-lift",
                "lower-arm",
                "a bar lift with a stand under the right lower arm",
            ),
            Unproven(
                "left-upper-ball-joint",
                "left upper ball joint",
                "no check done so far could have shown it",
                "twelve-six-shake",
                "lower-arm",
                "a shake at 12 and 6 o’clock with the lower arm on a stand",
            ),
            Unproven(
                "right-upper-ball-joint",
                "right upper ball joint",
                "no check done so far could have shown it",
                "twelve-six-shake",
                "lower-arm",
                "a shake at 12 and 6 o’clock with the lower arm on a stand",
            ),
        ),
        next_checks=(
            NextCheck(
                lift,
                ("stud-up-down",),
                4.0,
                0.61,
                ("right-lower-ball-joint",),
                "It is the only check that can show the right lower ball joint at all.",
            ),
        ),
        remarks=(
            Grounds(
                "contradiction",
                "Check 1 showed the idler end moving, yet check 2 felt nothing at the inner end.",
                None,
                "",
                "check 1",
            ),
            Grounds(
                "cannot show",
                "Check 2 could not show the lower ball joints: the wheels hung and the rebound stop held them.",
                None,
                "",
                "check 2",
            ),
        ),
    )
