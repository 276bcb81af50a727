"""A clip opened in a process of its own, which knows nothing of ours: checked, its first frame, its film alone.

It is run by the path of its file and imports the library alone. The clip comes in by the standard input; out goes a
line of JSON, and where nothing is refused the still and then the clip.
"""

from __future__ import annotations

import io
import json
import sys
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import av
import av.error
import av.filter
from av.bitstream import BitStreamFilterContext

_MP4, _WEBM = "mp4", "webm"
_CODECS = {"h264": _MP4, "vp8": _WEBM, "vp9": _WEBM, "av1": _WEBM}
"""What the browsers of tablets play, and the container that each is kept in."""

_CODED_ANEW = "hevc"
"""What some tablets' cameras write and few browsers play: H.265."""

_LONGEST_PX, _FRAMES_A_SECOND = 1280, 30
"""Of what is coded anew: what a browser makes of a clip that it records smaller."""

_TURNS = {
    0: (),
    -90: ("transpose=clock",),
    90: ("transpose=cclock",),
    180: ("hflip", "vflip"),
    -180: ("hflip", "vflip"),
}
"""The filters that turn a film the right way up, by the angle that its frames tell, in degrees to the left."""

_NOTES = {"h264": "filter_units=remove_types=6", "av1": "filter_units=remove_types=5"}
"""Takes out what an encoder or a camera may write between the frames: H.264's SEI units, AV1's metadata units."""

_BARE_HEADER_BYTES = 4
"""An AV1 header with no units in it, as browsers write it: nothing to take out, and the filter would spoil it."""

_FORMATS = {_MP4: "mp4", _WEBM: "matroska"}
_TRIED_PACKETS = 60
_MOST_BOXES = 1_000
_MOST_ELEMENTS = 20_000
"""Frames of film and pieces of sound of what a browser records."""

_CLUSTER = b"\x1f\x43\xb6\x75"


class Refused(Exception):
    """Why a clip is not kept: a word that the caller makes a sentence of, and what was found."""


@dataclass(frozen=True)
class Opened:
    """A clip as it is kept."""

    container: str
    milliseconds: int
    still: bytes
    content: bytes


def opened(content: bytes, most: dict[str, int]) -> Opened:
    """The clip with its film alone, and its first frame as a JPEG.

    Raises
    ------
    Refused
        If it is no clip, not whole, or beyond a limit.
    """
    with av.open(io.BytesIO(content), format=_FORMATS[_container(content)]) as given:
        film = _film(given, most)
        packets = _packets(given, film, most)
        milliseconds = _milliseconds(packets, most)
        if _codec(film) == _CODED_ANEW:
            _require_little_work(film, packets, most)
        still = _still(film, packets, most)
    # opened again: what the first frame took is not there a second time
    with av.open(io.BytesIO(content), format=_FORMATS[_container(content)]) as given:
        if _codec(film) == _CODED_ANEW:
            return Opened(_MP4, milliseconds, still, _coded_anew(given))
        container = _CODECS[_codec(film)]
        return Opened(container, milliseconds, still, _film_alone(given, container))


def _container(content: bytes) -> str:
    """The container by its first bytes; cut off, it is refused here."""
    if content[4:8] == b"ftyp":
        _require_whole_boxes(content)
        return _MP4
    if content[:4] == b"\x1aE\xdf\xa3":
        _require_whole_segment(content)
        return _WEBM
    raise Refused("format", "")


def _require_whole_boxes(content: bytes) -> None:
    at, boxes = 0, 0
    while at < len(content):
        size, header = int.from_bytes(content[at : at + 4], "big"), 8
        if size == 1:
            size, header = int.from_bytes(content[at + 8 : at + 16], "big"), 16
        if size == 0:  # to the end of the file
            return
        at, boxes = at + size, boxes + 1
        if size < header or at > len(content) or boxes > _MOST_BOXES:
            raise Refused("damaged", "")


