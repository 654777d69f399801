"""A lumped model of a jug that cools on a counter, for many guesses at a time.

    C dT/dt = -k(t) [a dT^1.25 + b dT] - U (T - T_table),   dT = T - T_room
    C_t dT_table/dt = U (T - T_table) - G (T_table - T_room)

a: free convection, b: radiation and the rest (linear).  C holds balm and
wall; below the set point it grows by the latent heat of the blend.  k(t) is
draughts: a piecewise linear factor around 1.  Without base and latent heat the
law has a closed form (Bejan & Kraus, Heat Transfer Handbook, eq. 3.286 and its
mixed form), which the tests use.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from workbench.core.catalogue.shelf import Learned, Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.oven_power import ln_beyond, other_loads
from workbench.core.heat.vessels import Round, jug
from workbench.core.wording import Grams, say

Field = NDArray[np.float64]

REFERENCE_K = 40.0  # difference at which the coefficients below are meant
# h = 1.42 (dT/L)^1/4 at an upright wall and 1.32 (dT/D)^1/4 on top: simplified relations for air (Holman,
# recalled).  The wall's lies 6 to 8 % above the plate law of Churchill & Chu; the balm inside is colder at
# the wall than in the mean, which takes another 10 %.
INSIDE = 0.9
SIDE_W = 1.42 * 0.93 * INSIDE
TOP_W = 1.32 * INSIDE
RADIATION_W_M2_K = 6.2 * INSIDE  # at emissivity 1 around 45 °C
TOP_SEES = 0.8  # the rim hides part of the room
# Bath water that clings to the wall dries within minutes and takes heat: 1 g takes 2.3 kJ.
WET = 0.25
WET_SD = 0.2
WET_S = 150.0
BASE_W_M2_K = 15.0  # wooden board; trivet 6, stone 40
TABLE_J_M2_K = 27_000.0
TABLE_TO_ROOM_W_M2_K = 12.0
UNKNOWN_SD = 0.22  # draughts 15 %, the law itself 15 %
FIN = 0.25  # share of the rim above the filling that goes with it
SOLID_STEP_K = 0.25
WALL_FIRST_K = 1.0  # mean temperature over the set point at which the wall sets
KNEE_K = 1.25  # and over which the jug as a whole follows
X_TOP_K = 5.0


@dataclass(frozen=True, slots=True)
class Jug:
    """What is known of a jug of balm before the first reading, SI units."""

    capacity_j_k: float  # balm and wall
    convection_w_k: float  # at 40 K
    linear_w_k: float
    base_w_k: float
    table_j_k: float
    table_loss_w_k: float
    ln_loss: float  # learned correction of convection and linear part
    ln_loss_sd: float
    ln_base_sd: float
    set_point_c: float
    set_point_sd_k: float
    latent_x: Field = field(repr=False)  # K relative to the set point, rising
    latent_j_k: Field = field(repr=False)  # extra heat capacity there

    @property
    def sets(self) -> bool:
        return bool(self.latent_j_k.any())


LOSS = "heat loss, ln of the factor"
BASE = "contact to the counter, ln of the factor"


def describe(blend: Blend, vessel: Vessel | None, mass_g: float) -> Jug:
    """The prior of one jug.  What past batches taught of the vessel narrows it."""
    warm_c = 60.0
    thing = jug(vessel, mass_g * blend.volume_ml_g(warm_c, cooling=True))
    balm = mass_g * blend.liquid_capacity_j_gk(warm_c)
    rim_m2 = 2 * math.pi * thing.radius_m * thing.rim_m
    wall = thing.wall_j_k + FIN * thing.wall_j_m2_k * min(rim_m2, thing.side_m2)
    convection, linear = _losses(thing, rim_m2)
    learned = {} if vessel is None else {row.what: row for row in vessel.learned}
    loss = learned.get(LOSS)
    base = learned.get(BASE)
    unknown = UNKNOWN_SD if vessel is not None else 0.45
    set_point = blend.set_point.celsius
    x, latent = _latent(blend, mass_g)
    return Jug(
        capacity_j_k=balm + wall,
        convection_w_k=convection,
        linear_w_k=linear,
        base_w_k=BASE_W_M2_K * thing.top_m2 * (1.0 if base is None else math.exp(base.value)),
        table_j_k=TABLE_J_M2_K * thing.top_m2,
        table_loss_w_k=TABLE_TO_ROOM_W_M2_K * thing.top_m2,
        ln_loss=0.0 if loss is None else loss.value,
        ln_loss_sd=unknown if loss is None else _known_sd(loss, mass_g),
        ln_base_sd=0.7 if base is None else max(base.sd, 0.25),
        set_point_c=-50.0 if set_point is None else set_point,
        set_point_sd_k=blend.set_point.sd_k or 3.0,
        latent_x=x,
        latent_j_k=latent,
    )


LAW_SD = 0.15  # of the law itself, of which what was learned with one filling says little for quite another


def _known_sd(loss: Learned, mass_g: float) -> float:
    """A vessel that is known still meets another draught every time, and may be filled as it never was."""
    beyond = 1.0 - math.exp(-ln_beyond(mass_g, loss.low_g, loss.high_g))
    return math.hypot(0.12, min(loss.sd, 0.3), LAW_SD * beyond)


def loss_says(vessel: Vessel | None, mass_g: float) -> str:
    """That past batches taught the jug's loss with other fillings; "" where they did not, or nobody knows."""
    loss = None if vessel is None else next((row for row in vessel.learned if row.what == LOSS), None)
    loads = None if loss is None else other_loads(loss, mass_g)
    if loads is None:
        return ""
    low, high = loads
    if str(low) == str(high):
        return say(
            "How fast this jug cools was learned with {high}; with {mass} in it the range is wider.",
            high=high,
            mass=Grams(mass_g, 0),
        )
    return say(
        "How fast this jug cools was learned with {low} to {high}; with {mass} in it the range is wider.",
        low=low,
        high=high,
        mass=Grams(mass_g, 0),
    )


