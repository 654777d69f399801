"""Ounces by their definition, rounding down, and the exemption at 5 g."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.core.skin.label_rules import LabelPlace
from workbench.core.skin.net_weight import OUNCE_G, declared_g, declared_oz, net_weight

CONTENTS = st.floats(min_value=0.1, max_value=5_000, allow_nan=False)


def test_the_ounce_is_a_sixteenth_of_the_international_pound() -> None:
    """International yard and pound agreement of 1959: 1 lb = 0.45359237 kg exactly (NIST Handbook 44, app. C)."""
    assert Fraction(str(OUNCE_G)) == Fraction("453.59237") / 16


@pytest.mark.parametrize(
    ("grams", "ounces"),
    [
        (28.349523125, 1.0),  # one ounce by definition
        (14.1747615625, 0.5),
        (28.34952, 0.99),  # a hair less is not an ounce
        (12.8, 0.45),  # 0.4515
    ],
)
def test_ounces_are_rounded_down(grams: float, ounces: float) -> None:
    assert declared_oz(grams) == pytest.approx(ounces)


@pytest.mark.parametrize(
    ("grams", "declared"), [(12.89, 12.8), (12.8, 12.8), (99.99, 99.9), (100.9, 100.0), (4.96, 4.9)]
)
def test_grams_are_rounded_down(grams: float, declared: float) -> None:
    assert declared_g(grams) == pytest.approx(declared)


@given(CONTENTS)
def test_no_tin_ever_holds_less_than_it_says(grams: float) -> None:
    assert declared_g(grams) <= grams + 1e-6
    assert declared_oz(grams) * OUNCE_G <= grams + 1e-6
    assert grams - declared_g(grams) < 1.0


@pytest.mark.parametrize("place", [LabelPlace.EU, LabelPlace.UK])
def test_below_5_g_the_weight_may_be_left_out_and_from_5_g_it_has_to_stand(place: LabelPlace) -> None:
    """Regulation (EC) 1223/2009, Art. 19(1)(b): "except for packaging containing less than five grams"."""
    small = net_weight(place, 4.9)
    assert not small.required
    assert small.text == ""
    assert "4.9 g" in small.why
    whole = net_weight(place, 5.0)
    assert whole.required
    assert whole.text == "5\u00a0g"
    assert not net_weight(place, 4.999).required


def test_the_us_says_ounces_and_grams() -> None:
    """15 USC 1453(a)(2): inch-pound and metric; 21 CFR 701.13: "Net Wt"."""
    made = net_weight(LabelPlace.US, 14.2)
    assert made.required
    assert made.text == "Net Wt\u00a00.5\u00a0oz (14.2\u00a0g)"


def test_the_recalled_us_exemption_leaves_nothing_out() -> None:
    small = net_weight(LabelPlace.US, 7.0)  # a quarter of an ounce is 7.087 g
    assert not small.required
    assert small.text
    assert "recalled" in small.why
    assert net_weight(LabelPlace.US, 7.09).required


def test_a_present_needs_no_weight() -> None:
    assert not net_weight(LabelPlace.PRESENT, 30.0).required


def test_a_decimal_comma_where_the_language_writes_one() -> None:
    assert net_weight(LabelPlace.EU, 12.8, decimal_comma=True).text == "12,8\u00a0g"
    # English law, English numbers
    assert "0.45" in net_weight(LabelPlace.US, 12.8, decimal_comma=True).text
