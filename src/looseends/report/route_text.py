"""The route as a sheet of plain text, to be printed and filled in by hand."""

from __future__ import annotations

import textwrap

from looseends.inspection.types import GRADES
from looseends.report.route_content import LegText, RouteContent, StepText
from looseends.report.route_paper import FACTS

COLUMNS = 92
_RULE, _SHORT = "_" * 12, "_" * 8


def route_text(content: RouteContent) -> str:
    """The sheet in lines of at most 92 columns, with the same words as the printed one."""
    lines = [content.title, "=" * min(COLUMNS, len(content.title)), ""]
    lines += [f"{fact}: {'_' * (COLUMNS - len(fact) - 2)}" for fact in FACTS]
    lines.append("")
    for words in content.summary:
        lines += _wrapped(words, 0)
    lines += ["", f"[ ] 0. {content.opening_name} ({content.opening_time})"]
    for label, words in content.opening:
        lines += _wrapped(f"{label}: {words}", 4)
    lines.append(f"    Lift points sound  [ ] yes  [ ] no: not raised     Who {_RULE}")
    for leg in content.legs:
        lines += _leg(leg, content.by_gauge)
    for heading, entries in (
        ("Seen by several steps between them, if at all: the judgement decides", content.together),
        ("Stays unproven, and why", content.unproven),
    ):
        if entries:
            lines += ["", heading, "-" * len(heading)]
            for words in entries:
                lines += _wrapped(f"- {words}", 0, 2)
    return "\n".join(lines) + "\n"


def _leg(leg: LegText, by_gauge: bool) -> list[str]:
    heading = f"{leg.name} ({leg.support}): {leg.time}"
    lines = ["", heading, "-" * len(heading)]
    for label, words in (("Hold", leg.how), ("Proof", leg.proof), ("Caution", leg.caution)):
        lines += _wrapped(f"{label}: {words}", 0)
    gap = f"   Gap at the rebound stop, mm: left {_SHORT} right {_SHORT}" if leg.stop_gap else ""
    lines.append(f"[ ] held so   Who {_RULE}{gap}")
    for step in leg.steps:
        lines += _step(step, by_gauge, leg.stop_gap)
    return lines


def _step(step: StepText, by_gauge: bool, stop_gap: bool) -> list[str]:
    held = f", {step.held}" if step.held else ""
    lines = ["", *_wrapped(f"[ ] {step.number}. {step.name}{held} ({step.time})", 0, 4)]
    lines += _wrapped(f"Do: {step.do}", 4)
    lines += _wrapped(f"Caution: {step.caution}", 4)
    for watch in step.watches:
        lines += _wrapped(f"* {watch.watch}: {watch.where}. Proves {watch.proves}.", 4, 2)
        if by_gauge:
            free = "read it" if watch.dead_zone else "if read"
            lines.append(f"      all, mm {_RULE}   dead zone ({free}), mm {_RULE}   gauge {_RULE}")
        else:
            lines.append("      " + "   ".join(f"[ ] {grade}" for grade in GRADES))
    if step.again:
        lines += _wrapped(f"Shows again: {step.again}.", 4)
    gap = f"Gap at the stop, mm {_RULE}   " if stop_gap else ""
    lines.append(f"    [ ] held as above   {gap}Who {_RULE}")
    lines.append(f"    Note {'_' * (COLUMNS - 9)}")
    return lines


def _wrapped(words: str, indent: int, hanging: int = 0) -> list[str]:
    start = " " * indent
    return textwrap.wrap(words, COLUMNS, initial_indent=start, subsequent_indent=start + " " * hanging)
