"""A small catalogue and vehicle that the tests of visit files share: two sided checks, one unsided."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from looseends.catalogue import Catalogue
from looseends.catalogue.checks import Places
from looseends.catalogue.complaints import Complaint
from looseends.catalogue.types import (
    AxisFigures,
    Band,
    Check,
    Condition,
    JointFigure,
    Limit,
    Observer,
    PartKind,
    Stroke,
    SupportState,
    WatchPlace,
)
from looseends.catalogue.wear_patterns import WearPattern
from looseends.inspection import Visit, read_visit

SIDED_KINDS = ("outer-tie-rod-end", "lower-ball-joint", "upper-ball-joint", "wheel-bearing")
PARTS = frozenset({f"{kind}-{side}" for kind in SIDED_KINDS for side in ("left", "right")} | {"idler-arm"})
VEHICLES = {"yard-pickup": PARTS, "bare-frame": frozenset({"idler-arm"})}


def joint(part: str, suffix: str = "") -> WatchPlace:
    """A joint watch, across the stud or (".axial") along it."""
    return WatchPlace(
        id=part + suffix, kind="joint", part=part, component="axial" if suffix else "radial", body=None, at=None,
        against="", words=f"finger on {part}", gauge_resolution_mm=0.01,
    )  # fmt: skip


def point(name: str, at: str) -> WatchPlace:
    """A mark on the wheel, watched against the ground."""
    return WatchPlace(
        id=name, kind="point", part=None, component="y", body="wheel-{side}", at=at, against="ground",
        words=f"tape at the {name} of the {{side}} wheel", gauge_resolution_mm=0.1,
    )  # fmt: skip


def check(name: str, supports: tuple[str, ...], watches: tuple[WatchPlace, ...], *, sided: bool = True) -> Check:
    """A check with one stroke."""
    return Check(
        id=name, name=name, supports=supports, sided=sided, steer_states=("held", "free"), brake_states=("off", "on"),
        strokes=(Stroke("shake", "shake the {side} wheel", 150.0, -1.0, 1.0, (), watches),),
        do="do", sound_shows="nothing", false_calls=(), caution="", minutes=2.0, source="test",
    )  # fmt: skip


def kind(name: str, group: str, *, has_boot: bool) -> PartKind:
    """A part kind without a joint figure."""
    return PartKind(
        id=name, name=name, plural=name + "s", synonyms=(), spanish=name, spanish_plural=name, spanish_synonyms=(),
        group=group,  # type: ignore[arg-type]
        figure=None, worn_by=(), play="none", has_boot=has_boot, fails_by=(), purpose="", effect="", how_shown="",
        source="test",
    )  # fmt: skip


def catalogue() -> Catalogue:
    """Four checks, five part kinds, three conditions, three supports, four observers, two complaints and wear patterns,
    two jurisdictions and a limit for any.
    """
    checks = (
        check(
            "wheel39",
            ("frame", "arm"),
            (point("tread", "tread-front"), joint("outer-tie-rod-end-{side}"), joint("wheel-bearing-{side}")),
        ),
        check(
            "bj-axial",
            ("frame", "arm"),
            (
                joint("lower-ball-joint-{side}", ".axial"),
                joint("upper-ball-joint-{side}", ".axial"),
                joint("upper-ball-joint-{side}"),
            ),
        ),
        check("idler", ("frame",), (joint("idler-arm"),), sided=False),
        check("rack-shift", ("wheels",), (joint("rack-bushing"),), sided=False),
        replace(check("tire", ("frame", "wheels"), ()), kind="condition", strokes=(), watch_words=("cord",)),
    )
    kinds = [kind(name, "steering", has_boot=True) for name in ("outer-tie-rod-end", "idler-arm")]
    kinds += [kind(name, "carrier", has_boot=True) for name in ("lower-ball-joint", "upper-ball-joint")]
    kinds += [kind("wheel-bearing", "bearing", has_boot=False)]
    return Catalogue(
        joint_figures={"ball": figure()},
        failure_words={},
        part_kinds={each.id: each for each in kinds},
        spanish_traps={},
        alterations={},
        wear_patterns={name: wear_pattern(name) for name in ("feathered", "cupped")},
        complaints={name: complaint(name) for name in ("wanders", "clunk-braking")},
        conditions={each.id: each for each in (
            condition("torn-boot", ("steering", "carrier")),
            condition("missing-pin", ("outer-tie-rod-end",)),
            condition("bent", ()),
        )},
        supports={name: SupportState(name, name, "", "", "", 5.0, "test") for name in ("wheels", "frame", "arm")},
        observers={each.id: each for each in (
            observer("hand", "none", "slight", "clear", "gross"),
            observer("eye", "none", "slight", "clear", "gross"),
            observer("ear", "silent", "knock"),
            observer("feel", "rising", "dead zone"),
        )},
        limits={name: limit(name) for name in ("us-federal", "us-utah", "any")},
        drills={},
        checks={each.id: each for each in checks},
        sources={},
        places=Places({}, {}),
    )  # fmt: skip


def figure() -> JointFigure:
    """Some ball joint."""
    axis = AxisFigures(Band(1.0, 2.0), Band(0.0, 0.1), 1.0, "at the stud")
    return JointFigure("ball", "ball", axis, axis, 0.0, 0.0, 1.0, "radial", "", "test")


def condition(name: str, applies_to: tuple[str, ...]) -> Condition:
    """A condition that is replaced when seen."""
    return Condition(name, name, name, "replace", applies_to, "law", "", "test")


def observer(name: str, *grades: str) -> Observer:
    """A way of looking with these grades."""
    thresholds = tuple(0.5 * number for number in range(1, len(grades)))
    return Observer(name, grades, thresholds, 0.1, 0.4, 0.02, "", "test")  # type: ignore[arg-type]


def complaint(name: str) -> Complaint:
    """A complaint without causes."""
    return Complaint(name, name, (), (), ("told",), (), ("wheel39",), "", "test")


def wear_pattern(name: str) -> WearPattern:
    """A pattern of tire wear without causes."""
    return WearPattern(name, name, name, "", "", (), "", ("wheel39",), "from memory", "test")


def limit(jurisdiction: str) -> Limit:
    """A limit at the tread."""
    return Limit(
        f"{jurisdiction}-tread", jurisdiction, "", "linkage", "movement", "wheel39", "tread", ("frame",),
        "free travel", 6.4, "1/4 in", "law", "", "test",
    )  # fmt: skip


def read(path: Path) -> Visit:
    """The visit in a file, read with the small catalogue."""
    return read_visit(path, catalogue=catalogue(), part_ids=VEHICLES, vehicle_ids=VEHICLES)


HEAD = 'format = 1\nvehicle = "yard-pickup"\ndate = 2026-10-14\ntechnician = "Ines Calder"\n'


def one_check(*lines: str, do: str = "wheel39", support: str = "frame", side: str | None = "left") -> str:
    """A visit file with one check; `lines` are further fields of it."""
    fields = [f'do = "{do}"', f'support = "{support}"', *([f'side = "{side}"'] if side else []), *lines]
    return HEAD + "[[check]]\n" + "\n".join(fields) + "\n"


def one_reading(reading: str, **check_fields: str) -> str:
    """A visit file with one check and one reading."""
    return one_check(f"readings = [ {{ {reading} }} ]", **check_fields)
