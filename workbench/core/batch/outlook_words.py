"""The sentences of the look ahead: one template each, so that they can be said in any language."""

from __future__ import annotations

from workbench.core.batch.outlook_fresh import Settled, Window
from workbench.core.heat.bath import MeltAhead
from workbench.core.heat.forecast import Crossing, Forecast
from workbench.core.heat.setting import Setting
from workbench.core.wording import Degrees, Duration, Kelvins, Number, say

SOON_S = 100.0
GATE = "Only a stirred reading lets the fragrance in, never this forecast."


def rounded(seconds: float) -> Duration:
    """As exact as it deserves: to 15 s below two minutes, else to minutes."""
    step = 15.0 if seconds < 120 else 60.0
    return Duration(max(step * round(seconds / step), 0.0))


def minutes(seconds: float) -> Number:
    return Number(max(round(seconds / 60), 0), 0)


Said = tuple[str, tuple[str, ...]]


def at_least(seconds: float) -> Duration:
    """The earliest that something can be, to 15 s downwards: never later than it may happen."""
    return Duration(15.0 * max(int(seconds / 15.0), 1))


def melting_says(found: MeltAhead, now_s: float, settled: Settled | None = None) -> Said:
    """`now_s`: since the jug went in; `settled`: its time as the newest reading leaves it, same zero."""
    settled = settled or Settled(found.molten)
    molten = settled.crossing
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
    if settled.by_reading and settled.celsius is not None:
        return say(
            "The last reading was {celsius}: melted in {time} at the earliest.",
            celsius=Degrees(settled.celsius),
            time=at_least(left),
        ), (say("Stir, look for lumps and read again."), *remarks)
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


def cooling_says(found: Forecast, window: Window, now_s: float, *, plain: bool) -> Said:
    """When the window opens and how long it lasts, in times the newest reading agrees with."""
    stays_s = _stays_s(window, now_s)
    opens = window.opens
    if opens is None:
        head = _until_floor(window, now_s)
    elif opens.crossing.median_s is None:
        head = say("It will not cool that far in this room.")
    elif opens.crossing.median_s <= now_s:
        head = _open_now(window, now_s)
    elif opens.by_reading and opens.celsius is not None:
        head = say(
            "The last reading was {celsius}: cool enough in {time} at the earliest. Stir and read.",
            celsius=Degrees(opens.celsius),
            time=at_least(opens.crossing.median_s - now_s),
        )
    else:
        head = _opens_in(opens.crossing, now_s, stays_s)
    return head, _remarks(found, window, now_s, stays_s, plain)


def _stays_s(window: Window, now_s: float) -> float | None:
    floor = None if window.floor is None else window.floor.crossing.median_s
    opens = now_s if window.opens is None else window.opens.crossing.median_s
    return None if floor is None or opens is None else max(floor - max(opens, now_s), 0.0)


def _until_floor(window: Window, now_s: float) -> str:
    floor = window.floor
    if floor is None:
        return say("It does not set, so it can be poured at any time.")
    ends = floor.crossing
    if ends.median_s is None:
        return say("It stays pourable for hours in this room.")
    left = ends.median_s - now_s
    if left <= 0 and window.set_above_c is not None:
        return _sets_already(window.set_above_c)
    if left <= 0 and floor.celsius is not None and floor.celsius <= ends.below_c:
        return say(
            "By the last reading, {celsius}, it no longer levels in a tin.", celsius=Degrees(floor.celsius)
        )
    if left <= 0:
        return say("By reckoning it no longer levels in a tin. Read it.")
    if floor.by_reading and floor.celsius is not None:
        return say(
            "By the last reading, {celsius}, it pours for {time} at least. Read it again.",
            celsius=Degrees(floor.celsius),
            time=at_least(left),
        )
    if ends.low80_s is None or ends.high80_s is None:
        return say("Pour within about {time}.", time=rounded(left))
    return say(
        "It pours well for {median} min ({low} to {high}).",
        median=minutes(left),
        low=minutes(ends.low80_s - now_s),
        high=minutes(ends.high80_s - now_s),
    )


def _open_now(window: Window, now_s: float) -> str:
    floor = window.floor
    if floor is None or floor.crossing.median_s is None:
        return say("Should be cool enough now. Stir, read, go on.")
    ends = floor.crossing
    left = floor.crossing.median_s - now_s
    if left <= 0 and window.set_above_c is not None:
        return _sets_already(window.set_above_c)
    if left <= 0:
        return say("It should be too cool by now and sets soon. Read it now.")
    if floor.by_reading and floor.celsius is not None:
        return say(
            "By the last reading, {celsius}, the window is not over for {time} at least. Stir and read.",
            celsius=Degrees(floor.celsius),
            time=at_least(left),
        )
    if ends.low80_s is None or ends.high80_s is None:
        return say("Should be cool enough now, for about {time} more.", time=rounded(left))
    return say(
        "Should be cool enough now, for {median} min more ({low} to {high}).",
        median=minutes(left),
        low=minutes(ends.low80_s - now_s),
        high=minutes(ends.high80_s - now_s),
    )


def _sets_already(celsius: float) -> str:
    return say(
        "It has begun to set near {celsius}, warmer than was reckoned: the window should be over. Look for haze.",
        celsius=Degrees(celsius),
    )


def _opens_in(opens: Crossing, now_s: float, stays_s: float | None) -> str:
    assert opens.median_s is not None
    left = opens.median_s - now_s
    if opens.low80_s is None or opens.high80_s is None:
        return say("Cool enough in about {time}, or much later.", time=rounded(left))
    low, high = max(opens.low80_s - now_s, 0.0), opens.high80_s - now_s
    if stays_s is None:
        return say(
            "Cool enough in {median} ({low} to {high}).",
            median=rounded(left),
            low=rounded(low),
            high=rounded(high),
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
            "Cool enough in {median} ({low} to {high}), then for {stays}.",
            median=rounded(left),
            low=rounded(low),
            high=rounded(high),
            stays=rounded(stays_s),
        )
    return say(
        "Cool enough in {median} min ({low} to {high}), then for {stays}.",
        median=minutes(left),
        low=minutes(low),
        high=minutes(high),
        stays=rounded(stays_s),
    )


SHORT_S = 300.0


def _remarks(
    found: Forecast, window: Window, now_s: float, stays_s: float | None, plain: bool
) -> tuple[str, ...]:
    opens = window.opens
    lines: list[str] = []
    wait_s = found.next_reading_s - now_s
    lines.append(
        say("The next reading is most worth taking in {wait}.", wait=rounded(wait_s))
        if wait_s > 10
        else say("A reading now tells the most: stir 20 s, then read.")
    )
    bent = found.bends and not _warmer_than_its_knee(found, window, now_s)
    # the last one names a time that has moved on
    lines += [each for each in found.says[:-1] if bent or each != found.bends]
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


def _warmer_than_its_knee(found: Forecast, window: Window, now_s: float) -> bool:
    """Whether a fresh reading says that the jug cannot be where the curve was seen to bend."""
    floor = window.floor
    return floor is not None and floor.by_reading and (floor.crossing.median_s or 0.0) > now_s


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
