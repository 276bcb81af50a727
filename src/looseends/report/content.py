"""What a handover says, in the reader's language; the page and the PDF both print exactly this."""

from __future__ import annotations

import re
from collections.abc import Mapping

from looseends.catalogue.types import VerdictWord
from looseends.inspection.types import (
    CheckDone,
    ConditionSeen,
    Finding,
    Grounds,
    Judgement,
    NextCheck,
    SuspectSet,
    Visit,
)
from looseends.language import (
    ENGLISH,
    AsWritten,
    Capital,
    Length,
    Minutes,
    Percent,
    Speech,
    Text,
    Value,
    say,
    say_count,
)
from looseends.report.handover_records import FindingText, GroundText, HandoverContent, StepText, UnprovenText
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
    reading_words,
    sentence,
    setup_words,
    with_note,
)
from looseends.vehicle.setup import Setup

MOST_UNPROVEN_IN_FULL = 3
"""More reasons than this would crowd the customer's page: the names stay there, the rest goes to the annex."""
GROUNDS_WORDS = {
    "observation": say("seen"),
    "limit": say("limit"),
    "model": say("worked out"),
    "contradiction": say("contradiction"),
    "cannot show": say("could not show"),
    "policy": say("rule"),
}
_TO_DO: tuple[VerdictWord, ...] = ("unsafe", "replace", "plan")
EXCEEDED_WORDS = {True: say("over the limit"), False: say("within the limit"), None: say("not judged")}
STANDING_CAUTIONS = (
    say(
        "Springs and torsion bars hold energy that can kill. Nothing is loosened before the maker’s procedure for "
        "unloading them has been followed."
    ),
    say("Work under a vehicle only on stands rated for it and set on the places that the maker names."),
    say(
        "The maker’s procedure, torque figures and limits, local codes and licensed practice come before anything "
        "written here."
    ),
    say(
        "This is a technician’s opinion. Whether a vehicle may be used on the road is decided by the licensed "
        "inspector or agency of the place."
    ),
)

CHOICES = (
    say("Repair before it leaves"),
    say("Tow"),
    say("Repair later"),
    say("Owner has read this: no repair"),
)
SIGNERS = (
    say("Technician, date"),
    say("Second witness (where anything is unsafe), date"),
    say("Owner or driver, date"),
    say("Instructor or shop, date"),
)


