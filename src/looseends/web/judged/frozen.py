"""What a sign-off freezes beside the judgement: what worn parts do, in every manner, and verdicts before a repair."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from looseends.diagnosis.consequences.account import Account
from looseends.inspection.types import Finding, Judgement
from looseends.language import LANGUAGES, UNITS, Speech
from looseends.report.content import consequences_said
from looseends.report.handover_records import ConsequencesText
from looseends.report.vehicle_plan import plan_geometry
from looseends.store.models import JudgementRecord
from looseends.store.typed_json import plain
from looseends.web.judged.judging import vehicle_of


class Frozen(msgspec.Struct):
    """The part of a frozen record that is no judgement; empty in one that was signed before it was kept."""

    consequences: dict[str, ConsequencesText] = {}
    as_found: list[Finding] = []

    def consequences_in(self, speech: Speech) -> ConsequencesText | None:
        """What worn parts do, as it was told when it was signed."""
        return self.consequences.get(_manner(speech))


def to_freeze(judgement: Judgement, account: Account | None, as_found: tuple[Finding, ...]) -> Mapping[str, object]:
    """What is kept beside the judgement: an account is figures of the model, so its words are kept in every manner."""
    geometry = plan_geometry(vehicle_of(judgement.visit))
    manners = [Speech(language, units) for language in LANGUAGES for units in UNITS]
    said = {_manner(speech): consequences_said(account, judgement, geometry, speech) for speech in manners if account}
    return {"consequences": plain(said), "as_found": plain(as_found)}


def frozen_beside(record: JudgementRecord) -> Frozen:
    """What was frozen beside a judgement."""
    return msgspec.json.decode(record.content, type=Frozen)


def _manner(speech: Speech) -> str:
    return f"{speech.language} {speech.units}"
