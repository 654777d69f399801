"""What the user chose for the whole program; `store.preferences` keeps it in one validated file."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from workbench.core.units import MassUnit, Spoons, TemperatureUnit, Units
from workbench.ui.theme import Scheme

FILE_NAME = "preferences.json"
TEXT_SIZES = (100, 115, 130, 150, 175, 200)  # per cent


class Preferences(BaseModel):
    """Units, look, language, and the maker's own measures of the screen."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    mass: MassUnit = MassUnit.GRAM
    temperature: TemperatureUnit = TemperatureUnit.CELSIUS
    spoons: Spoons = Spoons.METRIC
    decimal_comma: bool = False
    scheme: Scheme = Scheme.SYSTEM
    text_percent: Annotated[int, Field(ge=100, le=200)] = 100
    language: str = ""  # "" follows the system
    bench_percent: Annotated[int, Field(ge=100, le=200)] = 100
    ruler_px_per_mm: Annotated[float, Field(gt=0.5, lt=60)] | None = None  # measured on the screen
    sound_percent: Annotated[int, Field(ge=0, le=100)] = 80
    speech: bool = True
    maker: Annotated[str, Field(max_length=8)] = ""
    last_project: str = ""
    practised: bool = False  # a practice run was finished once

    @property
    def units(self) -> Units:
        return Units(
            mass=self.mass,
            temperature=self.temperature,
            spoons=self.spoons,
            decimal_comma=self.decimal_comma,
        )
