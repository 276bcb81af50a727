"""Findings as a page shows them: a line each, opened down to observations, readings, limits and the model's runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.observed.looked import load_looks
from looseends.diagnosis.observed.words import URGENCY_WORDS
from looseends.inspection.types import Finding, Judgement, Mover, Suspect, Unproven, Visit
from looseends.language import Capital, InSentence, Number, Percent, Speech, Text, say
from looseends.report.findings_content import finding_text, grounds_text
from looseends.report.handover_records import FindingText, GroundText, StepText
from looseends.report.marks import VERDICT_ORDER
from looseends.report.repairs_content import still_stands
from looseends.report.steps_content import check_done, conditions_seen
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import URGENCY_ORDER, listed, sentence
from looseends.vehicle.vehicle import Vehicle

_HARDLY = 1.05
_WHOLE_FROM = 9.5


@dataclass(frozen=True)
class ReadingDid:
    """What one reading did to a part's odds: the reading, the change in words, and the check that it is of."""

    words: str
    did: str
    refers_to: str
    anchor: str


@dataclass(frozen=True)
class FindingLine:
    """A finding: `urgency` in a word or two, grounds by their sort, and how its chance came about."""

    text: FindingText
    urgency: str
    observations: tuple[GroundText, ...]
    limits: tuple[GroundText, ...]
    runs: tuple[GroundText, ...]
    others: tuple[GroundText, ...]
    chance: str
    readings: tuple[ReadingDid, ...]


@dataclass(frozen=True)
class ProvenBy:
    """Unproven parts that the same check would prove: the check, the names in one line, and each with why and how."""

    check: str
    names: str
    parts: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class FindingLines:
    """All that a visit's findings page says."""

    to_do: tuple[FindingLine, ...]
    sound: tuple[FindingLine, ...]
    unproven: tuple[ProvenBy, ...]
    untouched: str
    untouched_by: tuple[ProvenBy, ...]
    system: tuple[tuple[bool | None, str, tuple[GroundText, ...]], ...]
    checks: tuple[StepText, ...]
    conditions: tuple[tuple[int, str], ...]
    remarks: tuple[GroundText, ...]


def finding_lines(judgement: Judgement, vehicle: Vehicle, speech: Speech) -> FindingLines:
    """The findings of a judgement, gravest first, in the reader's language and units."""
    vocabulary, visit = vehicle_vocabulary(vehicle), judgement.visit
    suspects = {suspect.part: suspect for suspect in judgement.suspects}
    stand = sorted((found for found in judgement.findings if still_stands(found, judgement)), key=_gravest_first)
    lines = [_line(found, suspects.get(found.part), visit, vocabulary, speech) for found in stand]
    touched = _touched(visit)
    names = {part.id: part.name for part in vehicle.parts.values()}
    open_parts = [entry for entry in judgement.unproven if entry.part in touched]
    untouched = [entry for entry in judgement.unproven if entry.part not in touched]
    return FindingLines(
        to_do=tuple(line for line in lines if line.text.verdict != "sound"),
        sound=tuple(line for line in lines if line.text.verdict == "sound"),
        unproven=_proven_by(open_parts, speech),
        untouched=speech.words(listed([entry.name for entry in untouched])),
        untouched_by=_proven_by(untouched, speech),
        system=tuple(
            (found.exceeded, sentence(speech.words(found.words)), grounds_text(found.grounds, speech))
            for found in judgement.system_findings
        ),
        checks=tuple(check_done(check, vocabulary, names, speech) for check in visit.checks),
        conditions=conditions_seen(visit.conditions, names, vocabulary, speech),
        remarks=grounds_text(judgement.remarks, speech),
    )


def verdict_counts(judgement: Judgement) -> dict[VerdictWord, int]:
    """How many parts have each verdict, gravest first."""
    verdicts = [finding.verdict for finding in judgement.findings if still_stands(finding, judgement)]
    verdicts += ["unproven"] * len(judgement.unproven)
    return {verdict: verdicts.count(verdict) for verdict in VERDICT_ORDER if verdict in verdicts}


