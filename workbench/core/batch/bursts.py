"""How long the next microwave burst may be while nothing better is known."""

from __future__ import annotations

from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.state import SessionState

LONGEST_BURST_S = 30.0
SHORTEST_BURST_S = 3.0
FULL_POWER_W = 800.0  # a usual rating; every watt is taken to reach the jug until a burst has shown less
HEAT_CAPACITY_J_G_K = 2.1  # of a melted balm, without crediting what melting takes
FIRST_GUESS_C = 22.0
SPARE_K = 5.0
GROWTH = 2.0  # a melt takes up more the clearer it gets


def cautious_burst_s(state: SessionState) -> float:
    """Seconds of the next burst: at most 30, falling near the ceiling, at least 3.

    The blend is taken to warm as fast as the oven could make it, until a
    burst has been measured; then at twice the fastest rise seen.
    """
    if state.plan is None:
        return SHORTEST_BURST_S
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
