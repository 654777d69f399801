"""What each place asks for, and how high type has to be."""

from __future__ import annotations

import pytest

from workbench.core.catalogue.model import Place
from workbench.core.skin.label_rules import (
    OUR_FLOOR_MM,
    SQUARE_INCH_MM2,
    LabelPlace,
    Part,
    least_height,
    rules_of,
)

INCH_MM = 25.4  # exactly, by definition


def height(
    place: LabelPlace, part: Part, net_g: float = 15, front_in2: float = 3, label_in2: float = 9
) -> float:
    return least_height(
        place, part, net_g=net_g, front_mm2=front_in2 * SQUARE_INCH_MM2, label_mm2=label_in2 * SQUARE_INCH_MM2
    ).mm


@pytest.mark.parametrize("place", list(LabelPlace))
def test_every_part_is_asked_for_printed_or_left_out_and_only_once(place: LabelPlace) -> None:
    rules = rules_of(place)
    parts = [rule.part for rule in (*rules.needs, *rules.also, *rules.leaves_out)]
    assert len(parts) == len(set(parts))
    assert set(parts) == set(Part)
    for rule in (*rules.needs, *rules.also, *rules.leaves_out):
        assert rule.says.endswith(".")
        assert rule.source


def test_the_letters_of_article_19_are_all_there() -> None:
    """Regulation (EC) 1223/2009, Art. 19(1)(a) to (g) as listed by AGES, the Austrian authority."""
    asked = {
        "a": Part.MAKER,
        "b": Part.NET_WEIGHT,
        "c": Part.DURABILITY,
        "d": Part.PRECAUTIONS,
        "e": Part.BATCH,
        "f": Part.FUNCTION,
        "g": Part.INGREDIENTS,
    }
    for place in (LabelPlace.EU, LabelPlace.UK):
        rules = {rule.part: rule.source for rule in rules_of(place).needs}
        for letter, part in asked.items():
            assert f"({letter})" in rules[part]


def test_the_us_prints_no_allergens_and_a_present_no_weight() -> None:
    """FD&C Act 609(b): the rule on fragrance allergens is not issued (Unified Agenda, Spring 2025)."""
    assert Part.ALLERGENS in [rule.part for rule in rules_of(LabelPlace.US).leaves_out]
    assert Part.NET_WEIGHT not in rules_of(LabelPlace.PRESENT).printed
    assert LabelPlace.PRESENT.law is None
    assert LabelPlace.UK.law is Place.UK


def test_our_floor_is_ours_and_holds_where_the_law_is_silent() -> None:
    made = least_height(LabelPlace.EU, Part.INGREDIENTS, net_g=15, front_mm2=1800, label_mm2=5000)
    assert (made.mm, made.legal, made.source) == (1.2, False, "our own choice")


@pytest.mark.parametrize(
    ("net_g", "mm"), [(5, 2), (50, 2), (50.1, 3), (200, 3), (200.1, 4), (1000, 4), (1000.1, 6)]
)
def test_figures_of_the_weight_by_the_prepackage_directive(net_g: float, mm: float) -> None:
    """Directive 76/211/EEC, Annex I 3.1: 6 mm over 1000 g, 4 mm to 1000 g, 3 mm to 200 g, 2 mm to 50 g (recalled)."""
    assert height(LabelPlace.EU, Part.NET_WEIGHT, net_g=net_g) == mm
    assert height(LabelPlace.UK, Part.NET_WEIGHT, net_g=net_g) == mm


@pytest.mark.parametrize(
    ("front_in2", "inches"),
    [(5, 1 / 16), (5.01, 1 / 8), (25, 1 / 8), (25.1, 3 / 16), (100, 3 / 16), (101, 1 / 4)],
)
def test_the_us_weight_by_the_area_of_the_front(front_in2: float, inches: float) -> None:
    """21 CFR 701.13: 1/16, 1/8, 3/16 and 1/4 in at 5, 25 and 100 square inches (recalled)."""
    assert height(LabelPlace.US, Part.NET_WEIGHT, front_in2=front_in2) == pytest.approx(inches * INCH_MM)


def test_us_ingredients_are_a_sixteenth_or_on_small_labels_our_floor() -> None:
    """21 CFR 701.3(b): 1/16 in; 1/32 in where less than 12 square inches can carry a label."""
    assert height(LabelPlace.US, Part.INGREDIENTS, label_in2=12) == pytest.approx(INCH_MM / 16)
    small = least_height(
        LabelPlace.US, Part.INGREDIENTS, net_g=15, front_mm2=1800, label_mm2=11.9 * SQUARE_INCH_MM2
    )
    assert small.mm == OUR_FLOOR_MM > INCH_MM / 32
    assert not small.legal


def test_us_warnings_are_a_sixteenth_of_an_inch() -> None:
    """21 CFR 740.2, in copies of the FDA's labelling guide: not less than 1/16 in."""
    assert height(LabelPlace.US, Part.PRECAUTIONS) == pytest.approx(1.5875)
