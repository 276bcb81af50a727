"""What a handover says, as plain text records; the page and the PDF both print exactly this."""

from __future__ import annotations

import re
from dataclasses import dataclass

from looseends.catalogue.types import VerdictWord
from looseends.inspection.types import CheckDone, Finding, Grounds, Judgement, NextCheck, Visit
from looseends.report.marks import VERDICT_ORDER
from looseends.report.plain_text import cleaned
from looseends.report.plan import plan_svg, plan_words
from looseends.report.plan_geometry import PlanGeometry
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import (
    STATUS_WORDS,
    VERDICT_MEANING,
    amount_words,
    headline,
    kilometres,
    listed,
    long_date,
    percent,
    reading_words,
    sentence,
    setup_words,
)

MOST_UNPROVEN_IN_FULL = 3
"""More reasons than this would crowd the customer's page: the names stay there, the rest goes to the annex."""
GROUNDS_WORDS = {
    "observation": "seen",
    "limit": "limit",
    "model": "worked out",
    "contradiction": "contradiction",
    "cannot show": "could not show",
    "policy": "rule",
}
EXCEEDED_WORDS = {True: "over the limit", False: "within the limit", None: "not judged"}
STANDING_CAUTIONS = (
    "Springs and torsion bars hold energy that can kill. Nothing is loosened before the maker’s procedure for "
    "unloading them has been followed.",
    "Work under a vehicle only on stands rated for it and set on the places that the maker names.",
    "The maker’s procedure, torque figures and limits, local codes and licensed practice come before anything "
    "written here.",
    "This is a technician’s opinion. Whether a vehicle may be used on the road is decided by the licensed "
    "inspector or agency of the place.",
)

CHOICES = ("Repair before it leaves", "Tow", "Repair later", "Owner has read this: no repair")
SIGNERS = (
    "Technician, date",
    "Second witness (where anything is unsafe), date",
    "Owner or driver, date",
    "Instructor or shop, date",
)


@dataclass(frozen=True)
class GroundText:
    """One reason: its sort, its sentence, the limit's status and source, and the observation it rests on."""

    kind: str
    words: str
    status: str
    source: str
    refers_to: str
    anchor: str


@dataclass(frozen=True)
class FindingText:
    """One finding as it is printed; `shown_by` are the observations, in words."""

    part: str
    name: str
    verdict: VerdictWord
    summary: str
    shown_by: str
    effect: str
    advice: str
    amount: str
    chance: str
    grounds: tuple[GroundText, ...]


@dataclass(frozen=True)
class UnprovenText:
    """Parts that nothing could show for the same reason, why, and what would prove them."""

    names: str
    why: str
    proof: str


@dataclass(frozen=True)
class StepText:
    """A check, done or to be done: how it is set up and done, what it gave, and the caution beside it."""

    number: int
    name: str
    how: str
    setup: str
    lines: tuple[str, ...]
    who: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class HandoverContent:
    """Everything a handover prints, in plain text; the plan as SVG and in words."""

    title: str
    facts: tuple[tuple[str, str], ...]
    headline: str
    findings: tuple[FindingText, ...]
    sound: tuple[FindingText, ...]
    unproven: tuple[UnprovenText, ...]
    passed_unproven: tuple[str, ...]
    unproven_in_full: bool
    unproven_names: str
    sound_names: str
    over_limits: tuple[str, ...]
    meanings: tuple[tuple[VerdictWord, str], ...]
    system: tuple[tuple[str, str, tuple[GroundText, ...]], ...]
    checks: tuple[StepText, ...]
    conditions: tuple[tuple[int, str], ...]
    not_checked: tuple[str, ...]
    suspects: tuple[tuple[str, str, str], ...]
    explanations: tuple[tuple[str, str, str], ...]
    next_checks: tuple[StepText, ...]
    remarks: tuple[GroundText, ...]
    cautions: tuple[str, ...]
    choices: tuple[str, ...]
    signers: tuple[str, ...]
    plan: str
    plan_words: str
    not_on_plan: str
    date: str