def _require_whole_segment(content: bytes) -> None:
    """Where a WebM tells how long it is, all of it must be there; what is recorded as it happens ends with a frame."""
    size, width = _ebml_size(content, 4)
    at = 4 + width + (size or 0)
    size, width = _ebml_size(content, at + 4)
    at += 4 + width
    if size is not None:
        if at + size > len(content):
            raise Refused("damaged", "")
        return
    for _ in range(_MOST_ELEMENTS):
        if at == len(content):
            return
        at = _after_element(content, at)
    raise Refused("damaged", "")


def _after_element(content: bytes, at: int) -> int:
    """Where the next element begins: behind this one, or in it if that is a cluster which does not tell its length."""
    at_size = at + 9 - content[at].bit_length()
    size, width = _ebml_size(content, at_size)
    after = at_size + width + (size or 0)
    if after > len(content) or (size is None and content[at:at_size] != _CLUSTER):
        raise Refused("damaged", "")
    return after


def _ebml_size(content: bytes, at: int) -> tuple[int | None, int]:
    """A size and how many bytes it takes; None where it is not known."""
    if at >= len(content) or content[at] == 0:
        raise Refused("damaged", "")
    width = 9 - content[at].bit_length()
    if at + width > len(content):
        raise Refused("damaged", "")
    value = int.from_bytes(content[at : at + width], "big") - (1 << 7 * width)
    return (None if value == (1 << 7 * width) - 1 else value), width


def _film(given: Any, most: dict[str, int]) -> Any:
    """The one stream of pictures."""
    if len(given.streams) > most["streams"]:
        raise Refused("streams", len(given.streams))
    if len(given.streams.video) != 1:
        raise Refused("films", len(given.streams.video))
    film = given.streams.video[0]
    if _codec(film) not in _CODECS and (_codec(film) != _CODED_ANEW or "libx264" not in av.codecs_available):
        raise Refused("codec", _codec(film))
    _require_pixels(film.width, film.height, most)
    film.codec_context.thread_count = 1
    return film


def _codec(film: Any) -> str:
    """The codec, whichever library decodes it."""
    return str(film.codec_context.codec.canonical_name)


def _require_little_work(film: Any, packets: list[Any], most: dict[str, int]) -> None:
    """A film to be coded anew is decoded to its end, which takes its time."""
    if len(packets) * film.width * film.height > most["pixels_coded_anew"]:
        raise Refused("work", f"{len(packets)} of {film.width} x {film.height}")


def _require_pixels(width: int, height: int, most: dict[str, int]) -> None:
    if not 0 < width * height <= most["pixels"]:
        raise Refused("pixels", f"{width} x {height}")


def _packets(given: Any, film: Any, most: dict[str, int]) -> list[Any]:
    packets = []
    for packet in given.demux(film):
        if packet.size == 0:
            continue
        packets.append(packet)
        if packet.is_corrupt or packet.pts is None:
            raise Refused("damaged", "")
        if len(packets) > most["frames"]:
            raise Refused("frames", f"> {most['frames']}")
    if not packets or len(packets) < film.frames:
        raise Refused("damaged", "")
    return packets


def _milliseconds(packets: list[Any], most: dict[str, int]) -> int:
    """How long the frames last by their own times, whatever the container says."""
    last = max(packets, key=lambda packet: packet.pts)
    length = last.pts + (last.duration or 0) - min(packet.pts for packet in packets)
    milliseconds = int(Fraction(length) * last.time_base * 1000)
    if milliseconds > most["milliseconds"]:
        raise Refused("length", f"{milliseconds / 1000:.1f}")
    return milliseconds


def _still(film: Any, packets: list[Any], most: dict[str, int]) -> bytes:
    for packet in [*packets[:_TRIED_PACKETS], None]:
        for frame in film.codec_context.decode(packet):
            _require_pixels(frame.width, frame.height, most)
            out = io.BytesIO()
            frame.to_image().rotate(frame.rotation, expand=True).save(out, "JPEG", quality=95)
            return out.getvalue()
    raise Refused("damaged", "")


