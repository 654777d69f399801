"""Quantities in the maker's own units, for screens and paper."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.core.units.amounts import Spoons, TemperatureUnit
from workbench.core.units.registry import factor, from_celsius
from workbench.core.wording import Degrees, Duration, Grams, Kelvins, Value


class MassUnit(StrEnum):
    GRAM = "g"
    OUNCE = "oz"


@dataclass(frozen=True, slots=True)
class Units:
    """How one maker likes quantities written and read."""

    mass: MassUnit = MassUnit.GRAM
    temperature: TemperatureUnit = TemperatureUnit.CELSIUS
    spoons: Spoons = Spoons.US
    decimal_comma: bool = False


def write_number(number: float, units: Units, digits: int = 1) -> str:
    """Rounded to `digits` decimals, with the maker's decimal mark and no group separators."""
    text = f"{number:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace(".", ",") if units.decimal_comma else text


def write_mass(mass_g: float, units: Units, digits: int = 1) -> str:
    """`digits` decimals in g; two more in oz, so that no digit of the scale is lost."""
    if units.mass is MassUnit.OUNCE:
        return f"{write_number(mass_g * factor('gram', 'ounce'), units, digits + 2)} oz"
    return f"{write_number(mass_g, units, digits)} g"


def write_volume(volume_ml: float, units: Units, digits: int = 1) -> str:
    """Always in mL: that is what measuring cups and densities are marked in."""
    return f"{write_number(volume_ml, units, digits)} mL"


def write_temperature(celsius: float, units: Units, digits: int = 1) -> str:
    if units.temperature is TemperatureUnit.FAHRENHEIT:
        return f"{write_number(from_celsius(celsius, 'degree_fahrenheit'), units, digits)} °F"
    return f"{write_number(celsius, units, digits)} °C"


def write_temperature_difference(kelvins: float, units: Units, digits: int = 1) -> str:
    """5 K apart are 5 °C or 9 °F apart, never 41 °F."""
    if units.temperature is TemperatureUnit.FAHRENHEIT:
        return f"{write_number(kelvins * 1.8, units, digits)} °F"
    return f"{write_number(kelvins, units, digits)} °C"


def write_value(value: object, units: Units) -> str:
    """A value of a sentence in the maker's units; made for `wording.say_again`."""
    match value:
        case Grams(amount, digits):
            return write_mass(amount, units, digits)
        case Degrees(amount, digits):
            return write_temperature(amount, units, digits)
        case Kelvins(amount, digits):
            return write_temperature_difference(amount, units, digits)
        case Value(amount, digits):
            number = write_number(amount, units, digits)
            return f"{number} {value.unit}" if value.unit else number
        case Duration():
            return str(value)
        case float():
            text = str(value)
            return text.replace(".", ",") if units.decimal_comma else text
        case _:
            return str(value)
