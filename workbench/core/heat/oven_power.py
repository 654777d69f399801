"""What a microwave gives a load, by its water tests; and how far what was learned holds for another load.

A test is kept as it was read, and its watts are worked out from it whenever
they are asked for: a correction of the formula reaches old tests too.  An oven
gives a larger load more and a smaller one less, so a test speaks of loads like
its own; beyond them it counts with more doubt, and for a much larger load not
at all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from workbench.core.catalogue.shelf import Learned, Microwave, WaterTest
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Grams, say

WATER_J_G_K = 4.187
GLASS_J_G_K = 0.55  # of the vessel, as the standard has it (recalled)
FILAMENT_S = 2.0
USUAL_W = 800.0
EARLY = say(
    "The water test of this oven is an early one that reads 2 to 10 % low. Repeat it once, on the shelf."
)
WATTS = "watts into water"  # a result without its readings, as tests were kept at first
AGREES_SD = 2.5
# The first results still had the oven's start in their time: 2 s of the 20 to 120 s a test takes, so they are
# 2 to 10 % low.
EARLY_LOW = 0.05
# How ln watts goes with ln load: no table for kitchen ovens was found.  An oven that gives m/(m + 65 g) of its
# power to a load m, as the simulated ones do, changes by 0.5 between 50 and 100 g and by 0.2 from there to 500 g.
WATTS_PER_LN_LOAD = 0.35
LEAST_OF_LOAD = 0.6  # water of a test over the melt; with less, bursts would come out too long: not counted
# Canola took 0.17 of water's power at 25 g, and about all of it in large loads (a litre): ln 5.9 over ln 40.
SHARE_PER_LN_LOAD = 0.5
NEARLY = 1.1  # another load by less than a tenth is the same load
BALLAST_G = 200.0  # water in a cup beside a small jug, at least
CUP_G = 250.0  # as it is asked for
OVEN_ITSELF_G = 65.0  # of water: what an oven loses besides; recalled, low confidence


@dataclass(frozen=True, slots=True)
class OvenPower:
    """Watts into water of the load's mass, with its standard deviation; `says`: what is doubtful about them."""

    watts: float
    sd_w: float
    measured: bool = True
    says: str = ""


def water_test(
    water_g: float,
    before_c: float,
    after_c: float,
    seconds: float,
    *,
    vessel_g: float = 0.0,
    room_c: float | None = None,
    probe_sd_k: float = 0.5,
) -> OvenPower:
    """Oven power from heating water: [4.187 m (T2-T1) + 0.55 m_c (T2-T0)] / t, watts.

    `seconds`: as set, without the time the oven needs to start (IEC 60705 does not count it).  `room_c`:
    temperature of the vessel before, by default that of the water.  Raises Trouble where the rise is too
    small to tell anything or the water boiled.
    """
    rise = after_c - before_c
    if water_g < 20 or seconds < 15:
        raise Trouble(say("The water test needs at least 20 g of water and 15 s. Repeat it with more."))
    if rise < 5:
        raise Trouble(
            say("The water warmed by {rise} only, too little to tell. Heat it longer.", rise=Degrees(rise))
        )
    if after_c > 90:
        raise Trouble(say("The water came close to boiling. Repeat the test with cold water and less time."))
    start = before_c if room_c is None else room_c
    joules = WATER_J_G_K * water_g * rise + GLASS_J_G_K * vessel_g * (after_c - start)
    watts = joules / seconds
    relative = math.hypot(math.sqrt(2) * probe_sd_k / rise, 1.0 / seconds)
    return OvenPower(watts, watts * relative)


def power_of(test: WaterTest) -> OvenPower:
    """Watts into the water of one test, by the formula as it stands now.  Raises Trouble as `water_test` does."""
    return water_test(
        test.water_g,
        test.before_c,
        test.after_c,
        test.seconds - FILAMENT_S,
        vessel_g=test.bowl_g,
        probe_sd_k=test.probe_sd_k,
    )


@dataclass(frozen=True, slots=True)
class Tested:
    """Tests that agree, as one: their watts, how many, and the water they were made with."""

    watts: float
    sd_w: float
    count: int
    low_g: float | None  # None: not known
    high_g: float | None
    early: bool = False  # kept as a result only, and a little low


def like_load(one_g: float, other_g: float) -> bool:
    return abs(math.log(one_g / other_g)) <= -math.log(LEAST_OF_LOAD)


def agree(one: OvenPower, other: OvenPower) -> bool:
    """Whether two tests with like loads can both be right."""
    return abs(one.watts - other.watts) <= AGREES_SD * math.hypot(one.sd_w, other.sd_w)


