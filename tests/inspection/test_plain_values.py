"""The number that a person meant, against the exact definitions of inch and mile."""

from __future__ import annotations

import pytest

from looseends.inspection.plain_values import meant_number, shown


@pytest.mark.parametrize(
    ("text", "unit", "meant"),
    [
        ("0.12 in", "mm", "3.05"),
        ("1/2 in", "mm", "12.7"),
        ('1/4"', "mm", "6.35"),
        ("120 thou", "mm", "3.05"),
        ("0.34cm", "mm", "3.4"),
        ("3,4", "mm", "3.4"),
        ("-2 mm", "mm", "-2"),
        ("148,200", "km", "148200"),
        ("148200 km", "km", "148200"),
        ("100 mi", "km", "160.93"),
        ("100", "km", "100"),
        ("3.4 furlongs", "mm", None),
        ("1/0 in", "mm", None),
        ("about 3", "mm", None),
        ("", "mm", None),
    ],
)
def test_a_number_written_as_text(text: str, unit: str, meant: str | None) -> None:
    assert meant_number(text, unit) == meant


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (True, "true"),
        (2.5, "2.5"),
        ("a\x1b\n", '"a\\x1b\\n"'),
        ("x" * 100, '"' + "x" * 60 + '…"'),
        ([1], "a list"),
        ({}, "a table"),
    ],
)
def test_a_value_in_a_sentence(value: object, words: str) -> None:
    assert shown(value) == words


def test_a_number_that_python_will_not_print_is_described() -> None:
    assert shown(10**5000) == "a very large number"
