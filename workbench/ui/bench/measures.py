"""The maker's units at the bench: reading what was typed, writing what is shown.

A thin coat over the window's `Writer`; it is a value, so that a widget sees
at once whether the setting changed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from workbench.core.batch.steps import Step
from workbench.core.batch.words import sentence_of
from workbench.core.units import TemperatureUnit, read_number
from workbench.ui.writing import Writer


@dataclass(frozen=True, slots=True)
class Measures:
    writer: Writer = field(default_factory=Writer)

    # -- temperature

    @property
    def temperature_unit(self) -> str:
        return self.writer.heat_unit

    def temperature_number(self, celsius: float) -> float:
        """For the axis of a plot, which wants a bare number in the maker's unit."""
        fahrenheit = self.writer.units.temperature is TemperatureUnit.FAHRENHEIT
        return celsius * 1.8 + 32 if fahrenheit else celsius

    def temperature(self, celsius: float, digits: int = 1) -> str:
        return self.writer.degrees(celsius, digits)

    def difference(self, kelvin: float, digits: int = 1) -> str:
        return self.writer.kelvins(kelvin, digits)

    def read_temperature(self, text: str) -> float:
        """°C; a bare number counts the maker's own unit.  Raises `Trouble` with a sentence."""
        return self.writer.read_degrees(text)

    # -- mass

    @property
    def mass_unit(self) -> str:
        return self.writer.mass_unit

    def mass(self, mass_g: float, readability_g: float | None = None) -> str:
        return self.writer.grams(mass_g, digits_of(readability_g))

    def read_mass(self, text: str) -> float:
        """Grams; a bare number counts the maker's own unit.  Raises `Trouble` with a sentence."""
        return self.writer.read_mass(text)

    # -- anything else

    def number(self, value: float, digits: int = 0) -> str:
        return self.writer.number(value, digits)

    def read_number(self, text: str) -> float:
        return read_number(text)

    def say(self, text: str) -> str:
        """A sentence of the core in the language of the window and in the maker's units."""
        return self.writer.sentence(text)

    def step_says(self, step: Step, what: str) -> str:
        """One text of a step ("title", "instruction", "bench", ...)."""
        return self.say(sentence_of(step, what))


def digits_of(readability_g: float | None) -> int:
    """Decimals that a scale of this readability shows: 0.01 g has two."""
    if readability_g is None or readability_g <= 0:
        return 1
    return max(0, min(3, math.ceil(-math.log10(readability_g) - 1e-9)))
