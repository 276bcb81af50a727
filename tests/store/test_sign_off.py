"""A judgement stays as it was signed, says when more has come, and unsafe findings take the owner's decision."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import json

import pytest

from looseends.errors import InputError
from looseends.inspection.types import Finding, Judgement
from looseends.store import Store, decide, is_whole, judgement_of, rests_on_all, sign_off
from looseends.store.models import JudgementRecord, VisitRecord
from tests.store.made_records import (
    COMPLAINT,
    NAME,
    NOON,
    PLATE,
    TECHNICIAN,
    VISIT,
    condition,
    fact,
    prepared,
    recorded,
    visit_in,
)


def judged(store: Store) -> Judgement:
    """A judgement of the stored visit: one part unsafe, one with an infinite clearance."""
    finding = Finding("idler-arm", "idler arm", "unsafe", "", "", "", 1.0, None, None, None, ())
    other = dataclasses.replace(finding, part="rack", verdict="plan", clearance_mm=float("inf"))
    return Judgement(visit_in(store), "the yard pickup", (finding, other), (), (), (), (), (), ())


def signed(store: Store) -> JudgementRecord:
    """The stored visit, signed off."""
    with store.writing() as session:
        frozen = sign_off(session, VISIT, judged(store), account=TECHNICIAN, at=NOON)
        session.expunge(frozen)
    return frozen


def test_a_judgement_is_frozen_with_its_checksum(store: Store) -> None:
    recorded(prepared(store), fact("condition", condition()))
    signed(store)
    with store.reading() as session:
        frozen = judgement_of(session, VISIT)
        assert frozen is not None
        assert hashlib.sha256(frozen.content.encode()).hexdigest() == frozen.sha256
        assert (frozen.signed_by, frozen.signed_at) == (TECHNICIAN, NOON)
        assert is_whole(frozen) and rests_on_all(session, frozen)
        assert session.get_one(VisitRecord, VISIT).state == "signed-off"
    content = json.loads(frozen.content)
    assert [finding["part"] for finding in content["findings"]] == ["idler-arm", "rack"]
    assert content["findings"][1]["clearance_mm"] is None
    assert [seen["part"] for seen in content["visit"]["conditions"]] == ["idler-arm"]
    assert not [words for words in (NAME, PLATE, COMPLAINT) if words in frozen.content]


def test_what_comes_later_is_stored_and_told(store: Store) -> None:
    frozen = signed(prepared(store))
    assert recorded(store, fact("condition", condition())).refused == ()
    with store.writing() as session:
        assert not rests_on_all(session, frozen)
        again = sign_off(session, VISIT, judged(store), account=TECHNICIAN, at=NOON + datetime.timedelta(hours=1))
        assert rests_on_all(session, again)
        last = judgement_of(session, VISIT)
        assert last is not None and last.id == again.id != frozen.id


def test_a_judgement_of_another_state_is_refused(store: Store) -> None:
    judgement = judged(prepared(store))
    recorded(store, fact("condition", condition()))
    with pytest.raises(InputError, match="must be of the visit as it is stored now"), store.writing() as session:
        sign_off(session, VISIT, judgement, account=TECHNICIAN)


def test_a_changed_judgement_is_noticed(store: Store) -> None:
    frozen = signed(prepared(store))
    frozen.content = frozen.content.replace("unsafe", "sound")
    assert not is_whole(frozen)


def test_the_owner_decides_about_what_is_unsafe_only(store: Store) -> None:
    frozen = signed(prepared(store))
    with store.writing() as session:
        assert decide(session, frozen.id, "idler-arm", "leave", account=TECHNICIAN).decision == "leave"
        refusal = r'^decision: part must be one found unsafe \(idler-arm\), found "rack"\.$'
        with pytest.raises(InputError, match=refusal):
            decide(session, frozen.id, "rack", "leave", account=TECHNICIAN)
        with pytest.raises(InputError, match=r"^decision: must be one of repair, leave, drive, found"):
            decide(session, frozen.id, "idler-arm", "sell", account=TECHNICIAN)  # type: ignore[arg-type]
        with pytest.raises(InputError, match=r'^decision: account must be one that is stored, found "nobody"\.$'):
            decide(session, frozen.id, "idler-arm", "drive", account="nobody")
