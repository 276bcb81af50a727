"""A picture from outside made into one that is kept: checked before it is decoded, turned upright, small, no places."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass

from PIL import Image, ImageOps, UnidentifiedImageError

from looseends.errors import InputError
from looseends.language import Text, refusal

MOST_BYTES = 25_000_000
MOST_PIXELS = 60_000_000
"""More than any phone's ordinary photo; refused by what the header says, before anything is unpacked."""

LONGEST_EDGE_PX = 2048
CONTENT_TYPE = "image/jpeg"
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITY = 85


@dataclass(frozen=True)
class Picture:
    """A JPEG's bytes and its size; nothing that the camera wrote about place, time or itself."""

    content: bytes
    width_px: int
    height_px: int


def kept_picture(content: bytes, where: Text) -> Picture:
    """The picture as it is kept: JPEG, upright, at most 2048 px long, no metadata.

    Raises
    ------
    InputError
        If it is too large in bytes or pixels, of another format, or damaged.
    """
    return _encoded(upright_picture(content, where, LONGEST_EDGE_PX))


def upright_picture(content: bytes, where: Text, longest_px: int) -> Image.Image:
    """The picture in memory, upright, at most so long, on white where nothing is.

    Raises
    ------
    InputError
        As `kept_picture`.
    """
    if len(content) > MOST_BYTES:
        raise InputError(
            refusal(
                "{where}: must have at most {most} bytes, found {found}.",
                where=where,
                most=MOST_BYTES,
                found=len(content),
            )
        )
    try:
        with warnings.catch_warnings():
            # the library's own guard, which stands further out
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=_FORMATS) as image:
                _require_pixels(image.width, image.height, where)
                return _upright(image, longest_px)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise InputError(
            refusal("{where}: must have at most {most} pixels, found more.", where=where, most=MOST_PIXELS)
        ) from error
    except UnidentifiedImageError as error:
        raise InputError(
            refusal(
                "{where}: must be a picture in {accepted}, found something else.",
                where=where,
                accepted=", ".join(_FORMATS),
            )
        ) from error
    except (OSError, SyntaxError, ValueError) as error:  # what the decoders raise for broken data
        raise InputError(refusal("{where}: must be a whole picture, found a damaged one.", where=where)) from error


def _require_pixels(width: int, height: int, where: Text) -> None:
    if width * height > MOST_PIXELS:
        raise InputError(
            refusal(
                "{where}: must have at most {most} pixels, found {width} x {height}.",
                where=where,
                most=MOST_PIXELS,
                width=width,
                height=height,
            )
        )


def _upright(image: Image.Image, longest_px: int) -> Image.Image:
    # JPEG decodes straight to about this size, which saves most of the time.
    image.draft("RGB", (longest_px, longest_px))
    # made small before it is turned: the whole picture stands in memory once
    image.thumbnail((longest_px, longest_px))
    ImageOps.exif_transpose(image, in_place=True)
    plain = Image.new("RGB", image.size, "white")
    rgba = image.convert("RGBA")
    plain.paste(rgba, mask=rgba.getchannel("A"))
    return plain


def _encoded(plain: Image.Image) -> Picture:
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=_QUALITY, exif=b"")
    return Picture(out.getvalue(), plain.width, plain.height)
