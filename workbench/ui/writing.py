"""Values and sentences written the user's way: ounces or grams, °F or °C, comma or point."""

from __future__ import annotations

from dataclasses import dataclass, field

from PySide6.QtCore import QCoreApplication

from workbench.core.trouble import Trouble
from workbench.core.units import (
    MassUnit,
    ReadAmount,
    TemperatureUnit,
    Units,
    read_amount,
    read_mass,
    read_number,
    read_temperature,
    write_mass,
    write_number,
    write_temperature,
    write_temperature_difference,
    write_value,
)
from workbench.core.units import Measure as UnitMeasure
from workbench.core.wording import Counted, say, say_again


def translate(text: str) -> str:
    """A sentence of the core in the language of the window; unchanged where it has no translation."""
    count = text.n if isinstance(text, Counted) else -1
    return QCoreApplication.translate("core", text, "", count) if text else text


def told(text: str) -> str:
    """A sentence about what was typed, in the language of the window; it holds no quantities to convert."""
    return say_again(text, translate, str)


@dataclass(frozen=True, slots=True)
class Writer:
    """Writes and reads values in the units that were chosen."""

    units: Units = field(default_factory=Units)

    def number(self, value: float, digits: int = 1) -> str:
        return write_number(value, self.units, digits).replace("-", "−")

    def short(self, value: float, digits: int = 3) -> str:
        """Up to `digits` decimals, without trailing zeros: as one would type it."""
        text = write_number(value, self.units, digits)
        mark = "," if self.units.decimal_comma else "."
        return text.rstrip("0").rstrip(mark) if mark in text else text

    def grams(self, mass_g: float, digits: int | None = None) -> str:
        """A mass with its unit; `digits` are the decimals in grams, by its size where not given."""
        if digits is None:
            digits = 0 if abs(mass_g) >= 100 else 1 if abs(mass_g) >= 10 else 2
        return write_mass(mass_g, self.units, digits)

    def degrees(self, celsius: float, digits: int = 0) -> str:
        return write_temperature(celsius, self.units, digits).replace("-", "−")

    def kelvins(self, kelvins: float, digits: int = 0) -> str:
        """A difference of temperatures in the degrees that are shown."""
        return write_temperature_difference(kelvins, self.units, digits)

    def share(self, percent: float, digits: int | None = None) -> str:
        """A percentage; small ones keep two figures that count."""
        if digits is None:
            digits = 0 if percent >= 99.95 else 1 if percent >= 9.95 else 2 if percent >= 0.095 else 3
            if percent < 0.0095 and percent > 0:
                digits = 4
        if 0 < percent < 0.5 * 10**-digits:
            return f"< {self.short(10**-digits, digits)} %"
        return f"{self.short(percent, digits)} %"

    def money(self, amount: float, currency: str) -> str:
        return f"{self.number(amount, 2)} {currency}"

    @property
    def mass_unit(self) -> str:
        return self.units.mass.value

    @property
    def heat_unit(self) -> str:
        return self.units.temperature.value

    # what is typed into a field, in the units of the window, without the unit

    def mass_text(self, mass_g: float, digits: int = 3) -> str:
        if self.units.mass is MassUnit.OUNCE:
            return write_mass(mass_g, self.units, digits).removesuffix(" oz").rstrip("0").rstrip(".,")
        return self.short(mass_g, digits)

    def heat_text(self, celsius: float, digits: int = 1) -> str:
        shown = celsius * 1.8 + 32 if self.units.temperature is TemperatureUnit.FAHRENHEIT else celsius
        return self.short(shown, digits)

    def read_mass(self, text: str) -> float:
        """Grams; a bare number counts in the unit of the window."""
        return _at_least(read_mass(text, bare_unit=self.units.mass.value), 0.0)

    def read_degrees(self, text: str) -> float:
        """°C; a bare number counts in the degrees of the window."""
        return read_temperature(text, default=self.units.temperature)

    def read_plain(self, text: str) -> float:
        """A plain number of 0 or more; a unit sign behind a percentage does no harm."""
        return _at_least(read_number(text.strip().removesuffix("%")), 0.0)

    def read_signed(self, text: str) -> float:
        """A plain number, which may be less than nothing (the offset of a probe)."""
        return read_number(text)

    def read_amount(self, text: str, bare: UnitMeasure | None, density_g_ml: float | None) -> ReadAmount:
        return read_amount(text, spoons=self.units.spoons, density_g_ml=density_g_ml, bare=bare)

    def value(self, value: object) -> str:
        if isinstance(value, str):
            return translate(value)
        return write_value(value, self.units).replace("-", "−")

    def sentence(self, text: str) -> str:
        """A sentence of the core, in the user's language and units."""
        return say_again(text, translate, self.value) if text else ""

    def trouble(self, trouble: Trouble | None) -> str:
        """A trouble with every fault of it, one to a line; "" for none."""
        if trouble is None:
            return ""
        faults = (
            f"– {translate(fault.place)}: {self.sentence(fault.says)}"
            if fault.place
            else f"– {self.sentence(fault.says)}"
            for fault in trouble.faults
        )
        return "\n".join([self.sentence(trouble.says), *faults])


def _at_least(value: float, least: float) -> float:
    if value < least:
        raise Trouble(say("This is less than nothing. Type 0 or more."))
    return value
