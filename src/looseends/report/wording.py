"""The short sentences that the documents share, each to be said in the reader's language and units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.catalogue.types import Axis, LimitStatus, VerdictWord
from looseends.diagnosis.observed.words import BRAKE, SIDE_OF_VEHICLE
from looseends.inspection.types import By, Finding, Grade, Reading, Urgency
from looseends.language import AsWritten, Capital, Distance, Length, Text, Value, joined, say, say_count
from looseends.report.vocabulary import Vocabulary
from looseends.vehicle.setup import Setup

JURISDICTION_WORDS: Mapping[str, Value] = {
    "us-federal": say("United States, federal"),
    "us-fmcsa": say("United States, commercial vehicles"),
    "us-army": say("United States Army"),
    "us-states": say("several states of the United States"),
    "us-wa": AsWritten("Washington"),
    "us-md": AsWritten("Maryland"),
    "us-mo": AsWritten("Missouri"),
    "us-nc": say("North Carolina"),
    "us-ma": AsWritten("Massachusetts"),
    "us-ut": AsWritten("Utah"),
    "us-oh": AsWritten("Ohio"),
    "us-pa": say("Pennsylvania"),
    "us-va": AsWritten("Virginia"),
    "us-ny": say("New York"),
    "uk": say("United Kingdom"),
    "eu": say("European Union"),
    "ca-qc": AsWritten("Quebec"),
}
"""Whose limits count, by the id in the visit."""

URGENCY_ORDER: tuple[Urgency | None, ...] = ("now", "before long", "watch", None)
VERDICT_MEANING: Mapping[VerdictWord, Text] = {
    "unsafe": say("Do not drive: the condition itself was seen."),
    "replace": say("Over its limit, or loose where nothing may be loose. It still holds."),
    "plan": say("Something was measured or seen, within its limit. Look again, or plan the work."),
    "sound": say("A check that could have shown wear was done the right way and showed none."),
    "unproven": say("Nothing done so far could have shown wear. It is neither good nor bad, and not sold as a part."),
}
STATUS_WORDS: Mapping[LimitStatus, Text] = {
    "law": say("law"),
    "maker": say("the vehicle maker’s figure"),
    "common practice": say("common practice: confirm with the maker’s limit"),
    "to be confirmed": say("to be confirmed with the maker’s limit"),
}
GRADE_WORDS: Mapping[Grade, Text] = {
    "none": say("no movement"),
    "slight": say("slight movement"),
    "clear": say("clear movement"),
    "gross": say("gross movement"),
    "silent": say("no sound"),
    "knock": say("a knock"),
    "rising": say("force rising from the start"),
    "dead zone": say("a dead zone"),
    "moved": say("something moved"),
}
BY_WORDS: Mapping[By, Text] = {
    "gauge": say("by gauge"),
    "hand": say("felt by hand"),
    "eye": say("seen by eye"),
    "ear": say("heard"),
    "feel": say("by the feel of the force"),
    "group": say("gripped with others"),
}
URGENCY_WORDS: Mapping[Urgency, Text] = {
    "now": say("Now, before it is driven again."),
    "before long": say("Before long: have a date set for it."),
    "watch": say("It can wait: have it looked at again."),
}
AXIS_WORDS: Mapping[Axis, Text] = {"radial": say("across its axis"), "axial": say("along its axis")}
STEERING_WHEEL: Mapping[str, Text] = {"held": say("steering wheel held"), "free": say("steering wheel free")}
NUMBERS = (
    say("one"),
    say("two"),
    say("three"),
    say("four"),
    say("five"),
    say("six"),
    say("seven"),
    say("eight"),
    say("nine"),
    say("ten"),
)


def kilometres(distance_km: float | None) -> Text:
    """An odometer reading with its unit, thousands apart."""
    if distance_km is None:
        return say("not read")
    return say("{distance}", distance=Distance(distance_km, 0, grouped=True))


def headline(findings: Sequence[Finding], unproven_count: int, replaced_count: int = 0) -> Text:
    """The whole result in a few short sentences, the gravest first."""
    unsafe, replace, plan = (sum(f.verdict == word for f in findings) for word in ("unsafe", "replace", "plan"))
    said: list[Value] = []
    if unsafe:
        said.append(
            say_count(
                "Do not drive it: {number} part is unsafe.",
                "Do not drive it: {number} parts are unsafe.",
                unsafe,
                number=_number(unsafe),
            )
        )
    if replace:
        needs = say_count(
            "{number} part needs replacing.", "{number} parts need replacing.", replace, number=_number(replace)
        )
        said.append(Capital(needs))
    if plan:
        again = say_count(
            "{number} part is to be looked at again.",
            "{number} parts are to be looked at again.",
            plan,
            number=_number(plan),
        )
        said.append(Capital(again))
    if not said:
        said.append(say("Nothing else worn was found.") if replaced_count else say("Nothing worn was found."))
    if replaced_count:
        replaced = say_count(
            "{number} part was replaced.",
            "{number} parts were replaced.",
            replaced_count,
            number=_number(replaced_count),
        )
        said.insert(len(said) if unsafe or replace or plan else 0, Capital(replaced))
    if unproven_count:
        unproven = say_count(
            "{number} part is unproven: what was done shows it neither worn nor sound.",
            "{number} parts are unproven: what was done shows them neither worn nor sound.",
            unproven_count,
            number=_number(unproven_count),
        )
        said.append(Capital(unproven))
    return joined(said)


def setup_words(setup: Setup, vocabulary: Vocabulary) -> Text:
    """How a check was, or is to be, set up: support, side, steering wheel, brake, stand."""
    said: list[Value] = [vocabulary.name(setup.support)]
    if setup.side:
        said.append(SIDE_OF_VEHICLE[setup.side])
    said += [STEERING_WHEEL[setup.steer], BRAKE[setup.brake]]
    if setup.stand_inboard_mm:
        inboard = Length(setup.stand_inboard_mm, 0)
        said.append(say("stand {inboard} inboard of the ball joint", inboard=inboard))
    return joined(said, "; ")


def reading_amount(reading: Reading, vocabulary: Vocabulary) -> Text:
    """How much a reading showed: millimetres in the gauge's decimals, or a grade."""
    if reading.gauge_mm is None:
        return GRADE_WORDS[reading.grade or "none"]
    resolution = vocabulary.resolution_mm.get(reading.watch)
    read = Length.read(reading.gauge_mm, resolution)
    if reading.free_mm is None:
        return say("{movement}", movement=read)
    return say("{movement}, {free} of it free", movement=read, free=Length.read(reading.free_mm, resolution))