def handover_content(
    judgement: Judgement, geometry: PlanGeometry, vocabulary: Vocabulary, paper: str, speech: Speech = ENGLISH
) -> HandoverContent:
    """The content of a handover, findings gravest first; `paper` is the color of the plan's sheet."""
    words = speech.words
    visit = judgement.visit
    ranked = sorted(judgement.findings, key=lambda finding: VERDICT_ORDER.index(finding.verdict))
    names = _part_names(judgement, geometry)
    unproven = _unproven(judgement)
    grouped = _grouped(unproven)
    verdicts = _verdicts(judgement)
    drawn = {part.id for part in geometry.parts}
    on_plan = {part: verdict for part, verdict in verdicts.items() if part in drawn}
    sound = [finding for finding in ranked if finding.verdict == "sound"]
    content = HandoverContent(
        title=words(say("{vehicle}: what we found", vehicle=Capital(judgement.vehicle_name))),
        facts=_facts(judgement, speech),
        headline=words(headline(judgement.findings, len(unproven))),
        findings=tuple(_finding(f, visit, vocabulary, speech) for f in ranked if f.verdict in _TO_DO),
        sound=tuple(_finding(finding, visit, vocabulary, speech) for finding in sound),
        sound_count=words(say_count("{count} part", "{count} parts", len(sound))),
        unproven=tuple(_unproven_text(*group, speech) for group in grouped),
        passed_unproven=tuple(words(said) for said in _passed_unproven(judgement)),
        unproven_in_full=len(grouped) <= MOST_UNPROVEN_IN_FULL,
        unproven_names=words(listed([name for name, _, _ in unproven])),
        sound_names=words(listed([finding.name for finding in sound])),
        over_limits=tuple(sentence(words(s.words)) for s in judgement.system_findings if s.exceeded),
        meanings=tuple((verdict, words(VERDICT_MEANING[verdict])) for verdict in VERDICT_ORDER),
        system=tuple(
            (words(EXCEEDED_WORDS[s.exceeded]), sentence(words(s.words)), _grounds(s.grounds, speech))
            for s in judgement.system_findings
        ),
        checks=tuple(_check_done(check, vocabulary, names, speech) for check in visit.checks),
        conditions=tuple(
            (seen.number, sentence(words(_condition(seen, names, vocabulary)))) for seen in visit.conditions
        ),
        not_checked=tuple(
            sentence(f"{words(names.get(n.part, vocabulary.name(n.part)))}: {n.because}") for n in visit.not_checked
        ),
        suspects=tuple(
            (words(s.name), words(Percent(s.prior)), words(Percent(s.probability))) for s in judgement.suspects
        ),
        explanations=tuple(_explanation(found, names, speech) for found in judgement.sets),
        next_checks=tuple(_next_check(i, n, vocabulary, speech) for i, n in enumerate(judgement.next_checks, 1)),
        remarks=_grounds(judgement.remarks, speech),
        cautions=tuple(words(caution) for caution in STANDING_CAUTIONS),
        choices=tuple(words(choice) for choice in CHOICES),
        signers=tuple(words(signer) for signer in SIGNERS),
        plan=plan_svg(geometry, on_plan, paper=paper, speech=speech),
        plan_words=words(plan_words(geometry, on_plan)),
        not_on_plan=words(tuple(names.get(part, part) for part in verdicts if part not in drawn)),
        date=visit.date.isoformat(),
    )
    return cleaned(content)


def _facts(judgement: Judgement, speech: Speech) -> tuple[tuple[str, str], ...]:
    visit, words = judgement.visit, speech.words
    return (
        (words(say("Vehicle")), f"{words(judgement.vehicle_name)}{f', {visit.plate}' if visit.plate else ''}"),
        (words(say("Odometer")), words(kilometres(visit.odometer_km))),
        (words(say("Date")), speech.date(visit.date)),
        (words(say("Place")), visit.place),
        (words(say("For")), visit.customer),
        (words(say("Checked by")), visit.technician),
        (words(say("Complaint")), visit.complaint),
        (words(say("Limits of")), visit.jurisdiction),
    )


def _condition(seen: ConditionSeen, names: Mapping[str, str], vocabulary: Vocabulary) -> Text:
    return say(
        "{part}: {condition}, seen by {observer}",
        part=names.get(seen.part, seen.part),
        condition=with_note(vocabulary.name(seen.condition), seen.note),
        observer=AsWritten(seen.observer),
    )


def _explanation(found: SuspectSet, names: Mapping[str, str], speech: Speech) -> tuple[str, str, str]:
    parts: Value = tuple(names.get(part, part) for part in found.parts) if found.parts else say("nothing worn")
    how = say("solved exactly") if found.solved_exactly else say("from the table")
    return speech.words(parts), speech.words(Percent(found.probability)), speech.words(how)


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


def _grouped(unproven: list[tuple[str, str, str]]) -> list[tuple[list[str], str, str]]:
    """Names of the parts that have reason and proof in common, with those."""
    groups: dict[tuple[str, str], tuple[list[str], str, str]] = {}
    for name, why, proof in unproven:
        groups.setdefault((why, proof), ([], why, proof))[0].append(name)
    return list(groups.values())


def _unproven_text(names: list[str], why: str, proof: str, speech: Speech) -> UnprovenText:
    proven = speech.words(proof).strip()
    return UnprovenText(
        speech.words(listed(names)), sentence(speech.words(why)), f"{proven.rstrip('.')}." if proven else ""
    )


