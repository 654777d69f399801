"""Waxes dissolve in oil, butters melt over a range: who is solid at what temperature.

A wax is a solute in everything that is liquid (Schröder–van Laar, ideal):
    ln x = -(L M / R) (1/T - 1/Tm)
with T in K, heat of fusion L in J/g and effective molar mass M in g/mol.  It
is 0 to 4 K low against published gels, hence the stated uncertainty.  Two
waxes are each taken alone in the rest of the melt.  A butter keeps its own
solid fat curve, moved down by the same law as oil thins it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Figure, Material, MaterialKind
from workbench.core.heat import known
from workbench.core.recipe.composition import Composition

Grid = NDArray[np.float64]

LIQUID_BELOW_C = 15.0  # what melts below this is plain oil on a kitchen counter
_SLICES = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])  # a trade wax melts over a range, not at a point


class Part(StrEnum):
    WAX = "wax"
    BUTTER = "butter"
    LIQUID = "liquid"


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One material in the melt, with every value filled in; `guessed` names what was not known."""

    key: str
    name: str
    part: Part
    share: float  # mass fraction of the whole, 0..1
    melt_c: float  # effective melting point of the crystals
    melt_half_width_k: float
    clear_c: float  # upper end of the melting range
    fusion_j_g: float
    molar_g_mol: float
    cp_solid: float  # J/(g K)
    cp_liquid: float
    gels_from: float  # mass fraction
    worth: float  # grams of beeswax that stiffen like one gram
    solid_fat: tuple[tuple[float, float], ...]  # °C, fraction
    density_solid: float
    density_liquid_20: float
    density_slope: float
    hydrocarbon: bool
    guessed: tuple[str, ...]

    @property
    def dissolves_k(self) -> float:
        """R/(L M) in 1/K: how fast the liquidus moves with ln x."""
        return known.GAS_CONSTANT_J_MOL_K / (self.fusion_j_g * self.molar_g_mol)


def spread_out(composition: Composition, catalogue: Catalogue) -> dict[str, float]:
    """Grams by simple material: leftovers and premixes taken apart, however deep."""
    grams: dict[str, float] = {}

    def take(key: str, mass_g: float, depth: int) -> None:
        material = catalogue.material(key)
        if material.made_of and depth < 8:
            for part in material.made_of:
                take(part.material, mass_g * part.share_percent / 100, depth + 1)
        else:
            grams[key] = grams.get(key, 0.0) + mass_g

    for portion in composition.portions:
        take(portion.material, portion.mass_g, 0)
    return grams


def ingredients(composition: Composition, catalogue: Catalogue) -> tuple[Ingredient, ...]:
    """Every material of the melt with its heat values.  Trouble for a material that is not known."""
    grams = spread_out(composition, catalogue)
    total = sum(grams.values())
    if total <= 0:
        return ()
    return tuple(
        _ingredient(catalogue.material(key), mass_g / total)
        for key, mass_g in grams.items()
        if mass_g / total > 1e-9  # less than a speck changes nothing and breaks logarithms
    )


def _ingredient(material: Material, share: float) -> Ingredient:
    guessed: list[str] = []

    def value(figure: Figure | None, fallback: Figure, what: str) -> float:
        if figure is None:
            guessed.append(what)
            return fallback.value
        return figure.value

    part = _part_of(material)
    span = material.melting_c
    if span is None:
        low, high = (50.0, 70.0) if part is Part.WAX else (-20.0, -20.0)
        if part is Part.WAX:
            guessed.append("melting range")
    else:
        low, high = span.low, span.high
    fallback_fusion = known.WAX_FUSION_J_G if part is Part.WAX else known.BUTTER_FUSION_J_G
    fusion = (
        0.0 if part is Part.LIQUID else value(material.heat_of_fusion_j_g, fallback_fusion, "heat of fusion")
    )
    solid_20, liquid_20, slope = _densities(material, part, low, high)
    return Ingredient(
        key=material.key,
        name=material.name,
        part=part,
        share=share,
        # the last crystals go near the upper end of a range read in a melting tube
        melt_c=low + (high - low) * 2 / 3,
        melt_half_width_k=(high - low) / 3,
        clear_c=high,
        fusion_j_g=fusion,
        molar_g_mol=_molar_mass(material, part, guessed),
        cp_solid=value(material.cp_solid_kj_kg_k, material.cp_liquid_kj_kg_k or known.CP_SOLID_KJ_KG_K, "")
        if part is not Part.LIQUID
        else 0.0,
        cp_liquid=value(material.cp_liquid_kj_kg_k, material.cp_solid_kj_kg_k or known.CP_LIQUID_KJ_KG_K, ""),
        gels_from=(material.gels_from_percent or known.GELS_FROM_PERCENT).value / 100,
        worth=1.0 if material.beeswax_worth is None else material.beeswax_worth.value,
        solid_fat=_solid_fat(material, low, high) if part is Part.BUTTER else (),
        density_solid=solid_20,
        density_liquid_20=liquid_20,
        density_slope=slope,
        hydrocarbon=material.carrier_family == "hydrocarbon",
        guessed=tuple(what for what in guessed if what),
    )


def _part_of(material: Material) -> Part:
    if material.kind is MaterialKind.WAX:
        return Part.WAX
    if material.kind.is_scent or material.melting_c is None:
        return Part.LIQUID
    return Part.BUTTER if material.melting_c.high > LIQUID_BELOW_C else Part.LIQUID


