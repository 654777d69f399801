"""What is left of each oil and each constituent on skin, minute by minute to a day.

In a well-mixed film every constituent goes by its own exponential, so the
course is a closed form and fast enough to follow a slider.  Times are those of
a usual film in still air; a thicker film or a draught moves them all together
by a factor of three either way, so the order and the shares can be trusted
far more than any hour.  Not reckoned: uptake by the skin, sebum, rubbing off.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.composition import Composition, expand
from workbench.core.scent.volatility import (
    Array,
    Carrier,
    Film,
    Indices,
    Volatility,
    carrier_of,
    summed,
    volatility_of,
)

# Film thickness and air differ between people by about this factor, one standard deviation;
# air at 0.165 and 0.72 m/s (bench and hood) makes 3.2 by the 0.78th power.
HABIT_FACTOR = 2.0

JUST_ON_S, HOUR_S, FOUR_HOURS_S, DAY_S = 60.0, 3600.0, 4 * 3600.0, 24 * 3600.0


@cache
def _usual_times(count: int) -> Array:
    made = np.concatenate([[0.0], np.geomspace(20.0, DAY_S, count - 1)])
    made.setflags(write=False)
    return made


def usual_times_s(count: int = 200) -> Array:
    """0 and then evenly by the logarithm from 20 s to a day."""
    return _usual_times(count)


@dataclass(frozen=True, slots=True, eq=False)
class Entries:
    """Which constituent is in which oil: parallel arrays, grouped by oil."""

    oil: Indices
    constituent: Indices  # places in `Volatility.keys`
    mass_g: Array


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Shares 0..1 by oil (rows) and time (columns); `masses_g` at the beginning.

    `unknown` are scent materials that nothing is known of, so they are not in
    here.
    """

    times_s: Array
    oils: tuple[str, ...]
    masses_g: Array
    left: Array
    carrier: Carrier
    film: Film
    volatility: Volatility
    entries: Entries
    constituents: Indices  # places in `Volatility.keys` of what is in there
    constituent_g: Array
    constituent_left: Array
    rates_per_s: Array  # of `constituents`
    balm_g: float
    unknown: tuple[str, ...]

    def left_at(self, oil: str, at_s: float) -> float:
        """Share 0..1 of one oil that is left after `at_s` seconds; exact, not interpolated."""
        row = self.oils.index(oil)
        return float(_left(self.entries, row, self.volatility, self._rates_all(), at_s))

    def band(self) -> tuple[Array, Array]:
        """`left` at its lowest and highest: one standard deviation of what is not known.

        That is vapour pressure, activity, and the habits of whoever wears it.
        """
        v, places = self.volatility, self.constituents
        factors = (np.full(len(places), HABIT_FACTOR), v.psat_factor[places], v.gamma_factor[places])
        spread = np.exp(np.sqrt(sum(np.log(factor) ** 2 for factor in factors)))
        low = _decayed(-np.outer(self.rates_per_s * spread, self.times_s))
        high = _decayed(-np.outer(self.rates_per_s / spread, self.times_s))
        rows = len(self.oils)
        return _mixed(self.entries, places, low, rows), _mixed(self.entries, places, high, rows)

    def left_g(self) -> Array:
        """Grams of each oil left over time."""
        made: Array = self.masses_g[:, None] * self.left
        return made

    def _rates_all(self) -> Array:
        rates = np.zeros(len(self.volatility.keys))
        rates[self.constituents] = self.rates_per_s
        return rates


def course(
    composition: Composition,
    catalogue: Catalogue,
    times_s: Array | None = None,
    film: Film | None = None,
    carrier: Carrier | None = None,
) -> Course:
    """The course of a balm on skin, as planned or as weighed; leftovers count with what is in them.

    `times_s` from 0 up, in s; the carrier is read from the base unless given.
    Raises `Trouble` for a material nobody knows.
    """
    film = film or Film()
    times = usual_times_s() if times_s is None else np.asarray(times_s, dtype=np.float64)
    volatility = volatility_of(catalogue)
    whole = expand(composition, catalogue.materials)
    carrier = carrier or carrier_of(whole, catalogue)
    scent = [p for p in whole.portions if catalogue.material(p.material).kind.is_scent]
    known = [p for p in scent if p.material in volatility.contents]
    entries = entries_of([(p.material, p.mass_g) for p in known], volatility)
    places = np.unique(entries.constituent)
    rates = volatility.rates_per_s(carrier, film)[places]
    constituent_g = summed(np.searchsorted(places, entries.constituent), entries.mass_g, len(places))
    constituent_left = _decayed(-np.outer(rates, times))
    return Course(
        times_s=times,
        oils=tuple(p.material for p in known),
        masses_g=np.array([p.mass_g for p in known]),
        left=_mixed(entries, places, constituent_left, len(known)),
        carrier=carrier,
        film=film,
        volatility=volatility,
        entries=entries,
        constituents=places,
        constituent_g=constituent_g,
        constituent_left=constituent_left,
        rates_per_s=rates,
        balm_g=whole.mass_g,
        unknown=tuple(p.material for p in scent if p.material not in volatility.contents),
    )


def entries_of(masses: list[tuple[str, float]], volatility: Volatility) -> Entries:
    """Grams of each constituent in each oil, from typical compositions."""
    oils: list[Indices] = []
    constituents: list[Indices] = []
    grams: list[Array] = []
    for row, (key, mass_g) in enumerate(masses):
        places, shares = volatility.contents[key]
        oils.append(np.full(len(places), row, dtype=np.intp))
        constituents.append(places)
        grams.append(mass_g * shares)
    if not oils:
        none = np.zeros(0, dtype=np.intp)
        return Entries(none, none, np.zeros(0))
    return Entries(np.concatenate(oils), np.concatenate(constituents), np.concatenate(grams))


def _decayed(exponents: Array) -> Array:
    # e^-60 is nothing, and arithmetic on the still smaller numbers below it is a hundred times slower
    made: Array = np.exp(np.maximum(exponents, -60.0))
    return made


def _mixed(entries: Entries, places: Indices, left: Array, oils: int) -> Array:
    """Shares left of the oils, from those of their constituents; what is not known of an oil goes like the rest.

    The entries are grouped by oil, so this needs no matrix product, whose
    threads cost more here than they save.
    """
    if not oils:
        return np.zeros((0, left.shape[1]))
    starts = np.searchsorted(entries.oil, np.arange(oils))
    whole = np.add.reduceat(entries.mass_g, starts)
    parts = (entries.mass_g / whole[entries.oil])[:, None] * left[
        np.searchsorted(places, entries.constituent)
    ]
    made: Array = np.add.reduceat(parts, starts, axis=0)
    return made


def _left(entries: Entries, row: int, volatility: Volatility, rates: Array, at_s: float) -> float:
    own = entries.oil == row
    mass = entries.mass_g[own]
    return float(np.sum(mass * np.exp(-rates[entries.constituent[own]] * at_s)) / mass.sum())
