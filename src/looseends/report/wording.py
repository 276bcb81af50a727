"""Numbers with their unit and the short sentences that the documents share."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence

from looseends.catalogue.types import LimitStatus, VerdictWord
from looseends.inspection.types import Finding, Reading
from looseends.report.vocabulary import Vocabulary
from looseends.vehicle.setup import Setup

VERDICT_MEANING: dict[VerdictWord, str] = {
    "unsafe": "Do not drive: the condition itself was seen.",
    "replace": "Over its limit, or loose where nothing may be loose. It still holds.",
    "plan": "Something was measured or seen, within its limit. Look again, or plan the work.",
    "sound": "A check that could have shown wear was done the right way and showed none.",
    "unproven": "Nothing done so far could have shown wear. It is neither good nor bad, and not sold as a part.",
}
STATUS_WORDS: dict[LimitStatus, str] = {
    "law": "law",
    "maker": "the vehicle maker’s figure",
    "common practice": "common practice: confirm with the maker’s limit",
    "to be confirmed": "to be confirmed with the maker’s limit",
}
GRADE_WORDS = {"none": "no movement", "slight": "slight movement", "clear": "clear movement", "gross": "gross movement"}
BY_WORDS = {"gauge": "by gauge", "hand": "felt by hand", "eye": "seen by eye"}
AXIS_WORDS = {"radial": "across its axis", "axial": "along its axis"}
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def millimetres(value: float, resolution_mm: float | None = None) -> str:
    """A length with its unit and the decimals of the gauge; two decimals at most where it is unknown."""
    if resolution_mm is not None and resolution_mm > 0:
        decimals = max(0, -math.floor(math.log10(resolution_mm) + 1e-9))
        return f"{value:.{decimals}f} mm"
    return f"{round(value, 2)} mm"


def percent(probability: float) -> str:
    """A probability in whole percent that never claims certainty."""
    if probability < 0.01:
        return "below 1 %"
    return "above 99 %" if probability > 0.99 else f"{100 * probability:.0f} %"


def kilometres(distance_km: float | None) -> str:
    """An odometer reading with its unit, thousands apart."""
    return "not read" if distance_km is None else f"{distance_km:,.0f} km".replace(",", "\u00a0")


def long_date(date: datetime.date) -> str:
    """A date that cannot be misread: day, month in letters, year."""
    return f"{date.day} {date:%B %Y}"


def headline(findings: Sequence[Finding], unproven_count: int) -> str:
    """The whole result in one or two sentences, the gravest first."""
    unsafe, replace, plan = (sum(f.verdict == word for f in findings) for word in ("unsafe", "replace", "plan"))
    said = []
    if unsafe:
        said.append(f"Do not drive it: {_parts(unsafe, 'is', 'are')} unsafe.")
    if replace:
        said.append(_capital(f"{_parts(replace, 'needs', 'need')} replacing."))
    if plan:
        said.append(_capital(f"{_parts(plan, 'is', 'are')} to be looked at again."))
    if not said:
        said.append("Nothing worn was found.")
    if unproven_count:
        said.append(_capital(f"{_parts(unproven_count, 'is', 'are')} unproven: nothing done could have shown wear."))
    return " ".join(said)


def setup_words(setup: Setup, vocabulary: Vocabulary) -> str:
    """How a check was, or is to be, set up: support, side, steering wheel, brake, stand."""
    said = [vocabulary.name(setup.support)]
    if setup.side:
        said.append(f"{setup.side} side")
    said.append(f"steering wheel {setup.steer}")
    said.append(f"brake {setup.brake}")
    if setup.stand_inboard_mm:
        said.append(f"stand {setup.stand_inboard_mm:.0f} mm inboard of the ball joint")
    return "; ".join(said)


def reading_words(reading: Reading, vocabulary: Vocabulary) -> str:
    """One reading as a sentence: where, how much, by what."""
    resolution = vocabulary.resolution_mm.get(reading.watch)
    amount = (
        millimetres(reading.gauge_mm, resolution)
        if reading.gauge_mm is not None
        else GRADE_WORDS[reading.grade or "none"]
    )
    if reading.free_mm is not None:
        amount += f", {millimetres(reading.free_mm, resolution)} of it free"
    note = f" ({reading.note})" if reading.note else ""
    return f"{vocabulary.name(reading.watch)}: {amount}, {BY_WORDS[reading.by]}{note}"


def amount_words(finding: Finding) -> str:
    """The clearance that the evidence points to, with its range and axis; empty where there is none."""
    if finding.clearance_mm is None:
        return ""
    said = f"about {finding.clearance_mm:.1f} mm"
    if finding.clearance_range_mm is not None:
        low, high = finding.clearance_range_mm
        said += f", nine times in ten between {low:.1f} mm and {high:.1f} mm"
    return f"{said}, {AXIS_WORDS[finding.axis]}" if finding.axis else said


def sentence(text: str) -> str:
    """The text with a capital at its head and a full stop at its end."""
    text = text.strip()
    return _capital(text) + ("" if not text or text[-1] in ".!?" else ".")


def listed(names: Sequence[str]) -> str:
    """Names in one line, each once; the same part of both sides is named once: "left and right damper"."""
    said: dict[str, None] = {}
    for name in names:
        side, _, rest = name.partition(" ")
        both = side in ("left", "right") and f"left {rest}" in names and f"right {rest}" in names
        said[f"left and right {rest}" if both else name] = None
    return ", ".join(said)


def _parts(count: int, one: str, many: str) -> str:
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} part {one}" if count == 1 else f"{number} parts {many}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