def handover_content(
    judgement: Judgement, geometry: PlanGeometry, vocabulary: Vocabulary, paper: str
) -> HandoverContent:
    """The content of a handover, findings gravest first; `paper` is the color of the plan's sheet."""
    judgement, geometry = cleaned(judgement), cleaned(geometry)
    visit = judgement.visit
    ranked = sorted(judgement.findings, key=lambda finding: VERDICT_ORDER.index(finding.verdict))
    names = _part_names(judgement, geometry)
    unproven = _unproven(judgement)
    grouped = _grouped(unproven)
    verdicts = _verdicts(judgement)
    drawn = {part.id for part in geometry.parts}
    on_plan = {part: verdict for part, verdict in verdicts.items() if part in drawn}
    return HandoverContent(
        title=f"{judgement.vehicle_name}: what we found",
        facts=_facts(judgement),
        headline=headline(judgement.findings, len(unproven)),
        findings=tuple(_finding(f, visit, vocabulary) for f in ranked if f.verdict in ("unsafe", "replace", "plan")),
        sound=tuple(_finding(f, visit, vocabulary) for f in ranked if f.verdict == "sound"),
        unproven=grouped,
        passed_unproven=_passed_unproven(judgement),
        unproven_in_full=len(grouped) <= MOST_UNPROVEN_IN_FULL,
        unproven_names=listed([name for name, _, _ in unproven]),
        sound_names=listed([finding.name for finding in ranked if finding.verdict == "sound"]),
        over_limits=tuple(sentence(s.words) for s in judgement.system_findings if s.exceeded),
        meanings=tuple((verdict, VERDICT_MEANING[verdict]) for verdict in VERDICT_ORDER),
        system=tuple(
            (EXCEEDED_WORDS[s.exceeded], sentence(s.words), tuple(map(_ground, s.grounds)))
            for s in judgement.system_findings
        ),
        checks=tuple(_check_done(check, vocabulary, names) for check in visit.checks),
        conditions=tuple(
            (
                seen.number,
                sentence(
                    f"{names.get(seen.part, seen.part)}: {vocabulary.name(seen.condition)}"
                    f"{f' ({seen.note})' if seen.note else ''}, seen by {seen.observer}"
                ),
            )
            for seen in visit.conditions
        ),
        not_checked=tuple(
            sentence(f"{names.get(n.part, vocabulary.name(n.part))}: {n.because}") for n in visit.not_checked
        ),
        suspects=tuple((s.name, percent(s.prior), percent(s.probability)) for s in judgement.suspects),
        explanations=tuple(
            (
                ", ".join(names.get(part, part) for part in s.parts) or "nothing worn",
                percent(s.probability),
                "solved exactly" if s.solved_exactly else "from the table",
            )
            for s in judgement.sets
        ),
        next_checks=tuple(_next_check(i, n, vocabulary) for i, n in enumerate(judgement.next_checks, 1)),
        remarks=tuple(map(_ground, judgement.remarks)),
        cautions=STANDING_CAUTIONS,
        choices=CHOICES,
        signers=SIGNERS,
        plan=plan_svg(geometry, on_plan, paper=paper),
        plan_words=plan_words(geometry, on_plan),
        not_on_plan=", ".join(names.get(part, part) for part in verdicts if part not in drawn),
        date=visit.date.isoformat(),
    )


def _facts(judgement: Judgement) -> tuple[tuple[str, str], ...]:
    visit = judgement.visit
    return (
        ("Vehicle", f"{judgement.vehicle_name}{f', {visit.plate}' if visit.plate else ''}"),
        ("Odometer", kilometres(visit.odometer_km)),
        ("Date", long_date(visit.date)),
        ("Place", visit.place),
        ("For", visit.customer),
        ("Checked by", visit.technician),
        ("Complaint", visit.complaint),
        ("Limits of", visit.jurisdiction),
    )


def _part_names(judgement: Judgement, geometry: PlanGeometry) -> dict[str, str]:
    names = {part.id: part.name for part in geometry.parts}
    names |= {entry.part: entry.name for entry in judgement.unproven}
    names |= {entry.part: entry.name for entry in judgement.suspects}
    return names | {entry.part: entry.name for entry in judgement.findings}


def _verdicts(judgement: Judgement) -> dict[str, VerdictWord]:
    verdicts: dict[str, VerdictWord] = {entry.part: "unproven" for entry in judgement.unproven}
    return verdicts | {finding.part: finding.verdict for finding in judgement.findings}


