"""A batch of observations taken in: each stored once, told again when it comes again, or refused in a sentence."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.models import Account, ObservationRecord, VisitRecord
from looseends.store.observation import WITHDRAWN, Checked, HiddenFound, Observation, ReadingTaken, checked

MOST_AT_ONCE = 1_000
"""Observations in a batch; a longer outbox is sent in several."""


@dataclass(frozen=True)
class Accepted:
    """An observation that is stored; `new` is False where it had come before with the same content."""

    id: str
    sequence: int
    received_at: datetime.datetime
    new: bool


@dataclass(frozen=True)
class Refused:
    """An observation that is not stored, and the sentence that says why."""

    id: str
    sentence: str


@dataclass(frozen=True)
class Receipt:
    """What became of a batch, in its order. The accepted ones are stored when the session's transaction has ended."""

    accepted: tuple[Accepted, ...]
    refused: tuple[Refused, ...]


@dataclass(frozen=True)
class _Stored:
    visit: str
    kind: str
    root: str
    """Kind of what stands at the beginning of its corrections."""


def record(
    session: Session, observations: Sequence[Observation], *, received_at: datetime.datetime | None = None
) -> Receipt:
    """Take in a batch, all that is right of it in one transaction.

    Sending again is harmless: what is stored with the same content is accepted, with other content refused. A fault
    in one observation does not hold up the others, except those that correct it.

    Parameters
    ----------
    session : Session
        From `Store.writing()`; leaving it without an error puts the batch on the disk.
    observations : sequence of Observation
        At most 1,000, an observation after the one that it corrects.
    received_at : datetime, optional
        The server's clock, with time zone; now if None.

    Raises
    ------
    InputError
        If the batch is too long.
    """
    if len(observations) > MOST_AT_ONCE:
        raise InputError(
            refusal(
                "a batch must hold at most {most} observations, found {found}.",
                most=MOST_AT_ONCE,
                found=len(observations),
            )
        )
    intake = _Intake(session, observations, received_at or datetime.datetime.now(datetime.UTC))
    for sent in observations:
        intake.take(sent)
    if intake.rows:
        session.execute(insert(ObservationRecord), intake.rows)
    return Receipt(tuple(intake.accepted), tuple(intake.refused))


class _Intake:
    """One batch on its way in: what the store knows of it, and what becomes of each observation."""

    def __init__(self, session: Session, batch: Sequence[Observation], received_at: datetime.datetime) -> None:
        self._session = session
        self._received_at = received_at
        self._visits = set(session.scalars(select(VisitRecord.id).where(VisitRecord.id.in_({o.visit for o in batch}))))
        self._accounts = set(session.scalars(select(Account.id).where(Account.id.in_({o.account for o in batch}))))
        table = ObservationRecord
        came_before = select(table.id, table.sha256, table.sequence, table.received_at)
        self._before = {
            row.id: (row.sha256, row.sequence, row.received_at)
            for row in session.execute(came_before.where(table.id.in_({o.id for o in batch})))
        }
        self._known = self._named_by(batch)
        self._next = (session.scalar(select(func.max(table.sequence))) or 0) + 1
        self.rows: list[dict[str, object]] = []
        self.accepted: list[Accepted] = []
        self.refused: list[Refused] = []

    def _named_by(self, batch: Iterable[Observation]) -> dict[str, _Stored]:
        """What is stored in the visits of a batch, where the batch speaks of earlier observations at all."""
        visits = {o.visit for o in batch if o.supersedes is not None or "check" in o.payload}
        if not visits:
            return {}
        table = ObservationRecord
        chosen = select(table.id, table.visit_id, table.kind, table.supersedes).where(table.visit_id.in_(visits))
        known: dict[str, _Stored] = {}
        for id_, visit, kind, supersedes in self._session.execute(chosen.order_by(table.sequence)):
            known[id_] = _Stored(visit, kind, known[supersedes].root if supersedes else kind)
        return known

    def take(self, sent: Observation) -> None:
        """Accept one observation, or refuse it."""
        try:
            right = checked(sent)
            self._require_known(right)
            self._accept(right)
        except InputError as error:
            self.refused.append(Refused(sent.id, error.sentence))

    def _require_known(self, right: Checked) -> None:
        sent, where = right.sent, f"observation {right.sent.id}"
        if sent.visit not in self._visits:
            raise InputError(
                refusal('{where}: visit must be one that is stored, found "{found}".', where=where, found=sent.visit)
            )
        if sent.account not in self._accounts:
            raise InputError(
                refusal(
                    '{where}: account must be one that is stored, found "{found}".', where=where, found=sent.account
                )
            )
        if sent.supersedes is not None:
            earlier = self._earlier(sent.supersedes, sent.visit, f"{where}: supersedes")
            if sent.kind not in (earlier.root, WITHDRAWN):
                raise InputError(
                    refusal(
                        '{where}: kind must be "{root}", as what it corrects, or "{withdrawn}", found "{found}".',
                        where=where,
                        root=earlier.root,
                        withdrawn=WITHDRAWN,
                        found=sent.kind,
                    )
                )
        if isinstance(right.content, ReadingTaken | HiddenFound):
            named = self._earlier(right.content.check, sent.visit, f"{where}: check")
            if named.root != "check":
                raise InputError(
                    refusal(
                        '{where}: check must be an observation of a check, found one of "{found}".',
                        where=where,
                        found=named.root,
                    )
                )

    def _earlier(self, id_: str, visit: str, where: str) -> _Stored:
        earlier = self._known.get(id_)
        if earlier is None or earlier.visit != visit:
            raise InputError(
                refusal(
                    '{where} must be an earlier observation of the same visit, found "{found}".', where=where, found=id_
                )
            )
        return earlier

    def _accept(self, right: Checked) -> None:
        sent = right.sent
        if sent.id in self._before:
            sha256, sequence, received_at = self._before[sent.id]
            if sha256 != right.sha256:
                raise InputError(
                    refusal(
                        "observation {id}: is stored already with other content; a correction takes an id of its own.",
                        id=sent.id,
                    )
                )
            self.accepted.append(Accepted(sent.id, sequence, received_at, new=False))
            return
        self.rows.append(_row(right, self._next, self._received_at))
        self.accepted.append(Accepted(sent.id, self._next, self._received_at, new=True))
        self._before[sent.id] = (right.sha256, self._next, self._received_at)
        root = self._known[sent.supersedes].root if sent.supersedes else sent.kind
        self._known[sent.id] = _Stored(sent.visit, sent.kind, root)
        self._next += 1


def _row(right: Checked, sequence: int, received_at: datetime.datetime) -> dict[str, object]:
    return {
        "id": right.sent.id,
        "sequence": sequence,
        "visit_id": right.sent.visit,
        "kind": right.sent.kind,
        "payload": right.payload,
        "sha256": right.sha256,
        "account_id": right.sent.account,
        "device_time": right.sent.device_time,
        "received_at": received_at,
        "supersedes": right.sent.supersedes,
    }
