"""What a handover says, in the reader's language; the page and the PDF both print exactly this."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.consequences.account import Account
from looseends.inspection.types import Finding, Judgement, SuspectSet
from looseends.language import ENGLISH, AsWritten, Capital, Percent, Speech, Value, say, say_count
from looseends.report.account_content import consequences_text
from looseends.report.account_words import PartNames
from looseends.report.clips_content import clip_texts
from looseends.report.enclosures import NOTHING_ENCLOSED, Enclosures
from looseends.report.findings_content import LONGEST_NOTE, finding_text, grounds_text
from looseends.report.handover_records import ConsequencesText, HandoverContent
from looseends.report.history_content import history_lines
from looseends.report.marks import VERDICT_ORDER
from looseends.report.plain_text import cleaned
from looseends.report.plan import plan_svg, plan_words
from looseends.report.plan_geometry import PlanGeometry
from looseends.report.repairs_content import before_and_after, repair_texts, still_stands
from looseends.report.side_by_side import HOW_JUDGED
from looseends.report.steps_content import check_done, conditions_seen, next_step
from looseends.report.unproven_content import in_doubt, passed_unproven, unproven_entries, unproven_texts
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import (
    JURISDICTION_WORDS,
    URGENCY_ORDER,
    VERDICT_MEANING,
    headline,
    kilometres,
    listed,
    sentence,
    shortened,
)

_LONGEST_FACT = LONGEST_NOTE
"""Letters of a fact on the first page: a longer one stands whole in the annex."""

_LEAST_SUSPECT = 0.01
"""Chance below which a part is no suspect: a table of all parts would hide those that are."""

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

SIGNERS = (say("Inspected by, date"), say("Received by (owner or driver), date"))
SECOND_WITNESS = say("Second witness for what is unsafe, date")


def handover_content(
    judgement: Judgement,
    geometry: PlanGeometry,
    vocabulary: Vocabulary,
    paper: str,
    speech: Speech = ENGLISH,
    enclosures: Enclosures = NOTHING_ENCLOSED,
) -> HandoverContent:
    """The content of a handover, findings gravest first; `paper` is the color of the plan's sheet."""
    words = speech.words
    visit = judgement.visit
    stand = [finding for finding in judgement.findings if still_stands(finding, judgement)]
    ranked = sorted(stand, key=_gravest_first)
    names = _part_names(judgement, geometry)
    unproven = unproven_entries(judgement)
    verdicts = _verdicts(judgement, stand)
    drawn = {part.id for part in geometry.parts}
    on_plan = {part: verdict for part, verdict in verdicts.items() if part in drawn}
    to_do, sound = ([f for f in ranked if f.verdict in some] for some in (_TO_DO, ("sound",)))
    facts = _facts(judgement, speech)
    suspected = [suspect for suspect in judgement.suspects if suspect.probability >= _LEAST_SUSPECT]
    content = HandoverContent(
        title=words(say("{vehicle}: what we found", vehicle=Capital(judgement.vehicle_name))),
        facts=tuple((label, shortened(value, _LONGEST_FACT)) for label, value in facts),
        facts_in_full=tuple(fact for fact in facts if len(fact[1]) > _LONGEST_FACT),
        headline=words(headline(stand, len(unproven), len(judgement.repairs))),
        findings=tuple(finding_text(f, visit, vocabulary, speech, enclosures.decisions) for f in to_do),
        repairs=repair_texts(judgement, enclosures.as_found, speech),
        before_and_after=before_and_after(judgement, vocabulary, speech),
        how_judged=words(HOW_JUDGED),
        consequences=enclosures.consequences or consequences_said(enclosures.account, judgement, geometry, speech),
        sound=tuple(finding_text(finding, visit, vocabulary, speech) for finding in sound),
        sound_count=_count(len(sound), speech),
        unproven=unproven_texts(unproven, speech),
        passed_unproven=tuple(words(said) for said in passed_unproven(judgement)),
        unproven_names=words(listed([name for name, _, _ in unproven])),
        unproven_count=_count(len(unproven), speech),
        in_doubt="" if (doubt := in_doubt(judgement)) is None else words(doubt),
        sound_names=words(listed([finding.name for finding in sound])),
        over_limits=tuple(sentence(words(s.words)) for s in judgement.system_findings if s.exceeded),
        meanings=tuple((verdict, words(VERDICT_MEANING[verdict])) for verdict in VERDICT_ORDER),
        system=tuple(
            (words(EXCEEDED_WORDS[s.exceeded]), sentence(words(s.words)), grounds_text(s.grounds, speech))
            for s in judgement.system_findings
        ),
        checks=tuple(check_done(check, vocabulary, names, speech) for check in visit.checks),
        clips=clip_texts(enclosures.clips, speech),
        conditions=conditions_seen(visit.conditions, names, vocabulary, speech),
        not_checked=tuple(
            sentence(f"{words(names.get(n.part, vocabulary.name(n.part)))}: {n.because}") for n in visit.not_checked
        ),
        history=history_lines(visit, vocabulary, speech),
        suspects=tuple((words(s.name), words(Percent(s.prior)), words(Percent(s.probability))) for s in suspected),
        suspects_left_out=_left_out(len(judgement.suspects) - len(suspected), speech),
        explanations=tuple(_explanation(found, names, speech) for found in judgement.sets),
        next_checks=tuple(next_step(i, n, vocabulary, speech) for i, n in enumerate(judgement.next_checks, 1)),
        remarks=grounds_text(judgement.remarks, speech),
        cautions=tuple(words(caution) for caution in STANDING_CAUTIONS),
        signers=_signers(to_do, speech),
        plan=plan_svg(geometry, on_plan, paper=paper, speech=speech),
        plan_words=words(plan_words(geometry, on_plan)),
        not_on_plan=words(tuple(names.get(part, part) for part in verdicts if part not in drawn)),
        date=visit.date.isoformat(),
    )
    return cleaned(content)


