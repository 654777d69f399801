"""The water bath: two heat nodes, and when the jug in it will be molten.

    C1 dT1/dt = P - G_air (T1 - T_air) - G (T1 - T2)        bath
    dH2/dt    = G (T1 - T2)                                 jug, H2 with latent heat
G = U A with U 60 to 130 W/(m² K) for a stirred jug in hot water, half of that
while unmelted lumps touch the wall badly.  The unknowns (G, stove, where the
maker holds the bath) are drawn from their prior once and weighted by the
readings as they come, so the answer sharpens with each and never iterates.
The jug is never hotter than the bath.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from workbench.core.catalogue.shelf import Learned, Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import Crossing, Reading
from workbench.core.heat.oven_power import ln_beyond, other_loads
from workbench.core.heat.vessels import jug
from workbench.core.wording import Degrees, Duration, Grams, say

Field = NDArray[np.float64]

WATER_J_G_K = 4.186
STEAM_J_G = 2257.0
AIR_W_K = 4.0  # an open pot of about a litre
U_W_M2_K = 110.0  # clear and stirred; 60 to 130
LUMPS = 0.5
DRAWS = 300
STEP_S = 6.0
LONGEST_S = 5400.0
READING_SD_K = 1.8  # probe, stirring and the model itself
PROBE_LAG_S = 15.0  # a probe in a jug that warms, stirred for a few seconds, shows what was
CONTACT_SD = 0.30  # of ln, of a jug that nobody knows
CONTACT_LAW_SD = 0.25  # what of it is the law's, of which one filling says little for quite another; judged
CONTACT = "contact to the bath, ln of the factor"
STOVE = "watts of the stove, ln of the factor"
STOVE_SD = 0.25  # of ln watts, of a stove that was never watched
STOVE_W = {"gas": 1000.0, "electric": 1200.0, "induction": 1400.0}


@dataclass(frozen=True, slots=True)
class Bath:
    """Water in g, its temperature now in °C, watts of the stove at its setting, and where it is held.

    `stove_sd`: of the logarithm of the watts.
    """

    water_g: float = 1000.0
    start_c: float = 20.0
    stove_w: float = 1200.0
    held_at_c: float = 90.0
    stove_sd: float = STOVE_SD


@dataclass(frozen=True, slots=True)
class MeltAhead:
    """`molten`: when the jug has reached melt-out, seconds from the first reading's zero or from now."""

    molten: Crossing
    jug_c: float
    lag_k: float  # how far the jug is behind the bath now
    energy_kj: float  # still to go in
    dry_s: float  # until a quarter of the bath water is gone: top up by then
    says: tuple[str, ...]
    contact: Learned
    stove: Learned  # against `Bath.stove_w`


def two_nodes(
    bath_c: Field,
    jug_c: Field,
    *,
    bath_j_k: float,
    jug_j_k: float,
    between_w_k: float,
    air_w_k: float,
    stove_w: float,
    air_c: float,
    seconds: float,
    step_s: float = 1.0,
) -> tuple[Field, Field]:
    """Bath and jug after `seconds` without latent heat (fourth-order Runge-Kutta): the plain case."""

    def slopes(one: Field, two: Field) -> tuple[Field, Field]:
        across = between_w_k * (one - two)
        return (stove_w - air_w_k * (one - air_c) - across) / bath_j_k, across / jug_j_k

    steps = max(1, math.ceil(seconds / step_s))
    dt = seconds / steps
    one, two = np.asarray(bath_c, dtype=np.float64), np.asarray(jug_c, dtype=np.float64)
    for _ in range(steps):
        a1, b1 = slopes(one, two)
        a2, b2 = slopes(one + dt / 2 * a1, two + dt / 2 * b1)
        a3, b3 = slopes(one + dt / 2 * a2, two + dt / 2 * b2)
        a4, b4 = slopes(one + dt * a3, two + dt * b3)
        one = one + dt / 6 * (a1 + 2 * a2 + 2 * a3 + a4)
        two = two + dt / 6 * (b1 + 2 * b2 + 2 * b3 + b4)
    return one, two


