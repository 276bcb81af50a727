"""What waits: order, search, the empty shop, and the language of each person at once."""

from __future__ import annotations

import pytest
from litestar import Litestar

from tests.web.cast import Client, send, sign_in_as, signed_in, taken_in, words_of


def test_an_empty_shop_says_what_to_do(technician: Client) -> None:
    page = words_of(technician.get("/").text)
    assert "No vehicle has been taken in yet." in page
    assert "Take in a vehicle" in page


def test_an_empty_shop_tells_a_learner_who_takes_in(app: Litestar) -> None:
    with signed_in(app, "learner") as learner:
        page = learner.get("/").text
    assert "Taking in is done by a technician, an instructor or the office." in page
    assert 'href="/intake"' not in page


def test_who_waits_longest_stands_first(technician: Client) -> None:
    for plate in ("FIRST 1", "SECOND 2", "THIRD 3"):
        taken_in(technician, plate=plate)
    page = technician.get("/").text
    assert page.index("FIRST 1") < page.index("SECOND 2") < page.index("THIRD 3")


@pytest.mark.parametrize("search", ["slip 41", "FERRIS", "hanna 41", "yard pick", "over the road", "1m8gdm9axkp"])
def test_search_finds_by_plate_customer_vehicle_complaint_and_number(technician: Client, search: str) -> None:
    taken_in(
        technician, plate="SLIP 41", customer="Hanna Ferris", complaint="all over the road", vin="1M8GDM9AXKP042788"
    )
    taken_in(technician, plate="QUAY 9", customer="Ode Marlin")
    sent = {"q": search}
    page = technician.get("/", params=sent, headers={"hx-request": "true"}).text
    assert "QUAY 9" not in page or search == "yard pick"
    assert "SLIP 41" in page
    assert "<html" not in page


@pytest.mark.parametrize("search", ["%", "_", "'", '"><script>', "nothing like it"])
def test_signs_of_a_database_find_nothing_and_stay_text(technician: Client, search: str) -> None:
    taken_in(technician, plate="SLIP 41")
    page = technician.get("/", params={"q": search}).text
    assert "SLIP 41" not in page
    assert "Nothing that waits has all of these words" in page
    assert "<script>" not in page.split("<main")[1]


def test_language_and_units_change_at_once_and_stay_with_the_person(app: Litestar, technician: Client) -> None:
    visit_id = taken_in(technician, odometer="148200", complaint="wanders")
    status, page = send(technician, "/me", language="es", units="us", back=f"/visits/{visit_id}")
    assert status == 200
    assert '<html lang="es"' in page
    assert "92,087 mi" in words_of(page)
    assert "Primero: los puntos de apoyo" in words_of(page)
    technician.cookies.clear()
    assert '<html lang="es"' not in technician.get("/sign-in").text
    sign_in_as(app, technician, "technician")
    assert "Lo que espera" in technician.get("/").text
    sign_in_as(app, technician, "owner")
    assert "What waits" in technician.get("/").text


def test_the_browsers_language_counts_until_somebody_signs_in(stranger: Client) -> None:
    stranger.headers["accept-language"] = "fr, es-MX;q=0.8, en;q=0.5"
    assert "Iniciar sesión" in stranger.get("/sign-in").text


def test_choosing_leads_back_to_the_same_page_and_nowhere_outside(technician: Client) -> None:
    answers = [
        technician.post(
            "/me",
            data={"_csrf_token": technician.cookies["looseends-form"], "theme": "bay", "back": back},
            follow_redirects=False,
        )
        for back in ("/intake", "https://elsewhere.example", "//elsewhere.example")
    ]
    assert [answer.headers["location"] for answer in answers] == ["/intake", "/", "/"]
    assert 'data-theme="bay"' in technician.get("/").text
