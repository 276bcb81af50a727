"""As found and as left: what was replaced, its verdict before, and whether the same check since proves it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from looseends.diagnosis.observed.words import VERDICT_WORDS
from looseends.inspection.types import Finding, Judgement, Repair, Replaced
from looseends.language import AsWritten, InSentence, Length, Speech, Text, Value, say
from looseends.report.handover_records import RepairText, TableText
from looseends.report.side_by_side import CHANGE_WORDS, Pair, Taken, same_checks
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import BY_WORDS, reading_amount, sentence, setup_words, with_note, without_side
from looseends.vehicle.setup import Setup


def repair_texts(judgement: Judgement, as_found: Sequence[Finding], speech: Speech) -> tuple[RepairText, ...]:
    """Every replaced part in the order of the visit."""
    found = {finding.part: finding for finding in as_found}
    pairs = zip(judgement.visit.replaced, judgement.repairs, strict=True)
    return tuple(_repair(event, repair, found.get(event.part), speech) for event, repair in pairs)


def _repair(event: Replaced, repair: Repair, before: Finding | None, speech: Speech) -> RepairText:
    words = speech.words
    found: Text = say("unproven: nothing done until then could have shown wear")
    if before is not None:
        found = say("{verdict}: {summary}", verdict=VERDICT_WORDS[before.verdict], summary=before.summary)
    when = say("after check {number}", number=event.after_check) if event.after_check else say("before any check")
    who = with_note(say("{when}, by {who}", when=when, who=AsWritten(event.by)), event.note)
    proof = say("This check would prove it: {check}.", check=repair.proving_words) if repair.proving_words else ""
    return RepairText(
        words(repair.name),
        sentence(words(found)),
        sentence(words(who)),
        repair.proven,
        sentence(words(repair.words)),
        words(proof),
    )


def before_and_after(judgement: Judgement, vocabulary: Vocabulary, speech: Speech) -> tuple[TableText, ...]:
    """Readings that were taken before the first repair and, in the same way, after the last one."""
    visit = judgement.visit
    if not visit.replaced:
        return ()
    first, last = (of(event.after_check for event in visit.replaced) for of in (min, max))
    pairs = same_checks(visit.checks[:first], visit.checks[last:], vocabulary.resolution_mm)
    return pairs_tables(pairs, (say("As found"), say("As left")), vocabulary, speech)


def pairs_tables(
    pairs: Iterable[Pair], head: tuple[Text, Text], vocabulary: Vocabulary, speech: Speech, *, sides: bool = False
) -> tuple[TableText, ...]:
    """For every setup a table: both readings at each place, and whether they differ by more than their errors.

    With `sides` the left is laid beside the right, and neither setup nor place names a side.
    """
    words = speech.words
    titles = (words(say("Where")), *(words(entry) for entry in head), words(say("Difference")))
    by_setup: dict[Setup, list[Pair]] = {}
    for pair in pairs:
        setup = pair.after.done.setup
        by_setup.setdefault(replace(setup, side=None) if sides else setup, []).append(pair)
    return tuple(
        TableText(
            sentence(words(_caption(setup, found[0], vocabulary))),
            titles,
            tuple(tuple(words(cell) for cell in _row(pair, vocabulary, sides)) for pair in found),
        )
        for setup, found in by_setup.items()
    )


def _caption(setup: Setup, pair: Pair, vocabulary: Vocabulary) -> Text:
    return say(
        "{check}; {setup}: check {first}, {observer}, and check {second}, {other}",
        check=vocabulary.name(setup.check),
        setup=InSentence(setup_words(setup, vocabulary)),
        first=pair.before.done.number,
        observer=AsWritten(pair.before.done.observer),
        second=pair.after.done.number,
        other=AsWritten(pair.after.done.observer),
    )


def _row(pair: Pair, vocabulary: Vocabulary, sides: bool) -> tuple[Value, Value, Value, Value]:
    name = vocabulary.name(pair.after.reading.watch)
    where = without_side(name) if sides else name
    return where, _amount(pair.before, vocabulary), _amount(pair.after, vocabulary), change_words(pair)


def _amount(taken: Taken, vocabulary: Vocabulary) -> Text:
    return say("{amount}, {by}", amount=reading_amount(taken.reading, vocabulary), by=BY_WORDS[taken.reading.by])


def change_words(pair: Pair) -> Text:
    """What became of a reading, with the error that it was judged by."""
    if pair.margin_mm is None:
        return CHANGE_WORDS[pair.change]
    return say(
        "{change} (errors make up to {margin})", change=CHANGE_WORDS[pair.change], margin=Length(pair.margin_mm, 2)
    )


def still_stands(finding: Finding, judgement: Judgement) -> bool:
    """Whether a finding speaks of the part that is fitted now, and not only of one that was replaced."""
    after = [event.after_check for event in judgement.visit.replaced if event.part == finding.part]
    if not after:
        return True
    numbers = [re.fullmatch(r"check (\d+)", ground.refers_to) for ground in finding.grounds]
    return any(number is not None and int(number[1]) > max(after) for number in numbers)
