"""The sentences of the look ahead: one template each, so that they can be said in any language."""

from __future__ import annotations

from workbench.core.heat.bath import MeltAhead
from workbench.core.heat.forecast import Crossing, Forecast
from workbench.core.heat.setting import Setting
from workbench.core.wording import Duration, Kelvins, Number, say

SOON_S = 100.0
GATE = "Only a stirred reading lets the fragrance in, never this forecast."


def rounded(seconds: float) -> Duration:
    """As exact as it deserves: to 15 s below two minutes, else to minutes."""
    step = 15.0 if seconds < 120 else 60.0
    return Duration(max(step * round(seconds / step), 0.0))


def minutes(seconds: float) -> Number:
    return Number(max(round(seconds / 60), 0), 0)


Said = tuple[str, tuple[str, ...]]


def melting_says(found: MeltAhead, now_s: float) -> Said:
    """`now_s`: since the jug went in."""
    molten = found.molten
    left = molten.remaining_s(now_s)
    remarks = [say("Top the bath up within {time}.", time=Duration(300 * max(1, round(found.dry_s / 300))))]
    if found.lag_k >= 1:
        remarks.insert(0, say("The jug lies {lag} behind the bath.", lag=Kelvins(found.lag_k, 0)))
    if left is None:
        return say("It will not melt out in a bath like this."), (
            say("Raise the bath a little, under its ceiling, or chop the wax finer."),
            *remarks,
        )
    if left <= 0:
        return say("It should be melted now."), (say("Look for lumps, stir and read."), *remarks)
    if molten.low80_s is None or molten.high80_s is None:
        return say("Melted in about {time}, or much later.", time=rounded(left)), tuple(remarks)
    return (
        say(
            "Melted in about {median} min ({low} to {high}).",
            median=Number(max(round(left / 60), 1), 0),
            low=minutes(molten.low80_s - now_s),
            high=Number(max(round((molten.high80_s - now_s) / 60), 1), 0),
        ),
        (say("Stirred now and then; by the bath as it is usually held."), *remarks),
    )


def cooling_says(found: Forecast, opens: Crossing | None, now_s: float, *, plain: bool) -> Said:
    """When the window opens and how long it lasts; `opens` None: fragrance is in, only the floor counts."""
    stays_s = _stays_s(found, opens, now_s)
    if opens is None:
        head = _until_floor(found, now_s)
    elif opens.median_s is None:
        head = say("It will not cool that far in this room.")
    elif opens.median_s <= now_s:
        head = _open_now(found, now_s, plain)
    else:
        head = _opens_in(opens, now_s, stays_s, plain)
    return head, _remarks(found, opens, now_s, stays_s, plain)


def _stays_s(found: Forecast, opens: Crossing | None, now_s: float) -> float | None:
    floor = found.floor
    if floor is None or floor.median_s is None or (opens is not None and opens.median_s is None):
        return None
    begins = now_s if opens is None or opens.median_s is None else max(opens.median_s, now_s)
    return max(floor.median_s - begins, 0.0)


def _until_floor(found: Forecast, now_s: float) -> str:
    floor = found.floor
    if floor is None:
        return say("It does not set, so it can be poured at any time.")
    if floor.median_s is None:
        return say("It stays pourable for hours in this room.")
    left = floor.median_s - now_s
    if left <= 0:
        return say("By reckoning it no longer levels in a tin. Read it.")
    if floor.low80_s is None or floor.high80_s is None:
        return say("Pour within about {time}.", time=rounded(left))
    return say(
        "It pours well for {median} min ({low} to {high}).",
        median=minutes(left),
        low=minutes(floor.low80_s - now_s),
        high=minutes(floor.high80_s - now_s),
    )


def _open_now(found: Forecast, now_s: float, plain: bool) -> str:
    floor = found.floor
    if floor is None or floor.median_s is None:
        return say("Should be open now. Stir, read, go on.")
    left = floor.median_s - now_s
    if left <= 0:
        return say("The window should be over: it sets soon. Read it now.")
    if floor.low80_s is None or floor.high80_s is None:
        return say("Should be open now, for about {time} more.", time=rounded(left))
    return say(
        "Should be open now, for {median} min more ({low} to {high}).",
        median=minutes(left),
        low=minutes(floor.low80_s - now_s),
        high=minutes(floor.high80_s - now_s),
    )


def _opens_in(opens: Crossing, now_s: float, stays_s: float | None, plain: bool) -> str:
    assert opens.median_s is not None
    left = opens.median_s - now_s
    if opens.low80_s is None or opens.high80_s is None:
        return say("Opens in about {time}, or much later.", time=rounded(left))
    low, high = max(opens.low80_s - now_s, 0.0), opens.high80_s - now_s
    if stays_s is None:
        return say(
            "Opens in {median} ({low} to {high}).", median=rounded(left), low=rounded(low), high=rounded(high)
        )
    if stays_s <= 0:
        return say(
            "Reaches its limit in {median} ({low} to {high}); by then it no longer levels: no window is left.",
            median=rounded(left),
            low=rounded(low),
            high=rounded(high),
        )
    if left < SOON_S:
        return say(
            "Opens in {median} ({low} to {high}), stays open {stays}.",
            median=rounded(left),
            low=rounded(low),
            high=rounded(high),
            stays=rounded(stays_s),
        )
    return say(
        "Opens in {median} min ({low} to {high}), stays open {stays}.",
        median=minutes(left),
        low=minutes(low),
        high=minutes(high),
        stays=rounded(stays_s),
    )


SHORT_S = 300.0


def _remarks(
    found: Forecast, opens: Crossing | None, now_s: float, stays_s: float | None, plain: bool
) -> tuple[str, ...]:
    lines: list[str] = []
    wait_s = found.next_reading_s - now_s
    lines.append(
        say("The next reading is most worth taking in {wait}.", wait=rounded(wait_s))
        if wait_s > 10
        else say("A reading now tells the most: stir 20 s, then read.")
    )
    lines += found.says[:-1]  # the last one names a time that has moved on
    if stays_s is not None and stays_s < SHORT_S and opens is not None:
        lines.append(
            say(
                "What would widen the window: a trivet or a folded cloth between jug and stone slows the cooling now; "
                "less wax lowers the set point next time."
            )
        )
    if not plain and opens is not None:
        lines.append(say(GATE))
    return tuple(lines)


def setting_says(found: Setting, now_s: float) -> Said:
    """`now_s`: since the last tin was poured."""
    movable = found.movable
    if movable is None:
        return "", found.says
    left = movable.median_s - now_s
    hour = movable.high80_s - now_s
    if hour <= 0:
        return say("May be moved, if it is firm to the touch."), found.says[1:]
    if left <= 0:
        return say("May be moved soon, at the latest in {time}.", time=rounded(hour)), found.says[1:]
    return (
        say(
            "May be moved in about {median} min ({low} to {high}).",
            median=minutes(left),
            low=minutes(movable.low80_s - now_s),
            high=minutes(hour),
        ),
        (say("Reckoned from the largest tin, the pour and the room; the touch decides."), *found.says[1:]),
    )
