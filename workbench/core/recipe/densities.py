"""Densities at room temperature, of materials and of what is mixed from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from workbench.core.catalogue.model import Material
from workbench.core.catalogue.shelf import Lot

# Between squalane (0.81) and castor oil (0.96) lie all fats, waxes and nearly all oils of the
# trade; a line without a density is counted at this one and is named.
UNKNOWN_DENSITY_G_ML = 0.9
DROP = "grams of one drop"  # what a bottle taught


def density_of(key: str, materials: Mapping[str, Material]) -> float | None:
    """g/mL at 20 °C: of the solid for waxes and butters, of the mixture for a leftover.

    None where it is not known, also for a part of a mixture.
    """
    return _density(key, materials, ())


def _density(key: str, materials: Mapping[str, Material], above: tuple[str, ...]) -> float | None:
    material = materials.get(key)
    if material is None or key in above:
        return None
    if material.density_g_ml is not None:
        return material.density_g_ml.value
    if not material.made_of:
        return None
    volume = 0.0
    for part in material.made_of:
        density = _density(part.material, materials, (*above, key))
        if density is None:
            return None
        volume += part.share_percent / density
    return sum(part.share_percent for part in material.made_of) / volume


def mixed_density_g_ml(masses: Iterable[tuple[float, float]]) -> float:
    """Density of (grams, g/mL) pairs whose volumes add up (ideal mixing).

    Real balms shrink by up to about 1 % on mixing and hold some air; a fill
    line is read no better.  An empty mixture counts as `UNKNOWN_DENSITY_G_ML`.
    """
    mass = volume = 0.0
    for grams, density in masses:
        mass += grams
        volume += grams / density
    return mass / volume if volume > 0 else UNKNOWN_DENSITY_G_ML


def drop_weighed_g(material: str, lot: str | None, lots: Iterable[Lot]) -> float | None:
    """Grams of one drop from the bottle in use, where its drops were counted and weighed.

    With no lot chosen: from the first bottle of this material that was.
    """
    for each in lots:
        if each.material != material or (lot is not None and each.key != lot):
            continue
        for row in each.learned:
            if row.what == DROP:
                return row.value
    return None
