"""The identification number off a photo of a sticker: which codes, how bad a photo, and what is refused."""

from __future__ import annotations

import io
from typing import Any

import pytest
from litestar import Litestar
from PIL import Image

from looseends.errors import InputError
from looseends.web.taken.bar_code import places
from looseends.web.taken.vin_photo import vin_in_photo
from tests.web.cast import Client, form_token, signed_in
from tests.web.stickers import KINDS, VIN, Taken, photographed, sticker

ELSEWHERE = "WDB9066331S123456"  # its check digit binds nobody


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_code_is_read_off_a_poor_photo(kind: str) -> None:
    found = vin_in_photo(sticker(VIN, kind))
    assert (found.vin, found.code, found.remark) == (VIN, kind, None)


HELD: dict[str, tuple[str, Taken]] = {
    "an ordinary photo": ("Code 39", Taken()),
    "bars of two dots": ("Code 39", Taken(module_px=2.0)),
    "from the side": ("Code 39", Taken(yaw_deg=50.0)),
    "from below": ("Code 39", Taken(pitch_deg=60.0)),
    "slanting": ("Code 39", Taken(turned_deg=30.0)),
    "out of focus": ("Code 39", Taken(blur_px=1.4)),
    "a hand that moved": ("Code 39", Taken(shake_px=3.0)),
    "faded, in the shade, under a lamp": ("Code 39", Taken(contrast=0.3, shade=0.7, glare=100.0)),
    "in the dark of a bay, packed small": ("Code 39", Taken(noise=20.0, quality=30)),
    "all of it a little": ("Code 128", Taken(yaw_deg=30.0, turned_deg=12.0, blur_px=1.0, contrast=0.5, noise=10.0)),
    "a small square code": ("Data Matrix", Taken(yaw_deg=30.0, noise=10.0)),
    "a small square code of the other kind": ("QR", Taken(pitch_deg=40.0, noise=15.0)),
}
"""Photos that are read, each within what was measured with several seeds: docs/application.md says how far it holds."""


@pytest.mark.parametrize("name", HELD)
def test_a_photo_as_a_shop_takes_it_is_read(name: str) -> None:
    kind, taken = HELD[name]
    found = vin_in_photo(photographed(VIN, kind, taken, seed=1))
    assert (found.vin, found.code) == (VIN, kind)


def test_a_photo_far_out_of_focus_gives_no_number_rather_than_another() -> None:
    with pytest.raises(InputError, match="No identification number is to be read"):
        vin_in_photo(photographed(VIN, "Code 39", Taken(blur_px=4.0), seed=1))


def test_bars_are_found_where_they_are_and_as_they_lean() -> None:
    with Image.open(
        io.BytesIO(photographed(VIN, "Code 39", Taken(turned_deg=25.0, yaw_deg=0.0, pitch_deg=0.0), 3))
    ) as photo:
        bars, _ = places(photo.convert("L"))
    assert bars.leaning_deg == pytest.approx(25.0, abs=2.0)
    assert (bars.x, bars.y) == pytest.approx((0.5, 0.5), abs=0.15)


def test_a_picture_of_a_few_dots_is_no_fault() -> None:
    for size in ((1, 1), (3, 900)):
        dots = io.BytesIO()
        Image.new("L", size, 90).save(dots, "PNG")
        with pytest.raises(InputError, match="No identification number is to be read"):
            vin_in_photo(dots.getvalue())


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
