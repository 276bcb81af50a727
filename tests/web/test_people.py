"""Accounts: one's own password, a link for somebody else's, roles, closing, and the last owner, who stays."""

from __future__ import annotations

import re
from typing import Any

import pytest
from litestar import Litestar

from looseends.web.accounts.access import Role
from looseends.web.accounts.people import account_named
from tests.web.cast import NAMES, PASSWORD, Client, form_token, send, words_of
from tests.web.devices import Devices

NEW = "five cold stub axles"


@pytest.fixture
def devices(app: Litestar, stranger: Client) -> Devices:
    """The devices of the shop."""
    return Devices(app, stranger)


def id_of(app: Litestar, role: Role) -> str:
    """The account of the person with this role."""
    with app.state.store.reading() as session:
        account = account_named(session, NAMES[role])
        assert account is not None
        return account.id


def signs_in(devices: Devices, name: str, password: str) -> bool:
    """Whether this name and password go together."""
    return send(devices.take(f"nobody with {password}"), "/sign-in", name=name, password=password)[0] == 200


def api(client: Client, method: str, address: str, body: object = None) -> tuple[int, Any]:
    """Status and JSON of what a page's own script sends."""
    answer = client.request(method, address, json=body, headers={"x-csrftoken": form_token(client)})
    return answer.status_code, answer.json() if answer.content else None


def test_a_new_password_asks_the_old_one_and_ends_every_other_session(devices: Devices) -> None:
    assert devices.signed_in("technician with another tablet")
    technician = devices.take("technician")
    technician.get("/me/password")
    status, page = send(technician, "/me/password", old="guessed it is", new=NEW)
    assert status == 400 and "Old password: it is another one; nothing was changed." in words_of(page)
    status, page = send(technician, "/me/password", old=PASSWORD, new="short")
    assert status == 400 and "needs at least 10 characters, found 5" in words_of(page)
    assert devices.signed_in("technician with another tablet")
    changed = send(devices.take("technician"), "/me/password", old=PASSWORD, new=NEW)[1]
    assert "Every other device is signed out." in words_of(changed)
    assert not devices.signed_in("technician with another tablet")
    assert devices.signed_in("technician")
    assert not signs_in(devices, NAMES["technician"], PASSWORD)
    assert signs_in(devices, NAMES["technician"], NEW)


def test_old_passwords_are_not_guessed_by_a_lost_tablet(technician: Client) -> None:
    tries = [send(technician, "/me/password", old=f"guess {n} of many", new=NEW)[0] for n in range(9)]
    assert set(tries) == {400, 429} and tries[-1] == 429


def test_a_link_for_a_new_password_works_once_and_ends_the_persons_sessions(app: Litestar, devices: Devices) -> None:
    address = f"/people/{id_of(app, 'learner')}/link"
    assert devices.signed_in("learner")
    first, link = (link_on(send(devices.take("instructor"), address)[1]) for _ in range(2))
    phone = devices.take("nobody with a phone")
    assert "was used already" in words_of(send(phone, first, password=NEW)[1]), "a later link ends an earlier one"
    assert phone.get(link.replace("new-password", "once")).url.path == "/sign-in"
    status, page = send(phone, link, password="short")
    assert status == 400 and "found 5" in words_of(page)
    again = re.search(r'action="(/new-password/[^"]+)"', page)
    assert again is not None and devices.signed_in("learner")
    assert "What waits" in words_of(send(devices.take("nobody with a phone"), again[1], password=NEW)[1])
    assert not devices.signed_in("learner")
    assert "was used already" in words_of(send(devices.take("nobody else"), again[1], password=NEW)[1])
    assert signs_in(devices, NAMES["learner"], NEW)


def link_on(page: str) -> str:
    """The link that a page shows this once."""
    found = re.search(r'id="password-link">([^<]+)<', page)
    assert found is not None
    return found[1]


