"""What a recipe comes to: every line in grams, with what a scale makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.core.recipe.composition import Composition


class Where(StrEnum):
    BASE = "base"
    SCENT = "scent"


@dataclass(frozen=True, slots=True)
class Drops:
    """Honest scatter of a dropper: 20 to 40 drops per mL."""

    typical: int
    low_g: float
    high_g: float


@dataclass(frozen=True, slots=True)
class WayOut:
    """What to do about a line that its scale cannot weigh to 5 %."""

    kind: str  # "other scale", "dilution", "drops" or "larger batch"
    says: str  # a full sentence with its numbers
    drops: Drops | None = None
    dilute_oil_g: float | None = None  # weigh this much oil ...
    dilute_carrier_g: float | None = None  # ... into this much carrier ...
    take_g: float | None = None  # ... and take this much of it
    batch_g: float | None = None
    scale: str | None = None  # key of the other scale


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a recipe in grams."""

    where: Where
    index: int  # position in recipe.base or recipe.scent
    material: str
    name: str
    as_meant: str  # "3 parts", "12 drops", "2 tsp"
    exact_g: float  # before rounding to the scale
    weigh_g: float  # what the scale should show
    share_percent: float  # of the whole batch, from exact_g
    scale: str | None  # key of the scale chosen
    readability_g: float | None
    error_percent: float | None  # half a digit over the mass
    weighable: bool  # a scale at hand weighs it to 5 %
    ways_out: tuple[WayOut, ...]
    cost: float | None
    held_back_g: float = 0.0  # premix carrier


@dataclass(frozen=True, slots=True)
class TinFill:
    tin: str
    name: str
    count: int
    volume_ml: float  # to the fill line, each
    fill_g: float  # each, at room temperature


@dataclass(frozen=True, slots=True)
class Cost:
    amount: float | None
    currency: str
    missing: tuple[str, ...]  # names without a price
    why: str = ""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A recipe in grams, ready to weigh."""

    batch_g: float
    base_g: float
    scent_g: float
    load_percent: float
    lines: tuple[Line, ...]
    tins: tuple[TinFill, ...]
    density_g_ml: float
    jug_allowance_g: float
    cost: Cost
    notes: tuple[str, ...]  # plain remarks for the screen ("the scent sets the load")

    @property
    def composition(self) -> Composition:
        return Composition.of([(line.material, line.exact_g) for line in self.lines])

    @property
    def scent_composition(self) -> Composition:
        return Composition.of(
            [(line.material, line.exact_g) for line in self.lines if line.where is Where.SCENT]
        )

    @property
    def base_composition(self) -> Composition:
        return Composition.of(
            [(line.material, line.exact_g) for line in self.lines if line.where is Where.BASE]
        )
