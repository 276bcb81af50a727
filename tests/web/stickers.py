"""Photos of stickers with an identification number on them, drawn as badly as a shop takes them."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter, ImageFont, ImageOps

VIN = "1M8GDM9AXKP042788"  # the worked example of 49 CFR 565.15
KINDS = {
    "Code 39": zxingcpp.BarcodeFormat.Code39,
    "Code 128": zxingcpp.BarcodeFormat.Code128,
    "Data Matrix": zxingcpp.BarcodeFormat.DataMatrix,
    "QR": zxingcpp.BarcodeFormat.QRCode,
}


def sticker(text: str, kind: str, *, width_px: int = 700, turned_deg: float = 4.0) -> bytes:
    """A photo of a sticker: its code so wide in a picture of 1600 x 1200, turned, out of focus, dim and grainy."""
    code = Image.fromarray(np.array(zxingcpp.write_barcode_to_image(zxingcpp.create_barcode(text, KINDS[kind]))))
    high = max(round(code.height * width_px / code.width), width_px // 5)
    code = code.resize((width_px, high), Image.Resampling.NEAREST)
    photo = Image.new("L", (1600, 1200), 150)
    photo.paste(code, (420, 300))
    photo = photo.rotate(turned_deg, fillcolor=120).filter(ImageFilter.GaussianBlur(1.0))
    grain = np.random.default_rng(7).normal(0.0, 6.0, (1200, 1600))
    dim = np.clip(np.asarray(photo) * np.linspace(0.9, 0.6, 1600) + grain, 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(dim).save(out, "JPEG", quality=80)
    return out.getvalue()


@dataclass(frozen=True)
class Taken:
    """How a photo was taken; the defaults are an ordinary one: a phone half a meter off, held a little askew.

    `module_px` is how wide the narrowest bar is in the photo, before the tilt narrows it; `yaw_deg` and `pitch_deg`
    tilt the sticker away, about its upright and its level axis; `blur_px` and `shake_px` are the radius of the focus
    and the length of the hand's movement; `contrast` is what is left between black and white; `shade` how much darker
    one end is; `glare` how bright a lamp's reflection stands over one end of the code; `noise` the grain, of 255.
    """

    module_px: float = 3.0
    yaw_deg: float = 10.0
    pitch_deg: float = 10.0
    turned_deg: float = 3.0
    blur_px: float = 0.8
    shake_px: float = 0.0
    contrast: float = 0.7
    shade: float = 0.4
    glare: float = 0.0
    noise: float = 6.0
    quality: int = 75


def photographed(text: str, kind: str, taken: Taken, seed: int) -> bytes:
    """A photo of a door sticker with print around its code: in perspective, blurred, unevenly lit, grainy, as JPEG."""
    chance = np.random.default_rng(seed)
    label, modules = _label(text, kind)
    size = (1600, 1200)
    wide = taken.module_px * modules * label.width / (modules * _MODULE)
    corners = _corners(wide, wide * label.height / label.width, taken, chance, size)
    photo = _warped(label, corners, size, 96 + int(chance.integers(0, 40)))
    photo = photo.filter(ImageFilter.GaussianBlur(taken.blur_px))
    values = _shaken(np.asarray(photo, float), taken.shake_px)
    values = _lit(values, taken, chance, corners)
    values = np.clip(values + chance.normal(0.0, taken.noise, values.shape), 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(values).save(out, "JPEG", quality=taken.quality)
    return out.getvalue()


_MODULE = 8
"""How wide a module is on the drawn label [px]."""


def _label(text: str, kind: str) -> tuple[Image.Image, int]:
    """A white sticker with lines of print above and below its code, and the modules across it."""
    drawn = Image.fromarray(np.array(zxingcpp.write_barcode_to_image(zxingcpp.create_barcode(text, KINDS[kind]))))
    bars = drawn.crop(ImageOps.invert(drawn).getbbox())
    modules = bars.width
    high = bars.height * _MODULE if kind in ("QR", "Data Matrix") else round(bars.width * _MODULE * 0.14)
    code = bars.resize((bars.width * _MODULE, high), Image.Resampling.NEAREST)
    quiet = 10 * _MODULE
    label = Image.new("L", (code.width + 2 * quiet, code.height + 420), 235)
    pen = ImageDraw.Draw(label)
    for y, words in ((30, "MFD BY SALTMARSH SLIP  10/19"), (label.height - 150, f"VIN: {VIN}")):
        pen.text((quiet, y), words, fill=20, font=ImageFont.load_default(64))
    label.paste(code, (quiet, 190))
    pen.rectangle((6, 6, label.width - 7, label.height - 7), outline=20, width=5)
    return label, modules


def _corners(
    wide: float, high: float, taken: Taken, chance: np.random.Generator, size: tuple[int, int]
) -> list[tuple[float, float]]:
    """Where the sticker's corners lie in the photo, seen from three and a half of its widths off."""
    yaw, pitch, turned = (np.radians(angle) for angle in (taken.yaw_deg, taken.pitch_deg, taken.turned_deg))
    about = np.array([[np.cos(turned), -np.sin(turned)], [np.sin(turned), np.cos(turned)]])
    middle = np.array(size) / 2 + chance.uniform(-60, 60, 2)
    found = []
    for x, y in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)):
        flat = about @ np.array([x * wide, y * high])
        point = np.array([flat[0] * np.cos(yaw), flat[1] * np.cos(pitch)])
        away = 1.0 + (flat[0] * np.sin(yaw) + flat[1] * np.sin(pitch)) / (3.5 * max(wide, 400.0))
        found.append(tuple(middle + point / away))
    return found


