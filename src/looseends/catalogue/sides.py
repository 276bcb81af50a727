"""A check as it is done on one side: "{side}" and "{other}" in its strokes become left and right."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from looseends.catalogue.types import Check, Grip, Stroke, WatchPlace
from looseends.errors import InputError
from looseends.language import Text, Value, refusal, say

Side = Literal["left", "right"]
OTHER_SIDE: dict[Side, Side] = {"left": "right", "right": "left"}


def sided_name(name: Value, side: Side | None) -> Text:
    """A name with its side: "left lower ball joint"."""
    if side is None:
        return say("{part}", part=name)
    return say("left {part}", part=name) if side == "left" else say("right {part}", part=name)


def resolve_check(check: Check, side: Side | None) -> Check:
    """The check with "{side}" and "{other}" replaced in every string of its strokes.

    Directions are left as they are: y stays positive outboard, and the vehicle mirrors it.

    Parameters
    ----------
    check : Check
        As the catalogue holds it.
    side : "left", "right" or None
        The side worked on; None exactly for a check that has no side.

    Returns
    -------
    Check
        Without placeholders.

    Raises
    ------
    InputError
        If a sided check is given no side, or an unsided one is given a side.

    Source
    ------
    Naming rule of this catalogue.
    """
    if check.sided and side is None:
        raise InputError(
            refusal('Check "{check}" is done on one side: side must be "left" or "right", found none.', check=check.id)
        )
    if not check.sided and side is not None:
        raise InputError(
            refusal(
                'Check "{check}" is done on the whole vehicle: side must be left out, found "{side}".',
                check=check.id,
                side=side,
            )
        )
    if side is None:
        return check
    return replace(check, strokes=tuple(_resolve_stroke(stroke, side) for stroke in check.strokes))


def watches_of(check: Check, side: Side | None) -> tuple[WatchPlace, ...]:
    """Every watch of the check on that side, each id once, in the order of the strokes.

    Raises InputError as `resolve_check` does.
    """
    strokes = resolve_check(check, side).strokes
    by_id: dict[str, WatchPlace] = {}
    for stroke in strokes:
        for watch in stroke.watches:
            by_id.setdefault(watch.id, watch)
    return tuple(by_id.values())


def _resolve_stroke(stroke: Stroke, side: Side) -> Stroke:
    return replace(
        stroke,
        id=_fill(stroke.id, side),
        words=_fill(stroke.words, side),
        grips=tuple(_resolve_grip(grip, side) for grip in stroke.grips),
        watches=tuple(_resolve_watch(watch, side) for watch in stroke.watches),
        needs=tuple(_fill(body, side) for body in stroke.needs),
    )


def _resolve_grip(grip: Grip, side: Side) -> Grip:
    return replace(grip, body=_fill(grip.body, side), at=_fill(grip.at, side), reacts_on=_fill(grip.reacts_on, side))


def _resolve_watch(watch: WatchPlace, side: Side) -> WatchPlace:
    return replace(
        watch,
        id=_fill(watch.id, side),
        part=_fill_optional(watch.part, side),
        body=_fill_optional(watch.body, side),
        at=_fill_optional(watch.at, side),
        against=_fill(watch.against, side),
        words=_fill(watch.words, side),
    )


def _fill(text: str, side: Side) -> str:
    # not str.format: any other brace in a sentence stays a brace
    return text.replace("{side}", side).replace("{other}", OTHER_SIDE[side])


def _fill_optional(text: str | None, side: Side) -> str | None:
    return None if text is None else _fill(text, side)
