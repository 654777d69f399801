"""Reading one number; this file alone covers every branch of `units.numbers`."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.core.trouble import Trouble
from workbench.core.units.numbers import MINUS_SIGNS, Unreadable, read_number


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.3", 1.3),
        ("1,3", 1.3),
        ("1,300", 1.3),  # one mark is always the decimal mark
        ("1.300", 1.3),
        ("13", 13.0),
        ("  2,5  ", 2.5),
        ("\u00a07.25\u202f", 7.25),  # spaces that do not break
        (".5", 0.5),
        (",5", 0.5),
        ("+4", 4.0),
        ("-4.5", -4.5),
        ("−4,5", -4.5),  # the true minus sign
        ("–4", -4.0),  # a hyphen that a phone made longer
        ("007", 7.0),
        ("0", 0.0),
    ],
)
def test_comma_and_point_mean_the_same(text: str, value: float) -> None:
    assert read_number(text) == value


def test_nothing_is_below_zero() -> None:
    assert math.copysign(1.0, read_number("-0.0")) == 1.0


@pytest.mark.parametrize(
    ("text", "part_of_the_reason"),
    [
        ("", "no number"),
        ("   ", "no number"),
        ("1.300,5", "more than one comma or point"),
        ("1,300,000", "more than one comma or point"),
        ("1..3", "more than one comma or point"),
        ("13.", "ends in a comma or point"),
        ("13,", "ends in a comma or point"),
        (".", "ends in a comma or point"),
        ("1e3", "exponent"),
        ("2,5E-3", "exponent"),
        ("5o", "the digit 0"),
        ("1O,5", "the digit 0"),
        ("1 300", "space inside"),
        ("1 300,5", "space inside"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("-inf", "not a number"),
        ("Infinity", "not a number"),
        ("1_000", "not a number"),
        ("1'300", "not a number"),
        ("--5", "not a number"),
        ("5-", "not a number"),
        ("- 5", "not a number"),
        ("+", "not a number"),
        ("-", "not a number"),
        ("0x10", "not a number"),
        ("١٢", "not a number"),  # digits of other scripts look unlike what a scale shows
        ("１２", "not a number"),
        ("1\n3", "space inside"),
        ("9" * 16, "too many digits"),
        ("1" * 400, "too many digits"),
        ("x" * 400, "not a number"),
    ],
)
def test_everything_else_is_refused_with_a_reason(text: str, part_of_the_reason: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_number(text)
    assert part_of_the_reason in str(refused.value)
    assert isinstance(refused.value, Trouble)
    assert len(str(refused.value)) < 200


_DIGITS = st.text("0123456789", min_size=1, max_size=7)


@given(
    whole=_DIGITS, decimals=_DIGITS, mark=st.sampled_from(".,"), sign=st.sampled_from(["", "+", *MINUS_SIGNS])
)
def test_the_mark_is_never_lost(whole: str, decimals: str, mark: str, sign: str) -> None:
    value = read_number(f"{sign}{whole}{mark}{decimals}")
    assert abs(value) == float(f"{whole}.{decimals}")
    assert abs(value) < int(whole) + 1  # 1,3 is below 2: it can never become 13
    assert (value < 0) == (sign in tuple(MINUS_SIGNS) and value != 0)


@given(
    groups=st.lists(st.text("0123456789", min_size=3, max_size=3), min_size=1, max_size=3),
    first=st.text("0123456789", min_size=1, max_size=3),
    mark=st.sampled_from([".", ",", " ", "'", "_", "\u00a0", "\u202f", "’"]),
)
def test_nothing_ever_groups_digits(groups: list[str], first: str, mark: str) -> None:
    text = mark.join([first, *groups])
    grouped = float("".join([first, *groups]))
    try:
        value = read_number(text)
    except Unreadable:
        return
    assert mark in ".,"
    assert len(groups) == 1
    assert value == float(f"{first}.{groups[0]}")
    assert value == 0 or value < grouped


@given(st.text(max_size=40))
def test_any_text_is_a_finite_number_or_refused(text: str) -> None:
    try:
        value = read_number(text)
    except Unreadable as refused:
        assert str(refused)  # noqa: PT017 - a property, not an expected failure
    else:
        assert math.isfinite(value)
        assert sum(text.count(mark) for mark in ".,") <= 1
