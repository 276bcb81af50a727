"""The identification number off a photo of a sticker: which codes, how bad a photo, and what is refused."""

from __future__ import annotations

import io
from typing import Any

import pytest
from litestar import Litestar
from PIL import Image

from looseends.errors import InputError
from looseends.web.vin_photo import vin_in_photo
from tests.web.cast import Client, form_token, signed_in
from tests.web.stickers import KINDS, VIN, sticker

ELSEWHERE = "WDB9066331S123456"  # its check digit binds nobody


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_code_is_read_off_a_poor_photo(kind: str) -> None:
    found = vin_in_photo(sticker(VIN, kind))
    assert (found.vin, found.code, found.remark) == (VIN, kind, None)


@pytest.mark.parametrize("turned_deg", [90.0, 180.0, 267.0])
def test_a_sticker_may_stand_on_its_side_or_head(turned_deg: float) -> None:
    assert vin_in_photo(sticker(VIN, "Code 39", turned_deg=turned_deg)).vin == VIN


@pytest.mark.parametrize("around", [f"I{VIN}", f"VIN={VIN}&m=2019", f"PART 4711 {VIN} 04/19"])
def test_what_stands_around_the_number_is_left_off(around: str) -> None:
    assert vin_in_photo(sticker(around, "QR")).vin == VIN


def test_a_check_digit_that_does_not_fit_is_told_and_the_number_given_all_the_same() -> None:
    found = vin_in_photo(sticker(ELSEWHERE, "Code 128"))
    assert found.vin == ELSEWHERE
    assert found.remark is not None and "made for another continent" in found.remark


@pytest.mark.parametrize("text", ["SLIP 41", VIN[:-1], VIN + "9", VIN.replace("8", "O")])
def test_a_code_of_something_else_is_no_number(text: str) -> None:
    with pytest.raises(InputError, match="No identification number is to be read"):
        vin_in_photo(sticker(text, "QR"))


def answer(client: Client, content: bytes) -> tuple[int, dict[str, Any]]:
    """Status and JSON of a photo that the page's script sends."""
    headers = {"x-csrftoken": form_token(client), "accept": "application/json", "content-type": "image/jpeg"}
    sent = client.post("/api/vin-photo", content=content, headers=headers)
    return sent.status_code, sent.json()


def test_a_photo_is_answered_with_the_number_and_one_that_shows_none_with_a_sentence(technician: Client) -> None:
    assert answer(technician, sticker(VIN, "Code 39")) == (200, {"vin": VIN, "code": "Code 39", "remark": ""})
    gray = io.BytesIO()
    Image.new("L", (300, 200), 90).save(gray, "PNG")
    status, said = answer(technician, gray.getvalue())
    assert status == 400 and "or type the number" in said["detail"]


def test_a_huge_picture_is_refused_by_its_header_alone(technician: Client) -> None:
    bomb = io.BytesIO()
    Image.new("1", (20_000, 10_000)).save(bomb, "PNG")
    assert len(bomb.getvalue()) < 50_000
    status, said = answer(technician, bomb.getvalue())
    assert status == 400 and "pixels" in said["detail"]
    assert answer(technician, b"no picture at all")[0] == 400


def test_a_learner_reads_no_number_off(app: Litestar) -> None:
    with signed_in(app, "learner") as learner:
        assert answer(learner, sticker(VIN, "QR"))[0] == 403
