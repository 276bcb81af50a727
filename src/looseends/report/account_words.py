"""What worn parts do, as sentences: the repair that is enough, and where the play moves to then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.catalogue import load_catalogue
from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.ledger import Ledger
from looseends.diagnosis.consequences.moving import PlayMoves
from looseends.diagnosis.consequences.repair import KeptLimit, Repair
from looseends.diagnosis.consequences.wear import Cases
from looseends.diagnosis.observed.words import SIDES
from looseends.language import AsWritten, InSentence, Length, Number, Percent, Speech, Text, Value, joined, say
from looseends.vehicle.vehicle import Vehicle

SHOWN_MM = 0.05
"""Shares below this [mm] at every place, and places where wear adds less, are left out of tables."""

Names = Mapping[str, str]
"""Names of parts by id."""


class PartNames(dict[str, str]):
    """Names of parts by id; an unknown part goes by the words of its id."""

    def __missing__(self, part: str) -> str:
        return part.replace("-", " ")


def part_names(vehicle: Vehicle) -> PartNames:
    """Names of a vehicle's parts by id."""
    return PartNames((part.id, part.name) for part in vehicle.parts.values())


def names_in_line(names: Names, parts: Sequence[str]) -> Text:
    """Parts in one line, by their names."""
    return joined([names[part] for part in parts], ", ")


def worn_ledgers(account: Account) -> list[Ledger]:
    """Ledgers of the places where wear adds free travel that is worth a column."""
    return [ledger for ledger in account.ledgers if ledger.total_mm - ledger.sound_mm >= SHOWN_MM]


def counting_parts(ledgers: Sequence[Ledger]) -> list[str]:
    """Worn parts with a share worth a row at one of the places."""
    return [p for p in ledgers[0].parts if max(abs(ledger.shares_mm[p]) for ledger in ledgers) >= SHOWN_MM]


def place_words(ledger: Ledger, column: str) -> Text:
    """A place that a table's column, headed so, speaks of, and how its play is looked at."""
    look, catalogue = ledger.place.look.setup, load_catalogue()
    return say(
        "{place}: {name} ({check}, {support})",
        place=AsWritten(column),
        name=ledger.place.name,
        check=InSentence(catalogue.checks[look.check].name),
        support=InSentence(catalogue.supports[look.support].name),
    )


def amount(amount_mm: float, speech: Speech) -> str:
    """A length [mm] as a number for a table whose head names the unit."""
    # Rounded first, so that nothing is told as -0.0.
    return Length(round(amount_mm, 1) + 0.0, 1).number_for(speech)


def repair_lines(names: Names, account: Account) -> list[Text]:
    """The smallest repair, what it rests on, the limits that are then kept, and where the play moves to."""
    repair, leading = account.repair, account.leading
    lines = [
        say(
            "Taken that {parts} and nothing else that is suspected is worn ({chance}):",
            parts=names_in_line(names, sorted(account.cases.leading_set)),
            chance=Number(account.cases.sets[account.cases.leading_set], 2),
        ),
        _repair_words(names, repair, leading),
    ]
    unsure = [part for part in repair.parts if part in leading.parts and _unproven(account, part)]
    if unsure:
        unsure_names = names_in_line(names, unsure)
        lines.append(say("Not proven yet, and not to be bought on this: {parts}.", parts=unsure_names))
    lines += [_limit_words(kept) for kept in repair.limits]
    place_names = {ledger.place.id: ledger.place.name for ledger in account.ledgers}
    lines += _move_lines(names, place_names, account.moves)
    if account.next_part is not None:
        lines.append(
            say(
                "Next to go: {part}, at {used} of its reject clearance.",
                part=names[account.next_part.part],
                used=Percent(account.next_part.used),
            )
        )
    lines.append(
        say("Whatever is replaced, go over the whole wheel again: play shows next where it was hidden before.")
    )
    return lines


def _repair_words(names: Names, repair: Repair, leading: Cases) -> Text:
    said: dict[str, Value] = {
        "parts": names_in_line(names, repair.parts),
        "chance": Number(repair.chance, 2),
        "tried": Number(repair.tried),
    }
    if not repair.reached:
        return say(
            "Replacing all of it, {parts}, is not enough: something that is not worn keeps the vehicle from passing "
            "(chance {chance}; {tried} combinations were tried, which are all).",
            **said,
        )
    if not repair.parts:
        return say(
            "Nothing has to be replaced: every limit is kept, chance {chance}. {tried} combinations were tried, which "
            "are all.",
            **said,
        )
    words = say(
        "Replace {parts}. Nothing smaller passes ({tried} combinations were tried, which are all); the vehicle then "
        "passes with chance {chance}.",
        **said,
    )
    own = [part for part in repair.parts if part in repair.forced]
    return joined([words, say("For their own sake: {parts}.", parts=names_in_line(names, own))]) if own else words


def _move_lines(names: Names, place_names: Mapping[str, Value], moves: Sequence[PlayMoves]) -> list[Text]:
    """For each part that then has most of what is left somewhere, where and how much, worn parts first."""
    by_part: dict[tuple[bool, str], list[PlayMoves]] = {}
    for move in moves:
        by_part.setdefault((not move.worn, move.part), []).append(move)
    lines = []
    for (sound, part), found in sorted(by_part.items()):
        places: Value = tuple(
            say(
                "{place} ({share} of {left})",
                place=place_names[move.place],
                share=Length(move.share_mm, 1),
                left=Length(move.left_mm, 1),
            )
            for move in found
        )
        if sound:
            lines.append(say("Most play is then in the sound {part} at {places}.", part=names[part], places=places))
        else:
            lines.append(say("Most play is then in the worn {part} at {places}.", part=names[part], places=places))
    return lines


def _limit_words(kept: KeptLimit) -> Text:
    limit, side = kept.limit.limit, kept.limit.look.setup.side
    quantity = say("{quantity}, {side}", quantity=limit.quantity, side=SIDES[side]) if side else limit.quantity
    return say(
        "Kept with chance {before} now, {after} then: {quantity}, {value} ({citation}).",
        before=Number(kept.before, 2),
        after=Number(kept.after, 2),
        quantity=quantity,
        value=Length(kept.limit.value_mm),
        citation=limit.citation,
    )


def _unproven(account: Account, part: str) -> bool:
    return account.cases.marginals[part] < account.worn_at_least
