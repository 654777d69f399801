"""Microwave bursts: what the oven gives, what the blend takes up, how long the next burst may be.

The oven is measured with water (the water method of IEC 60705, adapted to a
load as small as the batch).  How much of that a balm takes up is known to a
factor of five only: it starts at its ceiling and is narrowed by every pair of
readings around a burst.  The rule keeps the 95 % upper temperature of the
hottest place short of a steep overshoot and the mean below the ceiling, and it
never counts on latent heat to hold the temperature down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from workbench.core.catalogue.shelf import Learned
from workbench.core.heat.blend import Blend
from workbench.core.heat.oven_power import (
    BALLAST_G,
    CUP_G,
    FILAMENT_S,
    SHARE_PER_LN_LOAD,
    USUAL_W,
    WATER_J_G_K,
    WATTS,
    OvenPower,
    ln_beyond,
    other_loads,
    usual_power,
    water_test,
    without_cup,
)
from workbench.core.wording import Degrees, Duration, Grams, Share, say

__all__ = [
    "BALLAST_G", "CUP_G", "FILAMENT_S", "HYDROCARBON_MOST", "LEAST_G", "PRIOR_SHARE", "SHARE_TAKEN", "USUAL_W", "WATER_J_G_K", "WATTS",
    "Burst", "NextBurst", "OvenPower", "next_burst", "observed_share", "share_for", "taught", "usual_power",
    "water_test",
]  # fmt: skip

LONGEST_S = 30.0
SHORTEST_S = 3.0  # less than this is mostly the oven warming up: stir and wait instead
MARGIN_K = 1.5
ABSOLUTE_C = 95.0  # never set aside by anybody (the guards of a batch have it too)
HOT_SPOT = 1.6  # rise of the hottest place over the mean rise
GROWTH = 2.0  # a melt takes up more as it clears
WANDER = 0.15  # of ln f, from burst to burst
LEAST_SHARE_SD = 0.15
LEAST_G = 50.0
HYDROCARBON_MOST = 0.4
PROBE_SD_K = 0.6
PRIOR_SHARE = (0.15, 1.0)  # of what water would take up; log-uniform
SHARE_TAKEN = "share of water's watts taken up, ln"


@dataclass(frozen=True, slots=True)
class Burst:
    """One burst with the stirred readings around it, °C, and its length in s as set."""

    seconds: float
    before_c: float
    after_c: float
    clear: bool = False  # no solids to be seen afterwards


@dataclass(frozen=True, slots=True)
class NextBurst:
    """`seconds` 0: no burst now, for the reason in `says`.  `refused`: not in the microwave at all."""

    seconds: float
    expect_c: float
    mean_at_most_c: float  # 95 % upper mean after it
    hottest_at_most_c: float  # 95 % upper temperature of a hot spot until stirred
    taken_up: float  # share of water's watts, best estimate
    taken_up_sd: float  # of its logarithm
    says: str
    why: str = ""
    refused: bool = False
    more: tuple[str, ...] = ()  # what is doubtful about it, or what else there is to see to


def share_for(learned: Learned | None, mass_g: float) -> tuple[float, float]:
    """ln of the share of water's watts a blend takes up, and its sd, before any burst of this melt.

    What past melts taught counts less the further this load lies beyond theirs; where it would then tell no
    more than the range of everything possible, that range counts.
    """
    low, high = (math.log(value) for value in PRIOR_SHARE)
    prior = (low + high) / 2, (high - low) / math.sqrt(12)
    if learned is None:
        return prior
    beyond = SHARE_PER_LN_LOAD * ln_beyond(mass_g, learned.low_g, learned.high_g)
    sd = math.hypot(max(learned.sd, LEAST_SHARE_SD), beyond)
    return prior if beyond > 0 and sd >= prior[1] else (learned.value, sd)


def share_says(learned: Learned | None, mass_g: float) -> str:
    """That past melts taught the share with other loads; "" where they did not, or nobody knows."""
    loads = None if learned is None else other_loads(learned, mass_g)
    if loads is None:
        return ""
    low, high = loads
    if str(low) == str(high):
        return say(
            "How much heat a blend takes up was learned with {high}; for {mass} that counts for less.",
            high=high,
            mass=Grams(mass_g, 0),
        )
    return say(
        "How much heat a blend takes up was learned with {low} to {high}; for {mass} that counts for less.",
        low=low,
        high=high,
        mass=Grams(mass_g, 0),
    )


def observed_share(burst: Burst, blend: Blend, mass_g: float, power: OvenPower) -> tuple[float, float]:
    """Share of water's watts one burst shows, and the standard deviation of its logarithm.

    Latent heat that must have been taken up counts, so the share is never seen too small by melting.
    """
    heat_s = max(burst.seconds - FILAMENT_S, 0.5)
    joules = mass_g * (blend.enthalpy_j_g(burst.after_c) - blend.enthalpy_j_g(burst.before_c))
    share = joules / (power.watts * heat_s)
    rise = max(burst.after_c - burst.before_c, 0.3)
    sd = math.sqrt(2) * PROBE_SD_K / rise
    start = 1.0 / heat_s  # nobody knows to a second when the oven began
    return max(share, 0.02), math.sqrt(sd**2 + start**2 + (power.sd_w / power.watts) ** 2)


def next_burst(
    bursts: Sequence[Burst],
    blend: Blend,
    mass_g: float,
    power: OvenPower,
    *,
    celsius: float,
    ceiling_c: float,
    goal_c: float | None = None,
    clear: bool = False,
    ballast_g: float = 0.0,
    share: Learned | None = None,
) -> NextBurst:
    """The longest burst, at most 30 s, that keeps the jug under its ceiling.

    `bursts`: all of this melt, oldest first.  `celsius`: the last stirred reading.  `ceiling_c`: must not
    be reached.  `goal_c`: where melting is done.  `clear`: no solids are left.  `share`: what this oven
    and blend taught before.  Below 50 g and for blends rich in hydrocarbons it is refused.
    """
    mean, sd = _posterior(bursts, blend, mass_g, power, share)
    doubts = tuple(each for each in (power.says, share_says(share, mass_g)) if each)
    refusal = _refusal(blend, mass_g, ballast_g)
    if refusal:
        return NextBurst(0.0, celsius, celsius, celsius, math.exp(mean), sd, refusal, refused=True)
    if ballast_g > 0:
        doubts = (
            say("Fresh cold water into the cup before every second burst: it must stay far from boiling."),
            *doubts,
        )
    upper = _upper_share(bursts, blend, mass_g, power, mean, sd, clear)
    capacity = mass_g * blend.liquid_capacity_j_gk(max(celsius, 25.0))
    room_k = ceiling_c - MARGIN_K - celsius
    rate = power.watts * (1 + 1.645 * power.sd_w / power.watts) / capacity  # K/s if all were taken up
    if room_k <= 0:
        return _none(
            celsius,
            mean,
            sd,
            say(
                "No more bursts: it is {now}, and the ceiling is {limit}. Stir and let it even out.",
                now=Degrees(celsius),
                limit=Degrees(ceiling_c),
            ),
        )
    if goal_c is not None and celsius >= goal_c:
        # what solid is left melts by itself there: melt-out lies 5 K over the liquidus
        return _none(
            celsius,
            mean,
            sd,
            say("It is melted. No more bursts are needed.")
            if clear
            else say(
                "No more bursts: it is {now}, and {goal} is enough. Stir until the last grain is clear.",
                now=Degrees(celsius),
                goal=Degrees(goal_c),
            ),
        )
    seconds = min(FILAMENT_S + room_k / (HOT_SPOT * upper * rate), LONGEST_S)
    if ballast_g > 0:
        # a cup that is forgotten once may cost quality, never more: the mean stays under what nobody sets aside
        hard_k = ABSOLUTE_C - MARGIN_K - celsius
        seconds = min(seconds, FILAMENT_S + hard_k / (without_cup(mass_g, ballast_g) * upper * rate))
    if goal_c is not None:
        # no further than the goal in the best estimate, what is still solid counted in
        heat_j = mass_g * (blend.enthalpy_j_g(goal_c + 1.0) - blend.enthalpy_j_g(celsius))
        wanted = FILAMENT_S + heat_j / (math.exp(mean) * rate * capacity)
        seconds = min(seconds, max(wanted, SHORTEST_S))
    if seconds < SHORTEST_S:
        return _none(
            celsius,
            mean,
            sd,
            say(
                "0 s: stir and wait. The shortest burst could already pass {limit}.", limit=Degrees(ceiling_c)
            ),
        )
    seconds = math.floor(seconds)
    heat_s = max(seconds - FILAMENT_S, 0.0)
    before = blend.enthalpy_j_g(celsius)
    expected = blend.celsius_at(before + math.exp(mean) * power.watts * heat_s / mass_g)
    rise = upper * rate * heat_s
    return NextBurst(
        float(seconds),
        expected,
        celsius + rise,
        celsius + HOT_SPOT * rise,
        math.exp(mean),
        sd,
        say(
            "Next: {time} at full power. It should read about {celsius} after, at most {most}.",
            time=Duration(seconds),
            celsius=Degrees(expected, 0),
            most=Degrees(max(celsius + rise, expected), 0),
        ),
        _why(bursts, power, math.exp(mean)),
        more=doubts,
    )


def _none(celsius: float, mean: float, sd: float, says: str) -> NextBurst:
    return NextBurst(0.0, celsius, celsius, celsius, math.exp(mean), sd, says)


def _refusal(blend: Blend, mass_g: float, ballast_g: float) -> str:
    if blend.hydrocarbon_share > HYDROCARBON_MOST:
        return say(
            "{share} of this blend hardly takes up microwaves and heats unevenly. Use the water bath.",
            share=Share(100 * blend.hydrocarbon_share, 0),
        )
    if mass_g < LEAST_G and ballast_g < BALLAST_G:
        return say(
            "{mass} is too little for the microwave: it could warm by several degrees a second. Use the "
            "water bath.",
            mass=Grams(mass_g, 0),
        )
    return ""


def _posterior(
    bursts: Sequence[Burst], blend: Blend, mass_g: float, power: OvenPower, share: Learned | None
) -> tuple[float, float]:
    """ln of the share taken up: mean and standard deviation after all bursts so far."""
    mean, sd = share_for(share, mass_g)
    for burst in bursts:
        if burst.seconds <= FILAMENT_S + 0.5:
            continue
        sd = math.hypot(sd, WANDER)
        seen, noise = observed_share(burst, blend, mass_g, power)
        gain = sd**2 / (sd**2 + noise**2)
        mean += gain * (math.log(seen) - mean)
        sd = math.sqrt(1 - gain) * sd
    return min(mean, 0.0), sd


def _upper_share(
    bursts: Sequence[Burst],
    blend: Blend,
    mass_g: float,
    power: OvenPower,
    mean: float,
    sd: float,
    clear: bool,
) -> float:
    """95 % upper share; 1 before anything is known, and room for growth while solids remain."""
    told = [burst for burst in bursts if burst.seconds > FILAMENT_S + 0.5]
    if not told:
        return 1.0
    upper = math.exp(mean + 1.645 * math.hypot(sd, WANDER))
    seen = []
    for burst in told:
        share, noise = observed_share(burst, blend, mass_g, power)
        # a burst that says little cannot say that little is taken up
        seen.append(share * math.exp(0.6 * min(noise, 1.0)))
    if not clear:
        return min(1.0, max(upper, GROWTH * max(seen)))
    return min(1.0, max(upper, 1.35 * max(seen[-2:])))


def _why(bursts: Sequence[Burst], power: OvenPower, share: float) -> str:
    if not bursts:
        return say("Nothing has been heated yet, so it is taken to warm as fast as water's watts allow.")
    if not power.measured:
        return say("The oven was never measured. A water test allows longer bursts.")
    return say(
        "So far the blend took up {share} of what water would; more is allowed for as it clears.",
        share=Share(100 * share, 0),
    )


def taught(
    bursts: Sequence[Burst], blend: Blend, mass_g: float, power: OvenPower, before: Learned | None = None
) -> Learned | None:
    """What a melt taught about oven and blend, to be kept with the oven; None if nothing."""
    if not bursts:
        return None
    mean, sd = _posterior(bursts, blend, mass_g, power, before)
    batches = 1 if before is None else before.batches + 1
    return Learned(what=SHARE_TAKEN, value=mean, sd=sd, batches=batches)
