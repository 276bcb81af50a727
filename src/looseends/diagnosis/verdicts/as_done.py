"""Remarks on how checks were done: by whom, and over which stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.diagnosis.observed.words import THE_VISIT, check_words, setup_words
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import CheckDone, Grounds
from looseends.language import AsWritten, say
from looseends.vehicle.setup import Setup


def overcalling_remark(observer: str) -> Grounds:
    """That somebody's grades are taken as those of a person who calls everything at least slight."""
    words = say(
        "{observer} calls hardly anything still: these grades are taken as those of a person who calls everything at "
        "least slight, and prove little. Have somebody else do the checks that matter.",
        observer=AsWritten(observer),
    )
    return Grounds("contradiction", words, None, THE_VISIT, "")


def learning_remark(observer: str) -> Grounds:
    """That somebody's grades are taken as those of a person who still learns, though nobody said so."""
    words = say(
        "Many grades of {observer} fit nothing that was found: they are taken as those of somebody who still learns, "
        "and count for less. Have somebody else do the checks that matter.",
        observer=AsWritten(observer),
    )
    return Grounds("contradiction", words, None, THE_VISIT, "")


def stand_remarks(
    recorded: Sequence[CheckDone], used: Sequence[CheckDone], tables: Mapping[Setup, ResponseTable]
) -> list[Grounds]:
    """Stands that were too far inboard, and gaps at the stop that nobody wrote down."""
    remarks = []
    by_number = {done.number: done for done in recorded}
    for after in used:
        before = by_number[after.number]
        if before.setup != after.setup:
            words = say(
                "In {check} the rebound stop was touching: the stand was too far inboard, and the spring pressed "
                "through the ball joints. What this check showed was judged so.",
                check=check_words(before),
            )
            remarks.append(Grounds("cannot show", words, None, THE_VISIT, check_words(before)))
        elif before.setup.support == "arm" and before.stop_gap_mm is None:
            words = say(
                "In {check} ({setup}) no gap at the rebound stop was written down; it was taken as open. A feeler in "
                "the gap is the proof that the joint was unloaded.",
                check=check_words(before),
                setup=setup_words(before.setup),
            )
            source = say("common practice, no source")
            remarks.append(Grounds("policy", words, "common practice", source, check_words(before)))
    return remarks