def _warped(label: Image.Image, corners: list[tuple[float, float]], size: tuple[int, int], wall: int) -> Image.Image:
    """The label drawn to its corners over a wall, smooth at its edges: drawn twice as large, then made small."""
    twice = [(2 * x, 2 * y) for x, y in corners]
    drawn = ((0, 0), (label.width, 0), (label.width, label.height), (0, label.height))
    rows, right = [], []
    for (x, y), (u, v) in zip(twice, drawn, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    plane = np.linalg.solve(np.array(rows, float), np.array(right, float))
    shrunk = max(label.width / max(twice[1][0] - twice[0][0], 1.0) / 2.0, 0.01)
    soft = label.filter(ImageFilter.GaussianBlur(float(0.5 * shrunk))) if shrunk > 1.0 else label
    large = soft.transform(
        (2 * size[0], 2 * size[1]), Image.Transform.PERSPECTIVE, tuple(plane), Image.Resampling.BILINEAR, fillcolor=wall
    )
    return large.resize(size, Image.Resampling.BOX)


def _shaken(values: Any, length_px: float) -> Any:
    """Smeared along a slant by a hand that moved while the shutter was open."""
    steps = max(round(length_px), 1)
    return sum(np.roll(values, (round(0.4 * k), k), (0, 1)) for k in range(steps)) / steps


def _lit(values: Any, taken: Taken, chance: np.random.Generator, corners: list[tuple[float, float]]) -> Any:
    """Less contrast, darker toward one end, and a lamp's reflection over the end of the code."""
    high, wide = values.shape
    across = np.linspace(0.0, 1.0, wide)[None, :]
    down = np.linspace(0.0, 1.0, high)[:, None]
    lit = 130.0 + (values - 130.0) * taken.contrast
    lit = lit * (1.0 - taken.shade * (0.7 * across + 0.3 * down))
    x, y = np.array(corners[1]) * 0.8 + np.array(corners[3]) * 0.2 + chance.uniform(-20, 20, 2)
    spread = 0.12 * (corners[1][0] - corners[0][0])
    spot = np.exp(-(((across * wide - x) / spread) ** 2 + ((down * high - y) / spread) ** 2) / 2.0)
    return lit + taken.glare * spot
