"""Attempts at a bar code in a photo: as it stands, evenly lit and larger, and along its bars, cleaned and sharpened."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image, ImageFilter

Values: TypeAlias = NDArray[np.float32]

BARS = (zxingcpp.BarcodeFormat.Code39, zxingcpp.BarcodeFormat.Code128)
SQUARES = (zxingcpp.BarcodeFormat.DataMatrix, zxingcpp.BarcodeFormat.QRCode)

LONGEST_PX = 2560
"""A photo is read at this size: what a phone sees of a bar as three dots stays two wide."""

_SMALL_PX = 1280
_WINDOW_PX = 61
"""Where bars are looked for: how large the photo is then, and the window in which they run one way.

Made smaller still, bars of three dots come out as moiré, and lean as it does.
"""

_BAND = 0.09
"""Half the height of the strip about a bar code, of the photo's longest edge."""

_NEAR = 0.14
"""Half the width of the piece about a square code, of the photo's longest edge."""

_CLEANED = ((2, 0.0, 0), (4, 2.5, 250), (8, 5.0, 400))
"""Half the rows that are averaged along the bars, then the radius and percent by which they are sharpened."""


_SOFTENED = (0.8, 1.2)
"""Radius by which grain is taken out of a square code before it is made larger."""


@dataclass(frozen=True)
class Place:
    """A place of a photo, of its width and height, and the angle [deg] by which bars there lean to the left."""

    x: float
    y: float
    leaning_deg: float


@dataclass(frozen=True)
class Attempt:
    """A picture to be read for codes of these kinds, and how black is parted from white in it.

    `upright`: the bars stand, and are as wide as they can be made.
    """

    picture: Image.Image
    kinds: Sequence[zxingcpp.BarcodeFormat]
    binarizer: zxingcpp.Binarizer = zxingcpp.Binarizer.LocalAverage
    upright: bool = False

    def read(self) -> list[zxingcpp.Barcode]:
        """The codes in it."""
        free = not self.upright
        return zxingcpp.read_barcodes(
            self.picture,
            formats=zxingcpp.BarcodeFormats(tuple(self.kinds)),
            binarizer=self.binarizer,
            try_rotate=free,
            try_downscale=free,
            try_invert=free,
        )


def attempts(photo: Image.Image) -> Iterator[Attempt]:
    """Attempts at the codes in a gray photo, the quickest and likeliest first."""
    yield Attempt(photo, (*BARS, *SQUARES))
    yield Attempt(evened(photo), (*BARS, *SQUARES))
    if min(photo.size) < _WINDOW_PX:
        return
    bars, squares = places(photo)
    for rows, radius, percent in _CLEANED:
        strip = along_bars(photo, bars, rows)
        clean = _sharpened(_larger(evened(strip), 2), radius, percent)
        for binarizer in (zxingcpp.Binarizer.LocalAverage, zxingcpp.Binarizer.GlobalHistogram):
            yield Attempt(clean, BARS, binarizer, upright=True)
    piece = about(photo, squares)
    for radius in _SOFTENED:
        yield Attempt(_larger(piece.filter(ImageFilter.GaussianBlur(radius)), 3), SQUARES)


def evened(photo: Image.Image) -> Image.Image:
    """The same with shade and glare taken out: what differs from its surroundings, by how much they differ."""
    around = photo.filter(ImageFilter.BoxBlur(24))
    values, mean = (np.asarray(image, np.float32) for image in (photo, around))
    off = values - mean
    spread = Image.fromarray(np.minimum(np.abs(off), 255.0).astype(np.uint8)).filter(ImageFilter.BoxBlur(24))
    found = 128.0 + 70.0 * off / np.maximum(np.asarray(spread, np.float32), 3.0)
    return Image.fromarray(np.clip(found, 0.0, 255.0).astype(np.uint8))


def places(photo: Image.Image) -> tuple[Place, Place]:
    """Where edges are many and run one way, as bars do, and where they are many and run two ways.

    Source
    ------
    Structure tensor: its eigenvalues' difference against their sum tells how much edges run one way.
    """
    small = photo.copy()
    small.thumbnail((_SMALL_PX, _SMALL_PX))
    values = np.asarray(small.filter(ImageFilter.GaussianBlur(1.6)), np.float32)
    down, across = (np.asarray(slope, np.float32) for slope in np.gradient(values))
    xx, yy, xy = (_mean_around(product) for product in (across * across, down * down, across * down))
    energy, one_way = xx + yy, np.hypot(xx - yy, 2.0 * xy)
    angle = np.degrees(0.5 * np.arctan2(2.0 * xy, xx - yy))
    return _greatest(one_way, angle), _greatest(energy - one_way, angle)


def along_bars(photo: Image.Image, place: Place, rows: int) -> Image.Image:
    """The strip about a bar code with its bars upright, each dot the mean of those `rows` above and below it."""
    turned = photo.rotate(place.leaning_deg, Image.Resampling.BICUBIC, expand=True, fillcolor=128)
    turn = math.radians(place.leaning_deg)
    right, down = (place.x - 0.5) * photo.width, (place.y - 0.5) * photo.height
    middle = turned.height / 2.0 - right * math.sin(turn) + down * math.cos(turn)
    half = _BAND * max(photo.size)
    strip = turned.crop((0, round(max(middle - half, 0.0)), turned.width, round(min(middle + half, turned.height))))
    return strip.filter(ImageFilter.BoxBlur((0, rows)))


def about(photo: Image.Image, place: Place) -> Image.Image:
    """The piece of a photo about a square code."""
    half = _NEAR * max(photo.size)
    x, y = place.x * photo.width, place.y * photo.height
    return photo.crop(
        (
            round(max(x - half, 0.0)),
            round(max(y - half, 0.0)),
            round(min(x + half, photo.width)),
            round(min(y + half, photo.height)),
        )
    )


def _greatest(score: Values, angle: Values) -> Place:
    row, column = np.unravel_index(int(np.argmax(score)), score.shape)
    high, wide = score.shape
    return Place(float((column + 0.5) / wide), float((row + 0.5) / high), float(angle[row, column]))


def _mean_around(values: Values) -> Values:
    """The mean over a square window, smaller at the edges' side."""
    half = _WINDOW_PX // 2
    padded: Any = np.pad(values.astype(np.float64), half + 1, mode="edge").cumsum(0).cumsum(1)
    size = 2 * half + 1
    total = padded[size:, size:] - padded[:-size, size:] - padded[size:, :-size] + padded[:-size, :-size]
    found: Values = (total[: values.shape[0], : values.shape[1]] / size**2).astype(np.float32)
    return found


def _larger(image: Image.Image, times: int) -> Image.Image:
    return image.resize((image.width * times, image.height * times), Image.Resampling.BICUBIC)


def _sharpened(image: Image.Image, radius: float, percent: int) -> Image.Image:
    return image.filter(ImageFilter.UnsharpMask(radius, percent, 0)) if percent else image