def _molar_mass(material: Material, part: Part, guessed: list[str]) -> float:
    if material.molar_mass_g_mol is not None:
        return material.molar_mass_g_mol.value
    if part is Part.WAX:
        guessed.append("molar mass")
        return known.WAX_MOLAR_MASS_G_MOL.value
    if material.kind.is_scent:
        return known.SCENT_MOLAR_MASS_G_MOL.value
    by_family = {
        "hydrocarbon": known.HYDROCARBON_MOLAR_MASS_G_MOL.value,
        "wax ester": known.WAX_ESTER_MOLAR_MASS_G_MOL.value,
    }
    return by_family.get(material.carrier_family, known.OIL_MOLAR_MASS_G_MOL.value)


def _densities(material: Material, part: Part, low: float, high: float) -> tuple[float, float, float]:
    """Density at 20 °C as a solid and as a (perhaps undercooled) liquid, g/mL, and the slope of the liquid."""
    slope = (material.density_slope_g_ml_k or known.DENSITY_SLOPE_G_ML_K).value
    at_20 = None if material.density_g_ml is None else material.density_g_ml.value
    liquid_20 = None
    if material.density_liquid_g_ml is not None:
        at_c = material.density_liquid_at_c if material.density_liquid_at_c is not None else max(high, 20.0)
        liquid_20 = material.density_liquid_g_ml.value - slope * (at_c - 20.0)
    if part is Part.LIQUID:
        liquid_20 = at_20 if at_20 is not None else liquid_20
        known_20 = 0.915 if liquid_20 is None else liquid_20
        return known_20, known_20, slope
    if at_20 is None:
        at_20 = 0.94 if liquid_20 is None else liquid_20 * 1.06
    if liquid_20 is None:
        shrink = known.LIQUID_OF_SOLID_DENSITY.value if part is Part.WAX else 0.95
        melt_c = (low + high) / 2
        liquid_20 = at_20 * shrink - slope * (melt_c - 20.0)
    return at_20, liquid_20, slope


def _solid_fat(material: Material, low: float, high: float) -> tuple[tuple[float, float], ...]:
    if material.solid_fat is not None:
        return tuple((celsius, percent / 100) for celsius, percent in material.solid_fat.points)
    # No curve known: the usual shape, nothing above the range and a long tail below it.
    middle = (low + high) / 2
    return ((low - 25, 0.75), (low - 12, 0.45), (low - 4, 0.22), (middle, 0.06), (high, 0.0))


def ideal_liquidus_c(wax: Ingredient, others_mol_g: float) -> float:
    """Schröder–van Laar: where the last crystal of one wax dissolves in an ideal melt, °C.

    `others_mol_g`: moles of everything else per gram of the whole.
    """
    inverse = 1 / (wax.melt_c + known.ZERO_C_IN_K) - wax.dissolves_k * math.log(
        _mole_share(wax, others_mol_g)
    )
    return 1 / inverse - known.ZERO_C_IN_K


def wax_liquidus_c(wax: Ingredient, others_mol_g: float) -> float:
    """The same, raised by what published gels lie above the ideal line (nothing for the wax alone)."""
    return ideal_liquidus_c(wax, others_mol_g) + _above_ideal_k(wax, others_mol_g)


def _mole_share(part: Ingredient, others_mol_g: float) -> float:
    own = part.share / part.molar_g_mol
    return own / (own + others_mol_g)


def _above_ideal_k(wax: Ingredient, others_mol_g: float) -> float:
    # the form of a regular solution: the excess fades as (1 - x) squared
    return float(known.ABOVE_IDEAL_K.value * (1 - _mole_share(wax, others_mol_g)) ** 2)


def wax_solid(wax: Ingredient, others_mol_g: float, celsius: Grid) -> Grid:
    """Solid wax per gram of the whole at equilibrium, on a grid of temperatures in °C."""
    kelvin = celsius + known.ZERO_C_IN_K - _above_ideal_k(wax, others_mol_g)
    solid = np.zeros(celsius.shape)
    for slice_ in _SLICES:
        melt_k = wax.melt_c + slice_ * wax.melt_half_width_k + known.ZERO_C_IN_K
        x = np.exp(np.minimum((1 / melt_k - 1 / kelvin) / wax.dissolves_k, 0.0))
        # x is 1 above the melting point: there any amount dissolves
        dissolved = np.where(x < 1, x / np.maximum(1 - x, 1e-9) * others_mol_g * wax.molar_g_mol, np.inf)
        solid += np.maximum(wax.share - dissolved, 0.0) / len(_SLICES)
    return solid


def butter_solid(butter: Ingredient, others_mol_g: float, celsius: Grid) -> Grid:
    """Solid butter per gram of the whole, its own curve moved down as oil thins it."""
    x = _mole_share(butter, others_mol_g)
    melt_k = butter.melt_c + known.ZERO_C_IN_K
    shift = 1 / (1 / melt_k - butter.dissolves_k * math.log(x)) - melt_k
    points = np.array(butter.solid_fat)
    fraction = np.interp(celsius - shift, points[:, 0], points[:, 1])
    return np.asarray(butter.share * fraction, dtype=np.float64)
