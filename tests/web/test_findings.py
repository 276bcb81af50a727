"""Findings, sign-off and what the owner decides: what each role may do, what is frozen, and what is told."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from litestar import Litestar

from looseends.diagnosis.consequences.account import Account, account_of
from looseends.diagnosis.consequences.wear import PartWear, known
from looseends.inspection.types import ConditionSeen
from looseends.store import PhotoSent, keep_clip
from looseends.store.ids import time_ordered_id
from looseends.store.kept import Store
from looseends.store.models import JudgementRecord, VisitRecord
from looseends.store.rebuild import facts_of
from looseends.store.sign_off import decisions_of, is_whole, judgement_of
from looseends.vehicle.loading import load_vehicles
from looseends.web.accounts.access import Role
from looseends.web.accounts.people import account_named, person_of
from looseends.web.judged.preparing import Progress
from looseends.web.taken.recording import observe
from tests.report.handover_sample import yard_pickup_judgement
from tests.store.films import film
from tests.store.made_records import NOON
from tests.web.cast import NAMES, Client, JudgingOfStored, put_photo, send, signed_in, taken_in, words_of

UNSAFE = next(finding.part for finding in yard_pickup_judgement().findings if finding.verdict == "unsafe")


@pytest.fixture
def judging(app: Litestar) -> JudgingOfStored:
    """A stub that the shop asks."""
    app.state.judging = JudgingOfStored()
    return app.state.judging  # type: ignore[no-any-return]


def basis_on(page: str) -> str:
    return page.split('name="basis" value="')[1].split('"')[0]


def sign(client: Client, visit: str) -> tuple[int, str]:
    seen = basis_on(client.get(f"/visits/{visit}/handover").text)
    return send(client, f"/visits/{visit}/sign-off", basis=seen)


def frozen_of(app: Litestar, visit: str) -> JudgementRecord:
    store: Store = app.state.store
    with store.reading() as session:
        frozen = judgement_of(session, visit)
    assert frozen is not None
    return frozen


def see_one_more(app: Litestar, visit: str) -> None:
    """A torn boot, recorded by Tom Orrin."""
    store: Store = app.state.store
    with store.writing() as session:
        account = account_named(session, NAMES["technician"])
        assert account is not None
        found = person_of(account)
        seen = ConditionSeen(0, "outer-tie-rod-end-left", "torn-boot", found.name, "")
        observe(session, visit, [("condition", seen)], found)


def test_the_gravest_finding_comes_first_with_its_verdict_first(judging: JudgingOfStored, technician: Client) -> None:
    page = words_of(technician.get(f"/visits/{taken_in(technician)}/findings").text)
    assert 0 < page.index("unsafe ") < page.index("replace ")
    assert "not judged" in page.lower() or "limit" in page.lower()


def test_while_tables_are_computed_the_page_says_how_far_they_are(judging: JudgingOfStored, technician: Client) -> None:
    visit = taken_in(technician)
    judging.answer = Progress("yard-pickup", 3, 40)
    page = technician.get(f"/visits/{visit}/findings", params={"wait": "true"}).text
    assert "3 of 40 tables are there." in words_of(page)
    assert "wait=true" in page
    assert technician.get(f"/visits/{visit}/handover/paper").status_code == 404


def test_signing_freezes_what_was_concluded_and_its_checksum_holds(
    app: Litestar, judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician, customer="Ada Reed")
    status, page = sign(technician, visit)
    assert status == 200
    assert "By Tom Orrin" in words_of(page)
    frozen = frozen_of(app, visit)
    assert is_whole(frozen)
    assert "Ada Reed" not in frozen.content
    judging.answer = replace(yard_pickup_judgement(), findings=())
    later = words_of(technician.get(f"/visits/{visit}/findings").text)
    assert "unsafe" in later
    assert frozen_of(app, visit).sha256 == frozen.sha256


@pytest.fixture(scope="module")
def worn() -> Account:
    """The yard pickup with 1.5 mm of play in one rod end."""
    known_wear = known({"outer-tie-rod-end-left": PartWear(radial_mm=1.5)})
    return account_of(load_vehicles()["yard-pickup"], known_wear, "us-federal")


def test_the_preview_is_what_is_signed_in_both_languages_whatever_the_model_says_later(
    app: Litestar, judging: JudgingOfStored, technician: Client, worn: Account
) -> None:
    visit, judging.worn = taken_in(technician), worn
    documents = [f"/visits/{visit}/handover/document?language={language}&units=us" for language in ("en", "es")]
    before = [technician.get(address).text for address in documents]
    assert "Annex: what the worn parts do" in before[0] and "Braking: left front wheel swings" in before[0]
    sign(technician, visit)
    judging.worn = None
    assert [technician.get(address).text for address in documents] == before
    assert set(json.loads(frozen_of(app, visit).content)["consequences"]) == {
        f"{language} {units}" for language in ("en", "es") for units in ("metric", "us")
    }


def test_until_it_is_known_what_worn_parts_do_the_preview_waits(
    judging: JudgingOfStored, technician: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    visit = taken_in(technician)
    monkeypatch.setattr(judging, "knows_account", lambda visit_id, visit: False)
    assert "is being weighed" in technician.get(f"/visits/{visit}/handover").text
    assert "What the customer gets" in technician.get(f"/visits/{visit}/handover?wait=true").text


def test_what_was_changed_after_signing_is_told(app: Litestar, judging: JudgingOfStored, technician: Client) -> None:
    visit = taken_in(technician)
    sign(technician, visit)
    store: Store = app.state.store
    with store.writing() as session:
        frozen = session.get_one(JudgementRecord, frozen_of(app, visit).id)
        frozen.content = json.dumps(json.loads(frozen.content) | {"vehicle_name": "another"})
    assert "its checksum differs" in words_of(technician.get(f"/visits/{visit}/findings").text)


def test_an_observation_after_signing_is_told_and_signing_again_takes_it_in(
    app: Litestar, judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician)
    sign(technician, visit)
    first = frozen_of(app, visit)
    assert "Observations came after" not in words_of(technician.get(f"/visits/{visit}/findings").text)
    see_one_more(app, visit)
    assert "Observations came after" in words_of(technician.get(f"/visits/{visit}/findings").text)
    _, page = sign(technician, visit)
    assert "Observations came after" not in words_of(page)
    assert frozen_of(app, visit).id != first.id


def test_a_page_that_was_open_while_something_was_recorded_signs_nothing(
    app: Litestar, judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician)
    seen = basis_on(technician.get(f"/visits/{visit}/handover").text)
    see_one_more(app, visit)
    status, page = send(technician, f"/visits/{visit}/sign-off", basis=seen)
    assert status == 400
    assert "Look at it again, then sign" in words_of(page)
    assert 'id="signed"' not in page


def test_signing_twice_signs_once(app: Litestar, judging: JudgingOfStored, technician: Client) -> None:
    visit = taken_in(technician)
    seen = basis_on(technician.get(f"/visits/{visit}/handover").text)
    send(technician, f"/visits/{visit}/sign-off", basis=seen)
    first = frozen_of(app, visit).id
    send(technician, f"/visits/{visit}/sign-off", basis=seen)
    assert frozen_of(app, visit).id == first


@pytest.mark.parametrize(("role", "expected"), [("learner", 403), ("office", 403), ("instructor", 200)])
def test_a_learner_and_the_office_do_not_sign(
    app: Litestar, judging: JudgingOfStored, role: Role, expected: int
) -> None:
    with signed_in(app, "technician") as technician:
        visit = taken_in(technician)
        seen = basis_on(technician.get(f"/visits/{visit}/handover").text)
    with signed_in(app, role) as client:
        assert client.get(f"/visits/{visit}/findings").status_code == 200
        assert send(client, f"/visits/{visit}/sign-off", basis=seen)[0] == expected


def test_driving_away_is_kept_only_when_the_caution_was_told(
    app: Litestar, judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician)
    sign(technician, visit)
    assert "unsafe: the owner decides" in technician.get("/").text
    address = f"/visits/{visit}/decision"
    status, page = send(technician, address, part=UNSAFE, decision="drive")
    assert (status, "tick that the owner was told" in words_of(page)) == (400, True)
    status, page = send(technician, address, part=UNSAFE, decision="drive", told="yes")
    assert status == 200
    assert "Drive it away against advice . Written down by Tom Orrin" in words_of(page)
    assert "unsafe: the owner decides" not in technician.get("/").text
    store: Store = app.state.store
    with store.reading() as session:
        kept = decisions_of(session, frozen_of(app, visit).id)
    assert [(made.part, made.decision) for made in kept] == [(UNSAFE, "drive")]
    document = words_of(technician.get(f"/visits/{visit}/handover/document").text)
    assert "Repair refused. Written down by Tom Orrin." in document


def test_a_part_that_is_not_unsafe_takes_no_decision(judging: JudgingOfStored, technician: Client) -> None:
    visit = taken_in(technician)
    sign(technician, visit)
    assert send(technician, f"/visits/{visit}/decision", part="nothing", decision="repair")[0] == 400


def test_the_document_stands_in_frames_of_ours_alone_and_runs_no_script(
    judging: JudgingOfStored, technician: Client
) -> None:
    answer = technician.get(f"/visits/{taken_in(technician)}/handover/document?language=es")
    assert 'lang="es"' in answer.text
    policy = answer.headers["content-security-policy"]
    assert "frame-ancestors 'self'" in policy
    assert "default-src 'none'" in policy
    assert "script-src" not in policy


def test_the_paper_is_a_pdf_of_the_size_and_says_that_nobody_signed(
    judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician)
    letter = technician.get(f"/visits/{visit}/handover/paper?sheet=letter&units=us&language=es")
    assert letter.content.startswith(b"%PDF")
    assert "-es-not-signed.pdf" in letter.headers["content-disposition"]
    assert letter.content != technician.get(f"/visits/{visit}/handover/paper?sheet=a4&units=us&language=es").content
    sign(technician, visit)
    assert "not-signed" not in technician.get(f"/visits/{visit}/handover/paper").headers["content-disposition"]


def test_a_signed_visit_is_read_in_spanish_where_it_is_the_same_to_the_letter(
    judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician)
    sign(technician, visit)
    send(technician, "/me", language="es", back="/")
    assert "tal como se fijó" not in words_of(technician.get(f"/visits/{visit}/findings").text)
    judging.answer = replace(yard_pickup_judgement(), findings=())
    page = words_of(technician.get(f"/visits/{visit}/findings").text)
    assert "tal como se fijó" in page


def test_a_photo_stands_beside_its_check_and_is_gone_when_it_was_erased(
    app: Litestar, judging: JudgingOfStored, owner: Client
) -> None:
    visit, photo = taken_in(owner), time_ordered_id()
    send(owner, f"/visits/{visit}/lift-points", found="sound")
    store: Store = app.state.store
    with store.reading() as session:
        (check,) = [fact.id for fact in facts_of(session, visit) if fact.kind == "check"]
    assert put_photo(owner, visit, photo, check) == 200
    page = owner.get(f"/visits/{visit}/findings").text
    assert page.index('id="check-1"') < page.index(f"photos/{photo}/small")
    assert "Photos of the visit" not in page
    send(owner, f"/visits/{visit}/erase/photo/{photo}", asked="yes")
    assert photo not in owner.get(f"/visits/{visit}/findings").text


def test_a_clip_plays_beside_its_check_and_stands_in_the_handover_as_its_first_frame(
    app: Litestar, judging: JudgingOfStored, owner: Client
) -> None:
    visit, clip = taken_in(owner), time_ordered_id()
    send(owner, f"/visits/{visit}/lift-points", found="sound")
    store: Store = app.state.store
    with store.writing() as session:
        (check,) = [fact.id for fact in facts_of(session, visit) if fact.kind == "check"]
        of_owner = session.get_one(VisitRecord, visit).opened_by
        keep_clip(session, store.photos, PhotoSent(clip, visit, of_owner, NOON, film(), check))
    page = owner.get(f"/visits/{visit}/findings").text
    assert page.index('id="check-1"') < page.index(f'src="/api/visits/{visit}/clips/{clip}"')
    for address in (f"/visits/{visit}/handover/document", f"/visits/{visit}/handover/document?language=es"):
        document = owner.get(address).text
        assert 'src="data:image/jpeg;base64,' in document
        assert ("Check 1: first frame of a clip of 1 s" in document) != ("language=es" in address)
    send(owner, f"/visits/{visit}/erase/photo/{clip}", asked="yes")
    assert "first frame" not in owner.get(f"/visits/{visit}/handover/document").text
