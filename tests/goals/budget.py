"""Where the error of the flash-safe time comes from, on pots that are never scored:

    python -m tests.goals.budget [POTS]

One thing at a time is told to the forecast that a kitchen keeps from it.  What then falls is what that
thing cost; what does not fall was no matter of it.  `floor` adds what the air to come is worth alone.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from unittest.mock import patch

import numpy as np

from tests.goals.cupboard import CUPBOARD
from tests.goals.pots import Pot, cool
from tests.goals.scoring import readings_of
from workbench.core.catalogue.shelf import Vessel
from workbench.core.heat import forecast as place
from workbench.core.heat.blend import Blend
from workbench.core.heat.cooling import BASE_W_M2_K, Jug, describe
from workbench.core.heat.fitting import PROBE_LAG_S
from workbench.core.heat.forecast import Reading, forecast

FIRST, USUAL_POTS = 53_000, 500
MOMENTS = (0.25, 0.5)
KNOWN_SD = 0.1  # of a logarithm that is told


@dataclass(frozen=True)
class Told:
    """`readings`: as they would be; `jug`: the prior as it would be; `room_sd_k` None: the room as roughly known."""

    what: str
    readings: Callable[[Pot, list[Reading]], list[Reading]] = lambda pot, given: given
    jug: Callable[[Pot, Jug], Jug] = lambda pot, prior: prior
    room_sd_k: float | None = None
    probe_sd_k: float = 0.5


def _true(pot: Pot, given: list[Reading]) -> list[Reading]:
    """The true mean, a usual lag late: a probe without offset, noise or rounding."""
    return [
        replace(each, celsius=float(np.interp(each.seconds - PROBE_LAG_S, pot.truth_s, pot.truth_c)))
        for each in given
    ]


def _no_offset(pot: Pot, given: list[Reading]) -> list[Reading]:
    return [replace(each, celsius=each.celsius - pot.conditions.offset_k) for each in given]


def _level(pot: Pot, prior: Jug) -> Jug:
    return replace(prior, ln_loss=math.log(pot.conditions.draught_level), ln_loss_sd=KNOWN_SD)


def _counter(pot: Pot, prior: Jug) -> Jug:
    contact = pot.conditions.base_w_m2_k / BASE_W_M2_K
    return replace(prior, base_w_k=prior.base_w_k * contact, ln_base_sd=KNOWN_SD)


ALL = (
    Told("nothing: as in a kitchen"),
    Told("the counter it stands on", jug=_counter),
    Told("how draughty the place is", jug=_level),
    Told("the room", room_sd_k=0.4),
    Told("the probe's offset", readings=_no_offset, probe_sd_k=0.1),
    Told("perfect readings", readings=_true, probe_sd_k=0.1),
)


def errors(pots: Sequence[Pot], told: Told, moment: float) -> list[float]:
    """(predicted - true) over what remained, of each pot with four readings by then."""
    found = []
    for pot in pots:
        truth = pot.crossing_s(pot.limit_c)
        given = [] if truth is None else readings_of(pot, moment * truth)
        if truth is None or len(given) < 4:
            continue

        def prior(blend: Blend, vessel: Vessel | None, mass_g: float, pot: Pot = pot) -> Jug:
            return told.jug(pot, describe(blend, vessel, mass_g))

        with patch.object(place, "describe", prior):
            made = forecast(
                told.readings(pot, given),
                Blend.of(pot.composition, CUPBOARD),
                pot.vessel,
                pot.mass_g,
                pot.room_said_c if told.room_sd_k is None else pot.conditions.room_c,
                below=[pot.limit_c],
                now_s=moment * truth,
                room_sd_k=told.room_sd_k or 1.5,
                resolution_k=pot.conditions.resolution_k,
                probe_sd_k=told.probe_sd_k,
            )
        median_s = made.crossings[0].median_s
        found.append(math.inf if median_s is None else (median_s - truth) / (truth - moment * truth))
    return found


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else USUAL_POTS
    last = FIRST + count
    pots = [
        pot for first in range(FIRST, last, 100) for pot in cool(list(range(first, min(first + 100, last))))
    ]
    for told in ALL:
        cells = []
        for moment in MOMENTS:
            off = np.array(errors(pots, told, moment))
            cells.append(f"at {moment:.0%} {np.median(np.abs(off)):5.1%} (n {len(off)})")
        print(f"told {told.what:28} median error {', '.join(cells)}", flush=True)


if __name__ == "__main__":
    main()
