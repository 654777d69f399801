"""`balmbook burst`: how long the next microwave burst may be, from the bursts so far."""

from __future__ import annotations

import argparse
import json
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from workbench.cli.jug import Jug, add_jug_options, between, keys, on_shelf
from workbench.core.trouble import Trouble
from workbench.core.wording import Duration, Grams, say

if TYPE_CHECKING:
    from workbench.cli.jug import Pick
    from workbench.core.catalogue.shelf import Learned, Microwave
    from workbench.core.heat.bursts import NextBurst, OvenPower
    from workbench.core.heat.forecast import Crossing

LEAST_OF_MASS = 0.6  # of the balm, in a water test: ovens give a larger load more (no table of it was found)
TESTED, RATED, LEARNED, GUESSED = "water test", "rating", "learned", "nothing known"


def burst_(words: list[str], pick: Pick) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook burst",
        description="How long the next microwave burst may be: at most 30 s, short enough that the jug stays "
        "under its ceiling; 0 means stir and wait. Each burst so far, with a stirred reading before and after, "
        "tells how much of the oven's heat this blend takes up.",
        epilog="Stir and read after every burst. Under 50 g, and for blends rich in hydrocarbons, it refuses "
        "and says what to do instead.",
    )
    parser.add_argument(
        "bursts",
        type=Path,
        nargs="?",
        help="CSV: seconds,before_c,after_c, oldest first; left out before the first burst",
    )
    add_jug_options(parser)
    parser.add_argument(
        "--now", metavar="C", help="stirred reading now, °C; default: the last one after a burst"
    )
    parser.add_argument("--clear", action="store_true", help="nothing solid is to be seen any more")
    parser.add_argument("--ceiling", metavar="C", help="lower than the recipe's melt ceiling, °C")
    parser.add_argument("--oven", help="watts on its plate, or key or name of a microwave on the shelf")
    parser.add_argument(
        "--water-test",
        metavar="G,C,C,S",
        help="grams of water, °C before, °C after, seconds as set: made with as much water as there is balm",
    )
    parser.add_argument(
        "--ballast",
        metavar="G",
        help="grams of water in a cup beside the jug, for less than 50 g of balm; the water test, given or kept on "
        "the shelf, was made with that cup beside it",
    )
    given = parser.parse_args(words)

    from workbench.core.design.evaluation import temperatures_of
    from workbench.core.heat.blend import Blend
    from workbench.core.heat.burst_wait import wait_for_burst
    from workbench.core.heat.bursts import SHARE_TAKEN, Burst, next_burst
    from workbench.store.tables import read_bursts

    if given.bursts is None and given.now is None:
        raise Trouble(say("Give a file of bursts, or the stirred reading before the first one with --now."))
    jug = Jug.of(given, pick)
    oven = _oven(given.oven, jug)
    ballast_g = 0.0 if given.ballast is None else between(given.ballast, "--ballast", 0.0, 5_000.0)
    power, by = _power(given, oven, jug, ballast_g)
    if power is None:
        raise Trouble(
            say(
                "A cup of water beside the jug takes part of the heat: make a water test with it standing there, "
                "on the shelf or given with --water-test."
            )
        )
    rows = [] if given.bursts is None else read_bursts(given.bursts)
    bursts = [Burst(seconds, jug.true_c(before), jug.true_c(after)) for seconds, before, after in rows]
    shown_c = rows[-1][2] if given.now is None else between(given.now, "--now", -20.0, 200.0)
    temperatures = temperatures_of(jug.recipe, jug.catalogue)
    ceiling_c = temperatures.melt_ceiling.celsius
    if ceiling_c is None:
        raise Trouble(say("Its melt ceiling is not known: {why}", why=temperatures.melt_ceiling.why))
    if given.ceiling is not None:
        ceiling_c = between(given.ceiling, "--ceiling", 20.0, ceiling_c)
    blend = Blend.of(jug.base, jug.catalogue, jug.recipe.observed_set_point_c)
    goal_c = temperatures.melt_out.celsius
    taught = None if oven is None else _row(oven, SHARE_TAKEN)

    def ask(celsius: float) -> NextBurst:
        return next_burst(
            bursts,
            blend,
            jug.mass_g,
            power,
            celsius=celsius,
            ceiling_c=ceiling_c,
            goal_c=goal_c,
            clear=given.clear,
            ballast_g=ballast_g,
            share=taught,
        )

    celsius = jug.true_c(shown_c)
    chosen = ask(celsius)
    against = _never_in_the_microwave(jug)
    wait = None
    if not against and not (given.clear and goal_c is not None and celsius >= goal_c):
        wait = wait_for_burst(
            ask,
            celsius,
            blend,
            jug.vessel,
            jug.mass_g,
            jug.room_c,
            room_sd_k=jug.room_sd_k,
            figures=jug.catalogue.heat,
        )
    report = _report(chosen, wait, against, celsius, ceiling_c, goal_c, jug)
    report["assumed"] |= {
        "oven": "" if oven is None else oven.key,
        "watts": power.watts,
        "watts_sd": power.sd_w,
        "watts_by": by,
        "ballast_g": ballast_g,
        "bursts_so_far": len(bursts),
        "clear": given.clear,
    }
    if given.json:
        print(json.dumps(report, indent=2, ensure_ascii=False))
    else:
        _print(report)
        print(jug.says())
        print(f"Oven: {power.watts:.0f} W into water (± {power.sd_w:.0f} W), by: {by}.")
    return 0


