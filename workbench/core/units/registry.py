"""The one unit registry: every conversion factor of the program comes from here.

It is built on first use, so that importing this module costs nothing.  It
knows only the units a maker types, from their legal definitions; the large
default table of pint would take fifty times as long and would read "30 m" as
metres.  Nothing is read from or written to disk.
"""

from __future__ import annotations

from functools import cache
from typing import Any

# Sources: ounce and pound avoirdupois, inch, US gallon of 231 cubic inches with its
# cup, fluid ounce, tablespoon and teaspoon: NIST Handbook 44, appendix C.
# Imperial fluid ounce: UK Weights and Measures Act 1985 (gallon of 4.54609 L / 160).
# Labelling measures: 21 CFR 101.9(b)(5)(viii).  Metric spoons: 5 and 15 mL, kitchen
# measures as sold; the 20 mL tablespoon of Australia is not among them.
_DEFINITIONS = (
    "gram = [mass] = g",
    "milligram = 1e-3 * gram",
    "kilogram = 1e3 * gram",
    "ounce = 28.349523125 * gram",
    "pound = 16 * ounce",
    "labelling_ounce = 28 * gram",
    "millilitre = [volume]",
    "centilitre = 10 * millilitre",
    "decilitre = 100 * millilitre",
    "litre = 1000 * millilitre",
    "cubic_inch = 2.54 ** 3 * millilitre",
    "us_gallon = 231 * cubic_inch",
    "us_cup = us_gallon / 16",
    "us_fluid_ounce = us_gallon / 128",
    "us_tablespoon = us_gallon / 256",
    "us_teaspoon = us_gallon / 768",
    "imperial_fluid_ounce = 28.4130625 * millilitre",
    "metric_cup = 250 * millilitre",
    "metric_tablespoon = 15 * millilitre",
    "metric_teaspoon = 5 * millilitre",
    "labelling_cup = 240 * millilitre",
    "labelling_fluid_ounce = 30 * millilitre",
    "labelling_tablespoon = 15 * millilitre",
    "labelling_teaspoon = 5 * millilitre",
    "kelvin = [temperature]; offset: 0 = K",
    "degree_celsius = kelvin; offset: 273.15",
    "degree_fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9",
)


@cache
def registry() -> Any:
    """The registry itself (a `pint.UnitRegistry`), built on first call."""
    import pint  # a quarter of a second: not before somebody types a unit

    made = pint.UnitRegistry(None)
    for definition in _DEFINITIONS:
        made.define(definition)
    return made


@cache
def factor(unit: str, into: str) -> float:
    """How many `into` are in one `unit`; for units without an offset."""
    return float(registry().Quantity(1.0, unit).to(into).magnitude)


def in_celsius(number: float, unit: str) -> float:
    """A temperature of `unit` (degree_celsius, degree_fahrenheit, kelvin) in °C."""
    if unit == "degree_celsius":
        return number
    return round(float(registry().Quantity(number, unit).to("degree_celsius").magnitude), 9)


def from_celsius(celsius: float, unit: str) -> float:
    """The opposite of `in_celsius`."""
    if unit == "degree_celsius":
        return celsius
    return round(float(registry().Quantity(celsius, "degree_celsius").to(unit).magnitude), 9)
