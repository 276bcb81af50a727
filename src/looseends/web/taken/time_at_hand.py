"""How long somebody has for a visit's checks: the whole route, or so many minutes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from looseends.errors import InputError
from looseends.language import AsWritten, Text, refusal, say
from looseends.store.observation import TimeAtHand
from looseends.store.rebuild import Fact
from looseends.web.taken.forms import line
from looseends.web.taken.numbers import number

KIND = "minutes"
"""The observations that say it; the last one counts."""
WHOLE, SOME = "whole", "some"
LEAST_MINUTES, MOST_MINUTES = 1.0, 600.0
USUAL_MINUTES = "15"
"""The ordinary visit, complaint first; offered, not set."""


def minutes_at_hand(facts: Sequence[Fact]) -> float | None:
    """The minutes that were set last; None for the whole route, which holds where nobody set any."""
    chosen = [fact.content for fact in facts if fact.kind == KIND]
    return chosen[-1].minutes if chosen else None


def read_minutes(sent: Mapping[str, Any], mistakes: dict[str, Text | str]) -> float | None:
    """The minutes of a form, None for the whole route; what is wrong stands under `mistakes`."""
    if line(sent, "time") != SOME:
        return None
    given = line(sent, "minutes", 12)
    minutes = number(given)
    if minutes is None or not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        mistakes["minutes"] = say(
            "Minutes: write a number from {least} to {most}, such as {usual}, found {found}.",
            least=AsWritten(f"{LEAST_MINUTES:g}"),
            most=AsWritten(f"{MOST_MINUTES:g}"),
            usual=AsWritten(USUAL_MINUTES),
            found=AsWritten(given or "-"),
        )
        return None
    return minutes


def require_minutes(at_hand: TimeAtHand, where: str) -> None:
    """Refuse minutes that no visit has.

    Raises
    ------
    InputError
        If they are not from 1 to 600, nor None.
    """
    minutes = at_hand.minutes
    if minutes is not None and not (math.isfinite(minutes) and LEAST_MINUTES <= minutes <= MOST_MINUTES):
        raise InputError(
            refusal(
                "{where}: minutes must be from {least} to {most}, or null for the whole route, found {found}.",
                where=where,
                least=f"{LEAST_MINUTES:g}",
                most=f"{MOST_MINUTES:g}",
                found=f"{minutes:g}",
            )
        )
