"""From posterior and conditions to a verdict on every part, with its grounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.spanish import kind_name
from looseends.catalogue.types import Axis, Condition, PartGroup, VerdictWord
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.detect import chance_seen, chance_seen_by_any
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.explanation import Posterior
from looseends.diagnosis.looked import Look, looked_over
from looseends.diagnosis.policy import URGENCIES
from looseends.diagnosis.remarks import says_none, unresolved, watched_part
from looseends.diagnosis.rules import Rules
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.words import AXES, RESPONSE_TABLE, check_words, clue_words
from looseends.inspection.types import ConditionSeen, Finding, Grounds
from looseends.language import AsWritten, Capital, Length, Number, Percent, Text, Value, joined, say
from looseends.mechanics.bodies import Array
from looseends.vehicle.vehicle import Part

GRAVITY_OF: Mapping[VerdictWord, int] = {"unsafe": 4, "replace": 3, "plan": 2, "sound": 1, "unproven": 0}
"""Verdicts in order; the gravest of a part's counts."""

ADVICE: Mapping[VerdictWord, Text] = {
    "unsafe": say("Do not drive; repair or tow, following the maker's procedure."),
    "replace": say(
        "Replace before the vehicle goes back to work; confirm with the maker's limit where no law or maker's figure "
        "is named."
    ),
    "plan": say("Plan the repair and look at it again at the next visit."),
    "sound": say("Nothing to do."),
    "unproven": say("Not proven either way; do not buy the part on this."),
}


@dataclass(frozen=True)
class PartEvidence:
    """Everything that a verdict on one part rests on."""

    part: Part
    states: PartStates | None
    posterior: Posterior
    clues: Sequence[Clue]
    conditions: Sequence[ConditionSeen]
    beliefs: Beliefs
    rules: Rules = field(default_factory=Rules)

    @property
    def worn_chance(self) -> float:
        """Posterior chance that the part is worn."""
        return 0.0 if self.states is None else self.posterior.marginal(self.part.id)

    @property
    def looked(self) -> Look | None:
        """The look that was done of the part and found nothing."""
        return looked_over(self.part.id, self.part.kind.id, self.rules.looked_for)

    @property
    def silent_clues(self) -> list[Clue]:
        """Readings that came out as on a sound vehicle: only these can prove anything sound."""
        return [clue for clue in self.clues if says_none(clue)]

    @property
    def own_clues(self) -> list[Clue]:
        """Readings that this part can move."""
        return [clue for clue in self.clues if self.part.id in clue.change]


def finding_of(evidence: PartEvidence) -> Finding:
    """The verdict on one part: the gravest of what its conditions, its posterior and the law say."""
    part, rules = evidence.part, evidence.rules
    told, told_grounds = _worn_verdict(evidence)
    law = list(rules.beyond_law.get(part.id, ()))
    play = gravest([told, "replace"]) if law else told
    seen = [(condition, _condition(condition)) for condition in evidence.conditions]
    ruled = [rules.condition(condition, part, tight=told == "sound" and not law) for condition in evidence.conditions]
    verdict = gravest([play, *(word for word, _ in ruled)])
    grounds = [_condition_grounds(condition, record) for condition, record in seen]
    grounds += [*(ground for _, added in ruled for ground in added), *law, *told_grounds]
    beside = rules.beside(part, verdict)
    axis, clearance, interval = _size(evidence) if evidence.worn_chance >= 0.5 else (None, None, None)
    names = [condition.condition for condition in evidence.conditions]
    also = [*(record.caution for _, record in seen), rules.recheck(verdict, names), rules.recommended(part, verdict)]
    return Finding(
        part=part.id,
        name=part.name,
        verdict=verdict,
        summary=_summary(evidence, verdict, [record for _, record in seen], axis, clearance),
        effect=part.kind.effect if GRAVITY_OF[verdict] >= GRAVITY_OF["plan"] else part.kind.purpose,
        advice=joined([ADVICE[verdict], *(words for words in also if words)]),
        probability=evidence.worn_chance,
        axis=axis,
        clearance_mm=clearance,
        clearance_range_mm=interval,
        grounds=(*grounds, beside) if beside else tuple(grounds),
        urgency=rules.urgency(verdict, play, names, part),
    )