def _oven(asked: str | None, jug: Jug) -> Microwave | None:
    """The one asked for, else the recipe's, else the only one on the shelf; a number is a rating."""
    from workbench.core.catalogue.shelf import Microwave
    from workbench.core.units import read_number

    ovens = jug.catalogue.shelf.microwaves
    if asked is None:
        found = next((each for each in ovens if each.key == jug.recipe.microwave), None)
        return ovens[0] if found is None and len(ovens) == 1 else found
    found = on_shelf(ovens, asked)
    if found is not None:
        return found
    try:
        watts = read_number(asked)
    except Trouble:
        raise Trouble(
            say(
                "There is no microwave “{name}” on the shelf. It holds: {names}. Or give its watts.",
                name=asked[:40],
                names=keys(ovens),
            )
        ) from None
    return Microwave(key="typed", name="typed", rated_w=between(f"{watts}", "--oven", 100.0, 3000.0))


def _power(
    given: argparse.Namespace, oven: Microwave | None, jug: Jug, ballast_g: float
) -> tuple[OvenPower | None, str]:
    """Watts and what they go by; None where a cup stands beside the jug and nothing was tested like that."""
    from workbench.core.heat.oven_power import FILAMENT_S, cup_power, usual_power, water_test

    if given.water_test is None:
        if ballast_g > 0:
            return cup_power(oven, jug.mass_g), LEARNED
        power = usual_power(oven, jug.mass_g)
        if power.measured:
            return power, LEARNED
        return power, GUESSED if oven is None or oven.rated_w is None else RATED
    cells = given.water_test.split(",")
    if len(cells) != 4:
        raise Trouble(
            say(
                "--water-test {text}: give grams of water, °C before, °C after and seconds, as in 100,18,43,60.",
                text=given.water_test[:40],
            )
        )
    water_g, before_c, after_c, seconds = (
        between(cell, "--water-test", low, high)
        for cell, (low, high) in zip(
            cells, ((20.0, 5_000.0), (0.0, 60.0), (0.0, 100.0), (15.0, 600.0)), strict=True
        )
    )
    if water_g < LEAST_OF_MASS * jug.mass_g:
        raise Trouble(
            say(
                "The water test was made with {water} and the jug holds {mass}: more takes up more of the oven's "
                "power, and bursts would come out too long. Repeat it with as much water as there is balm.",
                water=Grams(water_g, 0),
                mass=Grams(jug.mass_g, 0),
            )
        )
    # the oven needs its start, which a clock that was set counts and the standard does not
    found = water_test(
        water_g,
        jug.true_c(before_c),
        jug.true_c(after_c),
        seconds - FILAMENT_S,
        probe_sd_k=jug.probe_sd_k,
    )
    return found, TESTED


