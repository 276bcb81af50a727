"""Photos of stickers with an identification number on them, drawn as badly as a shop takes them."""

from __future__ import annotations

import io

import numpy as np
import zxingcpp
from PIL import Image, ImageFilter

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
