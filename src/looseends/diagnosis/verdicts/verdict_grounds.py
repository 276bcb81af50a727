"""The grounds of a verdict on a part: what was seen and read, the limits that count, and what would have shown."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.spanish import kind_name
from looseends.catalogue.types import Condition
from looseends.diagnosis.observed.detect import chance_seen
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.looked import Look, look_at
from looseends.diagnosis.observed.words import AXES, RESPONSE_TABLE, check_name, check_words, clue_words, observer_words
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.verdicts.verdict_word import PartEvidence, Told
from looseends.inspection.types import ConditionSeen, Grounds
from looseends.language import AsWritten, Capital, Length, Number, Percent, Value, joined, say
from looseends.vehicle.vehicle import Part

_SUSPECT = 0.3
"""From this chance on a part is in question because of what was seen, and not for want of looking."""


def told_grounds(evidence: PartEvidence, told: Told) -> list[Grounds]:
    """Why readings and looks say what they say of a part's play."""
    states, looked = evidence.states, evidence.looked
    by_look = [_look_grounds(looked)] if looked is not None and told.verdict == "sound" else []
    if states is None:
        return by_look
    if evidence.worn_chance >= evidence.read.beliefs.worn_at_least:
        return _play_grounds(evidence, states)
    if told.against:
        return _contested_grounds(told.against)
    if told.verdict == "sound":
        return [*by_look, *_sound_grounds(evidence, states, told.seen)]
    return _unproven_grounds(evidence, told.seen)


def condition_grounds(seen: ConditionSeen, record: Condition) -> Grounds:
    """Who saw a condition, and the rule that speaks of it."""
    observer = observer_words(seen)
    if seen.note:
        observer = say("{observer} ({note})", observer=observer, note=AsWritten(seen.note))
    words = say(
        "{condition} seen by {observer}: {rule}", condition=record.words, observer=observer, rule=record.grounds
    )
    return Grounds("observation", words, record.status, record.source, say("condition {number}", number=seen.number))


def absent_grounds(evidence: PartEvidence) -> list[Grounds]:
    """Looks that did not find what another look of the same part found, where that leaves the part in doubt."""
    doubted = {seen.condition for seen in evidence.conditions if evidence.doubted(seen)}
    looked = [seen for seen in evidence.rules.looked_for if seen.part == evidence.part.id and not seen.present]
    return [_absent_ground(seen, evidence.part) for seen in looked if seen.condition in doubted]


def _absent_ground(seen: ConditionSeen, part: Part) -> Grounds:
    look = look_at(seen.condition, part.kind.id)
    assert look is not None  # a doubted condition is one of a look
    condition: Value = load_catalogue().conditions[seen.condition].words
    if seen.note:
        condition = say("{condition} ({note})", condition=condition, note=AsWritten(seen.note))
    words = say(
        "looked for by {observer} and not there: {condition}", observer=observer_words(seen), condition=condition
    )
    return Grounds("observation", words, None, look.source, say("condition {number}", number=seen.number))


def _look_grounds(look: Look) -> Grounds:
    words = say(
        "{check}: nothing found. A fault would have been seen with a chance of {chance}.",
        check=load_catalogue().checks[look.check].name,
        chance=Percent(look.chance),
    )
    return Grounds("observation", words, None, look.source, load_catalogue().checks[look.check].name)


def _play_grounds(evidence: PartEvidence, states: PartStates) -> list[Grounds]:
    telling = sorted(evidence.own_clues, key=lambda clue: -abs(_pull(evidence, states, clue)))[:3]
    grounds = [
        Grounds("observation", clue_words(clue), None, check_name(clue.check), check_words(clue.check))
        for clue in telling
    ]
    grounds.append(_limit_grounds(evidence.part, states))
    if evidence.part.kind.play == "none":
        words = say(
            "No play at all is common practice for this kind of part ({kind}); the maker decides.",
            kind=kind_name(evidence.part.kind),
        )
        grounds.append(Grounds("limit", words, "common practice", evidence.part.kind.source, ""))
    return grounds


