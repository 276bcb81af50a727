"""Who may do what: the table as it was meant, and that every address asks it."""

from __future__ import annotations

import pytest
from litestar import Litestar
from litestar.handlers import HTTPRouteHandler

from looseends.store.ids import time_ordered_id
from looseends.web.accounts.access import ACCESS, ACTIONS, ROLES, Action, Role
from tests.web.cast import Client, form_token, send, signed_in, taken_in, visitor

MEANT: dict[Action, str] = {
    "see visits": "owner instructor technician learner office",
    "take in": "owner instructor technician office",
    "record": "owner instructor technician learner",
    "undo": "owner instructor technician learner",
    "sign off": "owner instructor technician",
    "decide": "owner instructor technician office",
    "hand over": "owner instructor technician office",
    "prepare tables": "owner instructor technician",
    "erase a person": "owner instructor office",
    "keep people": "owner instructor",
    "export everything": "owner",
    "keep own tokens": "owner instructor technician office",
}
OPEN = {
    "/sign-in",
    "/sign-out",
    "/once/{word:str}",
    "/first-start/{word:str}",
    "/new-password/{word:str}",
    "/me",
    "/tablet",
    "/api/tablet",
    "/tablet/authority.crt",
    "/visits",
    "/visits/kept",
    "/visits/outbox",
    "/visits/service-worker.js",
    "/manifest.webmanifest",
}
"""What asks for nobody: signing in, choosing a language, getting a tablet on, what it needs without a connection."""

ASKED: dict[tuple[str, str], Action] = {
    ("GET", "/"): "see visits",
    ("GET", "/intake"): "take in",
    ("GET", "/own-vehicles/new"): "take in",
    ("GET", "/people"): "keep people",
    ("GET", "/api/people"): "keep people",
    ("GET", "/api/vehicles/yard-pickup"): "see visits",
    ("GET", "/me/tokens"): "keep own tokens",
    ("GET", "/visits/{visit}"): "see visits",
    ("POST", "/visits/{visit}/lift-points"): "record",
    ("POST", "/visits/{visit}/minutes"): "record",
    ("GET", "/visits/{visit}/plan"): "see visits",
    ("GET", "/visits/{visit}/sheet"): "record",
    ("GET", "/visits/{visit}/answer"): "see visits",
    ("GET", "/api/visits/{visit}/photos"): "see visits",
    ("GET", "/visits/{visit}/findings"): "see visits",
    ("GET", "/visits/{visit}/handover"): "hand over",
    ("GET", "/visits/{visit}/handover/document"): "hand over",
    ("GET", "/visits/{visit}/handover/paper"): "hand over",
    ("GET", "/visits/{visit}/compare"): "see visits",
    ("GET", "/visits/{visit}/erase"): "erase a person",
    ("GET", "/export"): "export everything",
    ("GET", "/api/visits"): "see visits",
    ("GET", "/api/visits/{visit}/judgement"): "see visits",
    ("PUT", "/api/visits/{new}"): "take in",
    ("PUT", "/api/visits/{visit}/observations/{new}"): "record",
}
BODY = {"vehicle": "yard-pickup", "date": "2026-11-26"}
SEEN = {"part": "outer-tie-rod-end-left", "condition": "torn-boot", "observer": "", "note": "", "present": True}
OBSERVATION = {"kind": "condition", "payload": SEEN, "device_time": "2026-11-26T09:00:00+00:00"}


@pytest.mark.parametrize("action", ACTIONS)
def test_the_table_allows_what_was_meant(action: Action) -> None:
    assert [role for role in ROLES if action in ACCESS[role]] == MEANT[action].split()


def test_every_address_has_a_guard_but_those_of_signing_in(app: Litestar) -> None:
    unguarded = {
        route.path
        for route in app.routes
        for handler in getattr(route, "route_handlers", [])
        if isinstance(handler, HTTPRouteHandler)
        and handler.http_methods != {"OPTIONS"}
        and not handler.resolve_guards()
    }
    ours = {path for path in unguarded if not path.startswith(("/static", "/fonts", "/schema"))}
    assert ours == OPEN


def ask(client: Client, method: str, address: str) -> int:
    headers = {"x-csrftoken": form_token(client), "accept": "application/json"}
    if method == "POST":
        return client.post(address, data={}, headers=headers, follow_redirects=False).status_code
    body = None if method == "GET" else OBSERVATION if "observations" in address else BODY
    return client.request(method, address, json=body, headers=headers, follow_redirects=False).status_code


@pytest.mark.parametrize("role", ROLES)
def test_each_address_answers_a_role_as_the_table_says(app: Litestar, role: Role) -> None:
    with signed_in(app, "technician") as technician:
        visit = taken_in(technician)
    with signed_in(app, role) as client:
        for (method, address), action in ASKED.items():
            status = ask(client, method, address.format(visit=visit, new=time_ordered_id()))
            assert (status != 403) == (role in MEANT[action].split()), (method, address, status)
            assert status in (200, 303, 403), (method, address, status)


@pytest.mark.parametrize(("method", "address"), ASKED)
def test_a_stranger_is_answered_nowhere(app: Litestar, method: str, address: str) -> None:
    with visitor(app) as client:
        client.get("/sign-in")
        assert ask(client, method, address.format(visit=time_ordered_id(), new=time_ordered_id())) == 401


def test_a_stranger_with_a_browser_is_led_to_the_sign_in_and_back(stranger: Client) -> None:
    answer = stranger.get("/intake", headers={"accept": "text/html"})
    assert str(answer.url).endswith("/sign-in?then=/intake")


def test_a_guessed_visit_is_not_there(technician: Client) -> None:
    assert technician.get(f"/visits/{time_ordered_id()}").status_code == 404
    assert technician.get("/visits/..%2f..%2fetc").status_code == 404


def test_an_address_of_nothing_has_the_header_of_who_asks_and_their_language(technician: Client) -> None:
    technician.get("/")
    send(technician, "/me", language="es")
    for address, status in (("/nothing", 404), ("/visits/a/b/c/d", 404), ("/sign-out", 405)):
        answer = technician.get(address)
        assert answer.status_code == status
        assert "<bdi>Tom Orrin</bdi>" in answer.text
        assert 'href="/intake"' in answer.text and 'lang="es"' in answer.text
        assert f'name="_csrf_token" value="{form_token(technician)}"' in answer.text
    assert technician.get("/api/nothing").json()["status"] == 404
    answer = technician.get("/nothing", headers={"authorization": "Bearer nobody"})
    assert (answer.status_code, "<bdi>" in answer.text) == (404, False)
    technician.cookies.clear()
    answer = technician.get("/nothing")
    assert (answer.status_code, "This was not done" in answer.text, "<bdi>" in answer.text) == (404, True, False)
