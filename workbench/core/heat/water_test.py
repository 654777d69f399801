"""The guided water test of a microwave: how long to heat, what came of it, and which readings are refused."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.core.catalogue.shelf import Microwave
from workbench.core.heat.bursts import (
    FILAMENT_S,
    USUAL_W,
    WATER_J_G_K,
    OvenPower,
    usual_power,
    water_test,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Grams, Number, say

RISE_K = 25.0  # enough to read well, far from boiling
MOST_RISE_K = 35.0
SHORTEST_S, LONGEST_S = 20.0, 120.0  # as set, the start of the oven in it
LEAST_G = 100.0
WARMEST_START_C = 30.0
MOST_OF_PLATE, LEAST_OF_PLATE = 1.4, 0.25
Z80 = 1.2816


@dataclass(frozen=True, slots=True)
class Tested:
    power: OvenPower
    says: str
    more: tuple[str, ...]


def _watts(oven: Microwave, water_g: float) -> float:
    return usual_power(oven, water_g).watts if oven.learned or oven.rated_w else USUAL_W


def least_water_g(oven: Microwave) -> float:
    """Water that the shortest test warms by no more than 35 K, and at least 100 g; in steps of 50 g."""
    return max(
        LEAST_G,
        50.0
        * math.ceil(_watts(oven, LEAST_G) * (SHORTEST_S - FILAMENT_S) / (WATER_J_G_K * MOST_RISE_K) / 50),
    )


def time_for_test_s(oven: Microwave, water_g: float) -> float:
    """Seconds that warm this much water by about 25 K, in steps of 5 s; never over two minutes."""
    seconds = FILAMENT_S + WATER_J_G_K * water_g * RISE_K / _watts(oven, water_g)
    return float(min(max(5 * round(seconds / 5), SHORTEST_S), LONGEST_S))


def try_oven(
    oven: Microwave,
    water_g: float,
    before_c: float,
    after_c: float,
    seconds: float,
    *,
    bowl_g: float = 0.0,
    probe_sd_k: float = 0.5,
) -> Tested:
    """The oven's watts by one test.  Raises Trouble for readings that cannot be right, and says which.

    `seconds` as set: what the oven needs to start is taken off, as IEC 60705
    has it and as the rule of the bursts counts them.
    """
    if water_g < LEAST_G:
        raise Trouble(
            say(
                "Take at least {least} g of water: less tells too little of a batch.",
                least=Number(LEAST_G, 0),
            )
        )
    if before_c > WARMEST_START_C:
        raise Trouble(
            say(
                "The water was at {warm} before. Begin with cold water, so that it stays far from boiling.",
                warm=Degrees(before_c),
            )
        )
    if after_c <= before_c:
        raise Trouble(say("The water did not get warmer. Look at the two temperatures again."))
    if seconds > 2 * LONGEST_S:
        raise Trouble(say("That is longer than such a test may take. Repeat it with the time given above."))
    if seconds < SHORTEST_S:
        raise Trouble(
            say(
                "Heat it for {least} s at least: an oven needs the first seconds to begin.",
                least=Number(SHORTEST_S, 0),
            )
        )
    power = water_test(
        water_g, before_c, after_c, seconds - FILAMENT_S, vessel_g=bowl_g, probe_sd_k=probe_sd_k
    )
    plate = oven.rated_w
    if plate is not None and not LEAST_OF_PLATE * plate <= power.watts <= MOST_OF_PLATE * plate:
        raise Trouble(
            say(
                "That would be {watts} W from an oven whose plate says {plate} W. One of the numbers is not "
                "right: look at the weight, the seconds and both temperatures, and stir before each reading.",
                watts=Number(power.watts, 0),
                plate=Number(plate, 0),
            )
        )
    low, high = power.watts - Z80 * power.sd_w, power.watts + Z80 * power.sd_w
    says = say(
        "About {watts} W reach the water ({low} to {high} W).",
        watts=Number(10 * round(power.watts / 10), 0),
        low=Number(10 * round(low / 10), 0),
        high=Number(10 * round(high / 10), 0),
    )
    more = [
        say("Its plate says {plate} W; small amounts get less than that.", plate=Number(plate, 0))
        if plate is not None
        else say("An oven gives less to small amounts than its plate says.")
    ]
    more.append(
        say(
            "It holds for batches of up to about {water}: an oven gives more to a larger load, and bursts would "
            "come out too long. Test again before a much larger batch.",
            water=Grams(water_g, 0),
        )
    )
    if power.sd_w > 0.08 * power.watts:
        more.append(say("More water or more time would tell it closer; two tests are averaged."))
    return Tested(power, says, tuple(more))