def _gravest_first(finding: Finding) -> tuple[int, int]:
    return VERDICT_ORDER.index(finding.verdict), URGENCY_ORDER.index(finding.urgency)


def _line(
    finding: Finding, suspect: Suspect | None, visit: Visit, vocabulary: Vocabulary, speech: Speech
) -> FindingLine:
    sorts: dict[str, list[GroundText]] = {"observation": [], "limit": [], "model": [], "": []}
    for ground, text in zip(finding.grounds, grounds_text(finding.grounds, speech), strict=True):
        sorts[ground.kind if ground.kind in sorts else ""].append(text)
    return FindingLine(
        text=finding_text(finding, visit, vocabulary, speech),
        urgency=speech.words(URGENCY_WORDS[finding.urgency]) if finding.urgency else "",
        observations=tuple(sorts["observation"]),
        limits=tuple(sorts["limit"]),
        runs=tuple(sorts["model"]),
        others=tuple(sorts[""]),
        chance=speech.words(_chance(finding, suspect)),
        readings=tuple(_did(mover, speech) for mover in suspect.moved_by) if suspect else (),
    )


def _chance(finding: Finding, suspect: Suspect | None) -> Text:
    if suspect is None:
        return say("Worn with a chance of {chance}.", chance=Percent(finding.probability))
    return say(
        "Worn with a chance of {chance}; before anything was read it was {prior}.",
        chance=Percent(suspect.probability),
        prior=Percent(suspect.prior),
    )


def _did(mover: Mover, speech: Speech) -> ReadingDid:
    kind, _, number = str(mover.refers_to).partition(" ")
    anchor = f"check-{number}" if kind == "check" and number.isdigit() else ""
    return ReadingDid(
        speech.words(Capital(mover.words)), speech.words(_change(mover.factor)), speech.words(mover.refers_to), anchor
    )


def _change(factor: float) -> Text:
    larger = max(factor, 1.0 / factor)
    if larger < _HARDLY:
        return say("hardly changes the odds of wear")
    times = Number(larger, 0 if larger >= _WHOLE_FROM else 1)
    if factor > 1.0:
        return say("raises the odds of wear {factor} times", factor=times)
    return say("lowers the odds of wear {factor} times", factor=times)


def _touched(visit: Visit) -> set[str]:
    """Parts that somebody read, gripped, looked at, or says why not; a whole boot says nothing of its joint."""
    of_boots = {condition for look in load_looks() if not look.proves for condition in look.sees}
    found = {reading.watch.removesuffix(".axial") for check in visit.checks for reading in check.readings}
    found |= {part for check in visit.checks for part in check.passed_parts}
    found |= {entry.part for check in visit.checks for entry in check.hidden}
    found |= {seen.part for seen in visit.conditions if seen.present or seen.condition not in of_boots}
    found |= {event.part for event in visit.replaced}
    return found | {left.part for left in visit.not_checked}


def _proven_by(entries: Iterable[Unproven], speech: Speech) -> tuple[ProvenBy, ...]:
    groups: dict[tuple[str, str], list[Unproven]] = {}
    for entry in entries:
        groups.setdefault((entry.proving_check, entry.proving_support), []).append(entry)
    return tuple(_group(check, support, found, speech) for (check, support), found in groups.items())


def _group(check: str, support: str, found: Sequence[Unproven], speech: Speech) -> ProvenBy:
    catalogue = load_catalogue()
    name: Text = say("No check of the catalogue would prove these.")
    if check in catalogue.checks and support in catalogue.supports:
        held = InSentence(catalogue.supports[support].name)
        name = say("{check}, {support}", check=catalogue.checks[check].name, support=held)
    parts = [(e.name, sentence(speech.words(e.why)), sentence(speech.words(e.proving_words))) for e in found]
    return ProvenBy(
        speech.words(name),
        speech.words(listed([entry.name for entry in found])),
        tuple((speech.words(part), why, proof) for part, why, proof in parts),
    )
