"""One batch to look into for the cause of a fault, and what one piece of evidence answers.

A score of 0 speaks against a cause, 1 for it; None means that the record says
nothing about it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from workbench.core.batch.made import composition_made
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material, MaterialKind
from workbench.core.recipe.composition import Composition, expand
from workbench.core.review.wear import WearTests
from workbench.core.wording import Said, say

SILENT = say("The record says nothing about it.")


@dataclass(frozen=True, slots=True)
class Finding:
    """A score 0..1, or None where the record is silent, and the sentence that goes with it."""

    score: float | None = None
    shows: Said = field(default=SILENT)


@dataclass(frozen=True)
class Case:
    """One batch to look into: its state, the tables, and how it wore if anybody said."""

    state: SessionState
    catalogue: Catalogue
    wear: WearTests | None = None

    @cached_property
    def tables(self) -> Catalogue:
        """The catalogue, with rows of the plan for what has left the shelf since."""
        planned = {} if self.state.plan is None else self.state.plan.materials
        if all(key in self.catalogue.materials for key in planned):
            return self.catalogue
        return replace(self.catalogue, materials={**planned, **self.catalogue.materials})

    @property
    def rows(self) -> Mapping[str, Material]:
        return self.tables.materials

    @cached_property
    def made(self) -> Composition:
        """Grams as weighed, leftovers taken apart."""
        return expand(composition_made(self.state), self.rows)

    @cached_property
    def planned(self) -> Composition:
        """Grams as planned, leftovers taken apart."""
        lines = () if self.state.plan is None else self.state.plan.lines
        return expand(Composition.of([(line.material, line.weigh_g) for line in lines]), self.rows)

    @cached_property
    def cooling(self) -> tuple[tuple[float, float], ...]:
        """(s, °C) from the last heating's end to the last tin poured."""
        state = self.state
        heated = [
            each.ended_at_s or 0.0
            for each in state.steps
            if each.step.heat_on and each.begun_at_s is not None
        ]
        last_s = max((each.at_s for each in state.poured.values()), default=state.at_s)
        off_s = max((each for each in heated if each < last_s), default=0.0)
        return tuple((s, c) for s, c in self.readings if off_s <= s <= last_s)

    @cached_property
    def readings(self) -> tuple[tuple[float, float], ...]:
        """All readings as (s, °C), corrections applied."""
        return tuple((each.at_s, self.state.celsius_of(each)) for each in self.state.readings)

    @cached_property
    def set_point_c(self) -> float | None:
        """As seen in this batch or before it, else as reckoned for what was in the jug."""
        seen = self.state.set_point_seen_c
        return self.state.temperatures.set_point_c if seen is None else seen

    def share(self, composition: Composition, *kinds: MaterialKind) -> float:
        """Mass share of these kinds of material, 0..100 %."""
        whole_g = composition.mass_g
        own_g = sum(each.mass_g for each in composition.portions if self.rows[each.material].kind in kinds)
        return 100.0 * own_g / whole_g if whole_g > 0 else 0.0

    def names(self, *kinds: MaterialKind) -> str:
        """Names of the materials of these kinds that went in, most of it first."""
        own = [each for each in self.made.portions if self.rows[each.material].kind in kinds]
        own.sort(key=lambda each: -each.mass_g)
        return ", ".join(self.rows[each.material].name for each in own)


SCENT = (MaterialKind.OIL, MaterialKind.RESIN, MaterialKind.BLEND)
Evidence = Callable[[Case], Finding]


def rising(value: float, none_at: float, all_at: float) -> float:
    """0 at `none_at`, 1 at `all_at` (which may lie on either side), straight between."""
    return min(max((value - none_at) / (all_at - none_at), 0.0), 1.0)