def evaporation_g_s(celsius: float) -> float:
    """Water leaving an open pot of some 300 cm², g/s below the boil; judged, a factor of two."""
    return 0.025 * math.exp((min(celsius, 100.0) - 90) / 15)


def top_up_after_s(water_g: float, celsius: float, stove_w: float = 0.0) -> float:
    """Seconds until a quarter of the bath is gone; at the boil the whole stove makes steam."""
    loss = evaporation_g_s(celsius)
    if celsius >= 99.0:
        loss = max(loss, max(stove_w - AIR_W_K * 80, 0.0) / STEAM_J_G)
    return 0.25 * water_g / loss


def melt_ahead(
    readings: Sequence[Reading],
    blend: Blend,
    vessel: Vessel | None,
    mass_g: float,
    room_c: float,
    melt_out_c: float,
    *,
    bath: Bath = Bath(),
    now_s: float | None = None,
) -> MeltAhead:
    """When a stirred jug in a bath reaches melt-out, from no reading at all onwards.

    `readings`: of the jug since it went in, seconds from then.  The times that come back have the same
    zero.  About 30 ms.
    """
    now = (readings[-1].seconds if readings else 0.0) if now_s is None else now_s
    thing = jug(vessel, mass_g / 0.9)
    rng = np.random.default_rng(20260102)  # the same draws every time: no answer depends on chance
    normal = rng.normal(size=(3, DRAWS))
    learned = None if vessel is None else next((row for row in vessel.learned if row.what == CONTACT), None)
    ln_mean = 0.0 if learned is None else learned.value
    ln_sd = CONTACT_SD
    if learned is not None:
        beyond = 1.0 - math.exp(-ln_beyond(mass_g, learned.low_g, learned.high_g))
        ln_sd = min(math.hypot(0.12, min(learned.sd, 0.3), CONTACT_LAW_SD * beyond), CONTACT_SD)
    ln_contact = ln_mean + ln_sd * normal[0]
    between = U_W_M2_K * (0.8 * thing.side_m2 + thing.top_m2) * np.exp(ln_contact)
    ln_stove = bath.stove_sd * normal[1]
    stove = bath.stove_w * np.exp(ln_stove)
    held = np.minimum(bath.held_at_c + 2.5 * normal[2], 99.5)
    grid = np.arange(0.0, LONGEST_S + 0.1, STEP_S)
    jug_path, bath_path = _paths(grid, blend, mass_g, thing.wall_j_k, room_c, bath, between, stove, held)
    weight = np.ones(DRAWS)
    for each in readings:
        row = min(int(max(each.seconds - PROBE_LAG_S, 0.0) / STEP_S), len(grid) - 1)
        off = (each.celsius - jug_path[row]) / (READING_SD_K * (1.0 if each.stirred else 2.0))
        weight *= (1 + off**2 / 4) ** -2.5
        weight /= max(weight.max(), 1e-300)
    weight = weight + 1e-9
    weight /= weight.sum()
    reached = jug_path >= melt_out_c
    first = np.where(reached.any(axis=0), grid[reached.argmax(axis=0)], np.inf)
    low, median, high = (_quantile(first, weight, share) for share in (0.1, 0.5, 0.9))
    row = min(int(now / STEP_S), len(grid) - 1)
    jug_now, bath_now = float(jug_path[row] @ weight), float(bath_path[row] @ weight)
    molten = Crossing(melt_out_c, _finite(median), _finite(low), _finite(high))
    energy = mass_g * max(blend.enthalpy_j_g(melt_out_c) - blend.enthalpy_j_g(jug_now), 0.0) / 1000
    dry = top_up_after_s(bath.water_g, max(bath_now, bath.held_at_c), bath.stove_w)
    return MeltAhead(
        molten,
        jug_now,
        bath_now - jug_now,
        energy,
        dry,
        _says(molten, now, bath_now - jug_now, dry),
        _taught(CONTACT, ln_contact, weight),
        _taught(STOVE, ln_stove, weight),
    )


