"""What of a mixture gives off vapour: its constituents in moles, ready for the flash rule.

Oils enter as their constituents at typical shares.  Compositions rarely add up
to 100 %; the missing rest counts as more of the same, never as something that
does not burn.  Leftovers and premixes enter as what they are made of.

Where a value is missing the cautious one stands in, and the constituent is
named in `estimated`:
- no flash point: the temperature where the vapour pressure reaches 500 Pa, a
  lower explosion limit of 0.5 %.  At their measured flash points limonene,
  alpha-pinene and linalool have 600 to 1000 Pa (lower limits of terpenes are
  near 0.7 %), so 500 Pa lies below;
- no enthalpy of vaporisation: 70 - 3.82 ln P25 kJ/mol (Goss and Schwarzenbach
  2001, recalled);
- neither pressure nor flash point: left out, and the rest of the oil stands in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from workbench.core.catalogue.activity import Activity
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.kept import Kept
from workbench.core.catalogue.model import Confidence, Constituent, Material
from workbench.core.recipe.composition import Composition, expand

Vector = npt.NDArray[np.float64]

GAS_J_MOL_K = 8.314462618
ZERO_C_K = 273.15
ROOM_K = 298.15
LEAN_LIMIT_PA = 500.0
# An oil of unknown make enters as one substance of a light terpene's molar mass: the lighter, the
# more moles, the lower the flash point.
LIGHT_TERPENE_G_MOL = 136.24
# Molar masses of base materials whose table gives none.  Real ones are effective values of mixtures; the
# heavier the base, the fewer its moles and the lower the computed flash point, so the default is heavy.
FAMILY_G_MOL: Mapping[str, float] = {
    "triglyceride": 885.4,
    "medium triglyceride": 470.7,
    "wax ester": 676.0,
    "hydrocarbon": 422.8,
}
HEAVY_BASE_G_MOL = 900.0
# g/mol of the subgroups of original UNIFAC that occur in carriers (CH3, CH2, CH, C, CH=CH, OH, CH2COO, ...)
_GROUP_G_MOL: Mapping[int, float] = {
    1: 15.035, 2: 14.027, 3: 13.019, 4: 12.011, 5: 27.046, 6: 26.038, 7: 26.038, 8: 25.030,
    14: 17.007, 21: 59.044, 22: 58.036, 23: 45.017, 42: 45.017, 77: 44.009,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Volatile:
    """One substance with what the flash rule needs of it."""

    key: str
    name: str
    molar_mass_g_mol: float
    enthalpy_j_mol: float
    flash_k: float
    psat25_pa: float
    groups: Mapping[str, int]
    estimated: bool  # the flash point is ours, not a measured one

    def pressure_pa(self, t_k: float) -> float:
        return self.psat25_pa * math.exp(self.enthalpy_j_mol / GAS_J_MOL_K * (1 / ROOM_K - 1 / t_k))


@dataclass(frozen=True, slots=True)
class Oil:
    """One material that gives off vapour: moles of each substance in a gram of it."""

    material: Material
    moles_per_g: Mapping[int, float]
    by_its_flash_point: bool  # of unknown make: enters as one substance


@dataclass(frozen=True, slots=True)
class VapourTables:
    """Everything volatile of one catalogue, compiled once."""

    catalogue: Catalogue
    volatiles: tuple[Volatile, ...]
    oils: Mapping[str, Oil]
    unknown: frozenset[str]  # scent materials with neither composition nor flash point
    carrier_g_mol: Mapping[str, float]  # family -> mass of the molecule that its groups make
    families: tuple[str, ...]
    activity: Activity | None  # of all volatiles and then the families; None without a table


def goss_j_mol(psat25_pa: float) -> float:
    """Enthalpy of vaporisation from the vapour pressure at 25 °C, J/mol."""
    return (70.0 - 3.82 * math.log(psat25_pa)) * 1000.0


def flash_from_pressure_k(psat25_pa: float, enthalpy_j_mol: float, at_pa: float = LEAN_LIMIT_PA) -> float:
    """Where the vapour pressure reaches `at_pa`, in K; at most 900 K."""
    inverse = 1 / ROOM_K - GAS_J_MOL_K / enthalpy_j_mol * math.log(at_pa / psat25_pa)
    return min(1 / inverse, 900.0) if inverse > 0 else 900.0


def pressure_from_flash_pa(flash_k: float, at_pa: float = LEAN_LIMIT_PA) -> float:
    """The vapour pressure at 25 °C that fits a flash point, by the same two relations, Pa."""
    low, high = math.log(1e-12), math.log(1e5)
    for _ in range(60):
        middle = (low + high) / 2
        pressure = math.exp(middle)
        if flash_from_pressure_k(pressure, goss_j_mol(pressure), at_pa) > flash_k:
            low = middle
        else:
            high = middle
    return math.exp((low + high) / 2)


def volatile_of(constituent: Constituent) -> Volatile | None:
    """None where neither a vapour pressure nor a flash point is known."""
    measured = constituent.flash_point_c
    if constituent.psat25_pa is None and measured is None:
        return None
    flash_k = None if measured is None else measured.value + ZERO_C_K
    if constituent.psat25_pa is not None:
        psat = constituent.psat25_pa.value
    else:
        assert flash_k is not None
        psat = pressure_from_flash_pa(flash_k)
    enthalpy = (
        constituent.dhvap_kj_mol.value * 1000 if constituent.dhvap_kj_mol is not None else goss_j_mol(psat)
    )
    return Volatile(
        key=constituent.key,
        name=constituent.name,
        molar_mass_g_mol=constituent.molar_mass_g_mol.value,
        enthalpy_j_mol=enthalpy,
        flash_k=flash_from_pressure_k(psat, enthalpy) if flash_k is None else flash_k,
        psat25_pa=psat,
        groups=constituent.unifac,
        estimated=flash_k is None,
    )


def compile_vapours(catalogue: Catalogue) -> VapourTables:
    volatiles: list[Volatile] = []
    index: dict[str, int] = {}
    for key, constituent in catalogue.constituents.items():
        found = volatile_of(constituent)
        if found is not None:
            index[key] = len(volatiles)
            volatiles.append(found)
    oils: dict[str, Oil] = {}
    unknown: set[str] = set()
    for key, material in catalogue.materials.items():
        if material.made_of:
            continue
        known = [part for part in material.composition if part.constituent in index and part.percent > 0]
        whole = sum(part.percent for part in known)
        if known:
            moles = {
                index[part.constituent]: part.percent
                / whole
                / volatiles[index[part.constituent]].molar_mass_g_mol
                for part in known
            }
            oils[key] = Oil(material, moles, by_its_flash_point=False)
        elif material.kind.is_scent and material.flash_point_c is not None:
            flash_k = material.flash_point_c.value + ZERO_C_K
            psat = pressure_from_flash_pa(flash_k)
            oils[key] = Oil(material, {len(volatiles): 1 / LIGHT_TERPENE_G_MOL}, by_its_flash_point=True)
            volatiles.append(
                Volatile(
                    key,
                    material.name,
                    LIGHT_TERPENE_G_MOL,
                    goss_j_mol(psat),
                    flash_k,
                    psat,
                    {},
                    estimated=True,
                )
            )
        elif material.kind.is_scent:
            unknown.add(key)
    families = tuple(catalogue.carriers)
    activity = None
    if catalogue.unifac.subgroups:
        groups = [volatile.groups for volatile in volatiles]
        activity = Activity([*groups, *(catalogue.carriers[family] for family in families)], catalogue.unifac)
    return VapourTables(
        families=families,
        activity=activity,
        catalogue=catalogue,
        volatiles=tuple(volatiles),
        oils=oils,
        unknown=frozenset(unknown),
        carrier_g_mol={
            family: sum(_GROUP_G_MOL[int(group)] * count for group, count in groups.items())
            for family, groups in catalogue.carriers.items()
            if all(int(group) in _GROUP_G_MOL for group in groups)
        },
    )


vapours_of: Final = Kept(compile_vapours)  # of this very catalogue, built when first asked for


@dataclass(frozen=True, slots=True)
class Mixture:
    """Moles of everything in there.  `moles[m, i]`: of substance i from oil m."""

    oils: tuple[Oil, ...]
    volatiles: tuple[Volatile, ...]
    places: tuple[int, ...]  # of these volatiles in the tables
    tables: VapourTables
    moles: Vector
    base_moles: float  # by real molar mass, for the ideal rule
    carrier_moles: Mapping[str, float]  # by family, of the molecule that stands for it in UNIFAC
    base: tuple[Material, ...]
    unknown: tuple[Material, ...]  # scent of which nothing is known

    @property
    def all_moles(self) -> float:
        """With the carriers as the molecules that stand for them in UNIFAC."""
        return float(self.moles.sum()) + sum(self.carrier_moles.values())

    def gammas(self, t_k: float) -> Vector:
        """Activity coefficients of the volatiles at a temperature in K; one without a table."""
        if self.tables.activity is None or not self.places:
            return np.ones(len(self.places))
        fractions = np.zeros(len(self.tables.volatiles) + len(self.tables.families))
        fractions[list(self.places)] = self.moles.sum(axis=0)
        for at, family in enumerate(self.tables.families, start=len(self.tables.volatiles)):
            fractions[at] = self.carrier_moles.get(family, 0.0)
        found: Vector = np.exp(self.tables.activity.ln_gamma(fractions, t_k)[list(self.places)])
        return found

    @property
    def anchored(self) -> bool:
        return any(_paper(oil.material) for oil in self.oils)


def _paper(material: Material) -> bool:
    return material.flash_point_c is not None and material.flash_point_c.confidence is Confidence.SUPPLIER


def supplier_flash_k(material: Material) -> float | None:
    """The flash point that the user typed in from the supplier's papers, in K."""
    if material.flash_point_c is None or not _paper(material):
        return None
    return material.flash_point_c.value + ZERO_C_K