def _film_alone(given: Any, container: str) -> bytes:
    """The frames in a container of their own: no sound, no other stream, no word about place, time or device."""
    film, made = given.streams.video[0], io.BytesIO()
    with av.open(made, "w", format=container, options={"fflags": "+bitexact"}) as kept:
        out = kept.add_stream_from_template(film, opaque=True)  # the codec as it is, whichever library reads it
        out.metadata.clear()
        notes = _NOTES.get(_codec(film))
        header = out if len(film.codec_context.extradata or b"") > _BARE_HEADER_BYTES else None
        without = BitStreamFilterContext(notes, film, header) if notes else None
        for packet in given.demux(film):
            if packet.size == 0:
                continue
            for clean in without.filter(packet) if without else [packet]:
                clean.stream = out
                kept.mux(clean)
    return made.getvalue()


def _coded_anew(given: Any) -> bytes:
    """The film alone as H.264, the right way up; frames that come faster than a screen shows are left out."""
    film, made = given.streams.video[0], io.BytesIO()
    film.codec_context.thread_count = 1
    graph, out, due = None, None, None
    with av.open(made, "w", format=_MP4, options={"fflags": "+bitexact"}) as kept:
        for frame in given.decode(film):
            if (frame.width, frame.height) != (film.width, film.height):
                raise Refused("damaged", "")
            if due is not None and frame.pts < due:
                continue
            due = frame.pts + int(Fraction(9, 10 * _FRAMES_A_SECOND) / film.time_base)
            graph = graph or _turned(film, frame.rotation)
            graph.vpush(frame)
            upright = graph.vpull()
            out = out or _encoder(kept, film, upright)
            kept.mux(out.encode(upright))
        if out is None:
            raise Refused("damaged", "")
        kept.mux(out.encode(None))
    return made.getvalue()


def _turned(film: Any, angle: int) -> Any:
    """Filters that make a frame small enough and turn it; a film whose angle is none of the four stays as it lies."""
    scale = min(1.0, _LONGEST_PX / max(film.width, film.height))
    width, height = (max(2, 2 * round(scale * side / 2)) for side in (film.width, film.height))
    chain = [f"scale={width}:{height}", "format=yuv420p", *_TURNS.get(angle, ())]
    graph = av.filter.Graph()
    graph.threads = 1
    filters = [graph.add(name, args) for name, _, args in (step.partition("=") for step in chain)]
    graph.link_nodes(graph.add_buffer(template=film), *filters, graph.add("buffersink")).configure()
    return graph


def _encoder(kept: Any, film: Any, frame: Any) -> Any:
    """A stream of H.264 for such frames, at their own times."""
    out = kept.add_stream("libx264", rate=_FRAMES_A_SECOND, options={"preset": "ultrafast", "crf": "26"})
    out.width, out.height, out.pix_fmt = frame.width, frame.height, "yuv420p"
    out.codec_context.time_base = film.time_base
    out.codec_context.thread_count = 1
    return out


def _limit(most: dict[str, int]) -> None:
    """From here on so much memory and processor; what this computer cannot limit the caller's clock does."""
    try:
        import resource  # not on Windows
    except ImportError:
        return
    for limit, amount in ((resource.RLIMIT_AS, most["memory"]), (resource.RLIMIT_CPU, most["cpu_seconds"])):
        hard = resource.getrlimit(limit)[1]
        amount = amount if hard == resource.RLIM_INFINITY else min(amount, hard)
        try:
            resource.setrlimit(limit, (amount, amount))
        except (OSError, ValueError):  # a system that knows the limit and does not keep it
            continue


def main() -> None:
    """Answer one clip."""
    most: dict[str, int] = json.loads(sys.argv[1])
    _limit(most)
    out = sys.stdout.buffer
    try:
        found = opened(sys.stdin.buffer.read(), most)
    except Refused as refused:
        out.write(json.dumps({"refused": refused.args[0], "found": refused.args[1]}).encode() + b"\n")
        return
    except (av.error.FFmpegError, MemoryError, ValueError, OverflowError):
        out.write(json.dumps({"refused": "damaged", "found": ""}).encode() + b"\n")
        return
    told = {"container": found.container, "milliseconds": found.milliseconds, "still_bytes": len(found.still)}
    out.write(json.dumps(told).encode() + b"\n" + found.still + found.content)


if __name__ == "__main__":
    main()
