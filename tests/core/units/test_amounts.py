"""Reading amounts and temperatures; this file alone covers every branch of `units.amounts`."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from workbench.core.units import (
    DROPS_PER_ML,
    DROPS_PER_ML_FEW,
    DROPS_PER_ML_MANY,
    Measure,
    Spoons,
    TemperatureUnit,
    Unreadable,
    drops_g,
    read_amount,
    read_mass,
    read_temperature,
)

# NIST Handbook 44, appendix C: the US gallon is 231 cubic inches of 2.54 cm; 768 teaspoons,
# 256 tablespoons or 128 fluid ounces make one.
GALLON_ML = 231 * 2.54**3
# 21 CFR 101.9(b)(5)(viii): for labelling a teaspoon is 5 mL, a tablespoon 15, a cup 240, a fluid
# ounce 30 mL and an ounce 28 g.
LABELLING_ML = {"tsp": 5.0, "tbsp": 15.0, "cup": 240.0, "fl oz": 30.0}


@pytest.mark.parametrize(
    ("text", "ml"),
    [
        ("1 US tsp", GALLON_ML / 768),
        ("1 tsp US", GALLON_ML / 768),
        ("1 U.S. tsp.", GALLON_ML / 768),
        ("2 American teaspoons", 2 * GALLON_ML / 768),
        ("1 US tbsp", GALLON_ML / 256),
        ("1 US fl oz", GALLON_ML / 128),
        ("1 US cup", GALLON_ML / 16),
        ("1 metric tsp", 5.0),
        ("1 metric tbsp", 15.0),
        ("1 metric cup", 250.0),
        *((f"1 labelling {unit}", ml) for unit, ml in LABELLING_ML.items()),
        ("1 imperial fl oz", 28.4130625),  # UK Weights and Measures Act 1985: 4.54609 L / 160
        ("30 mL", 30.0),
        ("30ml", 30.0),
        ("3 cl", 30.0),
        ("0,5 dl", 50.0),
        ("0.25 litres", 250.0),
        ("12 cc", 12.0),
    ],
)
def test_spoons_are_told_apart(text: str, ml: float) -> None:
    read = read_amount(text)
    assert read.measure is Measure.MILLILITRES
    assert read.value == pytest.approx(ml, rel=1e-12)
    assert read.grams is None
    assert "without a density its weight is not known" in read.how
    assert "you have set" not in read.how


def test_the_gallon_gives_the_spoon_of_the_tables() -> None:
    # NIST SP 811, table B.8: 1 teaspoon = 4.928 922 mL, 1 tablespoon = 14.786 76 mL,
    # 1 fluid ounce (US) = 29.573 53 mL
    assert read_amount("1 US tsp").value == pytest.approx(4.928922, abs=5e-7)
    assert read_amount("1 US tbsp").value == pytest.approx(14.78676, abs=5e-6)
    assert read_amount("1 US fl oz").value == pytest.approx(29.57353, abs=5e-6)


@pytest.mark.parametrize(
    ("spoons", "tsp", "tbsp", "fluid_ounce"),
    [
        (Spoons.US, GALLON_ML / 768, GALLON_ML / 256, GALLON_ML / 128),
        (Spoons.METRIC, 5.0, 15.0, GALLON_ML / 128),  # there is no metric fluid ounce
        (Spoons.US_LABELLING, 5.0, 15.0, 30.0),
    ],
)
def test_a_bare_spoon_is_the_makers_own(spoons: Spoons, tsp: float, tbsp: float, fluid_ounce: float) -> None:
    read = read_amount("2 tsp", spoons=spoons)
    assert read.value == pytest.approx(2 * tsp, rel=1e-12)
    assert "the spoons you have set" in read.how
    assert spoons.value in read.how
    assert read_amount("1 tbsp", spoons=spoons).value == pytest.approx(tbsp, rel=1e-12)
    ounce = read_amount("1 fl oz", spoons=spoons)
    assert ounce.value == pytest.approx(fluid_ounce, rel=1e-12)
    assert ("you have set" in ounce.how) == (spoons is not Spoons.METRIC)


def test_two_independent_tables_agree() -> None:
    table = pint.UnitRegistry()  # the large table that comes with pint
    for text, unit in [
        ("1 US tsp", "teaspoon"),
        ("1 US tbsp", "tablespoon"),
        ("1 US fl oz", "fluid_ounce"),
        ("1 US cup", "cup"),
        ("1 imperial fl oz", "imperial_fluid_ounce"),
    ]:
        assert read_amount(text).value == pytest.approx(table.Quantity(1, unit).to("mL").magnitude, rel=1e-9)
    # CODATA module of scipy
    assert read_amount("1 US fl oz").value == pytest.approx(constants.fluid_ounce * 1e6, rel=1e-9)
    assert read_amount("1 imperial fl oz").value == pytest.approx(constants.fluid_ounce_imp * 1e6, rel=1e-9)
    assert read_amount("1 oz").value == pytest.approx(constants.oz * 1e3, rel=1e-9)
    assert read_amount("1 lb").value == pytest.approx(constants.lb * 1e3, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("250 g", 250.0),
        ("250g", 250.0),
        ("0,25 kg", 250.0),
        ("500 mg", 0.5),
        ("1 oz", 28.349523125),  # international avoirdupois pound of 0.45359237 kg / 16 (1959)
        ("1.5 oz", 42.5242846875),
        ("1,5 ounces", 42.5242846875),
        ("1 US oz", 28.349523125),
        ("1 lb", 453.59237),
        ("1 labelling oz", 28.0),  # 21 CFR 101.9(b)(5)(viii)
        ("1 oz labelling", 28.0),
    ],
)
def test_masses(text: str, grams: float) -> None:
    read = read_amount(text, density_g_ml=0.5)
    assert read.measure is Measure.GRAMS
    assert read.value == read.grams == pytest.approx(grams, rel=1e-12)
    assert read_mass(text) == pytest.approx(grams, rel=1e-12)


def test_ounces_of_mass_and_of_volume_are_two_things() -> None:
    mass, volume = read_amount("1 oz", density_g_ml=0.9), read_amount("1 fl oz", density_g_ml=0.9)
    assert (mass.measure, volume.measure) == (Measure.GRAMS, Measure.MILLILITRES)
    assert mass.grams is not None
    assert volume.grams == pytest.approx(GALLON_ML / 128 * 0.9)
    assert "by weight" in mass.how


def test_the_arithmetic_is_shown() -> None:
    assert read_amount("2 US tsp", density_g_ml=0.92).how == "2 tsp US = 9.86 mL × 0.92 g/mL = 9.1 g."
    assert (
        read_amount("2 tsp", density_g_ml=0.92).how
        == "2 tsp US (the spoons you have set) = 9.86 mL × 0.92 g/mL = 9.1 g."
    )
    assert read_amount("30 mL", density_g_ml=0.92).how == "30.00 mL × 0.92 g/mL = 27.6 g."
    assert read_amount("1.5 oz").how == "1.5 oz by weight = 42.52 g."
    assert read_amount("250 g").how == "250.00 g."


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1/2 metric tsp", 2.5),
        ("1 1/2 metric tsp", 7.5),
        ("1½ metric tsp", 7.5),
        ("½ metric tsp", 2.5),
        ("¼ metric tsp", 1.25),
        ("3/4 metric tsp", 3.75),
        ("1 / 4 metric tsp", 1.25),
        ("0,5 metric tsp", 2.5),
    ],
)
def test_kitchen_fractions(text: str, value: float) -> None:
    assert read_amount(text).value == pytest.approx(value)


def test_parts_and_per_cent_have_no_weight_of_their_own() -> None:
    parts, percent = read_amount("3 parts"), read_amount("20 %", density_g_ml=0.9)
    assert (parts.value, parts.measure, parts.grams) == (3.0, Measure.PARTS, None)
    assert (percent.value, percent.measure, percent.grams) == (20.0, Measure.PERCENT, None)
    assert "depends on the whole recipe" in parts.how
    assert "depends on the whole recipe" in percent.how
    assert read_amount("12,5%").value == 12.5
    assert read_amount("100 per cent").value == 100.0


def test_drops_are_told_with_their_scatter() -> None:
    read = read_amount("12 drops", density_g_ml=0.9)
    assert read.measure is Measure.DROPS
    assert read.grams == pytest.approx(0.4)
    assert read.how == "12 drops weigh about 0.40 g, and with another dropper 0.27 g to 0.54 g."


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1 drop", "1 drop weighs about "),
        ("1 part", "1 part; what it weighs "),
        ("2 parts", "2 parts; what they weigh "),
        ("1.5 parts", "1.5 parts; what they weigh "),
    ],
)
def test_one_is_told_as_one_and_a_fraction_as_many(text: str, says: str) -> None:
    assert read_amount(text, density_g_ml=0.9).how.startswith(says)


def test_drops_against_published_drops() -> None:
    # Tisserand Institute, "Drop size" (studies of 1999, 2000 and 2016): 20 drops of essential oil
    # weigh 0.66 g on average, 30 drops 0.99 g; droppers give 20 to 40 drops per mL
    assert drops_g(20, 0.9)[0] == pytest.approx(0.66, abs=0.01)
    assert drops_g(30, None)[0] == pytest.approx(0.99, abs=0.005)
    assert (DROPS_PER_ML_FEW, DROPS_PER_ML_MANY) == (20.0, 40.0)
    # the pharmacopoeial dropper is the largest of them: 20 drops of water at 20 °C weigh 0.90 to
    # 1.10 g (USP <1101>), 0.95 to 1.05 g (Ph. Eur. 2.1.1, from memory)
    _typical, low, high = drops_g(20, 0.9982)
    assert 0.95 <= high <= 1.05
    assert low == pytest.approx(high / 2)
    # an oil label that states 31 drops per mL with the pharmacopoeial dropper lies inside
    assert DROPS_PER_ML_FEW < DROPS_PER_ML < 31 < DROPS_PER_ML_MANY


@pytest.mark.parametrize(
    ("text", "measure"),
    [
        ("3", Measure.PARTS),
        ("3", Measure.GRAMS),
        ("3", Measure.MILLILITRES),
        ("3", Measure.DROPS),
        ("3", Measure.PERCENT),
    ],
)
def test_a_bare_number_counts_what_the_field_counts(text: str, measure: Measure) -> None:
    read = read_amount(text, bare=measure)
    assert (read.value, read.measure) == (3.0, measure)


@pytest.mark.parametrize(
    ("text", "part_of_the_reason"),
    [
        ("5", "does not say of what"),
        ("", "no number"),
        ("tsp", "not a number"),
        ("-1 g", "less than nothing"),
        ("−2 drops", "less than nothing"),
        ("1.5 drops", "whole number of drops"),
        ("120 %", "more than the whole"),
        ("1 300 g", "space inside the number"),
        ("1.300,5 g", "more than one comma or point"),
        ("11/2 tsp", "not a plain fraction"),  # one and a half without its space is not 5.5
        ("1/0 tsp", "not a plain fraction"),
        ("2 t", "not a measure known here"),
        ("2 T", "not a measure known here"),
        ("1 troy oz", "not a measure known here"),
        ("1 imperial tsp", "not a measure known here"),
        ("1 metric fl oz", "not a measure known here"),
        ("1 us", "not a measure known here"),
        ("1e3 g", "not a measure known here"),
        ("2**3 g", "not a measure known here"),
        ("3 m", "not a measure known here"),
    ],
)
def test_what_cannot_be_meant_is_refused(text: str, part_of_the_reason: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_amount(text)
    assert part_of_the_reason in str(refused.value)


def test_a_weight_field_takes_weights_only() -> None:
    assert read_mass("12,3") == 12.3
    assert read_mass("0.5", "oz") == pytest.approx(14.1747615625)
    assert read_mass("12.3 g", "oz") == 12.3
    assert read_mass("-0,2") == -0.2  # a scale that was not zeroed shows this
    for text in ("2 tsp", "3 drops", "5 mL"):
        with pytest.raises(Unreadable, match="not a weight"):
            read_mass(text)


@given(
    st.integers(0, 99_999),
    st.integers(1, 4),
    st.sampled_from(".,"),
    st.sampled_from(["g", " g", " mL", " parts"]),
)
def test_no_unit_can_eat_the_decimal_mark(digits: int, places: int, mark: str, unit: str) -> None:
    text = f"{digits / 10**places:.{places}f}".replace(".", mark)
    assert read_amount(text + unit).value == pytest.approx(digits / 10**places, abs=1e-12)


@given(st.text(max_size=20))
def test_any_text_is_an_amount_or_refused(text: str) -> None:
    try:
        read = read_amount(text, density_g_ml=0.9, bare=Measure.GRAMS)
    except Unreadable:
        return
    assert math.isfinite(read.value)
    assert read.value >= 0


@pytest.mark.parametrize(
    ("text", "default", "celsius"),
    [
        ("60", TemperatureUnit.CELSIUS, 60.0),
        ("140", TemperatureUnit.FAHRENHEIT, 60.0),
        ("140 °F", TemperatureUnit.CELSIUS, 60.0),
        ("140F", TemperatureUnit.CELSIUS, 60.0),
        ("60C", TemperatureUnit.FAHRENHEIT, 60.0),
        ("62,5 °C", TemperatureUnit.FAHRENHEIT, 62.5),
        ("62.5°", TemperatureUnit.CELSIUS, 62.5),
        ("333 K", TemperatureUnit.CELSIUS, 59.85),
        ("60 ℃", TemperatureUnit.FAHRENHEIT, 60.0),
        ("140 ℉", TemperatureUnit.CELSIUS, 60.0),
        ("60 degrees Celsius", TemperatureUnit.FAHRENHEIT, 60.0),
        ("140 deg. f", TemperatureUnit.CELSIUS, 60.0),
        (" −5,5 º C ", TemperatureUnit.FAHRENHEIT, -5.5),
        ("-40 °F", TemperatureUnit.CELSIUS, -40.0),  # where both scales meet
        ("32 °F", TemperatureUnit.CELSIUS, 0.0),
        ("212 °F", TemperatureUnit.CELSIUS, 100.0),
        ("0 K", TemperatureUnit.CELSIUS, -273.15),
    ],
)
def test_temperatures(text: str, default: TemperatureUnit, celsius: float) -> None:
    assert read_temperature(text, default) == pytest.approx(celsius, abs=1e-9)


@given(st.floats(-400, 1000).map(lambda number: round(number, 2)))
def test_fahrenheit_against_scipy(number: float) -> None:
    expected = constants.convert_temperature(number, "Fahrenheit", "Celsius")
    assert read_temperature(f"{number:.2f} °F") == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize(
    ("text", "part_of_the_reason"),
    [
        ("", "not a temperature"),
        ("warm", "not a temperature"),
        ("60 X", "not a temperature scale"),
        ("60 °R", "not a temperature scale"),
        ("6.0.5", "more than one comma or point"),
        ("60. °C", "ends in a comma or point"),
        ("6 0", "not a temperature scale"),
        ("-1 K", "colder than cold"),
        ("-500 °F", "colder than cold"),
        ("1e2", "exponent"),
    ],
)
def test_other_temperatures_are_refused(text: str, part_of_the_reason: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_temperature(text)
    assert part_of_the_reason in str(refused.value)


@pytest.mark.parametrize("typed", ["5o", "6O.5", "1e9"])
def test_a_letter_among_the_digits_is_named_and_not_taken_for_a_unit(typed: str) -> None:
    words = "exponent" if "e" in typed else "Type the digit 0"
    for read in (read_temperature, read_mass, read_amount):
        with pytest.raises(Unreadable, match=words):
            read(typed)
