"""The clips of a visit on paper: the first frame of each, and what it is of."""

from __future__ import annotations

import base64

from looseends.language import Speech, Text, say
from looseends.report.enclosures import ClipStill
from looseends.report.handover_records import ClipText


def clip_texts(clips: tuple[ClipStill, ...], speech: Speech) -> tuple[ClipText, ...]:
    """The stills in their order."""
    return tuple(_clip_text(clip, speech) for clip in clips)


def _clip_text(clip: ClipStill, speech: Speech) -> ClipText:
    still = f"data:image/jpeg;base64,{base64.b64encode(clip.content).decode('ascii')}"
    return ClipText(speech.words(_words(clip)), still, clip.width_px, clip.height_px)


def _words(clip: ClipStill) -> Text:
    if clip.check:
        return say("Check {number}: first frame of a clip of {seconds} s", number=clip.check, seconds=clip.seconds)
    return say("First frame of a clip of {seconds} s", seconds=clip.seconds)
