"""Clips as cameras and mischief make them, drawn frame by frame."""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence
from fractions import Fraction

import av
from PIL import Image, ImageDraw

PLACE = "+50.2033-005.0921/"
PLACE_IN_FRAMES = b"\xb1\x0e+50.2033-005.0921/"
"""The same as a camera's encoder may write it into a unit of its own between the frames."""

RATE = 10


def drawn(at: int, width: int, height: int) -> Image.Image:
    """A red corner above left, and a bar that moves."""
    picture = Image.new("RGB", (width, height), (40, 40, 40))
    pen = ImageDraw.Draw(picture)
    pen.rectangle((0, 0, width // 3, height // 3), fill=(220, 30, 30))
    pen.rectangle((at % width, height // 2, at % width + 8, height), fill=(230, 230, 230))
    return picture


def film(
    container: str = "webm",
    codec: str = "libvpx",
    *,
    frames: int = 10,
    width: int = 160,
    height: int = 120,
    sound: bool = False,
    place: bool = False,
    films: int = 1,
    times_ms: Sequence[int] | None = None,
    live: bool = False,
) -> bytes:
    """A clip of drawn frames, ten a second or at their own times; with a beep, with the place where it was taken.

    `live` is written as it happens: a WebM that tells no length, an MP4 in fragments.
    """
    out = io.BytesIO()
    with av.open(out, "w", format=container, options=_written(container, live)) as made:
        if place:
            made.metadata.update({"location": PLACE, "comment": f"SPYGLASS {PLACE}"})
        streams = [made.add_stream(codec, rate=RATE, options=_QUICK.get(codec, {})) for _ in range(films)]
        for stream in streams:
            stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
            stream.codec_context.thread_count = 1
            stream.codec_context.time_base = Fraction(1, 1000)
        beep = made.add_stream("aac" if container != "webm" else "libopus", rate=48_000) if sound else None
        for at in range(frames):
            for stream in streams:
                frame = av.VideoFrame.from_image(drawn(at, width, height))
                frame.pts, frame.time_base = times_ms[at] if times_ms else at * 1000 // RATE, Fraction(1, 1000)
                made.mux(stream.encode(frame))
        for stream in streams:
            made.mux(stream.encode(None))
        if beep:
            made.mux([*beep.encode(_quiet(beep)), *beep.encode(None)])
    return out.getvalue()


def _written(container: str, live: bool) -> dict[str, str]:
    if container == "webm":
        return {"live": "1"} if live else {}
    return {"movflags": "use_metadata_tags" + ("+frag_keyframe+empty_moov" if live else "")}


_QUICK = {
    "libx264": {"preset": "ultrafast"},
    "libx265": {"preset": "ultrafast", "x265-params": "log-level=none:pools=1"},
    "libvpx": {"deadline": "realtime", "cpu-used": "8"},
    "libvpx-vp9": {"deadline": "realtime", "cpu-used": "8"},
}


def _quiet(beep: av.AudioStream) -> av.AudioFrame:
    frame = av.AudioFrame(format=beep.codec_context.format.name, layout="stereo", samples=960)
    frame.sample_rate, frame.pts = 48_000, 0
    for plane in frame.planes:
        plane.update(bytes(plane.buffer_size))
    return frame


RIGHT, LEFT, OVER = (0, 1, -1, 0), (0, -1, 1, 0), (-1, 0, 0, -1)


def turned(mp4: bytes, turn: tuple[int, int, int, int] = RIGHT) -> bytes:
    """The clip as a tablet held upright writes it: lying on its side, with the turn in the track's matrix."""
    a, b, c, d = (part << 16 for part in turn)
    at = mp4.find(b"tkhd") + 44
    return mp4[:at] + struct.pack(">9i", a, b, 0, c, d, 0, 0, 0, 1 << 30) + mp4[at + 36 :]


def with_place_between_frames(mp4: bytes) -> bytes:
    """An H.264 clip whose encoder's own words, in a unit between the frames, are a place instead."""
    at = mp4.find(b"x264 - core")
    return mp4[:at] + PLACE.encode() + mp4[at + len(PLACE) :]


def called_small(webm: bytes) -> bytes:
    """A WebM of 2560 x 1440 whose header says 160 x 90."""
    for name, size, told in ((b"\xb0\x82", 2560, 160), (b"\xba\x82", 1440, 90)):
        webm = webm.replace(name + struct.pack(">H", size), name + struct.pack(">H", told), 1)
    return webm


def of_absurd_size(vp8: bytes) -> bytes:
    """A VP8 clip whose first frame says that it is 16383 x 16383."""
    at = vp8.find(b"\x9d\x01\x2a") + 3
    return vp8[:at] + struct.pack("<HH", 16_383, 16_383) + vp8[at + 4 :]
