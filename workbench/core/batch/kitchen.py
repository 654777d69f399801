"""What a batch is made with and for whom, as the condition words that choose cautions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.catalogue.shelf import Microwave, Shelf, Thermometer, ThermometerKind, Vessel
from workbench.core.recipe.model import Heat, Recipe
from workbench.core.recipe.weighed import Weighed

PROBE_GOOD_FOR_DAYS = 180
_WEARER = (
    ("pregnant", "pregnant"),
    ("child", "child"),
    ("asthma", "asthma"),
    ("broken_skin", "broken_skin"),
    ("pets", "pets"),
    ("worn_in_sun", "sun"),
    ("selling", "selling"),
)


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What the batch is made with, and what of it decides cautions."""

    vessel: Vessel | None
    thermometer: Thermometer | None
    stove: str
    leftover: bool  # the pot holds fragrance from the start
    wearer: frozenset[str]
    probe_due: bool
    oven: Microwave | None = None

    @classmethod
    def of(cls, recipe: Recipe, catalogue: Catalogue, weighed: Weighed, today: date | None) -> Kitchen:
        vessel = None if recipe.vessel is None else catalogue.vessel(recipe.vessel)
        if recipe.thermometer is not None:
            catalogue.thermometer(recipe.thermometer)  # one that has gone is said, not passed over
        thermometer = catalogue.shelf.thermometer_for(recipe.thermometer)
        materials = [catalogue.material(line.material) for line in weighed.lines]
        wearer = {word for name, word in _WEARER if getattr(recipe.brief, name)}
        if recipe.brief.allergies:
            wearer.add("allergy")
        if any(material.peroxide_limit_mmol_l is not None for material in materials):
            wearer.add("peroxide")
        phototoxic = {
            key for limit in catalogue.limits if limit.group == "phototoxic" for key in limit.restricted_as
        }
        if any(phototoxic & set(material.restricted_as) for material in materials):
            wearer.add("phototoxic")
        return cls(
            vessel,
            thermometer,
            "" if catalogue.shelf.stove is None else catalogue.shelf.stove.value,
            any(material.kind is MaterialKind.LEFTOVER for material in materials),
            frozenset(wearer),
            _probe_due(thermometer, today),
            oven_of(recipe, catalogue.shelf),
        )

    def hot(self, *more: str) -> set[str]:
        """Condition words of a step with a hot jug."""
        words = {"hot", *more}
        if self.vessel is not None:
            words.add(self.vessel.material.value)
        if self.thermometer is not None and self.thermometer.kind is ThermometerKind.INFRARED:
            words.add("infrared")
        return words

    def heated_by(self, heat: Heat) -> tuple[str, ...]:
        return ("microwave",) if heat is Heat.MICROWAVE else ("water-bath", self.stove)


def oven_of(recipe: Recipe, shelf: Shelf) -> Microwave | None:
    """The one a recipe names; where it names none that is there, the only one there is."""
    found = next((each for each in shelf.microwaves if each.key == recipe.microwave), None)
    return shelf.microwaves[0] if found is None and len(shelf.microwaves) == 1 else found


def _probe_due(thermometer: Thermometer | None, today: date | None) -> bool:
    if thermometer is None or thermometer.kind is not ThermometerKind.PROBE:
        return False
    if thermometer.dropped_since or thermometer.checked is None:
        return True
    return today is not None and (today - thermometer.checked).days > PROBE_GOOD_FOR_DAYS
