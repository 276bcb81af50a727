"""As found and as left: what was replaced, its verdict before, and whether the same check since proves it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from looseends.diagnosis.words import VERDICT_WORDS
from looseends.inspection.types import Finding, Judgement, Repair, Replaced
from looseends.language import AsWritten, Length, Speech, Text, Value, say
from looseends.report.handover_records import RepairText, TableText
from looseends.report.side_by_side import CHANGE_WORDS, Pair, Taken, same_checks
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import BY_WORDS, reading_amount, sentence, setup_words, with_note


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


def before_and_after(judgement: Judgement, vocabulary: Vocabulary, speech: Speech) -> TableText | None:
    """Readings that were taken before the repair and, in the same way, after it; None where there are none."""
    visit = judgement.visit
    if not visit.replaced:
        return None
    first, last = (of(event.after_check for event in visit.replaced) for of in (min, max))
    pairs = same_checks(visit.checks[:first], visit.checks[last:], vocabulary.resolution_mm)
    if not pairs:
        return None
    head = (say("As found"), say("As left"))
    return pairs_table(pairs, say("The same checks before the repair and after it"), head, vocabulary, speech)


def pairs_table(
    pairs: Iterable[Pair], caption: Text, head: tuple[Text, Text], vocabulary: Vocabulary, speech: Speech
) -> TableText:
    """Pairs of readings as a table: where and how, both readings, and whether they differ by more than their errors."""
    words = speech.words
    return TableText(
        words(caption),
        (words(say("Where and how")), *(words(entry) for entry in head), words(say("Difference"))),
        tuple(
            (
                words(_where(pair, vocabulary)),
                words(_taken(pair.before, vocabulary)),
                words(_taken(pair.after, vocabulary)),
                words(change_words(pair)),
            )
            for pair in pairs
        ),
    )


def change_words(pair: Pair) -> Text:
    """What became of a reading, with the error that it was judged by."""
    if pair.margin_mm is None:
        return CHANGE_WORDS[pair.change]
    return say(
        "{change} (errors make up to {margin})", change=CHANGE_WORDS[pair.change], margin=Length(pair.margin_mm, 2)
    )


def _where(pair: Pair, vocabulary: Vocabulary) -> Value:
    setup = pair.after.done.setup
    return say(
        "{watch}. {check}; {setup}",
        watch=vocabulary.name(pair.after.reading.watch),
        check=vocabulary.name(setup.check),
        setup=setup_words(setup, vocabulary),
    )


def _taken(taken: Taken, vocabulary: Vocabulary) -> Text:
    return say(
        "{amount}, {by} (check {number}, {observer})",
        amount=reading_amount(taken.reading, vocabulary),
        by=BY_WORDS[taken.reading.by],
        number=taken.done.number,
        observer=AsWritten(taken.done.observer),
    )


def still_stands(finding: Finding, judgement: Judgement) -> bool:
    """Whether a finding speaks of the part that is fitted now, and not only of one that was replaced."""
    after = [event.after_check for event in judgement.visit.replaced if event.part == finding.part]
    if not after:
        return True
    numbers = [re.fullmatch(r"check (\d+)", ground.refers_to) for ground in finding.grounds]
    return any(number is not None and int(number[1]) > max(after) for number in numbers)
