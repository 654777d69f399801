"""Quantities written the maker's way, and read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.core.units import (
    MassUnit,
    TemperatureUnit,
    Units,
    read_mass,
    read_number,
    read_temperature,
    write_mass,
    write_number,
    write_temperature,
    write_temperature_difference,
    write_value,
    write_volume,
)
from workbench.core.wording import (
    Degrees,
    Duration,
    Grams,
    Kelvins,
    Millilitres,
    Millimetres,
    Number,
    Share,
    say,
    say_again,
)

METRIC = Units()
IMPERIAL = Units(mass=MassUnit.OUNCE, temperature=TemperatureUnit.FAHRENHEIT)
COMMA = Units(decimal_comma=True)


def test_numbers_have_the_makers_mark_and_no_groups() -> None:
    assert write_number(1234.5, METRIC) == "1234.5"
    assert write_number(1234.5, COMMA) == "1234,5"
    assert write_number(-0.04, METRIC) == "0.0"
    assert write_number(-0.06, METRIC) == "-0.1"
    assert write_number(7.0, COMMA, 0) == "7"


def test_quantities_in_both_worlds() -> None:
    assert write_mass(28.349523125, METRIC, 2) == "28.35 g"
    assert write_mass(28.349523125, IMPERIAL) == "1.000 oz"
    assert write_mass(0.1, IMPERIAL) == "0.004 oz"  # the last digit of the scale is not lost
    assert write_volume(9.857843, COMMA, 2) == "9,86 mL"
    assert write_volume(9.857843, IMPERIAL, 2) == "9.86 mL"
    assert write_temperature(60.0, METRIC) == "60.0 °C"
    assert write_temperature(60.0, IMPERIAL) == "140.0 °F"
    # a difference has no offset: 5 K are 9 °F apart
    assert write_temperature_difference(5.0, METRIC) == "5.0 °C"
    assert write_temperature_difference(5.0, IMPERIAL) == "9.0 °F"


@pytest.mark.parametrize(
    ("value", "metric", "other"),
    [
        (Grams(28.349523125, 1), "28.3 g", "1.000 oz"),
        (Degrees(60.0), "60.0 °C", "140.0 °F"),
        (Kelvins(5.0, 0), "5 °C", "9 °F"),
        (Millimetres(3.25, 1), "3.2 mm", "3.2 mm"),
        (Millilitres(12.5), "12.5 mL", "12.5 mL"),
        (Share(4.5), "4.5 %", "4.5 %"),
        (Number(3.0, 0), "3", "3"),
        (Duration(200), "3 min 20 s", "3 min 20 s"),
        (2.5, "2.5", "2.5"),
        (3, "3", "3"),
        ("Beeswax", "Beeswax", "Beeswax"),
    ],
)
def test_values_of_sentences(value: object, metric: str, other: str) -> None:
    assert write_value(value, METRIC) == metric
    assert write_value(value, IMPERIAL) == other


def test_a_sentence_is_said_again_in_other_units() -> None:
    said = say("Weigh {mass} at {warm} or {odd}.", mass=Grams(2.5), warm=Degrees(21.5), odd=1.5)
    assert say_again(said, str, lambda value: write_value(value, COMMA)) == "Weigh 2,5 g at 21,5 °C or 1,5."
    assert (
        say_again(said, str, lambda value: write_value(value, IMPERIAL))
        == "Weigh 0.088 oz at 70.7 °F or 1.5."
    )


_SETTINGS = st.builds(
    Units,
    mass=st.sampled_from(MassUnit),
    temperature=st.sampled_from(TemperatureUnit),
    decimal_comma=st.booleans(),
)


@given(st.floats(0, 20_000), _SETTINGS)
def test_what_is_written_can_be_read_back(number: float, units: Units) -> None:
    assert read_number(write_number(number, units, 3)) == pytest.approx(number, abs=0.00051)
    assert read_mass(write_mass(number, units)) == pytest.approx(number, abs=0.051)
    celsius = number / 100
    assert read_temperature(write_temperature(celsius, units, 2)) == pytest.approx(celsius, abs=0.0051)
