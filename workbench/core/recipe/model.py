"""A recipe: what goes in, in the maker's own words and measures.

A recipe never holds grams that follow from something else; `amounts.py`
computes them.  An edit makes a new, frozen recipe.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from workbench.core.catalogue.model import Key, Note, Percent, Place, Row, Text, Use
from workbench.core.units import Measure as Measure  # read from text there, stored here

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]


class Amount(Row):
    """A number with the measure it was meant in, and the text as typed ("2 tsp")."""

    value: Annotated[float, Field(ge=0, allow_inf_nan=False)]
    measure: Measure
    typed: str = ""


class BaseLine(Row):
    """A wax, butter, carrier oil, additive or leftover; parts and % refer to the base."""

    material: Key
    amount: Amount
    scale: Key | None = None
    lot: Key | None = None


class ScentLine(Row):
    """An oil of the scent; parts and % refer to the scent blend."""

    material: Key
    amount: Amount
    note: Note
    scale: Key | None = None
    lot: Key | None = None


class Heat(StrEnum):
    WATER_BATH = "water-bath"
    MICROWAVE = "microwave"


class Brief(Row):
    """For whom and what; initials only."""

    for_whom: Annotated[str, Field(max_length=8)] = ""
    occasion: str = ""
    liked: str = ""
    disliked: str = ""
    allergies: tuple[str, ...] = ()
    pregnant: bool = False
    child: bool = False
    asthma: bool = False
    broken_skin: bool = False
    pets: bool = False
    worn_in_sun: bool = True
    selling: bool = False
    worn_where: str = ""


class TinCount(Row):
    tin: Key
    count: Annotated[int, Field(ge=1, le=10_000)]


class BatchSize(Row):
    """Either tins with an allowance for what stays in the jug, or a plain mass."""

    tins: tuple[TinCount, ...] = ()
    jug_allowance_percent: Annotated[float, Field(ge=0, le=50)] = 5.0
    mass_g: Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)] | None = None

    @model_validator(mode="after")
    def _one_of(self) -> Self:
        if bool(self.tins) == (self.mass_g is not None):
            raise ValueError("give either tins with a count or a mass in grams, not both")
        return self


class Premix(Row):
    """Carrier held back and mixed with the scent before it goes in."""

    carrier: Key
    share_of_carrier_percent: Percent  # how much of that line is held back
    warmed_to_c: float | None = None  # None: at room temperature


class Recipe(Row):
    """One revision of one recipe."""

    name: Text
    brief: Brief = Brief()
    base: tuple[BaseLine, ...] = ()
    scent: tuple[ScentLine, ...] = ()
    load_percent: Annotated[float, Field(ge=0, le=40, allow_inf_nan=False)] = 5.0
    load_from_scent: bool = False  # True: scent in grams or drops sets the load instead
    uses: tuple[Use, ...] = (Use.PERFUME,)
    place: Place = Place.EU
    heat: Heat = Heat.WATER_BATH
    vessel: Key | None = None
    microwave: Key | None = None
    thermometer: Key | None = None
    size: BatchSize = BatchSize(mass_g=60.0)
    premix: Premix | None = None
    flash_margin_k: Annotated[float, Field(ge=5, le=40)] = 5.0
    observed_set_point_c: float | None = None
    blend_flash_on_paper_c: float | None = None  # lowest reading on the supplier's paper for the scent blend
    add_above_flash_safe: bool = False  # the last remedy, accepted beforehand
    accepted_remedy: str = ""
    remarks: str = ""

    @model_validator(mode="after")
    def _lines(self) -> Self:
        seen: set[str] = set()
        for material in [line.material for line in self.base] + [line.material for line in self.scent]:
            if material in seen:
                raise ValueError(f"{material} stands on two lines; put it on one")
            seen.add(material)
        for base in self.base:
            if base.amount.measure is Measure.DROPS:
                raise ValueError("a base line cannot be in drops; use parts, %, g or mL")
        if not self.uses:
            raise ValueError("choose at least one intended use")
        return self
