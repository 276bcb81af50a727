"""The identification number in a photo of a sticker: off its bar code, whichever of four kinds it is."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import zxingcpp

from looseends.errors import InputError
from looseends.language import Text, refusal, say
from looseends.store.picture import upright_picture
from looseends.vehicle.vin import check_digit
from looseends.web.taken.bar_code import LONGEST_PX, attempts
from looseends.web.taken.intake_form import vin_remark

_KINDS = {
    zxingcpp.BarcodeFormat.Code39: "Code 39",
    zxingcpp.BarcodeFormat.Code128: "Code 128",
    zxingcpp.BarcodeFormat.DataMatrix: "Data Matrix",
    zxingcpp.BarcodeFormat.QRCode: "QR",
}
# Makers put a letter before the number (I on imported vehicles) or text around it. Common practice, no source.
_NUMBER = re.compile(r"(?<![A-Z0-9])[A-Z]?([A-HJ-NPR-Z0-9]{17})(?![A-Z0-9])")
_NONE = say(
    "No identification number is to be read in this photo: hold the camera level and close, so that the bar code fills "
    "the picture and nothing glares, or type the number."
)


@dataclass(frozen=True)
class VinFound:
    """A number, the kind of code that it was in, and what to look at again in it."""

    vin: str
    code: str
    remark: Text | None


def vin_in_photo(content: bytes) -> VinFound:
    """The identification number in a photo; of several the one whose check digit fits.

    Where none fits at the first look, further ones follow: Code 39 has no check of its own, and blur may make it read
    as another number.

    Raises
    ------
    InputError
        If there is none, or the photo is too large, of an unknown format or damaged.
    """
    photo = upright_picture(content, refusal("photo"), LONGEST_PX).convert("L")  # the bounds of every photo
    found: Counter[tuple[str, str]] = Counter()
    for attempt in attempts(photo):
        for read in _numbers(attempt.read()):
            found[read] += 1
            if _sure(*read, found[read]):
                return _told(*read)
    if not found:
        raise InputError(_NONE)
    return _told(*found.most_common(1)[0][0])


def _numbers(codes: Iterable[zxingcpp.Barcode]) -> list[tuple[str, str]]:
    """The numbers in codes with the kind of each code, those first whose check digit fits."""
    read = [(vin, _KINDS[code.symbology]) for code in codes for vin in _NUMBER.findall(code.text.upper())]
    return sorted(read, key=lambda pair: pair[0][8] != check_digit(pair[0]))


def _sure(vin: str, kind: str, times: int) -> bool:
    """Whether a number needs no further look: its check digit fits, its code has a check, or it came twice."""
    return vin[8] == check_digit(vin) or kind != "Code 39" or times > 1


def _told(vin: str, kind: str) -> VinFound:
    return VinFound(vin, kind, vin_remark(vin))
