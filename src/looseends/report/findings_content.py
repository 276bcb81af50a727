"""Findings, their grounds and what is unproven, in the reader's language."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from looseends.diagnosis.observed.words import WatchName
from looseends.inspection.types import Finding, Grounds, Reading, Visit
from looseends.language import ENGLISH, AsWritten, Percent, Speech, Text, say
from looseends.report.enclosures import DECISION_WORDS, OwnerDecision
from looseends.report.handover_records import DecisionText, FindingText, GroundText
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import (
    STATUS_WORDS,
    URGENCY_WORDS,
    amount_words,
    reading_words,
    sentence,
    shortened,
    with_note,
)

GROUNDS_WORDS = {
    "observation": say("seen"),
    "limit": say("limit"),
    "model": say("worked out"),
    "contradiction": say("contradiction"),
    "cannot show": say("could not show"),
    "policy": say("rule"),
}
MOST_SHOWN = 3
"""So many observations at most stand beside a finding on the customer's page; the annex has all."""

LONGEST_NOTE = 240
"""Letters of a person's own words on the customer's page; the annex has all."""

REFUSED_CAUTION = say(
    "If the repair is refused: this part can fail without a further warning, and the vehicle may then no longer steer "
    "or hold its wheel. We have said so and advise against driving it."
)


def finding_text(
    finding: Finding,
    visit: Visit,
    vocabulary: Vocabulary,
    speech: Speech,
    decisions: Sequence[OwnerDecision] = (),
) -> FindingText:
    """One finding in the reader's words."""
    words = speech.words
    seen = [sentence(words(said)) for said in _shown(finding, visit, vocabulary)]
    return FindingText(
        part=finding.part,
        name=words(finding.name),
        verdict=finding.verdict,
        summary=sentence(words(finding.summary)),
        shown_by=" ".join(seen),
        effect=sentence(words(finding.effect)),
        advice=sentence(words(finding.advice)),
        how_soon=words(URGENCY_WORDS[finding.urgency]) if finding.urgency else "",
        amount=words(amount_words(finding)),
        chance=words(Percent(finding.probability)),
        grounds=grounds_text(finding.grounds, speech),
        decision=_decision(finding, decisions, speech) if finding.verdict == "unsafe" else None,
    )


def _decision(finding: Finding, decisions: Sequence[OwnerDecision], speech: Speech) -> DecisionText:
    """Boxes to tick by hand, and the record of what was decided where there is one; the last one counts."""
    words = speech.words
    made = next((decision for decision in reversed(decisions) if decision.part == finding.part), None)
    return DecisionText(
        tuple((words(said), made is not None and made.decision == key) for key, said in DECISION_WORDS.items()),
        words(REFUSED_CAUTION),
        words(_record(made, speech)) if made is not None else "",
    )


def _record(made: OwnerDecision, speech: Speech) -> Text:
    """What was decided, with the owner's words where some were written down."""
    date, decision, who = AsWritten(speech.date(made.when)), DECISION_WORDS[made.decision], AsWritten(made.by)
    if not made.words:
        return say(
            "Owner\u2019s decision, {date}: {decision}. Written down by {who}.", date=date, decision=decision, who=who
        )
    return say(
        "Owner\u2019s decision, {date}: {decision}. “{said}” Written down by {who}.",
        date=date,
        decision=decision,
        said=AsWritten(shortened(made.words, LONGEST_NOTE)),
        who=who,
    )


def _shown(finding: Finding, visit: Visit, vocabulary: Vocabulary) -> list[str]:
    """What showed it, in few words: what was seen or read on the part itself, else what else speaks for it."""
    absent = {f"condition {seen.number}" for seen in visit.conditions if not seen.present}
    seen = [ground for ground in finding.grounds if ground.kind == "observation" and ground.refers_to not in absent]
    own = [ground for ground in seen if _own(ground, finding, visit)]
    shown = dict.fromkeys(_plainly(ground, visit, vocabulary) for ground in own or seen)  # seen twice is said once
    return list(shown)[:MOST_SHOWN]


def _own(ground: Grounds, finding: Finding, visit: Visit) -> bool:
    """Whether an observation is of the part itself, and not of another place that the part moves too."""
    if not ground.refers_to.startswith("check"):
        return True
    reading = _reading_of(ground, visit)
    return reading is not None and reading.watch.removesuffix(".axial") == finding.part


def _plainly(ground: Grounds, visit: Visit, vocabulary: Vocabulary) -> str:
    """An observation in few words, as the customer reads it; the annex holds the whole of it."""
    kind, _, number = ground.refers_to.partition(" ")
    for seen in visit.conditions if kind == "condition" else ():
        if str(seen.number) == number:
            return with_note(vocabulary.name(seen.condition), shortened(seen.note, LONGEST_NOTE))
    reading = _reading_of(ground, visit)
    if reading is None:
        return ground.words
    return reading_words(replace(reading, note=shortened(reading.note, LONGEST_NOTE)), vocabulary)


def _reading_of(ground: Grounds, visit: Visit) -> Reading | None:
    kind, _, number = ground.refers_to.partition(" ")
    for done in visit.checks if kind == "check" else ():
        for reading in done.readings:
            named = (f"{WatchName(reading.watch).said(ENGLISH)} ", f"{reading.watch} ")  # by its id: signed off earlier
            if str(done.number) == number and ground.words.startswith(named):
                return reading
    return None


def grounds_text(grounds: tuple[Grounds, ...], speech: Speech) -> tuple[GroundText, ...]:
    """Every reason with its limit's status and source, and the observation that it rests on."""
    return tuple(_ground(ground, speech) for ground in grounds)


def _ground(ground: Grounds, speech: Speech) -> GroundText:
    words = speech.words
    status = words(STATUS_WORDS[ground.status]) if ground.status else ""
    numbered = re.fullmatch(r"(check|condition) (\d+)", ground.refers_to)
    anchor = f"{numbered[1]}-{numbered[2]}" if numbered else ""
    return GroundText(
        words(GROUNDS_WORDS[ground.kind]),
        sentence(words(ground.words)),
        status,
        # What a reading rests on is the check that it refers to; its source would only repeat it.
        "" if ground.kind == "observation" and ground.status is None else words(ground.source),
        words(ground.refers_to),
        anchor,
    )
