"""What a recipe is as a thing that melts: liquidus, set point, enthalpy, density, firmness."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat import known
from workbench.core.heat.dissolving import (
    Grid,
    Ingredient,
    Part,
    butter_solid,
    ingredients,
    wax_liquidus_c,
    wax_solid,
)
from workbench.core.heat.window import Reckoned
from workbench.core.recipe.composition import Composition
from workbench.core.wording import Degrees, Kelvins, Share, say

_GRID_C: Grid = np.arange(-20.0, 160.01, 0.25)
ROOM_C = 20.0


class Firmness(StrEnum):
    """Relative, in steps a thumb can tell apart; hardness does not add up, so the spoon decides."""

    NONE = "does not set"
    VERY_SOFT = "very soft"
    SOFT = "soft"
    BALM = "balm"
    FIRM = "firm"
    HARD = "hard"


# Beeswax-equivalent share of the whole in per cent from which a class begins.  Common practice, no
# source: equal parts wax, butter and oil make a firm, light balm; one part wax to four of oil a soft one.
FIRMNESS_FROM = (
    (42.0, Firmness.HARD),
    (28.0, Firmness.FIRM),
    (18.0, Firmness.BALM),
    (10.0, Firmness.SOFT),
    (0.0, Firmness.VERY_SOFT),
)
# Solid butter at 20 °C, s per cent of the whole, counts as 0.1 s + 0.005 s²: little when thinned, firm as a
# bar of its own.  Common practice, no source.
_BUTTER_WORTH = (0.1, 0.005)


def liquidus_c(base: Composition, catalogue: Catalogue) -> Reckoned:
    """Where the last solid of the blend dissolves, in °C (before the 5 K in hand of melt-out).

    Ideal solubility of each wax alone in the rest; butters by the end of their melting range.
    Sources beside the constants in `known` and in the catalogue.  Raises Trouble for an unknown material.
    """
    parts = ingredients(base, catalogue)
    return _liquidus(parts)


def set_point_c(base: Composition, catalogue: Catalogue, observed_c: float | None = None) -> Reckoned:
    """Where the cooling blend starts to gel or cloud, in °C.

    An observed set point wins.  Otherwise liquidus less undercooling; of two waxes the higher;
    butters by their solid fat curve.  None, with the reason, when the blend does not set.
    """
    if observed_c is not None:
        return _seen(observed_c)
    return _set_point(ingredients(base, catalogue))


def _seen(observed_c: float) -> Reckoned:
    return Reckoned(
        observed_c,
        known.OBSERVED_SD_K.value,
        how=say("seen by the maker at {celsius}", celsius=Degrees(observed_c)),
    )


def _others(parts: tuple[Ingredient, ...], one: Ingredient) -> float:
    return sum(part.share / part.molar_g_mol for part in parts if part is not one)


def _liquidus(parts: tuple[Ingredient, ...]) -> Reckoned:
    if not parts:
        return Reckoned(None, why=say("There is nothing in the base yet."))
    found: list[tuple[float, Ingredient]] = []
    for part in parts:
        if part.part is Part.WAX:
            found.append((wax_liquidus_c(part, _others(parts, part)), part))
        elif part.part is Part.BUTTER:
            found.append((part.clear_c, part))
    if not found:
        return Reckoned(None, why=say("Nothing in this base is solid at room temperature."))
    celsius, highest = max(found, key=lambda pair: pair[0])
    sd = known.SET_POINT_SD_K.value + (1.5 if highest.guessed else 0.0)
    return Reckoned(
        celsius,
        sd if highest.part is Part.WAX else 2.0,
        how=say("the last of {name} dissolves at {celsius}", name=highest.name, celsius=Degrees(celsius)),
    )


def _set_point(parts: tuple[Ingredient, ...]) -> Reckoned:
    if not parts:
        return Reckoned(None, why=say("There is nothing in the base yet."))
    by_wax = _wax_set_point(parts)
    by_butter = _butter_set_point(parts)
    known_ones = [found for found in (by_wax, by_butter) if found is not None and found.celsius is not None]
    if known_ones:
        return max(known_ones, key=lambda found: found.celsius or 0.0)
    waxes = [part for part in parts if part.part is Part.WAX]
    if waxes:
        wax = max(waxes, key=lambda part: part.share / part.gels_from)
        return Reckoned(
            None,
            why=say(
                "This does not set: {share} of {name} is less than the {least} that still gels an oil. "
                "Add wax.",
                share=Share(wax.share * 100),
                name=wax.name,
                least=Share(wax.gels_from * 100),
            ),
        )
    return Reckoned(
        None,
        why=say("This does not set at room temperature: there is no wax and too little butter. Add wax."),
    )


def _wax_set_point(parts: tuple[Ingredient, ...]) -> Reckoned | None:
    waxes = [part for part in parts if part.part is Part.WAX]
    able = [wax for wax in waxes if wax.share >= wax.gels_from]
    if not able and sum(wax.share / wax.gels_from for wax in waxes) >= 1:
        able = waxes  # none gels alone, together they do
    if not able:
        return None
    liquidus, wax = max(
        ((wax_liquidus_c(wax, _others(parts, wax)), wax) for wax in able), key=lambda pair: pair[0]
    )
    undercooling = known.UNDERCOOLING_K.value
    celsius = liquidus - undercooling
    sd = known.SET_POINT_SD_K.value + (1.5 if wax.guessed else 0.0)
    return Reckoned(
        celsius,
        sd,
        how=say(
            "{name}: liquidus {liquidus} less {undercooling} of undercooling",
            name=wax.name,
            liquidus=Degrees(liquidus),
            undercooling=Kelvins(undercooling, 0),
        ),
    )


def _butter_set_point(parts: tuple[Ingredient, ...]) -> Reckoned | None:
    butters = [part for part in parts if part.part is Part.BUTTER]
    if not butters:
        return None
    solid = sum(
        (butter_solid(butter, _others(parts, butter), _GRID_C) for butter in butters), np.zeros_like(_GRID_C)
    )
    least = known.BUTTER_HOLDS_FROM_PERCENT.value / 100
    if float(np.interp(ROOM_C, _GRID_C, solid)) < least:
        return None
    holds_c = float(_GRID_C[np.nonzero(solid >= least)[0][-1]])
    celsius = holds_c - known.BUTTER_UNDERCOOLING_K.value
    name = max(butters, key=lambda part: part.share).name
    return Reckoned(
        celsius,
        4.0,
        how=say(
            "{name}: enough of it is solid below {celsius}, less {undercooling} of undercooling",
            name=name,
            celsius=Degrees(holds_c),
            undercooling=Kelvins(known.BUTTER_UNDERCOOLING_K.value, 0),
        ),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Blend:
    """One blend with its heat curves, ready for solvers.

    All curves stand on one grid of temperatures in °C (0.25 K).  Enthalpies are J per gram of blend,
    0 at -20 °C.  `melting` curves follow equilibrium; `cooling` curves stay liquid down to the set
    point and catch up within `ramp_k` below it.
    """

    parts: tuple[Ingredient, ...]
    mass_g: float
    liquidus: Reckoned
    set_point: Reckoned
    firmness: Firmness
    grid_c: Grid
    solid: Grid  # solid share of the whole at equilibrium, 0..1
    latent_j_g: Grid  # heat bound by what is molten, equilibrium
    sensible_j_g: Grid
    ramp_k: float = 3.0

    @classmethod
    def of(cls, composition: Composition, catalogue: Catalogue, observed_c: float | None = None) -> Blend:
        """The blend of a composition; `observed_c` is a set point the maker saw.  About 1 ms."""
        parts = ingredients(composition, catalogue)
        set_point = _seen(observed_c) if observed_c is not None else _set_point(parts)
        grid = _GRID_C
        solid = np.zeros_like(grid)
        latent = np.zeros_like(grid)
        capacity = np.zeros_like(grid)
        for part in parts:
            if part.part is Part.LIQUID:
                capacity += part.share * part.cp_liquid
                continue
            own = (wax_solid if part.part is Part.WAX else butter_solid)(part, _others(parts, part), grid)
            solid += own
            latent += (part.share - own) * part.fusion_j_g
            capacity += own * part.cp_solid + (part.share - own) * part.cp_liquid
        step = float(grid[1] - grid[0])
        sensible = np.concatenate(([0.0], np.cumsum((capacity[1:] + capacity[:-1]) / 2) * step))
        return cls(
            parts=parts,
            mass_g=composition.mass_g,
            liquidus=_liquidus(parts),
            set_point=set_point,
            firmness=_firmness(parts, set_point),
            grid_c=grid,
            solid=solid,
            latent_j_g=latent - latent[0],
            sensible_j_g=sensible,
        )

    def solid_fraction(self, celsius: float, *, cooling: bool = False) -> float:
        """Solid share of the whole, 0..1."""
        return float(np.interp(celsius, self.grid_c, self._solid(cooling)))

    def enthalpy_j_g(self, celsius: float, *, cooling: bool = False) -> float:
        """Heat content above -20 °C in J/g."""
        return float(np.interp(celsius, self.grid_c, self.enthalpy_curve(cooling=cooling)))

    def celsius_at(self, enthalpy_j_g: float, *, cooling: bool = False) -> float:
        """The temperature with this heat content: the inverse of `enthalpy_j_g`."""
        return float(np.interp(enthalpy_j_g, self.enthalpy_curve(cooling=cooling), self.grid_c))

    def capacity_j_gk(self, celsius: float, *, cooling: bool = False) -> float:
        """Apparent heat capacity with the latent part, J/(g K), over ±0.5 K."""
        up = self.enthalpy_j_g(celsius + 0.5, cooling=cooling)
        return up - self.enthalpy_j_g(celsius - 0.5, cooling=cooling)

    def liquid_capacity_j_gk(self, celsius: float) -> float:
        """Sensible heat capacity only, J/(g K)."""
        return float(
            np.interp(celsius + 0.5, self.grid_c, self.sensible_j_g)
            - np.interp(celsius - 0.5, self.grid_c, self.sensible_j_g)
        )

    def enthalpy_curve(self, *, cooling: bool = False) -> Grid:
        """J/g on `grid_c`, strictly rising."""
        if not cooling or self.set_point.celsius is None:
            return self.sensible_j_g + self.latent_j_g
        kept = self._caught_up(self.set_point.celsius)
        bound = self.latent_j_g[-1] - self.latent_j_g  # heat already given off at equilibrium
        given = np.maximum.accumulate((bound * kept)[::-1])[::-1]
        return np.asarray(self.sensible_j_g + self.latent_j_g[-1] - given, dtype=np.float64)

    def _solid(self, cooling: bool) -> Grid:
        if not cooling or self.set_point.celsius is None:
            return self.solid
        return np.asarray(self.solid * self._caught_up(self.set_point.celsius), dtype=np.float64)

    def _caught_up(self, set_point_c: float) -> Grid:
        return np.clip((set_point_c - self.grid_c) / self.ramp_k, 0.0, 1.0)

    def density_g_ml(self, celsius: float, *, cooling: bool = False) -> float:
        """Ideal volumes: what is solid counts with its solid density, the rest with its melt's."""
        return 1 / self.volume_ml_g(celsius, cooling=cooling)

    def volume_ml_g(self, celsius: float, *, cooling: bool = False) -> float:
        """Specific volume in mL/g (±1 %)."""
        at = np.array([float(celsius)])
        caught = 1.0
        if cooling and self.set_point.celsius is not None:
            caught = float(np.clip((self.set_point.celsius - celsius) / self.ramp_k, 0.0, 1.0))
        volume = 0.0
        for part in self.parts:
            liquid = part.density_liquid_20 + part.density_slope * (celsius - 20.0)
            solid = 0.0
            if part.part is not Part.LIQUID:
                curve = wax_solid if part.part is Part.WAX else butter_solid
                solid = caught * float(curve(part, _others(self.parts, part), at)[0])
            dense = part.density_solid + known.SOLID_DENSITY_SLOPE_G_ML_K.value * (celsius - 20.0)
            volume += solid / dense + (part.share - solid) / liquid
        return volume

    @property
    def hydrocarbon_share(self) -> float:
        """Share 0..1 of materials that hardly take up microwaves (squalane, paraffin)."""
        return sum(part.share for part in self.parts if part.hydrocarbon)


def beeswax_equivalent_percent(parts: tuple[Ingredient, ...]) -> float:
    """Share of beeswax, in per cent of the whole, that would stiffen about as much.  A rough scale."""
    waxes = sum(100 * part.share * part.worth for part in parts if part.part is Part.WAX)
    at = np.array([ROOM_C])
    butter = sum(
        100 * float(butter_solid(part, _others(parts, part), at)[0])
        for part in parts
        if part.part is Part.BUTTER
    )
    return waxes + _BUTTER_WORTH[0] * butter + _BUTTER_WORTH[1] * butter**2


def _firmness(parts: tuple[Ingredient, ...], set_point: Reckoned) -> Firmness:
    if set_point.celsius is None:
        return Firmness.NONE
    equivalent = beeswax_equivalent_percent(parts)
    return next(firmness for least, firmness in FIRMNESS_FROM if equivalent >= least)