def reading_words(reading: Reading, vocabulary: Vocabulary) -> Text:
    """One reading as a sentence: where, how much, by what."""
    words = say(
        "{watch}: {amount}, {by}",
        watch=vocabulary.name(reading.watch),
        amount=reading_amount(reading, vocabulary),
        by=BY_WORDS[reading.by],
    )
    return with_note(words, reading.note)


def with_note(words: Value, note: str) -> Text:
    """The words with a person's note behind them, in brackets."""
    return say("{words} ({note})", words=words, note=AsWritten(note)) if note else say("{words}", words=words)


def amount_words(finding: Finding) -> Text:
    """The clearance that the evidence points to, with its range and axis; empty where there is none."""
    if finding.clearance_mm is None:
        return say("")
    said = say("about {clearance}", clearance=Length(finding.clearance_mm, 1))
    if finding.clearance_range_mm is not None:
        low, high = finding.clearance_range_mm
        said = say(
            "about {clearance}, nine times in ten between {low} and {high}",
            clearance=Length(finding.clearance_mm, 1),
            low=Length(low, 1),
            high=Length(high, 1),
        )
    return joined([said, AXIS_WORDS[finding.axis]], ", ") if finding.axis else said


def sentence(text: str) -> str:
    """The text with a capital at its head and a full stop at its end."""
    text = text.strip()
    return text[:1].upper() + text[1:] + ("" if not text or text[-1] in ".!?" else ".")


def shortened(text: str, most: int) -> str:
    """A person's own words, cut at a word's end where they are longer than so many letters."""
    if len(text) <= most:
        return text
    return AsWritten(text[:most].rsplit(" ", 1)[0].rstrip(" ,;.") + " …")


def listed(names: Sequence[str]) -> Text:
    """Names in one line, each once; the same part of both sides is named once: "left and right damper"."""
    sided = [_sided(name) for name in names]
    said: dict[str, Value] = {}
    for name, (side, part) in zip(names, sided, strict=True):
        both = side and {("left", part), ("right", part)} <= set(sided)
        words = say("left and right {part}", part=part) if both else name
        said[str(words)] = words
    return joined(list(said.values()), ", ")


def without_side(name: str) -> Value:
    """The name of a part without its side."""
    return _sided(name)[1]


def _sided(name: str) -> tuple[str, Value]:
    """The side of a name, empty if it has none, and the name without it."""
    if isinstance(name, Text):
        side = name.template.removesuffix(" {part}")
        return (side, name.values["part"]) if side in ("left", "right") else ("", name)
    side, _, part = name.partition(" ")
    return (side, part) if side in ("left", "right") else ("", name)


def _number(count: int) -> Value:
    return NUMBERS[count - 1] if 0 < count <= len(NUMBERS) else count
