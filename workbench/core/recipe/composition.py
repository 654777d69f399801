"""What is in the jug: grams per material, the one currency of every computation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from workbench.core.catalogue.model import Material
from workbench.core.trouble import Trouble
from workbench.core.wording import say


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


def expand(composition: Composition, materials: Mapping[str, Material]) -> Composition:
    """The same jug with leftovers and premixes taken apart into what they are made of.

    Goes down to materials that are not made of others and keeps the total mass
    to the last bit of arithmetic.  Raises `Trouble` for a material that is not
    known and for one that contains itself.
    """
    resolved: dict[str, dict[str, float]] = {}
    parts = [
        (key, portion.mass_g * share)
        for portion in composition.portions
        for key, share in _taken_apart(portion.material, materials, (), resolved).items()
    ]
    return Composition.of(parts)


def _taken_apart(
    key: str,
    materials: Mapping[str, Material],
    above: tuple[str, ...],
    resolved: dict[str, dict[str, float]],
) -> dict[str, float]:
    """Mass fractions of what one material consists of; they add up to 1."""
    known = resolved.get(key)
    if known is not None:
        return known
    material = materials.get(key)
    if material is None:
        raise Trouble(
            say("There is no material “{key}” here. Choose another or add it to the shelf.", key=key)
        )
    if key in above:
        raise Trouble(
            say("“{name}” is made of itself. Correct what it is made of on the shelf.", name=material.name)
        )
    if not material.made_of:
        shares = {key: 1.0}
    else:
        shares = {}
        # the shares may miss 100 % by a hundredth; mass must not be lost over that
        whole = sum(part.share_percent for part in material.made_of)
        for part in material.made_of:
            for inner, share in _taken_apart(part.material, materials, (*above, key), resolved).items():
                shares[inner] = shares.get(inner, 0.0) + share * part.share_percent / whole
    resolved[key] = shares
    return shares
