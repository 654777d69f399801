"""What is in the jug: grams per material, the one currency of every computation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Portion:
    material: str
    mass_g: float


@dataclass(frozen=True, slots=True)
class Composition:
    """Grams of each material, planned or as weighed; no zero and no repeated entries."""

    portions: tuple[Portion, ...]

    @classmethod
    def of(cls, masses: Mapping[str, float] | Iterable[tuple[str, float]]) -> Composition:
        """Add up masses in grams by material; entries of 0 g or less are left out."""
        totals: dict[str, float] = {}
        for material, mass_g in masses.items() if isinstance(masses, Mapping) else masses:
            totals[material] = totals.get(material, 0.0) + mass_g
        return cls(tuple(Portion(key, mass) for key, mass in totals.items() if mass > 0))

    @property
    def mass_g(self) -> float:
        return sum(portion.mass_g for portion in self.portions)

    def as_dict(self) -> dict[str, float]:
        return {portion.material: portion.mass_g for portion in self.portions}

    def share(self, material: str) -> float:
        """Mass fraction 0..1 of one material; 0 for an empty composition."""
        total = self.mass_g
        return self.as_dict().get(material, 0.0) / total if total > 0 else 0.0

    def plus(self, other: Mapping[str, float]) -> Composition:
        return Composition.of([*self.as_dict().items(), *other.items()])

    def only(self, materials: Iterable[str]) -> Composition:
        wanted = set(materials)
        return Composition(tuple(p for p in self.portions if p.material in wanted))
