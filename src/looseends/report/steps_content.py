"""Checks as they were done and checks to do next, as a stranger needs them to do them again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.diagnosis.observed.words import observer_words
from looseends.inspection.types import CheckDone, ConditionSeen, Hidden, Hider, NextCheck, Reading
from looseends.language import Length, Minutes, Speech, Text, Value, joined, say
from looseends.report.check_notes import note_words
from looseends.report.handover_records import StepText
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import reading_words, sentence, setup_words, with_note
from looseends.vehicle.setup import Setup

HIDER_WORDS: Mapping[Hider, Text] = {
    "grease": say("grease"),
    "rust": say("rust"),
    "dry joint": say("a dry joint"),
    "cover": say("a cover"),
}


def check_done(check: CheckDone, vocabulary: Vocabulary, names: Mapping[str, str], speech: Speech) -> StepText:
    """A check with its readings, each with where the gauge or eye was and how finely it reads."""
    lines: list[Value] = [line for reading in check.readings for line in _reading(check, reading, vocabulary)]
    if check.stop_gap_mm is not None:
        lines.insert(0, say("Gap at the rebound stop: {gap}.", gap=Length(check.stop_gap_mm)))
    if check.passed_parts:
        passed = tuple(names.get(part, part) for part in check.passed_parts)
        lines.append(say("Gripped, nothing moved: {parts}.", parts=passed))
    lines += [_hidden(entry, names) for entry in check.hidden]
    if check.note:
        lines.append(note_words(check))
    return _step(check.number, check.setup, lines, check.observer, vocabulary, speech)


def next_step(number: int, check: NextCheck, vocabulary: Vocabulary, speech: Speech) -> StepText:
    """A check to do next, with its reason."""
    lines: list[Value] = [check.reason, say("Takes about {minutes}.", minutes=Minutes(check.minutes))]
    if check.watches:
        lines.insert(1, say("Watch: {watches}.", watches=tuple(vocabulary.name(watch) for watch in check.watches)))
    return _step(number, check.setup, lines, "", vocabulary, speech)


def conditions_seen(
    conditions: Sequence[ConditionSeen], names: Mapping[str, str], vocabulary: Vocabulary, speech: Speech
) -> tuple[tuple[int, str], ...]:
    """Conditions as they were seen, by number; what one person looked for on a part and did not find is one line.

    What another look found stands apart: grounds refer to it.
    """
    lines: dict[tuple[object, ...], list[ConditionSeen]] = {}
    for seen in conditions:
        apart = seen.number if seen.present or seen.note or _found_elsewhere(seen, conditions) else None
        lines.setdefault((seen.part, seen.observer, seen.again, seen.present, apart), []).append(seen)
    return tuple((of[0].number, sentence(speech.words(_seen(of, names, vocabulary)))) for of in lines.values())


def _found_elsewhere(seen: ConditionSeen, conditions: Sequence[ConditionSeen]) -> bool:
    """Whether another look, somebody else's or a second one, found this condition."""
    return any(
        other.present
        and (other.part, other.condition) == (seen.part, seen.condition)
        and (other.observer, other.again) != (seen.observer, seen.again)
        for other in conditions
    )


def _seen(alike: Sequence[ConditionSeen], names: Mapping[str, str], vocabulary: Vocabulary) -> Text:
    first = alike[0]
    said = {
        "part": names.get(first.part, first.part),
        "condition": joined([with_note(vocabulary.name(seen.condition), seen.note) for seen in alike], "; "),
        "observer": observer_words(first),
    }
    if first.present:
        return say("{part}: {condition}, seen by {observer}", **said)
    return say("{part}: looked for by {observer} and not there: {condition}", **said)


def _reading(check: CheckDone, reading: Reading, vocabulary: Vocabulary) -> list[Value]:
    """What was read; for a gauge also where its two ends were and its smallest step."""
    words = reading_words(reading, vocabulary)
    step = vocabulary.resolution_mm.get(reading.watch)
    where = vocabulary.where.get((check.setup.check, reading.watch))
    if reading.gauge_mm is None or where is None:
        return [words]
    if step is None:
        return [say("{reading}. Read at: {where}.", reading=words, where=where)]
    return [say("{reading}. Read at: {where}; in steps of {step}.", reading=words, where=where, step=Length(step))]


def _hidden(entry: Hidden, names: Mapping[str, str]) -> Text:
    return say(
        "Play of the {part} could hardly show: {hider} hid it.",
        part=names.get(entry.part, entry.part),
        hider=HIDER_WORDS[entry.by],
    )


def _step(number: int, setup: Setup, lines: list[Value], who: str, vocabulary: Vocabulary, speech: Speech) -> StepText:
    words = speech.words
    return StepText(
        number,
        words(vocabulary.name(setup.check)),
        words(vocabulary.how.get(setup.check, "")),
        sentence(words(setup_words(setup, vocabulary))),
        tuple(sentence(words(line)) for line in lines),
        who,
        tuple(words(caution) for caution in vocabulary.cautions_of(setup.check, setup.support)),
    )
