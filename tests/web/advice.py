"""A judgement that answers at once and advises a list of checks one after the other, then that enough is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from looseends.inspection.types import CheckDone, Judgement, NextCheck, Visit
from looseends.language import say
from looseends.vehicle.setup import Setup
from looseends.web.judged.preparing import Progress
from tests.web.cast import JudgingStub

ADVISED = (
    Setup("wheel39", "arm", "left", "held", "off", 0.0),
    Setup("bj-axial", "arm", "left", "held", "off", 0.0),
    Setup("bj-axial", "arm", "right", "held", "off", 0.0),
    Setup("idler", "arm", None, "held", "off", 0.0),
)


AGAIN_PLATE = "AGAIN"
"""A visit with this plate is asked to read one watch of its first check once more, and then enough is known."""

LOOK_AGAIN_PLATE = "LOOK AGAIN"
"""A visit with this plate is asked to look once more at what one look found, and then enough is known."""

LEAVES = Setup("leaf", "wheels", "left", "held", "off", 0.0)


class AdvisingStub(JudgingStub):
    """The invented pickup's findings, on the example pickup's parts, and advice by what was done."""

    def __init__(self, advised: Sequence[Setup] = ADVISED) -> None:
        super().__init__()
        self.advised = advised
        assert isinstance(self.answer, Judgement)
        self.found = replace(self.answer, findings=tuple(replace(f, part=_part(f.part)) for f in self.answer.findings))

    def judgement(self, visit_id: str, visit: Visit) -> Judgement | Progress:
        """The findings, and the first of the advised checks that is not done."""
        if visit.plate == AGAIN_PLATE:
            shaken = [check for check in visit.checks if check.setup == self.advised[0]]
            advice = [_again(shaken[0])] if len(shaken) == 1 else []
            return replace(self.found, next_checks=tuple(advice))
        if visit.plate == LOOK_AGAIN_PLATE:
            return replace(self.found, next_checks=_look_again(visit))
        done = {check.setup for check in visit.checks}
        left = [setup for setup in self.advised if setup not in done]
        advice = [NextCheck(setup, (), 3.0, 0.5, (), "tells most per minute about the ball joints") for setup in left]
        return replace(self.found, next_checks=tuple(advice))


def _again(check: CheckDone) -> NextCheck:
    """The readings of a check, once more."""
    watches = tuple(reading.watch for reading in check.readings)
    return NextCheck(check.setup, watches, 1.0, 0.9, (), "do it again: it decides", again=True)


def _look_again(visit: Visit) -> tuple[NextCheck, ...]:
    """A look at each part on which something was seen, as long as it is the only one."""
    looks = {(seen.part, seen.observer, seen.again) for seen in visit.conditions}
    found = dict.fromkeys(seen.part for seen in visit.conditions if seen.present)
    parts = tuple(part for part in found if sum(part == looked for looked, _, _ in looks) == 1)
    reason = say(
        "look again ({parts}), best by somebody else: it decides between {leads} and {instead}",
        parts=parts,
        leads=say("no worn part"),
        instead="U-bolts",
    )
    return (NextCheck(LEAVES, parts, 2.0, 0.3, (), reason, again=True),) if parts else ()


def _part(name: str) -> str:
    """ "left-lower-ball-joint" as the vehicle writes it."""
    for side in ("left", "right"):
        if name.startswith(f"{side}-"):
            return f"{name.removeprefix(f'{side}-')}-{side}"
    return name
