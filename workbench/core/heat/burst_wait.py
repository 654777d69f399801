"""How long to stir and wait where no burst is short enough just now."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from workbench.core.catalogue.model import Figure
from workbench.core.catalogue.shelf import Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import NextBurst
from workbench.core.heat.forecast import Crossing, Reading, forecast

STEP_K = 0.5
FARTHEST_K = 40.0


def wait_for_burst(
    ask: Callable[[float], NextBurst],
    celsius: float,
    blend: Blend,
    vessel: Vessel | None,
    mass_g: float,
    room_c: float,
    *,
    room_sd_k: float = 1.5,
    figures: Mapping[str, Figure] | None = None,
) -> Crossing | None:
    """When the jug, at `celsius` now, will have cooled so far that a burst fits under the ceiling again.

    `ask(celsius)`: the burst rule at that temperature.  Seconds from now.  None where no waiting helps: a
    burst fits now, the microwave is refused, or the rule wants none further down either.
    """
    now = ask(celsius)
    if now.seconds > 0 or now.refused:
        return None
    for lower in celsius - np.arange(STEP_K, FARTHEST_K, STEP_K):
        if lower <= room_c + 1.0:
            return None
        if ask(float(lower)).seconds > 0:
            found = forecast(
                [Reading(0.0, celsius)],
                blend,
                vessel,
                mass_g,
                room_c,
                below=[float(lower)],
                room_sd_k=room_sd_k,
                figures=figures,
            )
            return found.crossings[0]
    return None
