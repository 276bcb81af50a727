"""Whatever a type of the inspection can hold goes through JSON and comes back the same, in one spelling."""

from __future__ import annotations

import dataclasses
import json
import types
import typing
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from looseends.errors import InputError
from looseends.store.canonical import canonical_json, checksum
from looseends.store.observation import KINDS
from looseends.store.typed_json import ASSIGNED, plain, typed

WORDS = some.text(some.characters(exclude_categories=["Cs"], exclude_characters="\0"))
NUMBERS = some.floats(-1e9, 1e9)


def of(hint: Any) -> some.SearchStrategy[Any]:
    """Values of a type: records with their assigned numbers 0, whole words, numbers that there are."""
    if dataclasses.is_dataclass(hint):
        hints = typing.get_type_hints(hint)
        fields = {name: some.just(0) if name in ASSIGNED else of(inner) for name, inner in hints.items()}
        return some.builds(hint, **fields)
    if typing.get_origin(hint) is tuple:
        return some.lists(of(typing.get_args(hint)[0]), max_size=3).map(tuple)
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        return some.one_of(*map(of, typing.get_args(hint)))
    plain_kinds = {str: WORDS, float: NUMBERS, int: some.integers(0, 9)}
    return plain_kinds[hint] if hint in plain_kinds else some.from_type(hint)


@pytest.mark.parametrize("kind", KINDS)
@given(some.data())
def test_a_payload_comes_back_as_it_was(kind: str, data: some.DataObject) -> None:
    value = data.draw(of(KINDS[kind]))
    text = canonical_json(plain(value, ASSIGNED))
    back = typed(KINDS[kind], json.loads(text), "payload")
    assert back == value
    assert canonical_json(plain(back, ASSIGNED)) == text


@given(some.dictionaries(WORDS, NUMBERS | WORDS | some.none() | some.booleans()))
def test_the_order_of_fields_makes_no_difference(value: dict[str, object]) -> None:
    turned = dict(reversed(value.items()))
    assert checksum(canonical_json(value)) == checksum(canonical_json(turned))


def test_a_record_of_before_there_was_a_second_look_keeps_its_spelling() -> None:
    first = {"part": "a", "condition": "b", "observer": "c", "note": "", "present": True}
    condition = KINDS["condition"]
    assert plain(typed(condition, first, "payload"), ASSIGNED) == first
    assert plain(typed(condition, {**first, "again": 1}, "payload"), ASSIGNED) == {**first, "again": 1}


@pytest.mark.parametrize("again", [-1, 10, 1.5, True, "1", None])
def test_a_count_is_a_small_whole_number_or_refused(again: object) -> None:
    payload = {"part": "a", "condition": "b", "observer": "c", "note": "", "again": again}
    with pytest.raises(InputError, match=r"again: must be a whole number from 0 to 9, found"):
        typed(KINDS["condition"], payload, "payload")


def test_the_spelling_is_that_of_the_page() -> None:
    # by hand: keys sorted, no spaces, letters as they are
    assert canonical_json({"b": [1.5, None, True], "a": "ñ"}) == '{"a":"ñ","b":[1.5,null,true]}'
    # SHA-256 of "abc": FIPS 180-2, appendix B.1
    assert checksum("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