def _finding(finding: Finding, visit: Visit, vocabulary: Vocabulary, speech: Speech) -> FindingText:
    words = speech.words
    seen = [
        sentence(words(_plainly(ground, visit, vocabulary)))
        for ground in finding.grounds
        if ground.kind == "observation"
    ]
    return FindingText(
        finding.part,
        words(finding.name),
        finding.verdict,
        sentence(words(finding.summary)),
        " ".join(seen),
        sentence(words(finding.effect)),
        sentence(words(finding.advice)),
        words(amount_words(finding)),
        words(Percent(finding.probability)),
        _grounds(finding.grounds, speech),
    )


def _plainly(ground: Grounds, visit: Visit, vocabulary: Vocabulary) -> str:
    """An observation in few words, as the customer reads it; the annex holds the whole of it."""
    kind, _, number = ground.refers_to.partition(" ")
    for seen in visit.conditions if kind == "condition" else ():
        if str(seen.number) == number:
            return with_note(vocabulary.name(seen.condition), seen.note)
    for done in visit.checks if kind == "check" else ():
        for reading in done.readings:
            if str(done.number) == number and ground.words.startswith(f"{reading.watch} "):
                return reading_words(reading, vocabulary)
    return ground.words


def _passed_unproven(judgement: Judgement) -> tuple[Text, ...]:
    """Parts that stand on record as tight from a check that could not have shown their play."""
    hidden = [remark.words for remark in judgement.remarks if remark.kind == "cannot show"]
    passed = {part for check in judgement.visit.checks for part in check.passed_parts}
    return tuple(
        say(
            "The {part} was written down as tight, but the way the vehicle was held hides its play: it has to be "
            "looked at again.",
            part=entry.name,
        )
        for entry in judgement.unproven
        if entry.part in passed and any(words.startswith(entry.name) for words in hidden)
    )


def _grounds(grounds: tuple[Grounds, ...], speech: Speech) -> tuple[GroundText, ...]:
    return tuple(_ground(ground, speech) for ground in grounds)


def _ground(ground: Grounds, speech: Speech) -> GroundText:
    words = speech.words
    status = words(STATUS_WORDS[ground.status]) if ground.status else ""
    numbered = re.fullmatch(r"(check|condition) (\d+)", ground.refers_to)
    anchor = f"{numbered[1]}-{numbered[2]}" if numbered else ""
    return GroundText(
        words(GROUNDS_WORDS[ground.kind]),
        sentence(words(ground.words)),
        status,
        words(ground.source),
        words(ground.refers_to),
        anchor,
    )


def _check_done(check: CheckDone, vocabulary: Vocabulary, names: Mapping[str, str], speech: Speech) -> StepText:
    lines: list[Value] = [reading_words(reading, vocabulary) for reading in check.readings]
    if check.stop_gap_mm is not None:
        lines.insert(0, say("Gap at the rebound stop: {gap}.", gap=Length(check.stop_gap_mm)))
    if check.passed_parts:
        passed = tuple(names.get(part, part) for part in check.passed_parts)
        lines.append(say("Gripped, nothing moved: {parts}.", parts=passed))
    if check.note:
        lines.append(AsWritten(check.note))
    return _step(check.number, check.setup, lines, check.observer, vocabulary, speech)


def _next_check(number: int, check: NextCheck, vocabulary: Vocabulary, speech: Speech) -> StepText:
    lines: list[Value] = [
        check.reason,
        say("Watch: {watches}.", watches=tuple(vocabulary.name(watch) for watch in check.watches)),
        say("Takes about {minutes}.", minutes=Minutes(check.minutes)),
    ]
    return _step(number, check.setup, lines, "", vocabulary, speech)


def _step(number: int, setup: Setup, lines: list[Value], who: str, vocabulary: Vocabulary, speech: Speech) -> StepText:
    words = speech.words
    return StepText(
        number,
        words(vocabulary.name(setup.check)),
        words(vocabulary.how.get(setup.check, "")),
        sentence(words(setup_words(setup, vocabulary))),
        tuple(sentence(words(line)) for line in lines),
        who,
        tuple(words(caution) for caution in vocabulary.cautions_of(setup.check, setup.support)),
    )
