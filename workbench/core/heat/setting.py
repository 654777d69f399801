"""In the tin: skin, may be moved, cool; how far it sinks, what to keep back, and how to mend the dip.

Once gelled nothing stirs inside and the Biot number is 0.3 to 0.6, so the mean
alone is 20 to 40 % too early for the centre.  Here the mean is lumped with half
the inner resistance in the way, and the centre lies above it by half of what
the heat flow needs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.catalogue.shelf import Tin
from workbench.core.heat import known
from workbench.core.heat.blend import Blend
from workbench.core.heat.loss import Loss, Stay, loss
from workbench.core.heat.root import rising_root
from workbench.core.heat.vessels import Round, tin_round
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Degrees, Duration, Millimetres, Share, say

Field = NDArray[np.float64]

MOVED_BELOW_SET_K = 8.0  # the centre this far under the set point: gelled, may be moved
COOL_ABOVE_ROOM_K = 4.0
SPREAD_80 = (0.72, 1.42)  # factors around the median that hold 80 % of simulated tins
# Simplified relations for air (Holman, recalled), less a tenth for the colder skin of the balm.
TOP_W = 1.32 * 0.9
SIDE_W = 1.42 * 0.9
RADIATION_W_M2_K = 5.8 * 0.9
BASE_W_M2_K = 15.0
TABLE_J_M2_K = 27_000.0
TABLE_TO_ROOM_W_M2_K = 12.0
SLOW_STACKED = 1.7
INNER = 0.5


@dataclass(frozen=True, slots=True)
class Span80:
    """Seconds: the median and the range that holds four tins of five."""

    median_s: float
    low80_s: float
    high80_s: float


@dataclass(frozen=True, slots=True)
class Setting:
    """What a poured tin does, seconds from the pour; None where it does not set."""

    skin: Span80 | None
    movable: Span80 | None
    cool: Span80
    says: tuple[str, ...]


def setting(
    blend: Blend, tin: Tin, mass_g: float, pour_c: float, room_c: float, *, stacked: bool = False
) -> Setting:
    """Times of one tin on a counter, without a thermometer.  `mass_g`: of balm in it, 1 to 2000."""
    if mass_g <= 0:
        raise Trouble(say("A tin needs a weight of balm in it. Enter one above zero."))
    if pour_c <= room_c:
        raise Trouble(say("The pouring temperature lies under the room's. Correct one of them."))
    thing = tin_round(tin, mass_g * blend.volume_ml_g(pour_c, cooling=True))
    seconds, surface, centre = _cool(blend, thing, mass_g, pour_c, room_c)
    slow = SLOW_STACKED if stacked else 1.0
    set_point = blend.set_point.celsius

    def span(curve: Field, celsius: float) -> Span80:
        below = np.nonzero(curve <= celsius)[0]
        at = slow * float(seconds[below[0]] if len(below) else seconds[-1])
        return Span80(at, at * SPREAD_80[0], at * SPREAD_80[1])

    cool = span(centre, room_c + COOL_ABOVE_ROOM_K)
    if set_point is None:
        return Setting(None, None, cool, (blend.set_point.why,))
    # a warm room never brings the centre far below a low set point: then it is cool before it is firm
    firm_c = max(set_point - MOVED_BELOW_SET_K, room_c + 1.5)
    return Setting(
        span(surface, set_point - 1.0),
        span(centre, firm_c),
        cool,
        (
            say("Do not move it before {time}.", time=Duration(300 * math.ceil(span(centre, firm_c).high80_s / 300))),
            say("Butters go on hardening for hours and days after that."),
        ),
    )  # fmt: skip


def _cool(
    blend: Blend, thing: Round, mass_g: float, pour_c: float, room_c: float
) -> tuple[Field, Field, Field]:
    """Seconds, surface and centre temperature of a tin on a counter."""
    step = 5.0
    steps = int(6 * 3600 / step)
    area = thing.side_m2 + 2 * thing.top_m2
    volume_over_area = thing.volume_ml * 1e-6 / area
    inner = INNER * volume_over_area / (known.SOLID_CONDUCTIVITY_W_M_K.value * area)  # K/W
    enthalpy = mass_g * blend.enthalpy_curve(cooling=True) + thing.wall_j_k * blend.grid_c
    content = float(np.interp(pour_c, blend.grid_c, enthalpy))
    table_j_k = TABLE_J_M2_K * thing.top_m2
    table = room_c
    base = BASE_W_M2_K * thing.top_m2
    set_point = blend.set_point.celsius if blend.set_point.celsius is not None else -50.0
    surface_c, centre_c = np.empty(steps), np.empty(steps)
    for at in range(steps):
        mean = float(np.interp(content, enthalpy, blend.grid_c))
        above = max(mean - room_c, 0.01)
        top = TOP_W * (above / (2 * thing.radius_m)) ** 0.25 + RADIATION_W_M2_K * 0.95
        side = SIDE_W * (above / max(thing.height_m, 0.005)) ** 0.25 + RADIATION_W_M2_K * thing.emissivity
        outside = top * thing.top_m2 + side * thing.side_m2
        gelled = mean < set_point
        within = inner if gelled else inner / 4
        loss_w = above / (1 / outside + within) + (mean - table) / (1 / base + within)
        table += (
            step
            / table_j_k
            * ((mean - table) / (1 / base + within) - TABLE_TO_ROOM_W_M2_K * thing.top_m2 * (table - room_c))
        )
        surface_c[at] = mean - loss_w * within
        centre_c[at] = mean + (loss_w * within if gelled else 0.0)
        content -= loss_w * step
    return np.arange(steps, dtype=np.float64) * step, surface_c, centre_c


# --- sinking ---


@dataclass(frozen=True, slots=True)
class Sinking:
    """What a tin loses on setting.  Volumes in mL, depths in mm, masses in g.

    `dish_mm`: a shallow dish over the whole top; `funnel_mm`: depth in the middle if the sides set first
    and draw it into a funnel.  The truth lies between.  `first_g`: pour this, `keep_back_g`: top up with
    this; together they leave the wanted fill line.
    """

    lost_percent: float  # of the volume, pour to room
    lost_after_set_percent: float
    hollow_ml: float
    dish_mm: float
    funnel_mm: float
    keep_back_g: float
    first_g: float
    share_of_side: float  # how much of the contraction shows as a hollow
    says: str


def side_share(thing: Round) -> float:
    """Share of freezing from the side, H/(H+R) for equal coefficients: what shows as a dip.

    No published value; a maker's own measurement replaces it.
    """
    return thing.height_m / (thing.height_m + thing.radius_m)


def funnel_depth(height: float, contraction: float, at: float = 0.1) -> float:
    """Depth at a share `at` of the radius for freezing from the side only: h/H = (r/R)^(2b)."""
    return float(height * (1 - at ** (2 * contraction)))


def sinking(
    blend: Blend,
    tin: Tin,
    fill_ml: float,
    pour_c: float,
    room_c: float,
    *,
    shows: float | None = None,
) -> Sinking:
    """How far a tin filled to `fill_ml` sinks between pour and room.

    `shows`: share of the contraction after setting that shows as a hollow, 0 to 1, from the maker's own
    measurement; by default from the tin's shape.
    """
    if fill_ml <= 0:
        raise Trouble(say("A tin needs a fill line above zero. Measure it or weigh the water it holds."))
    set_point = blend.set_point.celsius
    hot = blend.volume_ml_g(pour_c, cooling=True)
    cold = blend.volume_ml_g(room_c)
    at_set = hot if set_point is None else blend.volume_ml_g(min(set_point, pour_c), cooling=True)
    lost = 1 - cold / hot
    after = max(1 - cold / at_set, 0.0)
    thing = tin_round(tin, fill_ml)
    share = side_share(thing) if shows is None else min(max(shows, 0.0), 1.0)
    hollow = share * after * fill_ml
    radius_mm = thing.radius_m * 1000
    dish = 2 * hollow * 1000 / (math.pi * radius_mm**2)
    funnel = share * funnel_depth(thing.height_m * 1000, after)
    whole = fill_ml / cold  # what fills the tin to its line once it is cold
    keep = max(whole - fill_ml / hot, 0.0)  # the tin is full to the line while hot; this goes on top later
    return Sinking(
        100 * lost,
        100 * after,
        hollow,
        dish,
        max(funnel, dish),
        keep,
        whole - keep,
        share,
        say(
            "It shrinks by {lost}; expect a dip of {low} to {high}. Keep {share} back for topping up.",
            lost=Share(100 * lost),
            low=Millimetres(dish),
            high=Millimetres(max(funnel, dish)),
            share=Share(100 * keep / whole),
        ),
    )


def learned_share(
    blend: Blend, tin: Tin, fill_ml: float, dip_mm: float, pour_c: float, room_c: float
) -> float:
    """Which share of the contraction a measured dip stands for (as a dish), 0 to 1."""
    full = sinking(blend, tin, fill_ml, pour_c, room_c, shows=1.0)
    return min(max(dip_mm / full.dish_mm, 0.0), 1.0) if full.dish_mm > 0 else 0.0


# --- reflow ---

DEEPEST_MM = 5.0
WARM_AIR_W_M2 = 1300.0  # an oven of 110 °C, or a gentle hair dryer at some distance
REST_S = 60.0


@dataclass(frozen=True, slots=True)
class Reflow:
    """Warm air over the top.  `passes_s` of warming with `rest_s` between; stop at `stop_c`."""

    seconds: float
    passes: int
    pass_s: float
    rest_s: float
    stop_c: float
    second_dip_mm: float
    lost: Loss | None  # fragrance that leaves meanwhile
    possible: bool
    says: tuple[str, ...]


def stefan_lambda(stefan: float) -> float:
    """Root of sqrt(pi) x exp(x²) erf(x) = Ste (Crank, Free and Moving Boundary Problems, eq. 3.14)."""
    return rising_root(lambda x: math.sqrt(math.pi) * x * math.exp(x * x) * math.erf(x) - stefan, 1e-6, 3.0)


def reflow(
    blend: Blend,
    tin: Tin,
    depth_mm: float,
    dip_mm: float,
    room_c: float,
    stop_c: float,
    *,
    composition: Composition | None = None,
    catalogue: Catalogue | None = None,
    flux_w_m2: float = WARM_AIR_W_M2,
    height_mm: float | None = None,
) -> Reflow:
    """Time of warm air to melt the top `depth_mm`; the slower of heat supply and conduction governs.

    `stop_c`: the surface may not pass it: scented ceiling for scented balm.  With `composition` and
    `catalogue` the fragrance lost is counted.  More than 5 mm is better melted again as a whole.
    """
    liquidus = blend.liquidus.celsius
    if liquidus is None:
        raise Trouble(say("This blend does not set, so there is no dip to mend."))
    if not 0 < depth_mm <= 50:
        raise Trouble(say("A depth to melt lies between 0 and 50 mm. Measure the dip again."))
    density = 1e6 * blend.density_g_ml(40.0)  # g/m³
    joules = blend.enthalpy_j_g(liquidus) - blend.enthalpy_j_g(room_c)
    supply_s = density * depth_mm / 1000 * joules / flux_w_m2
    warm = min(stop_c, 80.0)
    possible = warm > liquidus + 1.0 and depth_mm <= DEEPEST_MM
    conduction_s = supply_s
    if warm > liquidus + 1.0:
        capacity = 2.1
        stefan = capacity * (warm - liquidus) / max(joules, 1.0)
        diffusivity = 0.17 / (density * capacity)
        conduction_s = (depth_mm / 1000) ** 2 / (4 * stefan_lambda(stefan) ** 2 * diffusivity)
    seconds = max(supply_s, conduction_s)
    passes = max(1, math.ceil(seconds / 120))
    whole_mm = tin_round(tin, 15.0).height_m * 1000 if height_mm is None else height_mm
    lost = None
    if composition is not None and catalogue is not None:
        surface_cm2 = tin_round(tin, 15.0).top_m2 * 1e4
        # only the molten layer gives off; it holds its share of the tin
        layer = Composition.of(
            {
                part.material: part.mass_g * min(depth_mm / max(whole_mm, depth_mm), 1.0)
                for part in composition.portions
            }
        )
        lost = loss(layer, catalogue, [Stay(warm, seconds)], surface_cm2, air_m_s=0.5)
    return Reflow(
        seconds,
        passes,
        seconds / passes,
        REST_S,
        stop_c,
        dip_mm * min(depth_mm / max(whole_mm, depth_mm), 1.0),
        lost,
        possible,
        _reflow_says(possible, depth_mm, seconds, passes, stop_c, liquidus, lost),
    )


def _reflow_says(
    possible: bool,
    depth_mm: float,
    seconds: float,
    passes: int,
    stop_c: float,
    liquidus: float,
    lost: Loss | None,
) -> tuple[str, ...]:
    lines = []
    if depth_mm > DEEPEST_MM:
        lines.append(
            say(
                "{depth} is too deep to mend from above: put the tin into a warm bath and melt it whole.",
                depth=Millimetres(depth_mm),
            )
        )
    elif not possible:
        lines.append(
            say(
                "The surface would have to pass {need}, and it may not pass {limit}. Top it up instead.",
                need=Degrees(liquidus),
                limit=Degrees(stop_c),
            )
        )
    else:
        lines.append(
            say(
                "Warm the top for {time} in {count} passes with a minute between, never over {limit}.",
                "Warm the top for {time} in one pass, never over {limit}.",
                time=Duration(round(seconds / passes / 5) * 5),
                count=Count(passes),
                limit=Degrees(stop_c, 0),
            )
        )
        lines.append(say("A second mending only after the tin is cold again."))
    if lost is not None and possible and lost.of(Note.TOP) > 0.05:
        lines.append(
            say("It costs about {share} of the top note in that layer.", share=Share(lost.of(Note.TOP)))
        )
    return tuple(lines)
