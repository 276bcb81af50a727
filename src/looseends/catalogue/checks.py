"""Checks and the places they speak of, read from TOML: one file per check."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal, get_args, get_type_hints

from looseends.catalogue.entry import Entry, toml_entry
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.types import Check, CheckKind, Decider, Grip, Stroke, WatchPlace
from looseends.errors import InputError

SIDE_ENDINGS = ("-{side}", "-{other}")

_COMPONENTS = get_args(get_type_hints(WatchPlace)["component"])  # once: working it out for every watch takes a while
_FIXED_SIDE = re.compile(r"-(left|right)$")
"""How a check that is not sided names a thing of one side."""

STEER: tuple[Literal["held", "free"], ...] = ("held", "free")
BRAKE: tuple[Literal["off", "on"], ...] = ("off", "on")
KINDS: tuple[Literal["joint", "point"], ...] = ("joint", "point")


@dataclass(frozen=True)
class Places:
    """Names that a check may use: bodies of a layout and marks of a vehicle, each with its meaning.

    Names of things that stand on both sides end in "-{side}"; a check may write "-{other}" for the far side.
    """

    bodies: Mapping[str, str]
    marks: Mapping[str, str]


@dataclass(frozen=True)
class CheckNames:
    """All names that a check may refer to: supports, part kinds, places."""

    supports: Collection[str]
    part_kinds: Collection[str]
    places: Places


def read_places(text: str, file: str = "places.toml") -> Places:
    """Bodies and marks from the text of a places file.

    Raises
    ------
    InputError
        If the file has anything but the tables [bodies] and [marks] of name = meaning.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    whole = toml_entry(text, file)
    places = Places(_meanings(whole, "bodies"), _meanings(whole, "marks"))
    whole.finish()
    return places


def _meanings(whole: Entry, key: str) -> dict[str, str]:
    whole.read.add(key)
    table = whole.values.get(key)
    if not isinstance(table, dict) or not table:
        raise whole.refuse(key, "a table of name = meaning")
    names = Entry(whole.file, key, table)
    return {name: names.text(name) for name in table}