def by_tests(oven: Microwave, mass_g: float | None = None, *, with_cup: bool = False) -> Tested | None:
    """What the oven's tests say of a load; None without any.

    `mass_g` None: all tests.  Of several loads the nearest is taken, with what was measured like it; of
    tests with one load that do not agree the newer ones.
    """
    sound = [(each, power) for each in oven.tests if (power := _sound(each)) and _made_so(each, with_cup)]
    if not sound:
        early = next((row for row in oven.learned if row.what == WATTS), None)
        if early is None or with_cup:
            return None
        doubt = EARLY_LOW * early.value
        return Tested(early.value, math.hypot(early.sd, doubt), early.batches, None, None, early=True)
    low, high = min(each.water_g for each, _ in sound), max(each.water_g for each, _ in sound)
    if mass_g is not None and mass_g > 0:
        near = min((each.water_g for each, _ in sound), key=lambda water: abs(math.log(water / mass_g)))
        sound = [(each, power) for each, power in sound if like_load(each.water_g, near)]
    watts, sd, count = _as_one([power for _, power in sorted(sound, key=lambda pair: pair[0].day)])
    return Tested(watts, sd, count, low, high)


def _made_so(test: WaterTest, with_cup: bool) -> bool:
    return test.cup_g >= BALLAST_G if with_cup else test.cup_g == 0


def _sound(test: WaterTest) -> OvenPower | None:
    """None for a test that tells nothing: a file may come from anywhere."""
    try:
        return power_of(test)
    except Trouble:
        return None


def _as_one(powers: Sequence[OvenPower]) -> tuple[float, float, int]:
    """Oldest first: what agrees is averaged by its precision, what does not takes the place of what was."""
    held, count = powers[0], 1
    for power in powers[1:]:
        if not agree(held, power):
            held, count = power, 1
            continue
        before, now = max(held.sd_w, 1.0) ** -2, max(power.sd_w, 1.0) ** -2
        watts = (before * held.watts + now * power.watts) / (before + now)
        held, count = OvenPower(watts, (before + now) ** -0.5), count + 1
    return held.watts, held.sd_w, count


def usual_power(oven: Microwave | None, mass_g: float) -> OvenPower:
    """What to take for a load where no water test is made now: by its tests, or the rating at its full value."""
    found = None if oven is None else by_tests(oven, mass_g)
    if found is None or found.high_g is None or mass_g <= 0:
        if found is None:
            return untested_power(oven)
        return replace(_power(found), says=EARLY if found.early else "")
    if mass_g > found.high_g / LEAST_OF_LOAD:
        power = untested_power(oven)
        says = say(
            "The water test was made with {water} and {mass} is much more: an oven gives that more power. The test "
            "is not counted; repeat it with as much water.",
            water=Grams(found.high_g, 0),
            mass=Grams(mass_g, 0),
        )
        return replace(power, watts=max(power.watts, found.watts), says=says)
    return _carried(found, mass_g)


def cup_power(oven: Microwave | None, mass_g: float) -> OvenPower | None:
    """The same with a cup of water beside the jug; None where no such test was made with a load like this."""
    found = None if oven is None else by_tests(oven, mass_g, with_cup=True)
    if found is None or found.high_g is None or mass_g <= 0 or mass_g > found.high_g / LEAST_OF_LOAD:
        return None
    return _carried(found, mass_g)


def without_cup(mass_g: float, cup_g: float) -> float:
    """How many times what it gets beside a cup of water a small load may get when the cup was forgotten.

    By an oven that gives m / (m + 65 g) of its power to all there is in it, and each its part by mass.
    """
    return (mass_g + cup_g + OVEN_ITSELF_G) / (mass_g + OVEN_ITSELF_G)


def untested_power(oven: Microwave | None) -> OvenPower:
    """The rating at its full value, which no load gets more of; without one, as strong as kitchen ovens get."""
    if oven is not None and oven.rated_w is not None:
        return OvenPower(oven.rated_w, 0.1 * oven.rated_w, measured=False)
    return OvenPower(USUAL_W * 1.5, 0.2 * USUAL_W, measured=False)


def _power(found: Tested) -> OvenPower:
    return OvenPower(found.watts, max(found.sd_w, 0.02 * found.watts))


def _carried(found: Tested, mass_g: float) -> OvenPower:
    """The tests' watts for a load beside those measured: with more doubt, and a sentence where it counts."""
    assert found.low_g is not None
    assert found.high_g is not None
    power, away = _power(found), ln_beyond(mass_g, found.low_g, found.high_g)
    if away <= math.log(NEARLY):
        return power
    doubt = WATTS_PER_LN_LOAD * away * found.watts
    edge = found.low_g if mass_g < found.low_g else found.high_g
    says = say(
        "The water test was made with {water}; for {mass} it counts with more doubt. Repeat it with as much water.",
        water=Grams(edge, 0),
        mass=Grams(mass_g, 0),
    )
    return replace(power, sd_w=math.hypot(power.sd_w, doubt), says=says)


def ln_beyond(mass_g: float, low_g: float | None, high_g: float | None) -> float:
    """How far a load lies beyond those measured, as the logarithm of their ratio; 0 within, or where unknown."""
    if mass_g <= 0 or low_g is None or high_g is None:
        return 0.0
    return max(math.log(low_g / mass_g), math.log(mass_g / high_g), 0.0)


def other_loads(found: Learned, mass_g: float) -> tuple[Grams, Grams] | None:
    """The loads something was learned with, where this one lies beyond them; None within, or where unknown."""
    if found.low_g is None or found.high_g is None:
        return None
    if ln_beyond(mass_g, found.low_g, found.high_g) <= math.log(NEARLY):
        return None
    return Grams(found.low_g, 0), Grams(found.high_g, 0)
