"""Signing in: passwords, one-time links, the first start, tries that are too many, and what a session is worth."""

from __future__ import annotations

import gc
from pathlib import Path

import pytest
from litestar.testing import TestClient

from looseends.diagnosis.shop import load_shop
from looseends.errors import InputError
from looseends.web import Settings, create_app, serving
from looseends.web.accounts.sessions import MOST_TRIES_A_MINUTE
from looseends.web.serving import first_link, serve
from tests.web.cast import ADDRESS, NAMES, PASSWORD, Client, send, words_of

WRONG = "three worn tires stacked"


def test_a_name_and_its_password_sign_in_whatever_the_capitals_of_the_name(stranger: Client) -> None:
    stranger.get("/sign-in")
    status, page = send(stranger, "/sign-in", name=NAMES["technician"].upper(), password=PASSWORD)
    assert status == 200
    assert "What waits" in words_of(page)


@pytest.mark.parametrize(("name", "password"), [(NAMES["owner"], WRONG), ("Nobody Here", PASSWORD), ("", "")])
def test_a_wrong_password_and_an_unknown_name_get_the_same_sentence(stranger: Client, name: str, password: str) -> None:
    stranger.get("/sign-in")
    status, page = send(stranger, "/sign-in", name=name, password=password)
    assert status == 401
    assert "This name and this password do not go together." in words_of(page)


def test_too_many_tries_wait_a_minute(stranger: Client) -> None:
    stranger.get("/sign-in")
    for _ in range(MOST_TRIES_A_MINUTE):
        assert send(stranger, "/sign-in", name=NAMES["owner"], password=WRONG)[0] == 401
    status, page = send(stranger, "/sign-in", name=NAMES["owner"], password=PASSWORD)
    assert status == 429
    assert "Too many tries: wait a minute." in words_of(page)


def test_a_form_without_the_pages_token_changes_nothing(stranger: Client) -> None:
    stranger.get("/sign-in")
    answer = stranger.post("/sign-in", data={"name": NAMES["owner"], "password": PASSWORD})
    assert answer.status_code == 403
    forged = stranger.post("/sign-in", data={"name": NAMES["owner"], "password": PASSWORD, "_csrf_token": "0" * 128})
    assert forged.status_code == 403
    assert stranger.get("/intake").url.path == "/sign-in"


def test_signing_in_leads_nowhere_outside(stranger: Client) -> None:
    stranger.get("/sign-in")
    for then in ("https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example", "javascript:alert(1)"):
        data = {"name": NAMES["owner"], "password": PASSWORD, "then": then}
        token = {"_csrf_token": stranger.cookies["looseends-form"]}
        answer = stranger.post("/sign-in", data=data | token, follow_redirects=False)
        assert answer.headers["location"] == "/", then


def test_a_session_planted_before_sign_in_is_worth_nothing_after(stranger: Client) -> None:
    planted = "a" * 64
    stranger.cookies.set("looseends-session", planted)
    stranger.get("/sign-in")
    assert send(stranger, "/sign-in", name=NAMES["owner"], password=PASSWORD)[0] == 200
    stranger.cookies.clear()
    stranger.cookies.set("looseends-session", planted)
    assert stranger.get("/").url.path == "/sign-in"


def test_signing_out_ends_the_session_for_a_copied_cookie_too(owner: Client) -> None:
    copied = owner.cookies["looseends-session"]
    assert owner.get("/").url.path == "/"
    assert send(owner, "/sign-out")[0] == 200
    owner.cookies.clear()
    owner.cookies.set("looseends-session", copied)
    assert owner.get("/").url.path == "/sign-in"


def test_a_printed_link_signs_in_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path / "tables"))
    app = create_app(Settings(tmp_path / "web", str(tmp_path / "records.sqlite"), ADDRESS, demo=True))
    link = first_link(app)
    with TestClient(app, base_url=ADDRESS) as client:
        assert "What waits" in words_of(client.get(link).text)
        client.cookies.clear()
        assert "used already" in words_of(client.get(link).text)


def test_the_first_start_makes_the_owner_for_who_holds_the_link_and_only_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path / "tables"))
    app = create_app(Settings(tmp_path / "web", str(tmp_path / "records.sqlite"), ADDRESS))
    link, later = first_link(app), first_link(app)
    with TestClient(app, base_url=ADDRESS) as client:
        client.get(link)
        assert send(client, f"{ADDRESS}/first-start/guessed", name="Mallory", password=PASSWORD)[1].find("Sign in") > 0
        status, page = send(client, link, name="Ines Calder", password="short")
        assert status == 400
        assert "needs at least 10 characters, found 5" in words_of(page)
        again = page.split('action="/first-start/')[1].split('"')[0]
        assert "No vehicle has been taken in yet." in words_of(
            send(client, f"/first-start/{again}", name="Ines Calder", password=PASSWORD)[1]
        )
        assert client.get(later).status_code == 404
        assert send(client, later, name="Mallory", password=PASSWORD)[0] == 404


def test_the_demo_is_not_served_to_the_network(tmp_path: Path) -> None:
    settings = Settings(tmp_path, str(tmp_path / "records.sqlite"), demo=True)
    with pytest.raises(InputError, match=r'--address: the demo .* found "0\.0\.0\.0"'):
        serve(settings, "0.0.0.0", 8750, print)


def test_a_shops_policy_holds_for_the_application_too_and_a_wrong_one_is_refused_at_the_start(tmp_path: Path) -> None:
    policy = tmp_path / "shop.toml"
    settings = Settings(tmp_path / "web", str(tmp_path / "records.sqlite"), ADDRESS, policy=policy)
    policy.write_text("[verdict]\nworn_at_least = 0.95\n", encoding="utf-8")
    with TestClient(create_app(settings)) as client:
        assert client.app.state.judging.shop == client.app.state.routes.shop == load_shop(policy)
    policy.write_text("[verdict]\nworn_at_least = 0.5\n", encoding="utf-8")
    with pytest.raises(InputError, match="worn_at_least"):
        create_app(settings)


def test_what_is_loaded_before_serving_is_left_out_of_later_collections(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spared: list[int] = []
    monkeypatch.setattr(serving.uvicorn, "run", lambda *_app, **_how: spared.append(gc.get_freeze_count()))
    monkeypatch.setattr(serving, "with_enough_threads", lambda: None)
    try:
        serve(Settings(data=tmp_path, store=str(tmp_path / "records.sqlite")), "127.0.0.1", 8750, lambda _line: None)
    finally:
        gc.unfreeze()
    assert spared[0] > 100_000
