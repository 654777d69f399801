"""How readily each constituent leaves a film of balm: the scent's view of a catalogue, compiled once.

A film of balm on skin is thin enough to be well mixed.  A constituent leaves
it through the still air above, so its rate is

    k_g / (K * film),    K = rho R T / (M gamma Psat)

with K the ratio of concentrations in balm and air at equilibrium, gamma the
activity coefficient at infinite dilution in the carrier and M the carrier's
molar mass.  Base materials of several families mix by the logarithm of K,
weighted by their shares.  Waxes count as solvents although part of them is
solid on the skin: that shifts every time by the same factor and no order.

Sources: transfer through air 0.67 u^0.78 (18/M)^(1/3) cm/s, the US EPA form
after Peress 2003 (recalled); Gajjar, Miller and Kasting 2013, Ann. Occup.
Hyg. 57:853 found it among the two best of five for skin.  Heat of
vaporisation 70.0 - 3.82 ln(Psat/Pa) kJ/mol, Goss and Schwarzenbach 2001
(recalled), where the tables carry none.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from workbench.core.catalogue.activity import Activity
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.composition import Composition, expand

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]

GAS_J_MOL_K = 8.314462618
BALM_G_M3 = 0.92e6  # density of the film
ROOM_K = 298.15
SKIN_K = 305.15
TRIGLYCERIDE = "triglyceride"
_STANDS_FOR_SOLIDS = ("NV", "FC")  # families that never leave: lumped residue, furocoumarins

# Unknowns as factors (one standard deviation): activity by UNIFAC, and without groups.
GAMMA_FACTOR, NO_GAMMA_FACTOR = 1.5, 3.0


@dataclass(frozen=True, slots=True)
class Film:
    """A film on skin as it is usually worn; ranges are habits of people, not limits of the model.

    `film_mg_cm2` 1 to 5, `air_m_s` 0.05 (under clothes) to 0.7 (outdoors).
    """

    film_mg_cm2: float = 2.0
    skin_c: float = 32.0
    air_m_s: float = 0.15

    @property
    def thickness_cm(self) -> float:
        return self.film_mg_cm2 * 1e-3 / (BALM_G_M3 * 1e-6)

    @property
    def kelvin(self) -> float:
        return self.skin_c + 273.15


@dataclass(frozen=True, slots=True)
class Carrier:
    """Shares 0..1 of each family in the base; `assumed` where the base said nothing."""

    families: Mapping[str, float]
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Volatility:
    """Constituents in the order of `keys`; figures at 25 °C, one per constituent.

    `contents[material]` is (places of its constituents, mass fractions 0..1 of
    the oil, typical).  Constituents without a vapour pressure are left out.
    """

    catalogue: Catalogue
    keys: tuple[str, ...]
    index: Mapping[str, int]
    molar_g_mol: Array
    psat_pa: Array
    dhvap_j_mol: Array
    psat_factor: Array
    gamma_factor: Array
    leaves: Mask  # False: stands for a residue that never leaves
    ln_gamma: Mapping[str, Array]
    carrier_molar_g_mol: Mapping[str, float]
    odour_max: Array  # 0..100; 0 for what has no smell
    odour_log_half: Array  # log10 mg/m3
    odour_width: Array  # decades
    odour_spread: Array  # decades, one standard deviation
    contents: Mapping[str, tuple[Indices, Array]]

    def psat_at_pa(self, kelvin: float) -> Array:
        """Vapour pressure of the (subcooled) liquids."""
        made: Array = self.psat_pa * np.exp(self.dhvap_j_mol / GAS_J_MOL_K * (1.0 / ROOM_K - 1.0 / kelvin))
        return made

    def partition(self, carrier: Carrier, kelvin: float) -> Array:
        """K = concentration in balm over concentration in air, dimensionless."""
        mixed = np.zeros(len(self.keys))
        for family, share in carrier.families.items():
            molar = self.carrier_molar_g_mol[family]
            mixed += share * (math.log(BALM_G_M3 * GAS_J_MOL_K * kelvin / molar) - self.ln_gamma[family])
        made: Array = np.exp(mixed - np.log(self.psat_at_pa(kelvin)))
        return made

    def transfer_cm_s(self, air_m_s: float) -> Array:
        """Transfer through the air above, by the molar mass of each constituent."""
        made: Array = 0.67 * air_m_s**0.78 * (18.0 / self.molar_g_mol) ** (1.0 / 3.0)
        return made

    def rates_per_s(self, carrier: Carrier, film: Film) -> Array:
        """Share of what is left that goes each second; 0 for residues."""
        partition = self.partition(carrier, film.kelvin)
        rate = self.transfer_cm_s(film.air_m_s) / (partition * film.thickness_cm)
        made: Array = np.where(self.leaves, rate, 0.0)
        return made

    def biot(self, carrier: Carrier, film: Film, diffusion_cm2_s: float = 1e-7) -> Array:
        """k_g film / (K D): well under 1 where the film may be taken as well mixed."""
        made: Array = (
            self.transfer_cm_s(film.air_m_s)
            * film.thickness_cm
            / (self.partition(carrier, film.kelvin) * diffusion_cm2_s)
        )
        return made


def carrier_of(composition: Composition, catalogue: Catalogue) -> Carrier:
    """Families of the base materials in a composition, by mass; vegetable oil where none is known."""
    found: dict[str, float] = {}
    for portion in expand(composition, catalogue.materials).portions:
        material = catalogue.material(portion.material)
        if not material.kind.is_scent and material.carrier_family in catalogue.carriers:
            family = material.carrier_family
            found[family] = found.get(family, 0.0) + portion.mass_g
    total = sum(found.values())
    if total <= 0:
        return Carrier({TRIGLYCERIDE: 1.0}, assumed=True)
    return Carrier({family: mass / total for family, mass in found.items()})


def compile_volatility(catalogue: Catalogue) -> Volatility:
    rows = [row for row in catalogue.constituents.values() if row.psat25_pa is not None]
    keys = tuple(row.key for row in rows)
    index = {key: place for place, key in enumerate(keys)}
    psat = np.array([row.psat25_pa.value if row.psat25_pa else 1.0 for row in rows])
    log_psat = np.log10(psat) if len(rows) else psat
    curves = [
        (row.intensity_max, row.intensity_log_c_half, row.intensity_width, row.intensity_source)
        for row in rows
    ]
    known = np.array([curve[0] is not None for curve in curves], dtype=bool)
    # Fallback relation where no curve is published, fitted to 132 of the curves of Wakayama 2019:
    # C = -0.18 + 0.81 log Psat, Imax = 34.9 + 8.95 log Psat, D = 0.45 + 0.11 log Psat (derived).
    # Their scatter is 0.73 decades; curves of one laboratory are taken to agree within 0.35 (judged).
    own = np.array([bool(curve[3]) and not curve[3].startswith("estimate") for curve in curves], dtype=bool)
    residue = np.array([row.family in _STANDS_FOR_SOLIDS for row in rows], dtype=bool)
    fallback = np.where(residue, 0.0, np.clip(34.9 + 8.95 * log_psat, 5.0, 100.0))
    dhvap = [
        row.dhvap_kj_mol.value if row.dhvap_kj_mol else 70.0 - 3.82 * math.log(p)
        for row, p in zip(rows, psat, strict=True)
    ]
    gammas, grouped = _gammas(catalogue, keys)
    return Volatility(
        catalogue=catalogue,
        keys=keys,
        index=index,
        molar_g_mol=np.array([row.molar_mass_g_mol.value for row in rows]),
        psat_pa=psat,
        dhvap_j_mol=1000.0 * np.array(dhvap),
        psat_factor=np.array([row.psat25_uncertainty_factor for row in rows]),
        gamma_factor=np.where(grouped, GAMMA_FACTOR, NO_GAMMA_FACTOR),
        leaves=~residue,
        ln_gamma=gammas,
        carrier_molar_g_mol=_carrier_masses(catalogue),
        odour_max=np.where(known, [curve[0] or 0.0 for curve in curves], fallback),
        odour_log_half=np.where(known, [curve[1] or 0.0 for curve in curves], -0.18 + 0.81 * log_psat),
        odour_width=np.maximum(
            np.where(known, [curve[2] or 0.5 for curve in curves], 0.45 + 0.11 * log_psat), 0.2
        ),
        odour_spread=np.where(own, 0.35, 0.73),
        contents=_contents(catalogue, index),
    )


def _gammas(catalogue: Catalogue, keys: tuple[str, ...]) -> tuple[dict[str, Array], Mask]:
    """ln gamma per family: from the table, and by our own UNIFAC for what the table does not hold."""
    found: dict[str, Array] = {}
    groups = [catalogue.constituents[key].unifac for key in keys]
    grouped = np.array([bool(one) for one in groups], dtype=bool)
    for family, carrier in catalogue.carriers.items():
        table = catalogue.scent.activity.get(family)
        values = np.zeros(len(keys))
        if table is not None:
            values[:] = [table.ln_gamma.get(key, 0.0) for key in keys]
        missing = [
            place
            for place, key in enumerate(keys)
            if groups[place] and (table is None or key not in table.ln_gamma)
        ]
        for place in missing:
            pair = Activity([groups[place], carrier], catalogue.unifac)
            values[place] = pair.ln_gamma(np.array([1e-9, 1.0]), SKIN_K)[0]
        found[family] = values
    if TRIGLYCERIDE not in found:
        found[TRIGLYCERIDE] = np.zeros(len(keys))
    return found, grouped


def _carrier_masses(catalogue: Catalogue) -> dict[str, float]:
    masses = {family: row.molar_mass_g_mol for family, row in catalogue.scent.activity.items()}
    for family in (*catalogue.carriers, TRIGLYCERIDE):
        masses.setdefault(family, 885.45)  # triolein
    return masses


def _contents(catalogue: Catalogue, index: Mapping[str, int]) -> dict[str, tuple[Indices, Array]]:
    contents: dict[str, tuple[Indices, Array]] = {}
    for key, material in catalogue.materials.items():
        parts = [
            (index[part.constituent], part.percent / 100.0)
            for part in material.composition
            if part.constituent in index and part.percent > 0
        ]
        if parts and material.kind.is_scent:
            contents[key] = (
                np.array([at for at, _ in parts], dtype=np.intp),
                np.array([x for _, x in parts]),
            )
    return contents


def summed(places: Indices, amounts: Array, count: int) -> Array:
    """Amounts added up by place, 0..count-1."""
    made: Array = np.bincount(places, weights=amounts, minlength=count).astype(np.float64)
    return made


# A catalogue is frozen and compiling takes some milliseconds, so the last few are kept beside it.
_kept: list[Volatility] = []
_KEEP = 4


def volatility_of(catalogue: Catalogue) -> Volatility:
    """The compiled view of this very catalogue, built when first asked for."""
    for made in _kept:
        if made.catalogue is catalogue:
            return made
    made = compile_volatility(catalogue)
    _kept.insert(0, made)
    del _kept[_KEEP:]
    return made