def read_check(text: str, names: CheckNames, sources: Mapping[str, Source], file: str) -> Check:
    """One check from the text of its file; forces [N], gauge resolution [mm], time [min].

    Raises
    ------
    InputError
        If a field is not as `Check` describes it, a name is unknown, a watch id stands twice, an unsided check uses a
        side placeholder, or strokes and `kind` do not agree.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entry = toml_entry(text, file)
    check_id = entry.identifier()
    entry.label = f'check "{check_id}"'
    sided = entry.flag("sided")
    kind: CheckKind = entry.choice("kind", get_args(CheckKind)) if entry.has("kind") else "movement"
    moves = kind == "movement"
    check = Check(
        id=check_id,
        name=entry.text("name"),
        supports=entry.choices("supports", tuple(names.supports)),
        sided=sided,
        steer_states=entry.choices("steer_states", STEER),
        brake_states=entry.choices("brake_states", BRAKE),
        strokes=tuple(_stroke(stroke, names, sided) for stroke in entry.entries("stroke", "stroke")) if moves else (),
        do=entry.text("do"),
        sound_shows=entry.text("sound_shows"),
        false_calls=entry.texts("false_calls", empty_allowed=False),
        caution=entry.text("caution"),
        minutes=entry.positive("minutes"),
        source=citation(entry, sources),
        kind=kind,
        meter=entry.texts("meter", empty_allowed=False),
        accept=entry.choices("accept", get_args(Decider)),
        watch_words=() if moves else entry.texts("watch_words", empty_allowed=False),
        at_lock=entry.flag("at_lock") if entry.has("at_lock") else False,
    )
    for key in ("supports", "steer_states", "brake_states", "accept"):
        if not getattr(check, key):
            raise entry.refuse(key, "a list with at least one name")
    _refuse_mixed_kind(check, entry)
    entry.finish()
    _refuse_repeats(check, entry)
    return check


def _refuse_mixed_kind(check: Check, entry: Entry) -> None:
    """Mechanics models movement, straight ahead; what is looked at or driven has words instead of strokes."""
    if check.kind == "movement":
        if entry.has("watch_words"):
            raise entry.refuse(
                "watch_words", 'left out of a check of kind "movement", whose strokes say what is watched'
            )
        if check.at_lock:
            raise entry.refuse("at_lock", 'left out of a check of kind "movement", which is done straight ahead')
    elif entry.has("stroke"):
        raise InputError(f'{entry.where}: [[stroke]] must be left out of a check of kind "{check.kind}", found one.')


def _refuse_repeats(check: Check, entry: Entry) -> None:
    ids = [stroke.id for stroke in check.strokes]
    ids += [watch.id for stroke in check.strokes for watch in stroke.watches]
    for name in ids:
        if ids.count(name) > 1:
            raise InputError(f'{entry.where}: stroke and watch ids must stand once, found "{name}" twice.')


def _stroke(entry: Entry, names: CheckNames, sided: bool) -> Stroke:
    stroke = Stroke(
        id=entry.identifier(),
        words=entry.text("words"),
        force=entry.positive("force_N"),
        from_share=entry.number("from_share", minimum=-1, maximum=1),
        to_share=entry.number("to_share", minimum=-1, maximum=1),
        grips=tuple(_grip(grip, names, sided) for grip in entry.entries("grip", "grip")),
        watches=tuple(_watch(watch, names, sided) for watch in entry.entries("watch", "watch")),
        needs=_needs(entry, names, sided) if entry.has("needs") else (),
        lifts=entry.number("lifts_own_weight", minimum=1, maximum=3) if entry.has("lifts_own_weight") else 0.0,
    )
    if stroke.from_share >= stroke.to_share:
        raise entry.refuse("to_share", f"greater than from_share = {stroke.from_share:g}")
    entry.finish()
    return stroke


def _grip(entry: Entry, names: CheckNames, sided: bool) -> Grip:
    grip = Grip(
        body=_place(entry, "body", names.places.bodies, sided),
        at=_place(entry, "at", {*names.places.marks, *_joint_centers(names)}, sided),
        direction=entry.vector("direction"),
        share=entry.number("share", minimum=-1, maximum=1),
        reacts_on=_place(entry, "reacts_on", names.places.bodies, sided),
    )
    entry.finish()
    return grip


def _watch(entry: Entry, names: CheckNames, sided: bool) -> WatchPlace:
    kind = entry.choice("kind", KINDS)
    joint = kind == "joint"
    marks = {*names.places.marks, *_joint_centers(names)}
    watch = WatchPlace(
        id=entry.identifier(),
        kind=kind,
        part=_place(entry, "part", _joint_centers(names), sided) if joint or entry.has("part") else None,
        component=entry.choice("component", _COMPONENTS),
        body=None if joint else _place(entry, "body", names.places.bodies, sided),
        at=None if joint else _place(entry, "at", marks, sided),
        against="" if joint else _place(entry, "against", names.places.bodies, sided),
        words=entry.text("words"),
        gauge_resolution_mm=entry.positive("gauge_resolution_mm"),
    )
    if not joint and watch.component in ("radial", "axial"):
        raise entry.refuse("component", "x, y or z for a point, which has no axis of its own")
    if joint and watch.id not in (watch.part, f"{watch.part}.axial"):
        raise entry.refuse("id", f'the part id "{watch.part}", or that with ".axial"')
    entry.finish()
    return watch


def _joint_centers(names: CheckNames) -> set[str]:
    return {kind + ending for kind in names.part_kinds for ending in ("", "-{side}")}


def _needs(entry: Entry, names: CheckNames, sided: bool) -> tuple[str, ...]:
    bodies = entry.texts("needs", empty_allowed=False)
    return tuple(_known_place(entry, "needs", name, names.places.bodies, sided) for name in bodies)


def _place(entry: Entry, key: str, known: Collection[str], sided: bool) -> str:
    return _known_place(entry, key, entry.text(key), known, sided)


def _known_place(entry: Entry, key: str, name: str, known: Collection[str], sided: bool) -> str:
    if not sided and name.endswith(SIDE_ENDINGS):
        raise entry.refuse(key, "a name without side in a check that is not sided")
    plain = name.replace("{other}", "{side}") if sided else _FIXED_SIDE.sub("-{side}", name)
    if name not in known and plain not in known:
        raise InputError(unknown_name_sentence(key, name, known, where=entry.where))
    return name
