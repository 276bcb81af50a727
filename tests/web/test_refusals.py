"""What the deeper rooms refuse is said in the language of who sent it, with names and values as they were sent."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.errors import InputError, MechanicsError
from looseends.inspection import read_visit
from looseends.language import AsWritten, Speech, Text
from looseends.mechanics.bodies import Body
from looseends.mechanics.model import Mechanism
from looseends.mechanics.settle import settle
from looseends.store.failures import StoreError, disk_sentence
from looseends.store.ids import time_ordered_id
from looseends.vehicle.believable import refuse_unbelievable
from looseends.vehicle.loading import load_vehicles
from looseends.web.answering.speaking import sentence_of
from tests.web.cast import Client, form_token, send, taken_in, words_of

FILE = """format = 1
vehicle = "stores-van"
date = 2026-11-26
technician = "Tom Orrin"
odometer_km = "120 miles"
"""
WHEN = "2026-11-26T09:00:00+00:00"


@pytest.fixture
def reader(technician: Client) -> Client:
    """Tom Orrin, who chose Spanish."""
    technician.get("/")
    assert send(technician, "/me", language="es")[0] == 200
    return technician


def put(client: Client, address: str, body: object) -> tuple[int, Any]:
    """Status and sentence."""
    answer = client.put(address, json=body, headers={"x-csrftoken": form_token(client)})
    return answer.status_code, answer.json()["detail"]


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        ({"kind": "conditon", "payload": {}}, 'kind "conditon" no se conoce; ¿quiso decir "condition" (se acepta: '),
        ({"kind": "use", "payload": {"age_years": "left"}}, 'age_years: debe ser un número; se encontró "left".'),
        ({"kind": "withdrawn", "payload": {"because": "slip"}}, "supersedes debe nombrar la observación que se retira"),
    ],
)
def test_an_observation_is_refused_in_the_senders_language(reader: Client, body: dict[str, Any], sentence: str) -> None:
    visit = taken_in(reader)
    status, said = put(reader, f"/api/visits/{visit}/observations/{time_ordered_id()}", body | {"device_time": WHEN})
    assert (status, sentence in said) == (400, True), said


def test_a_visit_a_motion_and_a_photo_are_refused_in_the_senders_language(reader: Client) -> None:
    visit = f"/api/visits/{time_ordered_id()}"
    status, said = put(reader, visit, {"vehicle": "left", "date": "2026-11-26", "place": ""})
    assert (status, said.endswith('el vehículo debe ser uno conocido; se encontró "left".')) == (400, True), said
    answer = reader.get("/api/motion", params={"vehicle": "yard-pickup", "check": "idler", "worn": "idler-arm"})
    assert answer.json()["detail"].startswith("motion: la pieza gastada se escribe PIEZA=MM")
    assert "debe ser una imagen en JPEG" in _photo_refused(reader, b"GIF89a")


TOO_LARGE = "Esto es demasiado grande para recibirlo."
FORM = "application/x-www-form-urlencoded"
MUCH = b"a=" + b"x" * 3_000_000


@pytest.mark.parametrize("with_token", [True, False])
def test_a_form_that_is_too_large_is_answered_on_a_page_in_the_accounts_own_language(
    reader: Client, with_token: bool
) -> None:
    reader.cookies.delete("looseends-language")  # another device: nothing but the account says it
    token = {"x-csrftoken": form_token(reader)} if with_token else {}
    for address in ("/intake", "/me"):
        answer = reader.post(address, content=MUCH, headers={"content-type": FORM, **token})
        assert (answer.status_code, '<html lang="es"' in answer.text) == (413, True)
        assert TOO_LARGE in words_of(answer.text) and "Tom Orrin" in words_of(answer.text)


def test_a_stranger_is_told_so_in_the_devices_language_or_the_browsers(stranger: Client) -> None:
    headers = {"content-type": FORM, "accept-language": "es-MX, en;q=0.5"}
    assert TOO_LARGE in words_of(stranger.post("/sign-in", content=MUCH, headers=headers).text)
    stranger.cookies.set("looseends-language", "es")
    assert TOO_LARGE in words_of(stranger.post("/sign-in", content=MUCH, headers={"content-type": FORM}).text)


def test_a_record_that_is_too_large_and_an_address_that_takes_none_are_refused_in_the_senders_language(
    reader: Client,
) -> None:
    reader.cookies.delete("looseends-language")
    headers = {"x-csrftoken": form_token(reader), "content-type": "application/json"}
    visit = f"/api/visits/{time_ordered_id()}"
    said = {
        (method, address): reader.request(method, address, content=MUCH, headers=headers).json()
        for method, address in (("PUT", visit), ("POST", visit), ("POST", "/api/nowhere"), ("GET", "/api/nowhere"))
    }
    assert [one["status"] for one in said.values()] == [413, 405, 404, 404]
    assert [one["detail"] for one in said.values()] == [
        TOO_LARGE,
        "Esta dirección no acepta esa solicitud.",
        *["No hay nada en esta dirección."] * 2,
    ]


def test_a_page_that_takes_no_form_says_so_in_the_accounts_language_token_or_not(reader: Client) -> None:
    reader.cookies.delete("looseends-language")
    for headers in ({"x-csrftoken": form_token(reader)}, {}):
        answer = reader.post("/", content=b"a=1", headers={"content-type": FORM, **headers})
        assert (answer.status_code, '<html lang="es"' in answer.text) == (405, True)


def _photo_refused(client: Client, content: bytes) -> str:
    visit = taken_in(client)
    answer = client.put(
        f"/api/visits/{visit}/photos/{time_ordered_id()}",
        content=content,
        headers={"x-csrftoken": form_token(client), "x-device-time": WHEN, "content-type": "image/jpeg"},
    )
    assert answer.status_code == 400
    detail: str = answer.json()["detail"]
    return detail


def test_a_full_disk_is_told_in_the_readers_language_and_in_english_in_the_log() -> None:
    error = StoreError(disk_sentence("/srv/records.sqlite"))
    assert sentence_of(error, Speech("es")).startswith("El disco que guarda /srv/records.sqlite está lleno")
    assert str(error).startswith("The disk that holds /srv/records.sqlite is full")


def test_what_cannot_stand_in_a_support_is_told_whole_in_the_readers_language() -> None:
    words = 'nothing holds "{body}" against its load: there the mechanism falls apart or moves freely'
    held = MechanicsError(Text(words.format(body="hub-left"), words, {"body": AsWritten("hub-left")}))
    with pytest.raises(MechanicsError) as caught, patch("looseends.mechanics.settle._firm_step", side_effect=held):
        settle(Mechanism((Body("hub-left", 1.0, np.zeros(3)),), ()))
    assert str(caught.value).startswith('the vehicle does not settle in this support: nothing holds "hub-left"')
    assert sentence_of(caught.value, Speech("es")) == (
        'el vehículo no se asienta en este apoyo: nada sostiene "hub-left" contra su carga: '
        "ahí el mecanismo se deshace o se mueve libremente"
    )


def test_a_visit_file_is_refused_in_either_language_with_its_keys_as_they_are_written(tmp_path: Path) -> None:
    file = tmp_path / "visit.toml"
    file.write_text(FILE, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_visit(file, catalogue=load_catalogue(), part_ids={"stores-van": ()}, vehicle_ids=("stores-van",))
    spanish = 'debe ser un número sin más en km; se encontró "120 miles"; escriba odometer_km = 193.12.'
    assert sentence_of(caught.value, Speech("es")) == f"{file}: odometer_km {spanish}"
    assert str(caught.value).endswith('must be a plain number in km, found "120 miles"; write odometer_km = 193.12.')


def test_a_vehicle_with_a_weight_in_pounds_is_refused_in_the_readers_language_with_what_to_write() -> None:
    pickup = load_vehicles()["yard-pickup"]
    heavy = replace(pickup, numbers={**pickup.numbers, "front_corner_kg": 9999.0})
    with pytest.raises(InputError) as caught:
        refuse_unbelievable(heavy, "own.toml")
    assert sentence_of(caught.value, Speech("es")) == (
        "own.toml, numbers: front_corner_kg debe ser de 60 a 8000; se encontró 9999; "
        "si eso está en libras, escriba 4535.5"
    )