def _gravest_first(finding: Finding) -> tuple[int, int]:
    return VERDICT_ORDER.index(finding.verdict), URGENCY_ORDER.index(finding.urgency)


def _count(count: int, speech: Speech) -> str:
    return speech.words(say_count("{count} part", "{count} parts", count))


def _left_out(count: int, speech: Speech) -> str:
    if not count:
        return ""
    left_out = say_count(
        "{count} further part has a chance below {least}.",
        "{count} further parts have a chance below {least} each.",
        count,
        least=Percent(_LEAST_SUSPECT),
    )
    return speech.words(left_out)


def _signers(to_do: Sequence[Finding], speech: Speech) -> tuple[str, ...]:
    unsafe = any(finding.verdict == "unsafe" for finding in to_do)
    return tuple(speech.words(signer) for signer in (*SIGNERS, *([SECOND_WITNESS] if unsafe else [])))


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
        (words(say("Limits of")), words(JURISDICTION_WORDS.get(visit.jurisdiction, AsWritten(visit.jurisdiction)))),
    )


def _explanation(found: SuspectSet, names: Mapping[str, str], speech: Speech) -> tuple[str, str, str]:
    parts: Value = tuple(names.get(part, part) for part in found.parts) if found.parts else say("nothing worn")
    how = say("solved exactly") if found.solved_exactly else say("from the table")
    return speech.words(parts), speech.words(Percent(found.probability)), speech.words(how)


def consequences_said(
    account: Account | None, judgement: Judgement, geometry: PlanGeometry, speech: Speech
) -> ConsequencesText | None:
    """What worn parts do, in the reader's language and units; None where there is no account of it."""
    return consequences_text(account, _part_names(judgement, geometry), speech) if account else None


def _part_names(judgement: Judgement, geometry: PlanGeometry) -> PartNames:
    names = PartNames((part.id, part.name) for part in geometry.parts)
    names |= {entry.part: entry.name for entry in judgement.repairs}
    names |= {entry.part: entry.name for entry in judgement.unproven}
    names |= {entry.part: entry.name for entry in judgement.suspects}
    names |= {entry.part: entry.name for entry in judgement.findings}
    return names


def _verdicts(judgement: Judgement, findings: Sequence[Finding]) -> dict[str, VerdictWord]:
    verdicts: dict[str, VerdictWord] = {entry.part: "unproven" for entry in judgement.unproven}
    verdicts |= {repair.part: "sound" if repair.proven else "unproven" for repair in judgement.repairs}
    return verdicts | {finding.part: finding.verdict for finding in findings}
