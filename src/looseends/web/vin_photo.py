"""The identification number in a photo of a sticker: off its bar code, whichever of four kinds it is."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

import zxingcpp
from PIL import Image

from looseends.errors import InputError
from looseends.language import Text, refusal, say
from looseends.store.picture import kept_picture
from looseends.vehicle.vin import check_digit
from looseends.web.intake_form import vin_remark

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

    Raises
    ------
    InputError
        If there is none, or the photo is too large, of an unknown format or damaged.
    """
    picture = kept_picture(content, refusal("photo"))  # the bounds of every photo; nothing of it is kept
    with Image.open(io.BytesIO(picture.content)) as image:
        codes = zxingcpp.read_barcodes(image.convert("L"), formats=zxingcpp.BarcodeFormats(tuple(_KINDS)))
    found = [(vin, _KINDS[code.symbology]) for code in codes for vin in _NUMBER.findall(code.text.upper())]
    found.sort(key=lambda pair: pair[0][8] != check_digit(pair[0]))
    if not found:
        raise InputError(_NONE)
    vin, kind = found[0]
    return VinFound(vin, kind, vin_remark(vin))
