"""Whatever a file holds, reading it gives a visit or the project's own error."""

from __future__ import annotations

import copy
import datetime
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from looseends.errors import InputError
from looseends.inspection import Visit
from looseends.inspection.checks_done import CHECK_KEYS, HIDDEN_KEYS
from looseends.inspection.history import REPLACED_KEYS, SYMPTOM_KEYS, USE_KEYS
from looseends.inspection.read import CONDITION_KEYS, NOT_CHECKED_KEYS, VISIT_KEYS
from looseends.inspection.readings import READING_KEYS
from tests.inspection.small_catalogue import HEAD, PARTS, catalogue, read

KEYS = sorted(
    {*VISIT_KEYS, *CHECK_KEYS, *HIDDEN_KEYS, *READING_KEYS, *CONDITION_KEYS, *NOT_CHECKED_KEYS}
    | {*SYMPTOM_KEYS, *USE_KEYS, *REPLACED_KEYS}
)
NAMES = [
    *(*PARTS, *catalogue().checks, *catalogue().supports, *catalogue().conditions, *catalogue().complaints),
    *("left", "held", "none", "tread", "knock", "dead zone", "grease", "tire", "front-left", "hard", "heavy"),
]
SCALARS = st.one_of(
    st.booleans(),
    st.integers(),
    st.floats(),
    st.dates(),
    st.times(),
    st.datetimes(),
    st.text(max_size=20),
    st.sampled_from(NAMES),
    st.sampled_from(["0.12 in", "3,4", "1/0", "9" * 12 + " mm", ""]),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(KEYS), inner, max_size=4),
    max_leaves=12,
)
WHOLE_VISIT: dict[str, Any] = {
    "format": 1,
    "vehicle": "yard-pickup",
    "date": datetime.date(2026, 10, 14),
    "technician": "Ines Calder",
    "place": "bay 2",
    "odometer_km": 148200,
    "jurisdiction": "us-utah",
    "check": [
        {
            "do": "wheel39",
            "support": "arm",
            "side": "left",
            "steer": "free",
            "brake": "on",
            "stand_inboard_mm": 10,
            "stop_gap_mm": 12.5,
            "by": "Tom Orr",
            "readings": [
                {"watch": "tread", "gauge_mm": 3.4, "free_mm": 0.8},
                {"watch": "wheel-bearing", "eye": "none", "note": "dry"},
                {"watch": "wheel-bearing", "ear": "knock"},
                {"watch": "wheel-bearing", "feel": "dead zone"},
            ],
            "passed": ["lower-ball-joint"],
            "nothing_moved": True,
            "hidden": [{"part": "upper-ball-joint", "by": "grease"}],
            "cleaned": ["wheel-bearing"],
            "note": "twice",
        }
    ],
    "hidden": [{"part": "wheel-bearing-left", "by": "rust"}],
    "condition": [
        {"part": "outer-tie-rod-end-left", "seen": "torn-boot", "by": "Tom Orr", "note": "open"},
        {"part": "idler-arm", "seen": "bent", "present": False},
    ],
    "not_checked": [{"part": "idler-arm", "because": "rust"}, {"check": "idler", "because": "rust"}],
    "symptom": [
        {"kind": "complaint", "what": "wanders", "by": "yard office", "note": "loaded"},
        {"kind": "tire", "what": "feathered", "wheel": "front-left", "present": False},
    ],
    "use": {"age_years": 14.5, "work": "hard", "rust": "heavy"},
    "replaced": [{"part": "wheel-bearing-left", "after_check": 1, "by": "Tom Orr", "note": "greased"}],
}


def places(value: object, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path of every value inside a table or list."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, each in inner:
        yield (*at, key)
        yield from places(each, (*at, key))


PLACES = sorted(places(WHOLE_VISIT), key=str)


def with_other_value(place: tuple[Any, ...], value: object) -> dict[str, Any]:
    """The whole visit with one value exchanged."""
    visit = copy.deepcopy(WHOLE_VISIT)
    table: Any = visit
    for key in place[:-1]:
        table = table[key]
    table[place[-1]] = value
    return visit


def toml_of(value: object) -> str:
    """A value written as TOML, for values that `VALUES` draws."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {toml_of(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml_of(inner) for inner in value) + "]"
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return repr(value)


def file_of(values: dict[str, Any]) -> bytes:
    """A table as the bytes of a TOML file."""
    return "\n".join(f"{key} = {toml_of(value)}" for key, value in values.items()).encode()


def outcome(data: bytes) -> Visit | str:
    """The visit in these bytes, or the sentence that refuses them."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.toml"
        path.write_bytes(data)
        try:
            return read(path)
        except InputError as error:
            return str(error)


def holds(result: Visit | str) -> bool:
    """A visit, or one line that ends as a sentence does and that a terminal may print."""
    return isinstance(result, Visit) or ("any.toml" in result and result.isprintable() and result[-1] in ".?")


def test_the_whole_visit_is_right_before_it_is_spoiled() -> None:
    assert isinstance(outcome(file_of(WHOLE_VISIT)), Visit)


@given(st.binary(max_size=400))
@example(b"format = 1\nx.x.x = 1\nx = 2")
@example(b'"\\u001b[2J" = 1\nformat = 1')
def test_any_bytes(data: bytes) -> None:
    assert holds(outcome(data))


@given(st.text(max_size=300))
def test_any_text_behind_a_right_head(text: str) -> None:
    assert holds(outcome((HEAD + text).encode()))


@given(st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=8))
def test_any_top_table(values: dict[str, Any]) -> None:
    assert holds(outcome(file_of({**values, "format": 1})))


@given(st.sampled_from(PLACES), VALUES)
@settings(max_examples=400)
def test_one_value_exchanged_for_any_other(place: tuple[Any, ...], value: object) -> None:
    assert holds(outcome(file_of(with_other_value(place, value))))
