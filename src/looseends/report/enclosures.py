"""What goes with a judgement into a handover: consequences, verdicts before a repair, and what the owner decided."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from looseends.diagnosis.consequences.account import Account
from looseends.inspection.types import Finding
from looseends.language import Text, say
from looseends.report.handover_records import ConsequencesText

Decision = Literal["repair now", "tow", "refused"]
DECISION_WORDS: Mapping[Decision, Text] = {
    "repair now": say("Repair now"),
    "tow": say("Tow away"),
    "refused": say("Repair refused"),
}


@dataclass(frozen=True)
class OwnerDecision:
    """What the owner decided about an unsafe part, in the owner's words, who wrote it down and when."""

    part: str
    decision: Decision
    words: str
    by: str
    when: datetime.date


@dataclass(frozen=True)
class ClipStill:
    """The first frame of a clip, a JPEG, and how long the clip lasts; `check` is its check's number, 0 if of none."""

    check: int
    seconds: int
    content: bytes
    width_px: int
    height_px: int


@dataclass(frozen=True)
class Enclosures:
    """What a handover says beyond the judgement, as far as it is there.

    `account` is what worn parts do, or `consequences` the same in words that were kept; `as_found` are findings on
    replaced parts by what was done before they were replaced.
    """

    account: Account | None = None
    consequences: ConsequencesText | None = None
    as_found: tuple[Finding, ...] = ()
    decisions: tuple[OwnerDecision, ...] = ()
    clips: tuple[ClipStill, ...] = ()


NOTHING_ENCLOSED = Enclosures()
