"""A judgement frozen at sign-off with its checksum, and what the owner decided about what is unsafe."""

from __future__ import annotations

import dataclasses
import datetime
import json
from collections.abc import Collection, Mapping
from typing import Any, get_args

import msgspec
from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.inspection.types import Judgement, Visit
from looseends.language import refusal, say
from looseends.store.canonical import canonical_json, checksum
from looseends.store.ids import time_ordered_id
from looseends.store.models import Account, DecisionRecord, JudgementRecord, OwnerDecision, VisitRecord
from looseends.store.personal import without_personal
from looseends.store.rebuild import basis_of, visit_of
from looseends.store.typed_json import plain

UNSAFE = "unsafe"


def sign_off(
    session: Session,
    visit_id: str,
    judgement: Judgement,
    *,
    account: str,
    at: datetime.datetime | None = None,
    beside: Mapping[str, object] | None = None,
) -> JudgementRecord:
    """Freeze the judgement of a visit: canonical JSON, SHA-256, who and when.

    `beside` are further fields, in JSON's own kinds, that are frozen with it; none is named as one of the judgement's.

    What leads to the customer is left out of it, so that erasing a customer leaves checksums whole. Observations that
    come later do not change it; `rests_on_all` tells of them, and a further sign-off takes them in.

    Raises
    ------
    InputError
        If visit or account are not stored, or the judgement is of another state of the visit than the stored one.
    """
    stored = visit_of(session, visit_id)
    if without_personal(stored) != without_personal(judgement.visit):
        raise InputError(
            refusal(
                "visit {visit_id}: its judgement must be of the visit as it is stored now, found one of "
                "another state; judge it again.",
                visit_id=visit_id,
            )
        )
    if session.get(Account, account) is None:
        raise InputError(
            refusal(
                'visit {visit_id}: account that signs must be one that is stored, found "{found}".',
                visit_id=visit_id,
                found=account,
            )
        )
    content = canonical_json({**(beside or {}), **judgement_fields(judgement, stored)})
    frozen = JudgementRecord(
        id=time_ordered_id(),
        visit_id=visit_id,
        content=content,
        sha256=checksum(content),
        basis_sha256=basis_of(session, visit_id),
        signed_by=account,
        signed_at=at or datetime.datetime.now(datetime.UTC),
    )
    session.add(frozen)
    session.get_one(VisitRecord, visit_id).state = "signed-off"
    session.flush()
    return frozen


def judgement_fields(judgement: Judgement, visit: Visit) -> dict[str, Any]:
    """A judgement of this visit as it is frozen, without what leads to the customer."""
    found = plain(dataclasses.replace(judgement, visit=without_personal(visit)))
    assert isinstance(found, dict)
    return found


def says_the_same(judgement: Judgement, frozen: JudgementRecord) -> bool:
    """Whether a judgement is the frozen one to the letter, whatever was frozen beside it."""
    found = judgement_fields(judgement, judgement.visit)
    stored = json.loads(frozen.content)
    return canonical_json(found) == canonical_json({name: stored.get(name) for name in found})


def judgement_of(session: Session, visit_id: str) -> JudgementRecord | None:
    """The last judgement that was signed off; None if there is none."""
    table = JudgementRecord
    chosen = select(table).where(table.visit_id == visit_id).order_by(table.signed_at.desc(), table.id.desc())
    return session.scalars(chosen.limit(1)).first()


def undecided(session: Session, visit_ids: Collection[str]) -> dict[str, tuple[str, ...]]:
    """The parts that the last judgement of each visit finds unsafe and its owner has decided nothing about.

    Visits without such a part are left out.
    """
    table = JudgementRecord
    unsafe = table.content.contains(f'"verdict":"{UNSAFE}"', autoescape=True)
    chosen = select(table.visit_id, table.id, unsafe).where(table.visit_id.in_(visit_ids))
    last = {visit: (id_, found) for visit, id_, found in session.execute(chosen.order_by(table.signed_at, table.id))}
    asked = {id_: visit for visit, (id_, found) in last.items() if found}
    open_parts = _open_parts(session, tuple(asked))
    return {asked[id_]: parts for id_, parts in open_parts.items() if parts}


def _open_parts(session: Session, judgement_ids: Collection[str]) -> dict[str, tuple[str, ...]]:
    """The unsafe parts of each judgement without a decision."""
    table = JudgementRecord
    contents = session.execute(select(table.id, table.content).where(table.id.in_(judgement_ids)))
    decided = DecisionRecord
    chosen = select(decided.judgement_id, decided.part).where(decided.judgement_id.in_(judgement_ids))
    told = {(judgement, part) for judgement, part in session.execute(chosen)}
    return {id_: tuple(part for part in unsafe_parts(content) if (id_, part) not in told) for id_, content in contents}


class _Verdict(msgspec.Struct):
    part: str
    verdict: str


class _Verdicts(msgspec.Struct):
    findings: list[_Verdict]


def unsafe_parts(content: str) -> tuple[str, ...]:
    """The parts that a frozen judgement finds unsafe."""
    found = msgspec.json.decode(content, type=_Verdicts)
    return tuple(finding.part for finding in found.findings if finding.verdict == UNSAFE)


def frozen_judgement(frozen: JudgementRecord) -> Judgement:
    """The judgement as it was signed, in English and millimetres, without what leads to the customer."""
    return msgspec.json.decode(frozen.content, type=Judgement)


def decisions_of(session: Session, judgement_id: str) -> tuple[DecisionRecord, ...]:
    """What the owner decided about a judgement's unsafe findings, in the order in which it was written down."""
    table = DecisionRecord
    chosen = select(table).where(table.judgement_id == judgement_id).order_by(table.decided_at, table.id)
    return tuple(session.scalars(chosen))


def is_whole(frozen: JudgementRecord) -> bool:
    """True when the content has the checksum that was made when it was signed, or was redacted since and says so."""
    return frozen.redacted_at is not None or checksum(frozen.content) == frozen.sha256


def rests_on_all(session: Session, frozen: JudgementRecord) -> bool:
    """False when observations of the visit have come since it was signed."""
    return basis_of(session, frozen.visit_id) == frozen.basis_sha256


def decide(
    session: Session,
    judgement_id: str,
    part: str,
    decision: OwnerDecision,
    *,
    account: str,
    at: datetime.datetime | None = None,
) -> DecisionRecord:
    """Keep what the owner decided about an unsafe finding; `account` wrote it down.

    Raises
    ------
    InputError
        If the judgement is not stored, does not find the part unsafe, or the decision is none of those known.
    """
    frozen = session.get(JudgementRecord, judgement_id)
    if frozen is None:
        raise InputError(
            refusal('decision: judgement must be one that is stored, found "{found}".', found=judgement_id)
        )
    unsafe = unsafe_parts(frozen.content)
    if part not in unsafe:
        raise InputError(
            refusal(
                'decision: part must be one found unsafe ({accepted}), found "{found}".',
                accepted=", ".join(unsafe) or say("none is"),
                found=part,
            )
        )
    if decision not in get_args(OwnerDecision):
        raise InputError(
            refusal(
                'decision: must be one of {accepted}, found "{found}".',
                accepted=", ".join(get_args(OwnerDecision)),
                found=decision,
            )
        )
    if session.get(Account, account) is None:
        raise InputError(refusal('decision: account must be one that is stored, found "{found}".', found=account))
    kept = DecisionRecord(
        id=time_ordered_id(),
        judgement_id=judgement_id,
        part=part,
        decision=decision,
        account_id=account,
        decided_at=at or datetime.datetime.now(datetime.UTC),
    )
    session.add(kept)
    session.flush()
    return kept
