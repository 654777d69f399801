"""Sentences and values on a batch sheet, in the maker's units and the program's language."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from workbench.core.units import (
    TemperatureUnit,
    Units,
    write_mass,
    write_number,
    write_temperature,
    write_value,
)
from workbench.core.units.registry import from_celsius
from workbench.core.wording import Duration, say_again


def _as_it_is(text: str) -> str:
    return text


@dataclass(frozen=True, slots=True)
class Voice:
    units: Units = field(default_factory=Units)
    translate: Callable[[str], str] = _as_it_is

    def say(self, text: str) -> str:
        """A sentence again, translated, with its values in the maker's units."""
        return say_again(text, self.translate, lambda value: write_value(value, self.units))

    def mass(self, mass_g: float, digits: int = 2) -> str:
        return write_mass(mass_g, self.units, digits)

    def degrees(self, celsius: float, digits: int = 1) -> str:
        return write_temperature(celsius, self.units, digits).replace("-", "−")

    def shown_degrees(self, celsius: float) -> float:
        """The bare number on the maker's scale."""
        return from_celsius(celsius, "degree_fahrenheit") if self.fahrenheit else celsius

    @property
    def fahrenheit(self) -> bool:
        return self.units.temperature is TemperatureUnit.FAHRENHEIT

    def number(self, value: float, digits: int = 1) -> str:
        return write_number(value, self.units, digits).replace("-", "−")

    def share(self, percent: float, digits: int = 2) -> str:
        return f"{self.number(percent, digits)} %"

    def took(self, seconds: float) -> str:
        """Minutes are enough from ten minutes on."""
        return str(Duration(seconds if seconds < 600 else 60 * round(seconds / 60)))

    @staticmethod
    def day(when: datetime) -> str:
        return f"{when:%Y-%m-%d}"

    @staticmethod
    def clock(when: datetime) -> str:
        return f"{when:%H:%M}"
