"""The handover of a visit as a page or a PDF, with what the owner decided."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import cast

from litestar.exceptions import NotFoundException

from looseends.errors import InputError
from looseends.inspection.types import Finding, Judgement
from looseends.language import LANGUAGES, UNITS, Speech, Text, say
from looseends.report.enclosures import Decision, Enclosures, OwnerDecision
from looseends.report.page import handover_html
from looseends.report.paper import PAPER_NAMES, Sheet, handover_pdf
from looseends.report.vehicle_plan import plan_geometry
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.report.writing import handover_stem
from looseends.store.kept import Store
from looseends.store.models import JudgementRecord
from looseends.store.models import OwnerDecision as KeptDecision
from looseends.store.sign_off import decide, judgement_of, rests_on_all, sign_off, undecided
from looseends.store.typed_json import plain
from looseends.web.judged.frozen import Frozen, to_freeze
from looseends.web.judged.judging import Judging, vehicle_of
from looseends.web.of_visit.clip_stills import clip_stills
from looseends.web.of_visit.concluded import Signed
from looseends.web.of_visit.visits import known_visit

_PRINTED: Mapping[str, Decision] = {"repair": "repair now", "leave": "tow", "drive": "refused"}
CHOICES: Mapping[str, Text] = {
    "repair": say("Have it repaired"),
    "leave": say("Leave it undriven, or have it towed"),
    "drive": say("Drive it away against advice"),
}
"""What an owner decides about an unsafe part, as the store keeps it."""

LATE = say("Something was recorded while this page was open. Look at it again, then sign.")
NOT_TOLD = say("To drive it away, tick that the owner was told the caution.")
NO_CHOICE = say("Choose one of the three.")
NONE_LEFT = say("Everything unsafe is decided about already; a change is written down part by part.")

SHEETS: Mapping[Sheet, Text] = {"a4": say("A4"), "letter": say("Letter")}


@dataclass(frozen=True)
class Manner:
    """How a handover is wanted: language, units and size of paper."""

    speech: Speech
    sheet: Sheet

    @property
    def query(self) -> str:
        """The same as the end of an address."""
        return f"language={self.speech.language}&units={self.speech.units}&sheet={self.sheet}"


def manner_wanted(own: Speech, language: str, units: str, sheet: str) -> Manner:
    """What was chosen; the reader's own, and their units' usual paper, where nothing that is known was."""
    speech = Speech(
        language if language in LANGUAGES else own.language,
        units if units in UNITS else own.units,
    )
    usual: Sheet = "letter" if speech.units == "us" else "a4"
    return Manner(speech, cast(Sheet, sheet) if sheet in PAPER_NAMES else usual)


def document(judgement: Judgement, manner: Manner, enclosures: Enclosures) -> str:
    """The handover as one HTML file."""
    vehicle = vehicle_of(judgement.visit)
    return handover_html(judgement, plan_geometry(vehicle), vehicle_vocabulary(vehicle), manner.speech, enclosures)


def paper(judgement: Judgement, manner: Manner, enclosures: Enclosures) -> bytes:
    """The handover as a PDF."""
    vehicle = vehicle_of(judgement.visit)
    return handover_pdf(
        judgement, plan_geometry(vehicle), vehicle_vocabulary(vehicle), manner.speech, enclosures, manner.sheet
    )


def file_name(judgement: Judgement, manner: Manner, signed: Signed | None) -> str:
    """What a saved PDF is called; one that nobody signed says so."""
    language = "" if manner.speech.language == "en" else f"-{manner.speech.language}"
    return f"{handover_stem(judgement.visit)}{language}{'' if signed else '-not-signed'}.pdf"


def enclosures_of(
    store: Store, judging: Judging, visit_id: str, judgement: Judgement, speech: Speech, signed: Signed | None
) -> Enclosures:
    """What worn parts do, verdicts before a repair, decisions; of what was signed, as it was frozen then.

    Clips are those that the store has now. Judges in this thread, a worker's.
    """
    clips = clip_stills(store, visit_id)
    if signed is None:
        account = judging.account(visit_id, judgement.visit)
        return Enclosures(account, as_found=as_found(judging, visit_id, judgement), clips=clips)
    return Enclosures(
        consequences=signed.beside.consequences_in(speech),
        as_found=_found_before(judging, visit_id, judgement, signed.beside),
        decisions=tuple(
            OwnerDecision(made.part, _PRINTED[made.decision], "", made.by, made.at.astimezone().date())
            for made in signed.decisions
        ),
        clips=clips,
    )


def freeze(
    store: Store,
    judging: Judging,
    visit_id: str,
    judgement: Judgement,
    account_id: str,
    at: datetime.datetime | None = None,
) -> JudgementRecord:
    """Sign a judgement off with what worn parts do; a visit that is signed as it stands keeps its first sign-off.

    Raises
    ------
    InputError
        If something was recorded since it was judged.
    """
    beside = to_freeze(judgement, judging.account(visit_id, judgement.visit), as_found(judging, visit_id, judgement))
    with store.writing() as session:
        before = judgement_of(session, visit_id)
        if before is not None and rests_on_all(session, before):
            return before
        return sign_off(session, visit_id, judgement, account=account_id, at=at, beside=beside)


def require_as_seen(basis: str, seen: str) -> None:
    """Refuse what rests on something else than its person has seen.

    Raises
    ------
    InputError
        If something was recorded since.
    """
    if basis != seen:
        raise InputError(LATE)


def write_down_decision(store: Store, visit_id: str, part: str, decision: str, *, told: bool, account_id: str) -> None:
    """Keep what the owner decided about one unsafe part; driving away asks that the caution was told.

    With an empty `part` it holds for every unsafe part that nothing is decided about yet.

    Raises
    ------
    NotFoundException
        If there is no such visit, or nothing was signed.
    InputError
        If it is no decision, the caution was not told, the part was not found unsafe, or none is left for all.
    """
    if decision not in CHOICES:
        raise InputError(NO_CHOICE)
    if decision == "drive" and not told:
        raise InputError(NOT_TOLD)
    with store.writing() as session:
        known_visit(session, visit_id)
        frozen = judgement_of(session, visit_id)
        if frozen is None:
            raise NotFoundException
        parts = [part] if part else undecided(session, [visit_id]).get(visit_id, ())
        if not parts:
            raise InputError(NONE_LEFT)
        for each in parts:
            decide(session, frozen.id, each, cast(KeptDecision, decision), account=account_id)


def _found_before(judging: Judging, visit_id: str, judgement: Judgement, frozen: Frozen) -> tuple[Finding, ...]:
    """The frozen verdicts; those of today, which are said in every language, where they are the same to the letter."""
    today = as_found(judging, visit_id, judgement)
    return today if plain(today) == plain(frozen.as_found) else tuple(frozen.as_found)


def as_found(judging: Judging, visit_id: str, judgement: Judgement) -> tuple[Finding, ...]:
    """Findings on every replaced part by what was done before it was replaced."""
    visit = judgement.visit
    findings: list[Finding] = []
    for after in sorted({event.after_check for event in visit.replaced}):
        gone = {event.part for event in visit.replaced if event.after_check == after}
        earlier = tuple(event for event in visit.replaced if event.after_check < after)
        until = replace(visit, checks=visit.checks[:after], replaced=earlier)
        before = judging.judgement(f"{visit_id} until {after}", until)
        if isinstance(before, Judgement):
            findings += [finding for finding in before.findings if finding.part in gone]
    return tuple(findings)
