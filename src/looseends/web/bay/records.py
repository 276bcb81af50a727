"""What a page of a visit hands to its script, as JSON; places in the units of the underside plan."""

from __future__ import annotations

import msgspec

from looseends.web.of_visit.recorded import ObservationOut


class Grip(msgspec.Struct):
    """A force at a place; `to` is right, down and up on the page at the stroke's first end, the greatest 1."""

    x: float
    y: float
    to: tuple[float, float, float]
    label: str


class StrokeView(msgspec.Struct):
    """One push, or push and pull, with its grips and the ids of what is watched."""

    words: str
    force: str
    both_ways: bool
    grips: list[Grip]
    watches: list[str]


class WatchView(msgspec.Struct):
    """One place that is watched; `step_mm` is the step of the gauge that the check foresees.

    Of a part that is looked at, `sees` are the conditions that would be found on it; unless the look `proves`, they are
    all that it speaks of, and the part itself is still to be checked.
    """

    id: str
    name: str
    where: str
    part: str | None
    x: float
    y: float
    step_mm: float
    tread: bool
    sees: list[str] = []
    proves: bool = True


class View(msgspec.Struct):
    """Grips and watches of a check on one side."""

    strokes: list[StrokeView]
    watches: list[WatchView]


class CheckCard(msgspec.Struct):
    """A check in words; a look has no strokes, and `look_for` says what counts."""

    name: str
    do: str
    sound_shows: str
    caution: str
    false_calls: list[str]
    minutes: str
    look_for: list[str]


class SupportCard(msgspec.Struct):
    """A support in words."""

    name: str
    how: str
    proof: str
    caution: str


class SetupCard(msgspec.Struct):
    """A check as it is set up: `view` names its view, `setup` is what is recorded.

    `asks_gap`: under these stands a gap at the rebound stop is the proof that the spring is off the joint.
    """

    key: str
    view: str
    held: str
    asks_gap: bool
    setup: dict[str, str | float | None]


class Cards(msgspec.Struct):
    """All checks that a vehicle's visit may come to, and the order in which they are done without advice.

    `conditions` are those that can be seen on any of its parts, in words; `seen_on` names them by part.
    """

    checks: dict[str, CheckCard]
    supports: dict[str, SupportCard]
    setups: list[SetupCard]
    views: dict[str, View]
    parts: dict[str, str]
    conditions: dict[str, str]
    seen_on: dict[str, list[str]]
    places: dict[str, tuple[float, float]]
    order: list[str]
    shortest: bool
    """Whether the order is the shortest route, or the catalogue's because tables are still computed."""


class Advice(msgspec.Struct):
    """A check to do next, and why; `again`: it was done, and these `watches` are read, or looked at, once more."""

    key: str
    reason: str
    minutes: str
    again: bool = False
    watches: tuple[str, ...] = ()


class PartKnown(msgspec.Struct):
    """What is known of a part: sentences, and the checks that would prove it."""

    verdict: str
    chance: float
    chance_words: str
    said: list[str]
    prove: str
    prove_key: str | None


class Answer(msgspec.Struct):
    """What follows from the visit so far; `state` is "known", or "waits" while tables are computed.

    `advice` has the best check first; empty where none would tell much, then `enough` says so.
    """

    state: str
    words: str
    parts: dict[str, PartKnown]
    suspects: list[str]
    advice: list[Advice]
    enough: str


class Answered(msgspec.Struct):
    """An answer with everything recorded in the visit, by whichever device, in the order of receipt."""

    answer: Answer
    records: list[ObservationOut]
