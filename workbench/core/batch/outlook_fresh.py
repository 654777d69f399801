"""A fresh reading wins over the forecast: what the newest reading leaves of a reckoned time.

A jug off the heat cannot have crossed a temperature before it has had the
time to get there from the newest reading at its fastest plausible cooling,
and what a reading shows as crossed is crossed.  (In the bath the same, upside
down.)  Every sentence of the look ahead is made of times that went through
here, so none can contradict the reading beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from workbench.core.heat.fitting import Reading
from workbench.core.heat.forecast import Crossing, Forecast


@dataclass(frozen=True, slots=True)
class Settled:
    """A time the newest reading agrees with.

    `by_reading`: the forecast's own median did not; `celsius`: what the reading showed, None without one.
    """

    crossing: Crossing
    by_reading: bool = False
    celsius: float | None = None


def settled(
    found: Crossing, target_c: float, newest: Reading | None, fastest_k_s: float, *, warming: bool = False
) -> Settled:
    """When `target_c` is crossed, as `found` reckons and `newest` allows; all times from one zero.

    `fastest_k_s`: how fast the jug can plausibly cool (warm, for a jug in its bath) from `newest` on, above 0.
    """
    if newest is None:
        return Settled(found)
    left_k = target_c - newest.celsius if warming else newest.celsius - target_c
    if left_k <= 0:
        ends = [
            newest.seconds if at is None else min(at, newest.seconds)
            for at in (found.low80_s, found.median_s, found.high80_s)
        ]
        moved = found.median_s is None or found.median_s > newest.seconds
        return Settled(
            replace(found, low80_s=ends[0], median_s=ends[1], high80_s=ends[2]), moved, newest.celsius
        )
    earliest_s = newest.seconds + left_k / max(fastest_k_s, 1e-6)

    def not_before(at: float | None) -> float | None:
        return None if at is None else max(at, earliest_s)

    return Settled(
        replace(
            found,
            low80_s=not_before(found.low80_s),
            median_s=not_before(found.median_s),
            high80_s=not_before(found.high80_s),
        ),
        found.median_s is not None and found.median_s < earliest_s,
        newest.celsius,
    )


@dataclass(frozen=True, slots=True)
class Window:
    """Both ends of a window as the newest reading leaves them.

    `opens` None: fragrance is in, only the floor counts.  `floor` None: it does not set.  `floor_c`: of the
    guards, or the forecast's own.  `set_above_c`: where the curve has shown that it sets, although the newest
    reading lies over the pour floor that was reckoned; None otherwise.
    """

    opens: Settled | None
    floor: Settled | None
    floor_c: float | None
    set_above_c: float | None = None


def window_of(
    found: Forecast, opens: Crossing | None, newest: Reading | None, floor_c: float | None
) -> Window:
    """`floor_c`: the pour floor by which the guards go; None where it is not known."""
    fastest_k_s = found.fastest_k_min / 60
    settled_opens = None if opens is None else settled(opens, opens.below_c, newest, fastest_k_s)
    if found.floor is None:
        return Window(settled_opens, None, floor_c)
    # a knee that was seen tells more than the set point that was reckoned
    own_c = found.floor.below_c
    by_knee = found.set_point_found and (newest is None or newest.celsius <= own_c)
    held_c = own_c if by_knee or floor_c is None else floor_c
    above = by_knee and newest is not None and floor_c is not None and newest.celsius > floor_c
    return Window(
        settled_opens,
        settled(found.floor, held_c, newest, fastest_k_s),
        held_c,
        found.set_point_c if above else None,
    )