def gravest(verdicts: Sequence[VerdictWord]) -> VerdictWord:
    """The one that counts."""
    return max(verdicts, key=lambda word: GRAVITY_OF[word])


def in_order(findings: Sequence[Finding], groups: Mapping[str, PartGroup], rules: Rules) -> tuple[Finding, ...]:
    """Gravest first, then the most urgent, the group that the policy names first, the most probable."""

    def place(finding: Finding) -> tuple[int, int, int, float, str]:
        due = len(URGENCIES) if finding.urgency is None else URGENCIES.index(finding.urgency)
        group = rules.policy.place(groups[finding.part])
        return -GRAVITY_OF[finding.verdict], due, group, -finding.probability, finding.part

    return tuple(sorted(findings, key=place))


def _condition(seen: ConditionSeen) -> Condition:
    return load_catalogue().conditions[seen.condition]


def _condition_grounds(seen: ConditionSeen, record: Condition) -> Grounds:
    observer: Value = AsWritten(seen.observer)
    if seen.note:
        observer = say("{observer} ({note})", observer=observer, note=AsWritten(seen.note))
    words = say(
        "{condition} seen by {observer}: {rule}", condition=record.words, observer=observer, rule=record.grounds
    )
    return Grounds("observation", words, record.status, record.source, say("condition {number}", number=seen.number))


def _worn_verdict(evidence: PartEvidence) -> tuple[VerdictWord, list[Grounds]]:
    """What the readings say about play."""
    states, beliefs = evidence.states, evidence.beliefs
    looked = evidence.looked
    if states is None:
        sure = looked is not None and looked.chance >= beliefs.seen_at_least and not evidence.conditions
        return ("sound", [_look_grounds(looked)]) if looked is not None and sure else ("unproven", [])
    chance = evidence.worn_chance
    if chance >= beliefs.worn_at_least:
        return _play_verdict(evidence, states), _play_grounds(evidence, states)
    seen = chance_seen_by_any(evidence.silent_clues, states, states.axes[0], beliefs)
    if looked is not None:
        seen = 1.0 - (1.0 - seen) * (1.0 - looked.chance)
    if chance <= _sound_at_most(evidence) and seen >= beliefs.seen_at_least:
        against = [clue for clue in unresolved(evidence.clues, evidence.posterior, beliefs) if _own_watch(clue, states)]
        if against:
            return "unproven", _contested_grounds(against)
        grounds = _sound_grounds(evidence, states, seen)
        return "sound", [_look_grounds(looked), *grounds] if looked is not None else grounds
    return "unproven", _unproven_grounds(evidence, states, seen)


def _sound_at_most(evidence: PartEvidence) -> float:
    return evidence.rules.policy.sound_at_most(evidence.part.kind.group, evidence.beliefs)


def _look_grounds(look: Look) -> Grounds:
    words = say(
        "{check}: nothing found. A fault would have been seen with a chance of {chance}.",
        check=load_catalogue().checks[look.check].name,
        chance=Percent(look.chance),
    )
    return Grounds("observation", words, None, look.source, look.check)


def _play_verdict(evidence: PartEvidence, states: PartStates) -> VerdictWord:
    if evidence.part.kind.play == "none":
        return "replace"
    weights = evidence.posterior.state_weights(states.part.id)
    beyond = float(weights[states.beyond_reject].sum() / max(weights.sum(), 1e-30))
    return "replace" if beyond >= evidence.beliefs.beyond_reject_at_least else "plan"


def _size(evidence: PartEvidence) -> tuple[Axis | None, float | None, tuple[float, float] | None]:
    """Axis that is worn most surely, its mean clearance [mm] given worn, and a 90 % range.

    Of axes that are as sure, the one furthest past its reject clearance; an axis that nothing spoke of keeps the chance
    of its prior, and its size is no finding.
    """
    states = evidence.states
    assert states is not None
    weights = evidence.posterior.state_weights(states.part.id)
    weights = weights / max(float(weights.sum()), 1e-30)

    def rank(axis: int) -> tuple[float, float]:
        clearance = states.clearance(axis)
        return round(float(weights @ (clearance > 0.0)), 1), float(weights @ clearance) / states.reject[axis]

    leading = max(range(len(states.axes)), key=rank)
    clearance = states.clearance(leading)
    present = clearance > 0.0
    share = weights[present] / max(float(weights[present].sum()), 1e-30)
    return states.axes[leading], float(share @ clearance[present]), _range(clearance[present], share)


