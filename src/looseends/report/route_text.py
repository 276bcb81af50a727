"""The route as a sheet of plain text, to be printed and filled in by hand."""

from __future__ import annotations

import textwrap

from looseends.diagnosis.observed.words import GRADES
from looseends.inspection.types import GRADES as GRADE_IDS
from looseends.language import AsWritten, Speech, say
from looseends.report.route_content import CAUTION, DO, HOLD, LEFT, PROOF, TOGETHER, LegText, RouteContent, StepText
from looseends.report.route_paper import FACTS, LOOKED

COLUMNS = 92
_RULE, _SHORT = "_" * 12, "_" * 8


def route_text(content: RouteContent) -> str:
    """The sheet in lines of at most 92 columns, with the same words as the printed one."""
    said = content.speech.words
    lines = [content.title, "=" * min(COLUMNS, len(content.title)), ""]
    facts = [said(fact) for fact in FACTS]
    lines += [f"{fact}: {'_' * (COLUMNS - len(fact) - 2)}" for fact in facts]
    lines.append("")
    for words in content.summary:
        lines += _wrapped(words, 0)
    lines += ["", f"[ ] 0. {content.opening_name} ({content.opening_time})"]
    for label, words in content.opening:
        lines += _wrapped(f"{label}: {words}", 4)
    lines.append("    " + said(say("Lift points sound  [ ] yes  [ ] no: not raised     Who {line}", line=_RULE)))
    for leg in content.legs:
        lines += _leg(leg, content.by_gauge, content.speech)
    for heading, entries in (
        (said(TOGETHER), content.together),
        (said(LEFT), content.unproven),
    ):
        if entries:
            lines += ["", heading, "-" * len(heading)]
            for words in entries:
                lines += _wrapped(f"- {words}", 0, 2)
    return "\n".join(lines) + "\n"


def _leg(leg: LegText, by_gauge: bool, speech: Speech) -> list[str]:
    heading = f"{leg.name} ({leg.support}): {leg.time}"
    lines = ["", heading, "-" * len(heading)]
    for label, words in ((HOLD, leg.how), (PROOF, leg.proof), (CAUTION, leg.caution)):
        lines += _wrapped(f"{speech.words(label)}: {words}", 0)
    gap = say("Gap at the rebound stop, mm: left {line} right {line}", line=_SHORT)
    held = f"[ ] {speech.words(say('held so   Who {line}', line=_RULE))}"
    lines.append(f"{held}   {speech.words(gap)}" if leg.stop_gap else held)
    for step in leg.steps:
        lines += _step(step, by_gauge, leg.stop_gap, speech)
    return lines


def _step(step: StepText, by_gauge: bool, stop_gap: bool, speech: Speech) -> list[str]:
    said = speech.words
    held = f", {step.held}" if step.held else ""
    lines = ["", *_wrapped(f"[ ] {step.number}. {step.name}{held} ({step.time})", 0, 4)]
    lines += _wrapped(f"{said(DO)}: {step.do}", 4)
    lines += _wrapped(f"{said(CAUTION)}: {step.caution}", 4)
    for watch in step.watches:
        lines += _wrapped(f"* {watch.watch}: {watch.where}. {watch.proves}", 4, 2)
        if watch.by_look:
            lines.append("      " + "   ".join(f"[ ] {said(words)}" for words in LOOKED))
        elif by_gauge:
            free = say("read it") if watch.dead_zone else say("if read")
            blank = say("all, mm {line}   dead zone ({free}), mm {line}   gauge {line}", line=_RULE, free=free)
            lines.append(f"      {said(blank)}")
        else:
            lines.append("      " + "   ".join(f"[ ] {said(GRADES[grade])}" for grade in GRADE_IDS))
    if step.again:
        lines += _wrapped(said(say("Shows again: {parts}.", parts=AsWritten(step.again))), 4)
    held, who = say("[ ] held as above"), say("Who {line}", line=_RULE)
    gap = [say("Gap at the stop, mm {line}", line=_RULE)] if stop_gap else []
    lines.append("    " + "   ".join(said(words) for words in (held, *gap, who)))
    note = said(say("Note"))
    lines.append(f"    {note} {'_' * (COLUMNS - len(note) - 5)}")
    return lines


def _wrapped(words: str, indent: int, hanging: int = 0) -> list[str]:
    start = " " * indent
    return textwrap.wrap(words, COLUMNS, initial_indent=start, subsequent_indent=start + " " * hanging)
