"""What the curve shows, as plain data: readings, guard bands, marks, a forecast fan.

Seconds since the session began and °C throughout; the widget converts for
display.  A long silence between two readings is a gap: nobody knows what the
pot did meanwhile, so no line is drawn across it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

GAP_S = 15 * 60.0


class Tone(Enum):
    """What a band means; the widget picks the colour and the dash."""

    CEILING = "ceiling"  # never above this
    WINDOW = "window"  # fragrance goes in and the blend still pours
    FLOOR = "floor"  # below this it no longer levels
    AIM = "aim"


@dataclass(frozen=True, slots=True)
class Point:
    at_s: float
    celsius: float
    stirred: bool


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of temperature; None is an open end."""

    label: str
    low_c: float | None
    high_c: float | None
    tone: Tone


@dataclass(frozen=True, slots=True)
class Mark:
    """A step began, fragrance went in, ..."""

    at_s: float
    label: str
    rank: int = 0  # what is named first where there is no room for all


@dataclass(frozen=True, slots=True)
class Fan:
    """A forecast: median and the two ends of its 80 % interval, at the same times."""

    at_s: tuple[float, ...]
    low_c: tuple[float, ...]
    median_c: tuple[float, ...]
    high_c: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CurveData:
    points: Sequence[Point] = ()  # oldest first
    bands: tuple[Band, ...] = ()
    marks: tuple[Mark, ...] = ()
    fan: Fan | None = None
    now_s: float = 0.0
    spoken: str = ""  # the same in words, for who cannot see it


def with_gaps(points: Sequence[Point], gap_s: float = GAP_S) -> tuple[list[float], list[float]]:
    """x and y for a line that breaks where more than `gap_s` passed between readings."""
    xs: list[float] = []
    ys: list[float] = []
    before: Point | None = None
    for point in points:
        if before is not None and point.at_s - before.at_s > gap_s:
            xs.append((point.at_s + before.at_s) / 2)
            ys.append(math.nan)
        xs.append(point.at_s)
        ys.append(point.celsius)
        before = point
    return xs, ys


def span_c(data: CurveData, points: Sequence[Point], room_c: float = 2.0) -> tuple[float, float]:
    """Lowest and highest temperature worth showing, with a little room at both ends; `points` are those drawn."""
    values = [point.celsius for point in points]
    for band in data.bands:
        values += [edge for edge in (band.low_c, band.high_c) if edge is not None]
    if data.fan is not None:
        values += [*data.fan.low_c, *data.fan.high_c]
    if not values:
        return 20.0, 95.0
    low, high = min(values), max(values)
    if high - low < 10.0:
        middle = (high + low) / 2
        low, high = middle - 5.0, middle + 5.0
    room = max(room_c, 0.08 * (high - low))  # the labels of the outermost lines need a line of text
    return low - room, high + room


def span_s(data: CurveData, least_s: float = 20 * 60.0) -> tuple[float, float]:
    """The stretch of time that the live view shows: everything so far and a little ahead."""
    first = data.points[0].at_s if data.points else max(0.0, data.now_s - 60.0)
    last = max(data.now_s, data.points[-1].at_s) if data.points else data.now_s
    ahead = last + 60.0
    if data.fan is not None and data.fan.at_s:
        ahead = max(ahead, data.fan.at_s[-1])
    return first, max(ahead, first + least_s)


def labels_that_fit(marks: Sequence[Mark], first_s: float, last_s: float, letter: float) -> dict[Mark, bool]:
    """Marks whose words do not meet, those of the highest rank first; True: they run to the left of the mark.

    `letter`: how much of the span one letter takes, from 0 to 1.
    """
    span, taken = last_s - first_s, list[tuple[float, float]]()
    fitting: dict[Mark, bool] = {}
    for mark in sorted(marks, key=lambda each: (-each.rank, each.at_s)):
        wide = (len(mark.label) + 1) * letter * span
        left = mark.at_s + wide > last_s
        begin = mark.at_s - wide if left else mark.at_s
        if begin >= first_s and all(begin + wide <= low or begin >= high for low, high in taken):
            taken.append((begin, begin + wide))
            fitting[mark] = left
    return fitting


@dataclass(frozen=True, slots=True)
class Naming:
    """The name of a line across the curve; heights and widths from 0 to 1 of the plot.

    `above`: over its line where nothing stands against it.  `left`: it begins
    at the left edge, else it ends at the right one.
    """

    at: float
    wide: float
    above: bool
    left: bool


INSET = 0.015  # between the names and the edges


def names_apart(names: Sequence[Naming], tall: float) -> list[tuple[bool, float]]:
    """For each, in the order of their weight: over its line or not, and how far it moves in from its edge.

    No name stands on another, and none on a line where that can be had; where
    nothing fits, it stays where it wants to be.
    """
    taken: list[tuple[float, float, float, float]] = []
    placed: list[tuple[bool, float]] = []
    for name in names:
        wanted = [(above, 0.0) for above in (name.above, not name.above)]
        wanted += [
            (above, (end if name.left else 1.0 - begin))
            for begin, end, _, _ in taken
            for above in (name.above, not name.above)
        ]
        free = [each for each in wanted if _is_free(_box_of(name, each, tall), taken)]
        clear = [each for each in free if not _crossed(_box_of(name, each, tall), names, tall)]
        chosen = (clear or free or wanted)[0]
        taken.append(_box_of(name, chosen, tall))
        placed.append(chosen)
    return placed


def _box_of(name: Naming, where: tuple[bool, float], tall: float) -> tuple[float, float, float, float]:
    above, moved = where
    begin = INSET + moved if name.left else 1.0 - INSET - moved - name.wide
    low = name.at if above else name.at - tall
    return begin, begin + name.wide, low, low + tall


def _is_free(
    box: tuple[float, float, float, float], taken: Sequence[tuple[float, float, float, float]]
) -> bool:
    begin, end, low, high = box
    inside = begin >= 0.0 and end <= 1.0 and low >= 0.0 and high <= 1.0
    return inside and all(
        end <= left or begin >= right or high <= floor or low >= top for left, right, floor, top in taken
    )


def _crossed(box: tuple[float, float, float, float], names: Sequence[Naming], tall: float) -> bool:
    return any(box[2] + 0.2 * tall < name.at < box[3] - 0.2 * tall for name in names)