def mixture_of(composition: Composition, catalogue: Catalogue) -> Mixture:
    """Take a composition apart into moles.  Raises `Trouble` for an unknown material."""
    tables = vapours_of(catalogue)
    oils: list[tuple[Oil, float]] = []
    base: list[Material] = []
    unknown: list[Material] = []
    base_moles = 0.0
    carrier_moles: dict[str, float] = {}
    for portion in expand(composition, catalogue.materials).portions:
        oil = tables.oils.get(portion.material)
        material = catalogue.material(portion.material)
        if oil is not None:
            oils.append((oil, portion.mass_g))
        elif portion.material in tables.unknown:
            unknown.append(material)
        else:
            base.append(material)
            family = carrier_family(material)
            base_moles += portion.mass_g / base_molar_mass(material)
            molecule = tables.carrier_g_mol.get(family, FAMILY_G_MOL.get(family, HEAVY_BASE_G_MOL))
            carrier_moles[family] = carrier_moles.get(family, 0.0) + portion.mass_g / molecule
    used = sorted({place for oil, _ in oils for place in oil.moles_per_g})
    column = {place: at for at, place in enumerate(used)}
    moles = np.zeros((len(oils), len(used)))
    for row, (oil, mass_g) in enumerate(oils):
        for place, per_g in oil.moles_per_g.items():
            moles[row, column[place]] = mass_g * per_g
    return Mixture(
        oils=tuple(oil for oil, _ in oils),
        volatiles=tuple(tables.volatiles[place] for place in used),
        places=tuple(used),
        tables=tables,
        moles=moles,
        base_moles=base_moles,
        carrier_moles=carrier_moles,
        base=tuple(base),
        unknown=tuple(unknown),
    )


def carrier_family(material: Material) -> str:
    """The family its molecules count as; fats stand for what has none of its own."""
    return material.carrier_family or "triglyceride"


def base_molar_mass(material: Material) -> float:
    """g/mol: of the table, or of its family, or heavy (which is cautious)."""
    if material.molar_mass_g_mol is not None:
        return material.molar_mass_g_mol.value
    return FAMILY_G_MOL.get(material.carrier_family, HEAVY_BASE_G_MOL)
