"""Numbers as people type them."""

from __future__ import annotations

import pytest

from looseends.web.taken.numbers import number


@pytest.mark.parametrize(
    ("typed", "whole", "value"),
    [
        ("148200", True, 148200.0),
        ("148,200", True, 148200.0),
        ("148.200", True, 148200.0),
        ("148 200", True, 148200.0),
        ("1,148,200", True, 1148200.0),
        ("148,2", True, 148.2),
        ("1,400", False, 1.4),
        ("1.4", False, 1.4),
        ("١٢", False, 12.0),
        (",4", False, 0.4),
        (" 0,15 ", False, 0.15),
    ],
)
def test_a_number_is_read_with_either_decimal_sign(typed: str, whole: bool, value: float) -> None:
    assert number(typed, whole=whole) == value


@pytest.mark.parametrize("typed", ["", "a", "1.2.3", "-1", "1e9", "1,2,3", "½", "nan", "inf", "0x10"])
def test_what_is_no_number_is_none(typed: str) -> None:
    assert number(typed, whole=False) is None
