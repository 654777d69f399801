"""The burst rule of a real session: the heat room's answer for what is in the jug.

Apart from `bursts.py`, which knows nothing of the blend and stays the rule
where none was made.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from workbench.core.batch.bursts import CLEAR
from workbench.core.batch.in_jug import before_scent, surroundings
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.made import composition_now
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import SHARE_TAKEN, Burst, NextBurst, next_burst, usual_power
from workbench.core.recipe.composition import Composition

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
        return next_burst(
            bursts,
            blend,
            max(composition.mass_g, 1.0),
            usual_power(oven, composition.mass_g),
            celsius=FIRST_GUESS_C if state.last_c is None else state.last_c,
            ceiling_c=ceiling_c(state),
            goal_c=None if step is None else step.aim_c,
            clear=state.recorded(CLEAR) is not None,
            share=None
            if oven is None
            else next((row for row in oven.learned if row.what == SHARE_TAKEN), None),
        )

    return rule


def burst_seconds(catalogue: Catalogue) -> Callable[[SessionState], float]:
    """The same as plain seconds, the shape `Rules.next_burst_s` wants."""
    rule = burst_rule(catalogue)
    return lambda state: rule(state).seconds