def _losses(thing: Round, rim_m2: float) -> tuple[float, float]:
    """W/K at 40 K by convection and by the linear rest."""
    diameter = 2 * thing.radius_m
    side_m2 = thing.side_m2 + FIN * min(rim_m2, thing.side_m2)
    side = SIDE_W * (REFERENCE_K / max(thing.height_m, 0.005)) ** 0.25 * side_m2
    top = TOP_W * (REFERENCE_K / diameter) ** 0.25 * thing.top_m2
    through = 1 / (1 + thing.wall_m2_k_w * 12.0)  # a thick plastic wall holds some back
    linear = RADIATION_W_M2_K * (thing.emissivity * side_m2 * through + 0.95 * TOP_SEES * thing.top_m2)
    return side * through + top, linear


def _latent(blend: Blend, mass_g: float) -> tuple[Field, Field]:
    """Extra heat capacity in J/K around and below the set point, on steps of 0.25 K.

    Against the mean temperature of a jug the knee is not sharp: the wall is colder and sets first.
    """
    x = np.arange(-45.0, X_TOP_K + 0.01, SOLID_STEP_K)
    set_point = blend.set_point.celsius
    if set_point is None:
        return x, np.zeros_like(x)
    bound = float(blend.latent_j_g[-1]) - np.interp(x + set_point, blend.grid_c, blend.latent_j_g)
    given = bound * np.clip((WALL_FIRST_K - x) / KNEE_K, 0.0, 1.0)
    slope = -np.gradient(np.maximum.accumulate(given[::-1])[::-1], SOLID_STEP_K)
    return x, np.asarray(np.maximum(slope, 0.0) * mass_g, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Guesses:
    """Many sets of unknowns, one per column; each field is an array of the same length."""

    start_c: Field
    ln_loss: Field
    room_c: Field
    set_c: Field
    ln_latent: Field
    ln_base: Field
    wet: Field  # share added to the loss at first, gone with WET_S
    draught: Field  # (knots, columns), added to ln of the loss


def paths(jug_: Jug, guesses: Guesses, times_s: Field, knots_s: Field) -> Field:
    """Mean temperature at each time (rows) for each guess (columns), °C; Heun's method on this grid."""
    columns = len(guesses.start_c)
    out = np.empty((len(times_s), columns))
    celsius = guesses.start_c.astype(np.float64)
    table = guesses.room_c.astype(np.float64).copy()
    room = guesses.room_c
    base = jug_.base_w_k * np.exp(guesses.ln_base)
    latent = np.exp(guesses.ln_latent)
    convection = jug_.convection_w_k / REFERENCE_K**0.25
    factor = _factors(guesses, times_s, knots_s)

    def slopes(celsius: Field, table: Field, loss: Field) -> tuple[Field, Field]:
        above = np.maximum(celsius - room, 0.0)
        into_table = base * (celsius - table)
        heat = loss * above * (convection * np.sqrt(np.sqrt(above)) + jug_.linear_w_k) + into_table
        capacity = jug_.capacity_j_k + latent * np.interp(
            celsius - guesses.set_c, jug_.latent_x, jug_.latent_j_k, left=0.0, right=0.0
        )
        return -heat / capacity, (into_table - jug_.table_loss_w_k * (table - room)) / jug_.table_j_k

    out[0] = celsius
    for row in range(1, len(times_s)):
        dt = times_s[row] - times_s[row - 1]
        one, one_table = slopes(celsius, table, factor[row - 1])
        two, two_table = slopes(celsius + dt * one, table + dt * one_table, factor[row])
        celsius = celsius + dt / 2 * (one + two)
        table = table + dt / 2 * (one_table + two_table)
        out[row] = celsius
    return out


def _factors(guesses: Guesses, times_s: Field, knots_s: Field) -> Field:
    """exp(ln loss + draught) at each time, draughts piecewise linear between knots."""
    place = np.clip(np.interp(times_s, knots_s, np.arange(len(knots_s))), 0, len(knots_s) - 1)
    low = np.minimum(place.astype(np.int64), len(knots_s) - 2)
    part = (place - low)[:, None]
    draught = guesses.draught[low] * (1 - part) + guesses.draught[low + 1] * part
    wet = 1 + np.maximum(guesses.wet, -0.3) * np.exp(-times_s / WET_S)[:, None]
    return np.asarray(np.exp(guesses.ln_loss[None, :] + draught) * wet)
