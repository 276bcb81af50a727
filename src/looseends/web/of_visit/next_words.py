"""A check to do next, as a page shows it: names, support, reason and cautions."""

from __future__ import annotations

from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Check, SupportState
from looseends.diagnosis.observed.words import SIDE_OF_VEHICLE
from looseends.inspection.types import NextCheck
from looseends.language import Capital, Minutes, Text


@dataclass(frozen=True)
class NextLine:
    """The catalogue's check and support of a next check, the side in words or None, and its time."""

    check: Check
    support: SupportState
    side: Text | None
    minutes: Minutes
    reason: Capital


def next_line(following: NextCheck) -> NextLine:
    """The words of one next check."""
    catalogue = load_catalogue()
    setup = following.setup
    return NextLine(
        check=catalogue.checks[setup.check],
        support=catalogue.supports[setup.support],
        side=None if setup.side is None else SIDE_OF_VEHICLE[setup.side],
        minutes=Minutes(following.minutes, 0),
        reason=Capital(following.reason),
    )
