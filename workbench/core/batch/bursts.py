"""When no microwave burst is needed or allowed, and how long one may be while nothing better is known."""

from __future__ import annotations

from workbench.core.batch.commands import Refused
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.state import SessionState
from workbench.core.wording import Degrees, say

LONGEST_BURST_S = 30.0
SHORTEST_BURST_S = 3.0
FULL_POWER_W = 800.0  # a usual rating; every watt is taken to reach the jug until a burst has shown less
HEAT_CAPACITY_J_G_K = 2.1  # of a melted balm, without crediting what melting takes
FIRST_GUESS_C = 22.0
SPARE_K = 5.0
GROWTH = 2.0  # a melt takes up more the clearer it gets


MARGIN_K = 1.5  # of one reading, under a ceiling
CLEAR = "clear"  # the need by which the maker says that nothing solid is left
CUP = "cup"  # the need by which the maker says that a cup of water stands beside a small jug


def reached_aim(state: SessionState) -> bool:
    """Whether the last reading is at the stop of a melt in bursts, or over it: melt-out, 5 K over the liquidus.

    What is still solid there melts as it is stirred; should the jug fall below its aim meanwhile, the next
    reading says so and bursts go on.
    """
    step, last_c = state.step, state.last_c
    return step is not None and step.aim_c is not None and last_c is not None and last_c >= step.aim_c


def no_burst(state: SessionState) -> Refused | None:
    """Why no burst is needed or allowed by the last reading, whatever oven it is; None where one may be."""
    step, last_c = state.step, state.last_c
    if step is None or last_c is None:
        return None
    if reached_aim(state) and step.aim_c is not None:
        if state.recorded(CLEAR) is not None:
            what_to_do = say("It is clear: go on to the next step.")
        else:
            what_to_do = say(
                "Stir until the last grain is clear and say so; read again before another burst."
            )
        return Refused(
            says=say(
                "No more bursts: it is {now}, and {aim} is enough.",
                now=Degrees(last_c),
                aim=Degrees(step.aim_c),
            ),
            what_to_do=what_to_do,
        )
    if last_c >= ceiling_c(state) - MARGIN_K:
        return Refused(
            says=say("No burst now: it is close enough to its ceiling."),
            what_to_do=say("Stir, wait a minute and read again."),
        )
    return None


def cautious_burst_s(state: SessionState) -> float:
    """Seconds of the next burst: at most 30, falling near the ceiling, at least 3; 0 where none is needed.

    The blend is taken to warm as fast as the oven could make it, until a
    burst has been measured; then at twice the fastest rise seen.
    """
    if state.plan is None:
        return SHORTEST_BURST_S
    if no_burst(state) is not None:
        return 0.0
    celsius = FIRST_GUESS_C if state.last_c is None else state.last_c
    seen = [
        (past.after_c - past.before_c) / past.seconds
        for past in state.burst.past
        if past.after_c is not None and past.before_c is not None and past.seconds > 0
    ]
    most_k_s = FULL_POWER_W / (state.plan.batch_g * HEAT_CAPACITY_J_G_K)
    rise_k_s = min(most_k_s, max(GROWTH * max(seen), 0.1)) if seen else most_k_s
    room_k = ceiling_c(state) - SPARE_K - celsius
    return min(LONGEST_BURST_S, max(SHORTEST_BURST_S, room_k / rise_k_s))