def test_the_last_owner_stays_an_owner_and_open(app: Litestar, devices: Devices) -> None:
    owner, address = devices.take("owner"), f"/people/{id_of(app, 'owner')}"
    for change, fields in (("close", {}), ("role", {"role": "technician"})):
        status, page = send(owner, f"{address}/{change}", **fields)
        assert status == 400
        assert "is the only owner of these records: make another one first." in words_of(page)
    assert api(owner, "PATCH", f"/api{address}", {"role": "office"})[0] == 400
    assert send(owner, f"/people/{id_of(app, 'technician')}/role", role="owner")[0] == 200
    assert send(owner, f"{address}/close")[0] == 200
    assert not devices.signed_in("owner")


def test_a_closed_account_signs_in_no_more_by_any_way_until_it_is_opened(app: Litestar, devices: Devices) -> None:
    address = f"/people/{id_of(app, 'technician')}"
    page = send(devices.take("technician"), "/me/tokens", purpose="gauge")[1]
    key = {"authorization": "Bearer " + page.split('id="new-key">')[1].split("<")[0]}
    owner = devices.take("owner")
    assert owner.get("/api/me", headers=key).json()["name"] == NAMES["technician"]
    assert "1 account is closed" in words_of(send(owner, f"{address}/close")[1])
    assert owner.get("/api/me", headers=key).status_code == 401
    assert send(owner, f"{address}/link")[0] == 404
    assert not devices.signed_in("technician")
    assert not signs_in(devices, NAMES["technician"], PASSWORD)
    owner = devices.take("owner")
    assert "No password was chosen yet" in words_of(send(owner, f"{address}/open")[1])
    assert send(owner, f"{address}/link")[0] == 200


def test_a_new_role_holds_from_the_next_touch(app: Litestar, devices: Devices) -> None:
    assert devices.take("learner").get("/intake").status_code == 403
    assert send(devices.take("owner"), f"/people/{id_of(app, 'learner')}/role", role="technician")[0] == 200
    assert devices.take("learner").get("/intake").status_code == 200


@pytest.mark.parametrize("role", ["owner", "instructor"])
def test_an_instructor_keeps_nobody_who_may_do_as_much(app: Litestar, devices: Devices, role: Role) -> None:
    instructor, address = devices.take("instructor"), f"/people/{id_of(app, role)}"
    assert instructor.get(address).status_code == 403
    assert send(instructor, f"{address}/link")[0] == send(instructor, f"{address}/close")[0] == 403
    assert send(instructor, f"/people/{id_of(app, 'learner')}/role", role=role)[0] == 403
    assert send(instructor, "/people", name="Nilo Varga", role=role, password=NEW)[0] == 403
    assert api(instructor, "PATCH", f"/api{address}", {"closed": True})[0] == 403


def test_people_are_kept_over_the_api_as_on_the_page(devices: Devices) -> None:
    owner = devices.take("owner")
    status, made = api(owner, "POST", "/api/people", {"name": "Nilo Varga", "role": "learner"})
    assert status == 201 and made["role"] == "learner" and not made["closed"]
    assert api(owner, "POST", "/api/people", {"name": "nilo varga", "role": "learner"})[0] == 400
    link = api(owner, "POST", f"/api/people/{made['id']}/password-link")[1]["link"]
    phone = devices.take("nobody with a phone")
    assert send(phone, link, password=NEW)[0] == 200
    assert api(phone, "POST", "/api/me/password", {"old": NEW, "new": PASSWORD})[0] == 204
    assert not devices.signed_in("nobody with a phone")
    owner = devices.take("owner")
    assert api(owner, "PATCH", f"/api/people/{made['id']}", {"role": "office", "closed": True})[1]["closed"]
    kept = {person["name"]: person for person in api(owner, "GET", "/api/people")[1]}
    assert (kept["Nilo Varga"]["role"], kept["Nilo Varga"]["closed"]) == ("office", True)