def _range(values: Array, weights: Array) -> tuple[float, float]:
    order = np.argsort(values)
    cumulative = np.cumsum(weights[order])
    low, high = np.searchsorted(cumulative, [0.05, 0.95 - 1e-9])
    last = len(values) - 1
    # A knot stands for clearances half-way to its neighbors, about a fifth either way.
    return 0.8 * float(values[order][min(low, last)]), 1.2 * float(values[order][min(high, last)])


def _play_grounds(evidence: PartEvidence, states: PartStates) -> list[Grounds]:
    telling = sorted(evidence.own_clues, key=lambda clue: -abs(_pull(evidence, states, clue)))[:3]
    grounds = [
        Grounds("observation", clue_words(clue), None, clue.check.setup.check, check_words(clue.check))
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
    weights = evidence.posterior.state_weights(states.part.id)
    best = int(np.argmax(weights if weights.sum() > 0.0 else states.weight))
    change = clue.change[states.part.id][best]
    return float(clue.gain(change, np.zeros(2), evidence.beliefs))


def _own_watch(clue: Clue, states: PartStates) -> bool:
    return watched_part(clue.reading.watch) == states.part.id


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
    beliefs, axis = evidence.beliefs, states.axes[0]
    shown = [clue for clue in evidence.silent_clues if chance_seen(clue, states, axis, beliefs) > 0.3]
    shown.sort(key=lambda clue: -chance_seen(clue, states, axis, beliefs))
    grounds = [
        Grounds("observation", clue_words(clue), None, clue.check.setup.check, check_words(clue.check))
        for clue in shown[:2]
    ]
    words = say(
        "These readings would have shown {reject} {axis} play with a chance of {chance}.",
        reject=Length(float(states.reject[0])),
        axis=AXES[axis],
        chance=Percent(seen),
    )
    grounds.append(Grounds("model", words, None, RESPONSE_TABLE, ""))
    if (
        len(states.axes) > 1
        and chance_seen_by_any(evidence.silent_clues, states, states.axes[1], beliefs) < beliefs.seen_at_least
    ):
        other = say("Its {axis} play was not looked for in a way that would have shown it.", axis=AXES[states.axes[1]])
        grounds.append(Grounds("model", other, None, RESPONSE_TABLE, ""))
    return grounds


_SUSPECT = 0.3
"""From this chance on a part is in question because of what was seen, and not for want of looking."""


def _unproven_grounds(evidence: PartEvidence, states: PartStates, seen: float) -> list[Grounds]:
    asked = evidence.beliefs
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
            sound=Number(_sound_at_most(evidence)),
            worn=Number(asked.worn_at_least),
        )
    return [Grounds("model", words, None, RESPONSE_TABLE, "")]


def _summary(
    evidence: PartEvidence, verdict: VerdictWord, seen: Sequence[Condition], axis: Axis | None, clearance: float | None
) -> Text:
    sentences: list[Value] = [record.plain for record in seen]
    if evidence.rules.beyond_law.get(evidence.part.id):
        sentences.append(say("Beyond the limit of the law, as it was read."))
    if axis is not None and clearance is not None:
        surely = evidence.worn_chance >= evidence.beliefs.worn_at_least
        sentences.append(_size_words(axis, Length(clearance, 1), surely=surely))
    elif verdict == "sound":
        sentences.append(say("Nothing beyond what a sound one shows, in checks that could have shown it."))
    elif verdict == "unproven":
        sentences.append(say("Nothing done so far proves it worn or sound."))
    return joined(sentences)


def _size_words(axis: Axis, play: Length, *, surely: bool) -> Text:
    if axis == "axial":
        if surely:
            return say("Worn: about {play} of play along its axis.", play=play)
        return say("Probably worn: about {play} of play along its axis.", play=play)
    if surely:
        return say("Worn: about {play} of play across its axis.", play=play)
    return say("Probably worn: about {play} of play across its axis.", play=play)