def _limit_grounds(part: Part, states: PartStates) -> Grounds:
    """The reject clearances that count, and whose they are; the maker's where one of them is."""
    assert part.figure is not None
    parts: list[Value] = []
    for axis, reject in zip(states.axes, states.reject, strict=True):
        figures = part.figure.radial if axis == "radial" else part.figure.axial
        at: dict[str, Value] = {"reject": Length(float(reject)), "axis": AXES[axis], "measured": figures.measured}
        if axis in part.maker_axes:
            parts.append(say("the maker rejects at {reject} {axis} ({measured})", **at))
        else:
            parts.append(say("common practice rejects at {reject} {axis} ({measured})", **at))
    limits = Capital(joined(parts, "; "))
    if part.maker_axes:
        return Grounds("limit", say("{limits}.", limits=limits), "maker", part.limit_source, "")
    words = say("{limits}; confirm with the maker's limit.", limits=limits)
    return Grounds("limit", words, "common practice", part.limit_source, "")


def _pull(evidence: PartEvidence, states: PartStates, clue: Clue) -> float:
    """How far a reading speaks for or against the part: gain of log likelihood in its most probable worn state."""
    weights = evidence.read.posterior.state_weights(states.part.id)
    best = int(np.argmax(weights if weights.sum() > 0.0 else states.weight))
    change = clue.change[states.part.id][best]
    return float(clue.gain(change, np.zeros(2), evidence.read.beliefs))


def _contested_grounds(against: Sequence[Clue]) -> list[Grounds]:
    """One reading that shows play is enough to keep a part from being called sound, until it is outvoted."""
    return [
        Grounds(
            "contradiction",
            say("{reading}: not explained. Do it again.", reading=clue_words(clue)),
            None,
            "",
            check_words(clue.check),
        )
        for clue in against
    ]


def _sound_grounds(evidence: PartEvidence, states: PartStates, seen: float) -> list[Grounds]:
    beliefs, axis = evidence.read.beliefs, states.axes[0]
    chances = [(chance_seen(clue, states, axis, beliefs), clue) for clue in evidence.read.silent]
    shown = sorted((one for one in chances if one[0] > 0.3), key=lambda one: -one[0])
    grounds = [
        Grounds("observation", clue_words(clue), None, check_name(clue.check), check_words(clue.check))
        for _, clue in shown[:2]
    ]
    words = say(
        "These readings would have shown {reject} {axis} play with a chance of {chance}.",
        reject=Length(float(states.reject[0])),
        axis=AXES[axis],
        chance=Percent(seen),
    )
    grounds.append(Grounds("model", words, None, RESPONSE_TABLE, ""))
    if len(states.axes) > 1 and evidence.read.seen_by_any(states, states.axes[1]) < beliefs.seen_at_least:
        other = say("Its {axis} play was not looked for in a way that would have shown it.", axis=AXES[states.axes[1]])
        grounds.append(Grounds("model", other, None, RESPONSE_TABLE, ""))
    return grounds


def _unproven_grounds(evidence: PartEvidence, seen: float) -> list[Grounds]:
    asked = evidence.read.beliefs
    if seen < asked.seen_at_least and evidence.worn_chance < _SUSPECT:
        words = say(
            "What was done would have shown play at the reject clearance with a chance of {chance}; {asked} is asked.",
            chance=Percent(seen, down=True),
            asked=Percent(asked.seen_at_least),
        )
    else:
        words = say(
            "After what was seen it is worn with a chance of {chance}: sound asks for at most {sound}, worn for at "
            "least {worn}.",
            chance=Number(evidence.worn_chance, 2),
            sound=Number(evidence.sound_at_most),
            worn=Number(asked.worn_at_least),
        )
    return [Grounds("model", words, None, RESPONSE_TABLE, "")]
