"""What is unproven: the parts by the reason that they have in common, and what would prove each."""

from __future__ import annotations

from looseends.inspection.types import Judgement
from looseends.language import Percent, Speech, Text, say
from looseends.report.handover_records import UnprovenText
from looseends.report.wording import listed, sentence

_IN_DOUBT, _MOST_IN_DOUBT = 0.2, 4
"""An unproven part that is worn with this chance is named to the customer; so many of them at most."""


def unproven_entries(judgement: Judgement) -> list[tuple[str, str, str]]:
    """Name, reason and proof of every part that is unproven, by the list or by a finding."""
    known = {entry.part for entry in judgement.unproven}
    return [
        *((entry.name, entry.why, entry.proving_words) for entry in judgement.unproven),
        *(
            (finding.name, finding.summary, finding.advice)
            for finding in judgement.findings
            if finding.verdict == "unproven" and finding.part not in known
        ),
    ]


def unproven_texts(unproven: list[tuple[str, str, str]], speech: Speech) -> tuple[UnprovenText, ...]:
    """Groups of parts by reason, and within each by what would prove them."""
    groups: dict[str, dict[str, list[str]]] = {}
    for name, why, proof in unproven:
        groups.setdefault(speech.words(why), {}).setdefault(speech.words(proof).strip(), []).append(name)
    return tuple(
        UnprovenText(
            sentence(why),
            tuple((speech.words(listed(names)), sentence(proof)) for proof, names in by_proof.items()),
        )
        for why, by_proof in groups.items()
    )


def in_doubt(judgement: Judgement) -> Text | None:
    """Unproven parts that may well be worn, the likeliest first; None where there is none."""
    unproven = {entry.part for entry in judgement.unproven}
    unproven |= {finding.part for finding in judgement.findings if finding.verdict == "unproven"}
    doubtful = [s for s in judgement.suspects if s.part in unproven and s.probability >= _IN_DOUBT]
    if not doubtful:
        return None
    parts = tuple(
        say("{part} (worn with a chance of {chance})", part=suspect.name, chance=Percent(suspect.probability))
        for suspect in sorted(doubtful, key=lambda suspect: -suspect.probability)[:_MOST_IN_DOUBT]
    )
    return say("In doubt, and to be looked at again before anything is bought or left: {parts}.", parts=parts)


def passed_unproven(judgement: Judgement) -> tuple[Text, ...]:
    """Parts that stand on record as tight from a check that could not have shown their play."""
    hidden = [remark.words for remark in judgement.remarks if remark.kind == "cannot show"]
    passed = {part for check in judgement.visit.checks for part in check.passed_parts}
    return tuple(
        say(
            "The {part} was written down as tight, but the way the vehicle was held hides its play: it has to be "
            "looked at again.",
            part=entry.name,
        )
        for entry in judgement.unproven
        if entry.part in passed and any(words.startswith(entry.name) for words in hidden)
    )
