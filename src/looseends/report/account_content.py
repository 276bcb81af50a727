"""What worn parts do, for the handover: one sentence for the customer, tables and sentences for the annex."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase

from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.ledger import Ledger
from looseends.diagnosis.consequences.repair import every_repair
from looseends.language import AsWritten, Capital, Length, Percent, Speech, Value, say
from looseends.report.account_words import (
    Names,
    amount,
    counting_parts,
    names_in_line,
    place_words,
    repair_lines,
    worn_ledgers,
)
from looseends.report.handover_records import ConsequencesText, TableText
from looseends.report.road_words import road_lines, tire_lines

_MOST_ROWS = 8
"""So many repairs at most are tabled: with more the annex would grow past use, and the smallest stand first."""

_LIKELY = 0.5
_COLUMNS = ascii_uppercase
"""Heads of the tables' columns, a place each, whose names are too long for them."""


def consequences_text(account: Account, names: Names, speech: Speech) -> ConsequencesText:
    """The account in the reader's language and units."""
    words = speech.words
    ledgers = worn_ledgers(account)
    likely = tuple(
        say("{part} ({chance})", part=names[part], chance=Percent(account.cases.marginals[part]))
        for part in account.cases.parts
        if account.cases.marginals[part] >= _LIKELY
    )
    worn = say("Worn, with its chance: {parts}.", parts=likely or say("no part more likely than not"))
    return ConsequencesText(
        in_short=words(_in_short(ledgers, account, names)),
        worn=words(worn),
        tables=(_shares(ledgers, names, speech), _remains(ledgers, names, speech)) if ledgers else (),
        places=tuple(words(place_words(*column)) for column in zip(ledgers, _COLUMNS, strict=False)),
        repair=tuple(words(line) for line in repair_lines(names, account)),
        road=tuple(words(line) for line in road_lines(account)),
        tires=tuple(words(line) for line in tire_lines(names, account)),
    )


def _in_short(ledgers: Sequence[Ledger], account: Account, names: Names) -> Value:
    """Of the wheel where wear adds most: what it has, whose most of that is, and what the repair leaves."""
    if not ledgers or not account.repair.parts:
        return ""
    wheels = [ledger for ledger in ledgers if ledger.place.direction != "rim"]
    most = max(wheels or ledgers, key=lambda ledger: ledger.total_mm - ledger.sound_mm)
    part = max(most.shares_mm, key=lambda name: most.shares_mm[name])
    left = most.remains_mm([part for part in account.repair.parts if part in most.parts])
    return say(
        "{place}: about {free} of free play, {share} of it from the {part}. After replacing {repair}, about {left} "
        "would be left; a sound vehicle has {sound}.",
        place=Capital(most.place.name),
        free=Length(most.total_mm, 1),
        share=Length(most.shares_mm[part], 1),
        part=names[part],
        repair=names_in_line(names, account.repair.parts),
        left=Length(left, 1),
        sound=Length(most.sound_mm, 1),
    )


def _shares(ledgers: Sequence[Ledger], names: Names, speech: Speech) -> TableText:
    words = speech.words
    rows = [
        (words(names[part]), *(amount(ledger.shares_mm[part], speech) for ledger in ledgers))
        for part in counting_parts(ledgers)
    ]
    rows.append((words(say("all sound parts")), *(amount(ledger.sound_mm, speech) for ledger in ledgers)))
    rows.append((words(say("in all")), *(amount(ledger.total_mm, speech) for ledger in ledgers)))
    unit = AsWritten(Length.unit_for(speech))
    caption = words(say("Whose the free travel is [{unit}]:", unit=unit)).removesuffix(":")
    return TableText(caption, (words(say("Part")), *_COLUMNS[: len(ledgers)]), tuple(rows))


def _remains(ledgers: Sequence[Ledger], names: Names, speech: Speech) -> TableText:
    words = speech.words
    counts = set(counting_parts(ledgers))
    repairs = [parts for parts, _ in every_repair(ledgers[0]) if parts and set(parts) <= counts][:_MOST_ROWS]
    unit = AsWritten(Length.unit_for(speech))
    caption = words(say("What is left after replacing [{unit}]:", unit=unit)).removesuffix(":")
    return TableText(
        caption,
        (words(say("Replaced")), *_COLUMNS[: len(ledgers)]),
        tuple(
            (words(names_in_line(names, parts)), *(amount(ledger.remains_mm(parts), speech) for ledger in ledgers))
            for parts in repairs
        ),
    )