def _row(oven: Microwave, what: str) -> Learned | None:
    return next((row for row in oven.learned if row.what == what), None)


def _never_in_the_microwave(jug: Jug) -> str:
    """Why this jug or blend must not go in at all, whatever its mass; "" if nothing speaks against it."""
    from workbench.core.catalogue.model import MaterialKind
    from workbench.core.recipe.model import Heat
    from workbench.core.recipe.refusals import refusals

    vessel = None if jug.vessel is None else jug.vessel.key
    recipe = jug.recipe.model_copy(update={"vessel": vessel})
    always = refusals(recipe.model_copy(update={"heat": Heat.WATER_BATH}), jug.catalogue)
    against = refusals(recipe.model_copy(update={"heat": Heat.MICROWAVE}), jug.catalogue)
    found = next((each for each in against if each not in always), None)
    if found is not None:
        return found
    if any(jug.catalogue.material(key).kind is MaterialKind.LEFTOVER for key in jug.base.as_dict()):
        return say("The leftover in it holds fragrance: scented balm is never warmed in the microwave.")
    return ""


def _report(
    chosen: NextBurst,
    wait: Crossing | None,
    against: str,
    celsius: float,
    ceiling_c: float,
    goal_c: float | None,
    jug: Jug,
) -> dict[str, Any]:
    refused = chosen.refused or bool(against)
    goes = chosen.seconds > 0 and not refused
    told = (against or chosen.says, *(() if refused else (chosen.why, *chosen.more)))
    says = [str(each) for each in told if each]
    if wait is not None and wait.median_s is not None:
        says.append(
            str(
                say(
                    "In about {time} it has cooled enough for the next burst, if it is not melted by then.",
                    time=Duration(15 * math.ceil(wait.median_s / 15)),
                )
            )
        )
    if refused and not against and 0 < jug.mass_g < _least_g():
        says.append(
            str(
                say(
                    "Or stand a cup with 250 g of water beside it, make a new water test with {mass} of water in "
                    "the jug, and give both: --ballast 250 --water-test G,C,C,S.",
                    mass=Grams(max(jug.mass_g, 20.0), 0),
                )
            )
        )
    return {
        "recipe": jug.recipe.name,
        "seconds": chosen.seconds if goes else 0.0,
        "refused": refused,
        "now_c": celsius,
        "expect_c": chosen.expect_c if goes else None,
        "at_most95_c": chosen.mean_at_most_c if goes else None,
        "hottest_at_most95_c": chosen.hottest_at_most_c if goes else None,
        "ceiling_c": ceiling_c,
        "goal_c": goal_c,
        "absorbed_share": chosen.taken_up,
        "absorbed_low95": chosen.taken_up * math.exp(-1.96 * chosen.taken_up_sd),
        "absorbed_high95": min(chosen.taken_up * math.exp(1.96 * chosen.taken_up_sd), 1.0),
        "wait_s": None if wait is None else wait.median_s,
        "assumed": jug.assumed(),
        "says": says,
    }


def _least_g() -> float:
    from workbench.core.heat.bursts import LEAST_G

    return LEAST_G


def _print(report: dict[str, Any]) -> None:
    print(f"next burst: {report['seconds']:.0f} s")
    for line in report["says"]:
        print(line)
    if report["expect_c"] is not None:
        print(
            f"after it, stirred: about {report['expect_c']:.1f} °C, in 95 of 100 cases at most "
            f"{report['at_most95_c']:.1f} °C; the hottest spot until stirred at most "
            f"{report['hottest_at_most95_c']:.1f} °C"
        )
        print("Then stir 20 s and read: only a stirred reading counts for the next one.")
    goal = "" if report["goal_c"] is None else f", melted out at {report['goal_c']:.1f} °C"
    print(f"now {report['now_c']:.1f} °C, ceiling {report['ceiling_c']:.1f} °C{goal}")
    print(
        f"takes up {100 * report['absorbed_share']:.0f} % of what water would "
        f"(95 %: {100 * report['absorbed_low95']:.0f} to {100 * report['absorbed_high95']:.0f} %)"
    )
