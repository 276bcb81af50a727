"""What was concluded from a visit: what was signed off, else what is judged now."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace

from litestar.datastructures import State
from sqlalchemy.orm import Session

from looseends.inspection.types import Judgement, Visit
from looseends.language import ENGLISH, Speech
from looseends.store.kept import Store
from looseends.store.models import Account, DecisionRecord, JudgementRecord, VisitRecord
from looseends.store.rebuild import basis_of
from looseends.store.sign_off import (
    decisions_of,
    frozen_judgement,
    is_whole,
    judgement_of,
    rests_on_all,
    says_the_same,
    undecided,
)
from looseends.web.judged.frozen import Frozen, frozen_beside
from looseends.web.judged.judging import Judging
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.visits import known_visit


@dataclass(frozen=True)
class Decided:
    """What the owner decided about a part, who wrote it down and when."""

    part: str
    decision: str
    by: str
    at: datetime.datetime


@dataclass(frozen=True)
class Signed:
    """A sign-off: `whole` while its content has its checksum, `rests_on_all` while no observation came after it.

    `undecided` are its unsafe parts that the owner has decided nothing about.
    """

    id: str
    by: str
    at: datetime.datetime
    sha256: str
    whole: bool
    redacted: bool
    rests_on_all: bool
    decisions: tuple[Decided, ...]
    beside: Frozen

    undecided: tuple[str, ...] = ()

    def decision_on(self, part: str) -> Decided | None:
        """The last decision about a part."""
        return next((made for made in reversed(self.decisions) if made.part == part), None)


@dataclass(frozen=True)
class Concluded:
    """A visit with its judgement, signed or not.

    `judgement` is None where it is not known at once and nobody waits for it. `basis` names the observations that are
    stored now. `only_english`: what was signed could not be made again word by word, so it is shown as it was frozen.
    """

    visit: Visit
    stay: VisitRecord
    basis: str
    judgement: Judgement | Progress | None
    signed: Signed | None = None
    only_english: bool = False


def concluded(state: State, visit_id: str, speech: Speech, *, wait: bool) -> Concluded:
    """What holds of a visit; with `wait` it is judged in this thread, a worker's, if it was not yet.

    Raises
    ------
    NotFoundException
        If there is no such visit.
    """
    store: Store = state.store
    judging: Judging = state.judging
    with store.reading() as session:
        visit, stay = known_visit(session, visit_id)
        basis, frozen = basis_of(session, visit_id), judgement_of(session, visit_id)
        signed = None if frozen is None else _signed(session, frozen)
    if frozen is None:
        return Concluded(visit, stay, basis, _judged(judging, visit_id, visit, wait))
    kept = frozen_judgement(frozen)
    named = replace(kept.visit, customer=visit.customer, complaint=visit.complaint, plate=visit.plate)
    kept = replace(kept, visit=named)
    if speech == ENGLISH:
        return Concluded(visit, stay, basis, kept, signed)
    # A frozen judgement is English and metric. Judged again from the same observations it can be said otherwise, which
    # counts only where it is the same to the letter.
    key = visit_id if named == visit else f"{visit_id} {frozen.id}"
    again = _judged(judging, key, named, wait)
    if isinstance(again, Judgement) and says_the_same(again, frozen):
        return Concluded(visit, stay, basis, again, signed)
    return Concluded(visit, stay, basis, None if again is None else kept, signed, only_english=again is not None)


def judged_now(state: State, visit_id: str) -> Judgement | Progress:
    """The judgement of all that is stored now, whatever was signed.

    Raises
    ------
    NotFoundException
        If there is no such visit.
    """
    store: Store = state.store
    judging: Judging = state.judging
    with store.reading() as session:
        visit, _ = known_visit(session, visit_id)
    return judging.judgement(visit_id, visit)


def _judged(judging: Judging, key: str, visit: Visit, wait: bool) -> Judgement | Progress | None:
    return judging.judgement(key, visit) if wait else judging.known(key, visit)


def _signed(session: Session, frozen: JudgementRecord) -> Signed:
    return Signed(
        id=frozen.id,
        by=session.get_one(Account, frozen.signed_by).name,
        at=frozen.signed_at,
        sha256=frozen.sha256,
        whole=is_whole(frozen),
        redacted=frozen.redacted_at is not None,
        rests_on_all=rests_on_all(session, frozen),
        decisions=_decided(session, decisions_of(session, frozen.id)),
        beside=frozen_beside(frozen),
        undecided=undecided(session, [frozen.visit_id]).get(frozen.visit_id, ()),
    )


def _decided(session: Session, records: Sequence[DecisionRecord]) -> tuple[Decided, ...]:
    return tuple(
        Decided(made.part, made.decision, session.get_one(Account, made.account_id).name, made.decided_at)
        for made in records
    )
