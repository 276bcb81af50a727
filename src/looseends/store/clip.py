"""A short clip from outside made into one that is kept: film alone, no sound, no places; opened in its own process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from looseends.errors import InputError
from looseends.language import Text, refusal
from looseends.store.picture import Picture, kept_picture

MOST_CLIP_S = 15
"""A check is pushed and pulled a few times in this; what lasts longer shows the wall."""

MOST_CLIP_BYTES = 12_000_000
"""15 s at 6 Mbit/s, a camera's 720 lines; two dozen in a visit are still taken in from a tablet's file."""

MOST_CLIP_PIXELS = 1920 * 1088
"""The largest film that tablets show without a stutter, in whole blocks of 16."""

CLIP_TYPES: Mapping[str, str] = {"mp4": "video/mp4", "webm": "video/webm"}
"""Content types by the endings of the files that are kept."""

_MOST = {
    "milliseconds": 1000 * MOST_CLIP_S + 1000,  # cameras stop late, and so does who records off them
    "pixels": MOST_CLIP_PIXELS,
    "frames": 4_000,  # slow motion of 240 frames a second
    "pixels_coded_anew": 30 * (MOST_CLIP_S + 1) * MOST_CLIP_PIXELS,  # the largest film at 30 frames a second
    "streams": 8,  # a telephone writes film, sound and a handful of its sensors
    "memory": 600_000_000,  # of address space: three times what the largest clip takes
    "cpu_seconds": 20,  # three times what the largest clip takes that is coded anew
}
_PATIENCE_S = 30.0
"""By the clock; a clip takes a fraction of a second, one that is coded anew a few."""

_PROCESS = Path(__file__).with_name("clip_process.py")
_ENVIRONMENT = ("PATH", "SYSTEMROOT", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")
"""What a library needs to be found; passwords in the environment are not handed on."""


@dataclass(frozen=True)
class Clip:
    """The film of a clip, how long it lasts, and its first frame."""

    content: bytes
    ending: str
    milliseconds: int
    still: Picture


def kept_clip(content: bytes, where: Text) -> Clip:
    """The clip as it is kept: MP4 or WebM with its film alone, as it was encoded; and the still that stands for it.

    H.265, which few browsers play, is encoded anew as H.264, upright and at most 1280 pixels long.

    Sound goes, so that nobody's voice is kept, and everything that a camera wrote about place, time or itself.

    Raises
    ------
    InputError
        If it is too large, too long, of another format, damaged, or not opened within bounded time and memory.
    """
    if len(content) > MOST_CLIP_BYTES:
        raise InputError(
            refusal(
                "{where}: must have at most {most} bytes, found {found}.",
                where=where,
                most=MOST_CLIP_BYTES,
                found=len(content),
            )
        )
    told, rest = _answered(content, where)
    if "refused" in told:
        raise InputError(_sentence(told["refused"], told["found"], where))
    still = rest[: told["still_bytes"]]
    return Clip(rest[len(still) :], told["container"], told["milliseconds"], kept_picture(still, where))


def _answered(content: bytes, where: Text) -> tuple[dict[str, Any], bytes]:
    """What the process says of a clip, and the bytes that it made."""
    command = [sys.executable, "-I", str(_PROCESS), json.dumps(_MOST)]
    environment = {name: os.environ[name] for name in _ENVIRONMENT if name in os.environ}
    try:
        done = subprocess.run(command, input=content, capture_output=True, env=environment, timeout=_PATIENCE_S)
    except subprocess.TimeoutExpired as error:
        raise InputError(_sentence("damaged", "", where)) from error
    line, _, rest = done.stdout.partition(b"\n")
    if done.returncode != 0:  # the library fell, or ran out of what it may take
        return {"refused": "damaged", "found": ""}, b""
    told: dict[str, Any] = json.loads(line)
    return told, rest


def _sentence(why: str, found: object, where: Text) -> Text:
    """What is said of a word of the process."""
    return {
        "format": refusal("{where}: must be a clip in MP4, MOV or WebM, found something else.", where=where),
        "damaged": refusal("{where}: must be a whole clip, found a damaged one.", where=where),
        "length": refusal(
            "{where}: must last at most {most} s, found {found} s.", where=where, most=MOST_CLIP_S, found=found
        ),
        "pixels": refusal("{where}: must have at most 1920 x 1080 pixels, found {found}.", where=where, found=found),
        "frames": refusal("{where}: must have at most {most} frames, found more.", where=where, most=_MOST["frames"]),
        "streams": refusal(
            "{where}: must have at most {most} streams, found {found}.", where=where, most=_MOST["streams"], found=found
        ),
        "films": refusal("{where}: must have one film in it, found {found}.", where=where, found=found),
        "codec": refusal(
            "{where}: must be encoded as {accepted}, found {found}.",
            where=where,
            accepted="H.264, H.265, VP8, VP9, AV1",
            found=found,
        ),
        "work": refusal(
            "{where}: must have at most {most} frames of 1920 x 1080 in H.265, which is encoded anew, found {found}.",
            where=where,
            most=_MOST["pixels_coded_anew"] // MOST_CLIP_PIXELS,
            found=found,
        ),
    }[why]