def contact_says(vessel: Vessel | None, mass_g: float) -> str:
    """That past batches taught the jug's contact with other fillings; "" where they did not, or nobody knows."""
    learned = None if vessel is None else next((row for row in vessel.learned if row.what == CONTACT), None)
    loads = None if learned is None else other_loads(learned, mass_g)
    if loads is None:
        return ""
    low, high = loads
    if str(low) == str(high):
        return say(
            "How fast this jug warms in its bath was learned with {high}; with {mass} in it the range is wider.",
            high=high,
            mass=Grams(mass_g, 0),
        )
    return say(
        "How fast this jug warms in its bath was learned with {low} to {high}; with {mass} in it the range is wider.",
        low=low,
        high=high,
        mass=Grams(mass_g, 0),
    )


def _taught(what: str, values: Field, weight: Field) -> Learned:
    mean = float(values @ weight)
    sd = math.sqrt(max(float((values - mean) ** 2 @ weight), 1e-4))
    return Learned(what=what, value=mean, sd=sd, batches=1)


def _paths(
    grid: Field,
    blend: Blend,
    mass_g: float,
    wall_j_k: float,
    room_c: float,
    bath: Bath,
    between: Field,
    stove: Field,
    held: Field,
) -> tuple[Field, Field]:
    enthalpy = mass_g * blend.enthalpy_curve() + wall_j_k * blend.grid_c
    solid = blend.solid / max(float(blend.solid[0]), 1e-9)
    content = np.full(DRAWS, float(np.interp(room_c, blend.grid_c, enthalpy)))
    water = np.full(DRAWS, bath.start_c)
    capacity = bath.water_g * WATER_J_G_K
    jug_path, bath_path = np.empty((len(grid), DRAWS)), np.empty((len(grid), DRAWS))
    for row in range(len(grid)):
        celsius = np.interp(content, enthalpy, blend.grid_c)
        jug_path[row], bath_path[row] = celsius, water
        touch = between * (1 - (1 - LUMPS) * np.interp(celsius, blend.grid_c, solid))
        across = touch * (water - celsius)
        content = content + STEP_S * across
        power = stove * np.clip((held - water) / 3.0, 0.0, 1.0)
        rise = STEP_S * (power - AIR_W_K * (water - room_c) - across) / capacity
        # a knob turned by hand keeps the bath where it is held, no longer and no hotter
        water = np.minimum(water + rise, held)
    return jug_path, bath_path


def _quantile(values: Field, weight: Field, share: float) -> float:
    order = np.argsort(values)
    total = np.cumsum(weight[order])
    return float(values[order][min(int(np.searchsorted(total, share)), len(values) - 1)])


def _finite(seconds: float) -> float | None:
    return seconds if math.isfinite(seconds) else None


def _says(molten: Crossing, now_s: float, lag_k: float, dry_s: float) -> tuple[str, ...]:
    lines = []
    left = molten.remaining_s(now_s)
    if left is None or molten.low80_s is None or molten.high80_s is None:
        lines.append(say("The bath is not warm enough to melt this out. Raise it, or wait."))
    else:
        lines.append(
            say(
                "Melted in about {left} ({low} to {high}), stirred now and then.",
                left=Duration(60 * round(left / 60)),
                low=Duration(60 * max(0, round((molten.low80_s - now_s) / 60))),
                high=Duration(60 * max(0, round((molten.high80_s - now_s) / 60))),
            )
        )
    lines.append(say("The jug lies {lag} behind the bath.", lag=Degrees(lag_k, 0)))
    lines.append(say("Top the bath up within {time}.", time=Duration(300 * max(1, round(dry_s / 300)))))
    return tuple(lines)
