"""Erasing on request and exporting: who may, what goes, and what stays."""

from __future__ import annotations

import io
import re
import zipfile

import pytest
from litestar import Litestar

from looseends.store.ids import time_ordered_id
from looseends.store.kept import Store
from looseends.store.models import Customer, PhotoRecord, VisitRecord
from looseends.store.photos import photo_path
from looseends.web.accounts.access import Role
from tests.web.cast import Client, put_photo, send, sign_in_as, signed_in, taken_in, words_of


def test_a_customer_is_erased_to_a_stub_after_the_step_that_says_what_stays(app: Litestar, owner: Client) -> None:
    visit = taken_in(owner, customer="Ada Reed", plate="SLIP 77", complaint="Ada hears a clunk")
    page = words_of(owner.get(f"/visits/{visit}/erase").text)
    assert "What stays" in page
    assert send(owner, f"/visits/{visit}/erase")[0] == 400
    store: Store = app.state.store
    with store.reading() as session:
        kept = session.get_one(Customer, session.get_one(VisitRecord, visit).customer_id)
        assert kept.name == "Ada Reed"
    status, page = send(owner, f"/visits/{visit}/erase", asked="yes")
    assert status == 200
    assert "Erased on" in page
    assert "Reed" not in page
    with store.reading() as session:
        stub = session.get_one(Customer, kept.id)
        assert (stub.name, stub.phone, session.get_one(VisitRecord, visit).plate) == ("", "", "")
        assert stub.erased_at is not None
    assert owner.get(f"/visits/{visit}").status_code == 200


def test_an_erased_photo_is_gone_and_does_not_come_back_when_it_is_sent_again(app: Litestar, owner: Client) -> None:
    visit, photo = taken_in(owner), time_ordered_id()
    assert put_photo(owner, visit, photo) == 200
    store: Store = app.state.store
    with store.reading() as session:
        file = photo_path(store.photos, session.get_one(PhotoRecord, photo).sha256)
    assert file.is_file()
    address = f"/visits/{visit}/erase/photo/{photo}"
    assert send(owner, address)[0] == 400
    assert file.is_file()
    status, page = send(owner, address, asked="yes")
    assert status == 200
    assert re.search(r"A photo that \w+ \w+ took on .* at \d\d:\d\d was erased\.", words_of(page))
    assert not file.exists()
    assert owner.get(f"/api/visits/{visit}/photos/{photo}").status_code == 404
    assert put_photo(owner, visit, photo) == 200
    assert not file.exists()
    assert owner.get(f"/api/visits/{visit}/photos").json() == []


def test_a_photo_that_another_visit_shows_too_keeps_its_file(app: Litestar, owner: Client) -> None:
    visit, other = taken_in(owner), taken_in(owner)
    photo, same = time_ordered_id(), time_ordered_id()
    put_photo(owner, visit, photo)
    put_photo(owner, other, same)
    send(owner, f"/visits/{visit}/erase/photo/{photo}", asked="yes")
    assert owner.get(f"/api/visits/{other}/photos/{same}").status_code == 200


@pytest.mark.parametrize(("role", "may"), [("technician", False), ("learner", False), ("office", True)])
def test_who_may_erase(app: Litestar, role: Role, may: bool) -> None:
    with signed_in(app, "owner") as owner:
        visit = taken_in(owner, customer="Ada Reed")
    with signed_in(app, role) as client:
        assert client.get(f"/visits/{visit}/erase").status_code == (200 if may else 403)
        assert send(client, f"/visits/{visit}/erase", asked="yes")[0] == (200 if may else 403)


def test_the_owner_alone_takes_everything_along_and_no_copy_is_left(
    app: Litestar, owner: Client, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    aside = tmp_path_factory.mktemp("aside")
    monkeypatch.setattr("tempfile.tempdir", str(aside))
    visit, photo = taken_in(owner, customer="Ada Reed"), time_ordered_id()
    put_photo(owner, visit, photo)
    gone = time_ordered_id()
    put_photo(owner, visit, gone)
    answer = owner.get("/export/archive")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert "Ada Reed" in archive.read("tables/customers.jsonl").decode()
        assert sum(name.startswith("photos/") for name in archive.namelist()) == 1
    assert list(aside.iterdir()) == []
    sign_in_as(app, owner, "instructor")
    assert owner.get("/export/archive").status_code == 403


def test_an_archive_is_made_when_a_photo_was_erased(app: Litestar, owner: Client) -> None:
    visit, photo = taken_in(owner), time_ordered_id()
    put_photo(owner, visit, photo)
    send(owner, f"/visits/{visit}/erase/photo/{photo}", asked="yes")
    with zipfile.ZipFile(io.BytesIO(owner.get("/export/archive").content)) as archive:
        assert photo in archive.read("tables/photos.jsonl").decode()
        assert not any(name.startswith("photos/") for name in archive.namelist())
