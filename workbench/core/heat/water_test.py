"""The guided water test of a microwave: how long to heat, what came of it, and which readings are refused."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.core.catalogue.shelf import Microwave, WaterTest
from workbench.core.heat.bursts import LEAST_G as BY_ITSELF_G
from workbench.core.heat.oven_power import (
    BALLAST_G,
    FILAMENT_S,
    LEAST_OF_LOAD,
    USUAL_W,
    WATER_J_G_K,
    OvenPower,
    power_of,
    usual_power,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Grams, Number, say

RISE_K = 25.0  # enough to read well, far from boiling
MOST_RISE_K = 35.0
SHORTEST_S, LONGEST_S = 20.0, 120.0  # as set, the start of the oven in it
LEAST_G = 100.0
LEAST_BESIDE_G = 20.0  # in the small glass, with a cup beside it
BESIDE_RISE_K = 15.0  # of all the water together: the small glass may get much more of it than the cup
WARMEST_START_C = 30.0
MOST_OF_PLATE, LEAST_OF_PLATE = 1.4, 0.25
Z80 = 1.2816


@dataclass(frozen=True, slots=True)
class Tested:
    power: OvenPower
    says: str
    more: tuple[str, ...]


def _watts(oven: Microwave, water_g: float) -> float:
    return usual_power(oven, water_g).watts if oven.learned or oven.tests or oven.rated_w else USUAL_W


def least_water_g(oven: Microwave) -> float:
    """Water that the shortest test warms by no more than 35 K, and at least 100 g; in steps of 50 g."""
    return max(
        LEAST_G,
        50.0
        * math.ceil(_watts(oven, LEAST_G) * (SHORTEST_S - FILAMENT_S) / (WATER_J_G_K * MOST_RISE_K) / 50),
    )


def time_for_test_s(oven: Microwave, water_g: float, cup_g: float = 0.0) -> float:
    """Seconds that warm this much water by about 25 K, in steps of 5 s; never over two minutes.

    `cup_g`: of water in a cup beside it; then by about 15 K.
    """
    whole_g, rise_k = (water_g, RISE_K) if cup_g <= 0 else (water_g + cup_g, BESIDE_RISE_K)
    seconds = FILAMENT_S + WATER_J_G_K * whole_g * rise_k / _watts(oven, whole_g)
    return float(min(max(5 * round(seconds / 5), SHORTEST_S), LONGEST_S))


def try_oven(oven: Microwave, test: WaterTest) -> Tested:
    """The oven's watts by one test.  Raises Trouble for readings that cannot be right, and says which.

    What the oven needs to start is taken off the seconds as set, as IEC 60705 has it and as the rule of the
    bursts counts them.
    """
    water_g, before_c, after_c, seconds = test.water_g, test.before_c, test.after_c, test.seconds
    beside = test.cup_g > 0
    if beside and test.cup_g < BALLAST_G:
        raise Trouble(
            say(
                "Take at least {least} g of water in the cup: less does not hold the small glass back.",
                least=Number(BALLAST_G, 0),
            )
        )
    if water_g < (LEAST_BESIDE_G if beside else LEAST_G):
        raise Trouble(
            say(
                "Take at least {least} g of water: less tells too little of a batch.",
                least=Number(LEAST_BESIDE_G if beside else LEAST_G, 0),
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
    power = power_of(test)
    plate = oven.rated_w
    least = 0.0 if beside else LEAST_OF_PLATE  # the cup takes most of it
    if plate is not None and not least * plate <= power.watts <= MOST_OF_PLATE * plate:
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
    if beside:
        more = [
            say(
                "It holds for melts of up to {most} with the same cup beside the jug, as full as now.",
                most=Grams(min(test.water_g / LEAST_OF_LOAD, BY_ITSELF_G), 0),
            )
        ]
    else:
        more = [
            say("Its plate says {plate} W; small amounts get less than that.", plate=Number(plate, 0))
            if plate is not None
            else say("An oven gives less to small amounts than its plate says."),
            say(
                "It holds for melts like {water}: much more is counted by the plate until you test it again, and "
                "less with more doubt.",
                water=Grams(water_g, 0),
            ),
        ]
    if power.sd_w > 0.08 * power.watts:
        more.append(say("More water or more time would tell it closer; two tests are averaged."))
    return Tested(power, says, tuple(more))
