"""Sentences about readings and setups, the same wherever they are shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import sided_name
from looseends.catalogue.spanish import kind_name
from looseends.catalogue.types import Axis, VerdictWord
from looseends.diagnosis.observed.evidence import Clue
from looseends.inspection.types import By, CheckDone, ConditionSeen, Grade, Reading, Urgency
from looseends.language import AsWritten, InSentence, Length, Sayable, Speech, Text, Value, joined, say
from looseends.vehicle.setup import Setup, Side

VERDICT_WORDS: Mapping[VerdictWord, Text] = {
    "unsafe": say("unsafe"),
    "replace": say("replace"),
    "plan": say("plan"),
    "sound": say("sound"),
    "unproven": say("unproven"),
}
URGENCY_WORDS: Mapping[Urgency, Text] = {
    "now": say("now"),
    "before long": say("before long"),
    "watch": say("watch"),
}
AXES: Mapping[Axis, Text] = {"radial": say("radial"), "axial": say("axial")}
SIDES: Mapping[Side, Text] = {"left": say("left"), "right": say("right")}
SIDE_OF_VEHICLE: Mapping[Side, Text] = {"left": say("left side"), "right": say("right side")}
BRAKE: Mapping[str, Text] = {"on": say("brake on"), "off": say("brake off")}
STEERING: Mapping[str, Text] = {"held": say("steering held"), "free": say("steering free")}
GRADES: Mapping[Grade, Text] = {
    "none": say("none"),
    "slight": say("slight"),
    "clear": say("clear"),
    "gross": say("gross"),
    "silent": say("silent"),
    "knock": say("a knock"),
    "rising": say("force rising from the start"),
    "dead zone": say("a dead zone"),
    "moved": say("something moved"),
}
BY: Mapping[By, Text] = {
    "gauge": say("by gauge"),
    "hand": say("by hand"),
    "eye": say("by eye"),
    "ear": say("by ear"),
    "feel": say("by the feel of the force"),
    "group": say("gripped with others"),
}
RESPONSE_TABLE = say("response table")
THE_VISIT = say("the visit")


@dataclass(frozen=True)
class WatchName(Sayable):
    """A watch by the name of the part or place that it is at."""

    watch: str

    def said(self, speech: Speech) -> str:
        """The name."""
        return speech.words(watch_place(self.watch))


def watch_place(watch: str) -> Value:
    """A watch by the name of the part or place that it is at."""
    part = watch.removesuffix(".axial")
    kind, side = next(((part.removesuffix(f"-{s}"), s) for s in SIDES if part.endswith(f"-{s}")), (part, None))
    known = load_catalogue().part_kinds.get(kind)
    name = sided_name(kind.replace("-", " ") if known is None else kind_name(known), side)
    return say("{part}, along its axis", part=name) if part != watch else name


def observer_words(seen: ConditionSeen) -> Value:
    """Who looked, and whether it was not for the first time."""
    observer = AsWritten(seen.observer)
    return say("{who} (looked again)", who=observer) if seen.again else observer


def setup_words(setup: Setup) -> Text:
    """A setup in words: "lift the wheel with a bar, held under the lower arms, left"."""
    return joined([InSentence(load_catalogue().checks[setup.check].name), held_words(setup)], ", ")


def held_words(setup: Setup) -> Text:
    """How the vehicle is held and what is on in a setup: "held at the frame, wheels hanging, left, steering held"."""
    words: list[Value] = [InSentence(load_catalogue().supports[setup.support].name)]
    if setup.side is not None:
        words.append(SIDES[setup.side])
    if len(load_catalogue().checks[setup.check].steer_states) > 1:
        words.append(STEERING[setup.steer])
    if setup.brake == "on":
        words.append(say("brake held"))
    if setup.stand_inboard_mm > 0.0:
        words.append(say("stand {inboard} inboard of the joint", inboard=Length(setup.stand_inboard_mm)))
    return joined(words, ", ")


def reading_words(reading: Reading) -> Text:
    """A reading in words: "read 1.4 mm" or "by hand: clear"."""
    if reading.gauge_mm is None:
        return say("{by}: {grade}", by=BY[reading.by], grade=GRADES[reading.grade or "none"])
    read = Length(reading.gauge_mm)
    if reading.free_mm is None:
        return say("read {movement}", movement=read)
    return say("read {movement}, {free} of it free", movement=read, free=Length(reading.free_mm))


def check_words(done: CheckDone) -> Text:
    """ "check 3" as the grounds refer to it."""
    return say("check {number}", number=done.number)


def check_name(done: CheckDone) -> str:
    """The name of a check that was done."""
    return load_catalogue().checks[done.setup.check].name


def clue_words(clue: Clue) -> Text:
    """A whole reading with its setup, observer and what a sound vehicle shows there."""
    gap = clue.check.stop_gap_mm
    setup = setup_words(clue.check.setup)
    if gap is not None:
        setup = say("{setup}, stop gap {gap}", setup=setup, gap=Length(gap))
    return say(
        "{watch} {reading} ({setup}; {observer}); a sound one shows {movement} there, {free} of it free",
        watch=WatchName(clue.reading.watch),
        reading=reading_words(clue.reading),
        setup=setup,
        observer=AsWritten(clue.check.observer),
        movement=Length(float(clue.sound[0]), 1),
        free=Length(float(clue.sound[1]), 1),
    )
