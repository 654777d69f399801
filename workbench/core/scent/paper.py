"""The scent blend neat on a paper strip, as it is tried before anything is melted.

Without carrier the mixture itself sets its vapour (Raoult), so the course is
not a sum of exponentials: what leaves first makes the rest richer.  In moles
per area,

    dn_i/dt = - k_g,i gamma_i x_i Psat_i / (R T).

With gamma = 1 this has a closed form: along s with ds = dt / sum(n) every
amount is an exponential in s, and t(s) is a sum of known terms.  With gamma
from UNIFAC it needs a solver for stiff systems, because the rates span many
powers of ten.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.activity import Activity
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.composition import Composition, expand
from workbench.core.scent.course import Entries, entries_of
from workbench.core.scent.volatility import GAS_J_MOL_K, Array, Indices, summed, volatility_of
from workbench.core.trouble import Trouble
from workbench.core.wording import say

STRIP_MOMENTS_S = (0.0, 600.0, 1800.0, 3600.0)  # when a strip is smelled: just on, 10, 30 and 60 minutes


@dataclass(frozen=True, slots=True)
class Strip:
    """Drops on the end of a paper strip; `load_mg_cm2` over both faces (judged)."""

    load_mg_cm2: float = 10.0
    room_c: float = 22.0
    air_m_s: float = 0.15

    @property
    def kelvin(self) -> float:
        return self.room_c + 273.15


@dataclass(frozen=True, slots=True, eq=False)
class PaperCourse:
    """Shares 0..1 left of each oil (rows) over time, and of each constituent."""

    times_s: Array
    oils: tuple[str, ...]
    masses_g: Array
    left: Array
    constituents: Indices  # places in `Volatility.keys`
    constituent_g: Array
    constituent_left: Array
    entries: Entries
    unknown: tuple[str, ...]
    ideal: bool  # True: activities were not reckoned, because nobody asked or no solution was found


def on_paper(
    scent: Composition,
    catalogue: Catalogue,
    times_s: Sequence[float] | Array,
    strip: Strip | None = None,
    *,
    real: bool = True,
) -> PaperCourse:
    """The course of a neat blend on paper; base materials in `scent` are left out.

    `times_s` rising from 0, in s.  `real` takes activities by UNIFAC into
    account, otherwise the blend counts as ideal.  Raises `Trouble` where
    nothing is known of any oil.
    """
    strip = strip or Strip()
    times = np.asarray(times_s, dtype=np.float64)
    volatility = volatility_of(catalogue)
    oils = [
        p for p in expand(scent, catalogue.materials).portions if catalogue.material(p.material).kind.is_scent
    ]
    known = [p for p in oils if p.material in volatility.contents]
    if not known:
        raise Trouble(
            say("Nothing is known of what these oils are made of, so no course on paper can be reckoned.")
        )
    entries = entries_of([(p.material, p.mass_g) for p in known], volatility)
    places = np.unique(entries.constituent)
    at = np.searchsorted(places, entries.constituent)
    grams = summed(at, entries.mass_g, len(places))
    molar = volatility.molar_g_mol[places]
    area_cm2 = grams.sum() * 1e3 / strip.load_mg_cm2
    moles = grams / molar / area_cm2
    # mol cm-2 s-1 of a pure liquid: k_g in cm/s, Psat/(RT) in mol/m3 = 1e-6 mol/cm3
    speed = (
        volatility.transfer_cm_s(strip.air_m_s)
        * volatility.psat_at_pa(strip.kelvin)
        * volatility.leaves
        / (GAS_J_MOL_K * strip.kelvin)
        * 1e-6
    )[places]
    if real:
        groups = [catalogue.constituents[volatility.keys[place]].unifac for place in places]
        amounts = _stiff(moles, speed, times, Activity(groups, catalogue.unifac), strip.kelvin)
    else:
        amounts = None
    ideal = amounts is None
    if amounts is None:
        amounts = ideal_amounts(moles, speed, times)
    left = amounts / moles[:, None]
    shares = np.zeros((len(known), len(places)))
    shares[entries.oil, at] = entries.mass_g
    return PaperCourse(
        times_s=times,
        oils=tuple(p.material for p in known),
        masses_g=np.array([p.mass_g for p in known]),
        left=(shares / shares.sum(axis=1, keepdims=True)) @ left,
        constituents=places,
        constituent_g=grams,
        constituent_left=left,
        entries=entries,
        unknown=tuple(p.material for p in oils if p.material not in volatility.contents),
        ideal=ideal,
    )


def ideal_amounts(moles: Array, speed: Array, times_s: Array) -> Array:
    """Amounts over time of an ideal mixture, in the units of `moles`; exact to the inversion of t(s).

    dn/dt = -a n / N becomes dn/ds = -a n with t(s) = sum n0 (1 - exp(-a s)) / a,
    which rises, so s is found by a bracketed Newton iteration.
    """
    fixed = speed <= 0
    slow = np.where(fixed, 1.0, speed)

    def passed(s: Array) -> Array:
        each = np.where(
            fixed[:, None],
            moles[:, None] * s,
            moles[:, None] * -np.expm1(np.maximum(-slow[:, None] * s, -700.0)) / slow[:, None],
        )
        made: Array = each.sum(axis=0)
        return made

    def amounts(s: Array) -> Array:
        made: Array = moles[:, None] * np.exp(np.maximum(-np.where(fixed, 0.0, speed)[:, None] * s, -700.0))
        return made

    low = np.zeros_like(times_s)
    high = np.full_like(times_s, 1.0 / max(float(slow.max()), 1e-300))
    with np.errstate(over="ignore"):
        for _ in range(400):  # until the bracket holds, or everything has gone
            short = (passed(high) < times_s) & (amounts(high).sum(axis=0) > 1e-12 * moles.sum())
            if not short.any():
                break
            high = np.where(short, 2.0 * high, high)
    s = 0.5 * (low + high)
    for _ in range(100):
        error = passed(s) - times_s
        low = np.where(error < 0, s, low)
        high = np.where(error < 0, high, s)
        total = np.maximum(amounts(s).sum(axis=0), 1e-300)
        step = s - error / total
        new = np.where((step > low) & (step < high), step, 0.5 * (low + high))
        if np.all(np.abs(new - s) <= 1e-13 * np.maximum(new, 1e-300)):
            s = new
            break
        s = new
    s = np.where(times_s <= 0, 0.0, s)
    return amounts(s)


def _stiff(moles: Array, speed: Array, times_s: Array, activity: Activity, kelvin: float) -> Array | None:
    from scipy.integrate import solve_ivp  # a large library, and only this needs it

    total = float(moles.sum())
    start = moles / total

    def flow(_t: float, x: Array) -> Array:
        there = np.maximum(x, 0.0)
        whole = max(float(there.sum()), 1e-12)
        fraction = there / whole
        gamma = np.exp(np.clip(activity.ln_gamma(fraction, kelvin), -10.0, 15.0))
        made: Array = -speed / total * gamma * fraction
        # a dry strip gives nothing more: the last trace fades instead of ending with a corner
        return made * min(1.0, whole / 1e-9)

    last = float(times_s[-1])
    if last <= 0:
        return np.repeat(moles[:, None], len(times_s), axis=1)
    solved = solve_ivp(flow, (0.0, last), start, method="LSODA", t_eval=times_s, rtol=1e-6, atol=1e-10)
    if not solved.success:
        return None
    made: Array = np.clip(solved.y, 0.0, start[:, None]) * total
    return made
