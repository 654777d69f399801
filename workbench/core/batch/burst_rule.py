"""The burst rule of a real session: the heat room's answer for what is in the jug.

Apart from `bursts.py`, which knows nothing of the blend and stays the rule
where none was made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from workbench.core.batch.bursts import CLEAR, CUP
from workbench.core.batch.in_jug import before_scent, surroundings
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.made import composition_now
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Microwave
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import (
    HYDROCARBON_MOST,
    LEAST_G,
    SHARE_TAKEN,
    Burst,
    NextBurst,
    next_burst,
    usual_power,
)
from workbench.core.heat.oven_power import CUP_G, OvenPower, cup_power
from workbench.core.recipe.composition import Composition
from workbench.core.wording import Grams, say

FIRST_GUESS_C = 22.0


def burst_rule(catalogue: Catalogue) -> Callable[[SessionState], NextBurst]:
    """`rule(state)`: the next burst with its reason; for `Rules`, take its `.seconds`."""

    @lru_cache(maxsize=8)
    def blend_of(composition: Composition) -> Blend:
        return Blend.of(composition, catalogue)

    def rule(state: SessionState) -> NextBurst:
        plan = state.plan
        composition = composition_now(state)
        if plan is not None:
            composition = before_scent(composition, plan)
        blend = blend_of(composition)
        oven = None if plan is None else surroundings(plan, catalogue).oven
        bursts = [
            Burst(past.seconds, past.before_c, past.after_c)
            for past in state.burst.past
            if past.before_c is not None and past.after_c is not None
        ]
        step = state.step
        power, ballast_g = _power(state, oven, composition.mass_g)
        found = next_burst(
            bursts,
            blend,
            max(composition.mass_g, 1.0),
            power,
            celsius=FIRST_GUESS_C if state.last_c is None else state.last_c,
            ceiling_c=ceiling_c(state),
            goal_c=None if step is None else step.aim_c,
            clear=state.recorded(CLEAR) is not None,
            ballast_g=ballast_g,
            share=None
            if oven is None
            else next((row for row in oven.learned if row.what == SHARE_TAKEN), None),
        )
        if found.refused and ballast_g == 0 and blend.hydrocarbon_share <= HYDROCARBON_MOST:
            return replace(found, more=(*found.more, _cup_says(state, oven, composition.mass_g)))
        return found

    return rule


def _power(state: SessionState, oven: Microwave | None, mass_g: float) -> tuple[OvenPower, float]:
    """Watts into this load, and the water in the cup that the maker says stands beside it."""
    if mass_g < LEAST_G and state.recorded(CUP) is not None:
        by_cup = cup_power(oven, mass_g)
        if by_cup is not None:
            return by_cup, CUP_G
    return usual_power(oven, mass_g), 0.0


def _cup_says(state: SessionState, oven: Microwave | None, mass_g: float) -> str:
    """The way out that is left to a melt too small for the microwave by itself."""
    if state.need(CUP) is None or cup_power(oven, mass_g) is None:
        return say(
            "A cup of water beside the jug needs a water test made with that cup, on the shelf, before the batch is planned. "
            "Now the water bath is the way."
        )
    return say(
        "Or stand a cup with {cup} of cold water beside the jug, a wooden stick in it, and tick that it stands there.",
        cup=Grams(CUP_G, 0),
    )


def burst_seconds(catalogue: Catalogue) -> Callable[[SessionState], float]:
    """The same as plain seconds, the shape `Rules.next_burst_s` wants."""
    rule = burst_rule(catalogue)
    return lambda state: rule(state).seconds