def _unproven(judgement: Judgement) -> list[tuple[str, str, str]]:
    """Name, reason and proof of every part that is unproven, by the list or by a finding."""
    known = {entry.part for entry in judgement.unproven}
    return [
        *((entry.name, entry.why, entry.proving_words) for entry in judgement.unproven),
        *(
            (finding.name, finding.summary, finding.advice)
            for finding in judgement.findings
            if finding.verdict == "unproven" and finding.part not in known
        ),
    ]


def _grouped(unproven: list[tuple[str, str, str]]) -> tuple[UnprovenText, ...]:
    groups: dict[tuple[str, str], list[str]] = {}
    for name, why, proof in unproven:
        groups.setdefault((why, proof), []).append(name)
    return tuple(
        UnprovenText(listed(names), sentence(why), f"{proof.strip().rstrip('.')}." if proof.strip() else "")
        for (why, proof), names in groups.items()
    )


def _finding(finding: Finding, visit: Visit, vocabulary: Vocabulary) -> FindingText:
    seen = [_plainly(ground, visit, vocabulary) for ground in finding.grounds if ground.kind == "observation"]
    return FindingText(
        finding.part,
        finding.name,
        finding.verdict,
        sentence(finding.summary),
        " ".join(seen),
        sentence(finding.effect),
        sentence(finding.advice),
        amount_words(finding),
        percent(finding.probability),
        tuple(map(_ground, finding.grounds)),
    )


def _plainly(ground: Grounds, visit: Visit, vocabulary: Vocabulary) -> str:
    """An observation in few words, as the customer reads it; the annex holds the whole of it."""
    kind, _, number = ground.refers_to.partition(" ")
    for seen in visit.conditions if kind == "condition" else ():
        if str(seen.number) == number:
            return sentence(f"{vocabulary.name(seen.condition)}{f' ({seen.note})' if seen.note else ''}")
    for done in visit.checks if kind == "check" else ():
        for reading in done.readings:
            if str(done.number) == number and ground.words.startswith(f"{reading.watch} "):
                return sentence(reading_words(reading, vocabulary))
    return sentence(ground.words)


def _passed_unproven(judgement: Judgement) -> tuple[str, ...]:
    """Parts that stand on record as tight from a check that could not have shown their play."""
    hidden = [remark.words for remark in judgement.remarks if remark.kind == "cannot show"]
    passed = {part for check in judgement.visit.checks for part in check.passed_parts}
    return tuple(
        f"The {entry.name} was written down as tight, but the way the vehicle was held hides its play: it has to be "
        "looked at again."
        for entry in judgement.unproven
        if entry.part in passed and any(words.startswith(entry.name) for words in hidden)
    )


def _ground(ground: Grounds) -> GroundText:
    status = STATUS_WORDS[ground.status] if ground.status else ""
    numbered = re.fullmatch(r"(check|condition) (\d+)", ground.refers_to)
    anchor = f"{numbered[1]}-{numbered[2]}" if numbered else ""
    return GroundText(
        GROUNDS_WORDS[ground.kind], sentence(ground.words), status, ground.source, ground.refers_to, anchor
    )


def _check_done(check: CheckDone, vocabulary: Vocabulary, names: dict[str, str]) -> StepText:
    lines = [sentence(reading_words(reading, vocabulary)) for reading in check.readings]
    if check.stop_gap_mm is not None:
        lines.insert(0, f"Gap at the rebound stop: {check.stop_gap_mm:g} mm.")
    if check.passed_parts:
        passed = ", ".join(names.get(part, part) for part in check.passed_parts)
        lines.append(f"Gripped, nothing moved: {passed}.")
    if check.note:
        lines.append(sentence(check.note))
    setup = check.setup
    return StepText(
        check.number,
        vocabulary.name(setup.check),
        vocabulary.how.get(setup.check, ""),
        sentence(setup_words(setup, vocabulary)),
        tuple(lines),
        check.observer,
        vocabulary.cautions_of(setup.check, setup.support),
    )


def _next_check(number: int, check: NextCheck, vocabulary: Vocabulary) -> StepText:
    setup = check.setup
    watched = ", ".join(vocabulary.name(watch) for watch in check.watches)
    lines = [sentence(check.reason), f"Watch: {watched}.", f"Takes about {check.minutes:g} min."]
    return StepText(
        number,
        vocabulary.name(setup.check),
        vocabulary.how.get(setup.check, ""),
        sentence(setup_words(setup, vocabulary)),
        tuple(lines),
        "",
        vocabulary.cautions_of(setup.check, setup.support),
    )
