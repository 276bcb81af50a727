"""Vehicle identification numbers: published check digits, and what is wrong with a number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from looseends.errors import InputError
from looseends.vehicle.vin import check_digit, read_vin

# 49 CFR 565.6 table V; an outline for new manufacturers after 565.15(c); ones by arithmetic; an X, from memory.
PUBLISHED = [("1G4AH59H45G118341", "4"), ("1J9RP1A36A1644345", "6"), ("1" * 17, "1"), ("1M8GDM9AXKP042788", "X")]


@pytest.mark.parametrize(("vin", "digit"), PUBLISHED)
def test_published_check_digits(vin: str, digit: str) -> None:
    assert check_digit(vin) == digit
    assert read_vin(vin).remarks == ()


@given(st.sampled_from([vin for vin, _ in PUBLISHED]), st.integers(0, 16), st.sampled_from("0123456789"))
def test_invariant_another_digit_is_noticed(vin: str, place: int, digit: str) -> None:
    changed = vin[:place] + digit + vin[place + 1 :]
    if changed == vin or not vin[place].isdigit() or changed[0] not in "12345":
        return
    assert any("check digit" in remark for remark in read_vin(changed).remarks)


@pytest.mark.parametrize(
    ("vin", "sentence"),
    [
        ("1M8GDM9AXKP04278", "vin: must have 17 characters, found 16"),
        ("1M8GDM9AXKPO42788", 'character 12 must be a digit or a letter other than I, O and Q, found "O"'),
        ("IM8GDM9AXKP042788", 'found "I"'),
        ("1M8GDM9AXKP04278Q", 'found "Q"'),
        ("1M8GDM9AXKP04278-", 'found "-"'),
        ("1M8GDM9AXKP04278²", 'found "²"'),
    ],
)
def test_what_is_no_number_is_refused(vin: str, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        read_vin(vin)
    assert sentence in str(refused.value)


def test_a_wrong_check_digit_is_a_remark_and_outside_north_america_a_mild_one() -> None:
    (remark,) = read_vin("1m8gdm9a5kp042788").remarks
    assert 'position 9 is "5" and should be "X"' in remark
    (mild,) = read_vin("WM8GDM9A5KP042788").remarks
    assert "outside North America, where the rule does not bind" in mild
    assert read_vin("WM8GDM9A5KP042788").years == ()


def test_a_year_code_may_mean_two_years_and_some_codes_mean_none() -> None:
    assert read_vin("1M8GDM9AXKP042788").years == (1989, 2019)
    assert any("stands for no model year" in remark for remark in read_vin("1M8GDM9AXUP042788").remarks)
