"""A melt in bursts played through before it begins: how many, how long, for a blend that takes up little or much."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.core.catalogue.shelf import Learned, Microwave, Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import (
    FILAMENT_S,
    LEAST_G,
    SHARE_TAKEN,
    Burst,
    OvenPower,
    next_burst,
    share_for,
)
from workbench.core.heat.cooling import REFERENCE_K, describe
from workbench.core.heat.oven_power import CUP_G, cup_power, usual_power
from workbench.core.wording import Count, Number, say

BETWEEN_S = 40.0  # stir 20 s, read, type, put back
MOST_BURSTS = 60
MOST_WAITS = 5
UNKNOWN_OVEN_SD, TESTED_OVEN_SD = 0.25, 0.05  # of ln watts
Z80 = 1.2816


@dataclass(frozen=True, slots=True)
class Played:
    """Seconds to melt-out and how many bursts; `median_s` None: never, for the reason in `says`."""

    median_s: float | None
    low80_s: float | None
    high80_s: float | None
    bursts: int
    says: str
    doubts: tuple[str, ...] = ()  # why it is less sure than it could be
    with_cup: bool = False  # a cup of water stands beside the jug


def play_bursts(
    blend: Blend,
    oven: Microwave | None,
    vessel: Vessel | None,
    mass_g: float,
    room_c: float,
    aim_c: float,
    ceiling_c: float,
) -> Played:
    """The rule of the bursts from room temperature to `aim_c`, for three blends: quick, usual and slow.

    What the blend takes up is taken from the oven's past melts or, without any, from the whole range that
    is possible; `high80_s` None: a slow one never gets there.  A load too small by itself is played with a
    cup of water beside it, where the oven was tested like that.  About 20 ms.
    """
    power, ballast_g = usual_power(oven, mass_g), 0.0
    if mass_g < LEAST_G and (by_cup := cup_power(oven, mass_g)) is not None:
        power, ballast_g = by_cup, CUP_G
    learned = None if oven is None else next((row for row in oven.learned if row.what == SHARE_TAKEN), None)
    first = next_burst(
        (), blend, mass_g, power, celsius=room_c, ceiling_c=ceiling_c, goal_c=aim_c, share=learned, ballast_g=ballast_g
    )  # fmt: skip
    if first.refused:
        return Played(None, None, None, 0, first.says, first.more)
    mean, sd = share_for(learned, mass_g)
    sd = math.hypot(sd, max(power.sd_w / power.watts, TESTED_OVEN_SD) if power.measured else UNKNOWN_OVEN_SD)
    (quick, _), (usual, count), (slow, _) = (
        _play(
            blend,
            power,
            ballast_g,
            vessel,
            mass_g,
            room_c,
            aim_c,
            ceiling_c,
            learned,
            min(mean + z * sd, 0.0),
        )
        for z in (Z80, 0.0, -Z80)
    )
    if usual is None:
        says = say("Bursts alone may not melt this out under its ceiling; the water bath can take over.")
        return Played(None, quick, None, count, says, first.more, ballast_g > 0)
    return Played(
        usual,
        quick,
        slow,
        count,
        say(
            "about {count} bursts, with {between} s between them to stir and read",
            "about one burst, then {between} s to stir and read",
            count=Count(count),
            between=Number(BETWEEN_S, 0),
        ),
        first.more,
        ballast_g > 0,
    )


def _play(
    blend: Blend,
    power: OvenPower,
    ballast_g: float,
    vessel: Vessel | None,
    mass_g: float,
    room_c: float,
    aim_c: float,
    ceiling_c: float,
    learned: Learned | None,
    ln_share: float,
) -> tuple[float | None, int]:
    """(seconds, bursts) until melt-out when this share of water's watts is taken up; (None, n): never."""
    thing = describe(blend, vessel, mass_g)
    celsius, seconds, waits = room_c, 0.0, 0
    bursts: list[Burst] = []
    while len(bursts) < MOST_BURSTS and waits < MOST_WAITS:
        if celsius >= aim_c:
            return seconds, len(bursts)
        clear = blend.solid_fraction(celsius) <= 0
        told = next_burst(
            bursts,
            blend,
            mass_g,
            power,
            celsius=celsius,
            ceiling_c=ceiling_c,
            goal_c=aim_c,
            clear=clear,
            share=learned,
            ballast_g=ballast_g,
        )
        joules = math.exp(ln_share) * power.watts * max(told.seconds - FILAMENT_S, 0.0)
        after = blend.celsius_at(blend.enthalpy_j_g(celsius) + joules / mass_g)
        if told.seconds > 0:
            bursts.append(Burst(told.seconds, celsius, after, clear))
        else:
            waits += 1
        if after >= aim_c:  # read right after the stir
            return seconds + told.seconds + BETWEEN_S, len(bursts)
        above = max(after - room_c, 0.0)
        loss_w = above * (thing.convection_w_k * (above / REFERENCE_K) ** 0.25 + thing.linear_w_k)
        celsius = after - BETWEEN_S * loss_w / thing.capacity_j_k
        seconds += told.seconds + BETWEEN_S
    return None, len(bursts)
