"""The last batches of one recipe or one vessel in order, and the one among them that is out of line.

The rule is robust, because a handful of batches with one slip in them would
drag a mean along.  A batch is odd where its modified z-score

    M = 0.6745 (x - median) / MAD        (MAD: median of |x - median|)

is over 3.5 in size: Iglewicz and Hoaglin, How to Detect and Handle Outliers
(ASQC Basic References in Quality Control, vol. 16, 1993), as given in the
NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17.  0.6745 is the upper quartile
of the standard normal distribution, which makes MAD / 0.6745 estimate the
standard deviation of normal data.  Two things are added: MAD is never taken
smaller than what a kitchen can tell apart (`floor`), or five batches that
agree to the digit would make the sixth odd for nothing; and with fewer than
five batches nothing is called odd at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from statistics import median

from workbench.core.batch.record import SessionSummary
from workbench.core.review.past import PastRow
from workbench.core.wording import (
    Count,
    Degrees,
    Duration,
    Kelvins,
    Millimetres,
    Number,
    Said,
    Share,
    say,
)

ODD_OVER = 3.5  # Iglewicz and Hoaglin 1993
NORMAL_QUARTILE = 0.6745  # the same; Phi^-1(3/4) = 0.67449
FEWEST_TO_JUDGE = 5
FEW = 10  # up to here the caution is said with the trend
LAST = 20


class Figure(StrEnum):
    """What is followed from batch to batch."""

    MELT = "time to melt"
    ADDITION = "temperature at the addition"
    WINDOW = "time in the window"
    WIDTH = "width of the window"
    LOSS = "loss"
    SINK = "depth of the sink"
    NET = "net weight against target"


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One batch; `z` is its modified z-score, 0 where nothing is judged."""

    session: str
    started: datetime
    batch_code: str
    recipe_name: str
    value: float
    z: float = 0.0
    odd: bool = False
    says: Said | None = None  # why, where it is odd


@dataclass(frozen=True, slots=True)
class Trend:
    """The last batches, oldest first; `low` and `high` are where the odd begins, None where nothing is judged.

    `unit` is "s", "°C", "K", "%" or "mm".  `missing`: batches that have no such value.
    """

    figure: Figure
    title: Said
    unit: str
    points: tuple[TrendPoint, ...]
    middle: float | None
    spread: float | None  # MAD / 0.6745, with the floor: a robust standard deviation
    low: float | None
    high: float | None
    missing: int
    says: Said  # what the figure usually is
    caution: Said | None  # that few batches prove little

    @property
    def odd(self) -> tuple[TrendPoint, ...]:
        return tuple(point for point in self.points if point.odd)


@dataclass(frozen=True, slots=True)
class _Kind:
    title: str
    unit: str
    floor: float  # MAD is not taken smaller: what two careful batches differ by (judged, no source)
    read: Callable[[SessionSummary], float | None]
    write: Callable[[float], object]
    apart: Callable[[float], object]  # a difference


def trend(
    rows: Iterable[PastRow], figure: Figure, *, recipe: str = "", vessel: str = "", last: int = LAST
) -> Trend:
    """One figure over the last batches of a recipe, a vessel, both, or (neither given) of all rows.

    Batches that were ended early count with what they have.  Whether
    rehearsals are among them is the caller's choice of rows.
    """
    kind = _KINDS[figure]
    wanted = [
        row
        for row in rows
        if row.summary is not None
        and (not recipe or row.recipe_name == recipe)
        and (not vessel or row.summary.vessel == vessel)
    ]
    newest = sorted(wanted, key=lambda row: (row.started, row.number))[-last:]
    values = [(row, kind.read(row.summary)) for row in newest if row.summary is not None]
    known = [(row, value) for row, value in values if value is not None]
    rule = robust([value for _, value in known], kind.floor)
    points = tuple(_point(row, value, rule, kind) for row, value in known)
    return Trend(
        figure=figure,
        title=say(kind.title),
        unit=kind.unit,
        points=points,
        middle=None if rule is None else rule.middle,
        spread=None if rule is None else rule.spread,
        low=rule.low if rule is not None and rule.judges else None,
        high=rule.high if rule is not None and rule.judges else None,
        missing=len(values) - len(known),
        says=_usually(kind, rule),
        caution=_caution(len(known)),
    )


def trends(
    rows: Sequence[PastRow], *, recipe: str = "", vessel: str = "", last: int = LAST
) -> tuple[Trend, ...]:
    """Every figure of one recipe or vessel; those that no batch has are left out."""
    found = (trend(rows, figure, recipe=recipe, vessel=vessel, last=last) for figure in Figure)
    return tuple(each for each in found if each.points)


@dataclass(frozen=True, slots=True)
class Robust:
    """Median and spread of some values, and the bounds beyond which one is odd."""

    middle: float
    mad: float  # with the floor
    count: int

    @property
    def judges(self) -> bool:
        return self.count >= FEWEST_TO_JUDGE

    @property
    def spread(self) -> float:
        return self.mad / NORMAL_QUARTILE

    @property
    def low(self) -> float:
        return self.middle - ODD_OVER * self.spread

    @property
    def high(self) -> float:
        return self.middle + ODD_OVER * self.spread

    def z(self, value: float) -> float:
        return NORMAL_QUARTILE * (value - self.middle) / self.mad


def robust(values: Sequence[float], floor: float) -> Robust | None:
    """Median and MAD (at least `floor`, which must be over 0); None of no values."""
    if not values:
        return None
    middle = median(values)
    return Robust(middle, max(floor, median(abs(value - middle) for value in values)), len(values))


def _point(row: PastRow, value: float, rule: Robust | None, kind: _Kind) -> TrendPoint:
    z = rule.z(value) if rule is not None and rule.judges else 0.0
    odd = abs(z) > ODD_OVER
    return TrendPoint(
        session=row.id,
        started=row.started,
        batch_code=row.batch_code,
        recipe_name=row.recipe_name,
        value=value,
        z=z,
        odd=odd,
        says=_why(value, rule, kind) if odd and rule is not None else None,
    )


def _why(value: float, rule: Robust, kind: _Kind) -> Said:
    values = {
        "value": kind.write(value),
        "middle": kind.write(rule.middle),
        "apart": kind.apart(abs(value - rule.middle)),
        "usual": kind.apart(rule.spread),
    }
    if value > rule.middle:
        return say(
            "{value}: {apart} above the middle of these batches, {middle}. Usually they lie within about {usual} of it.",
            **values,
        )
    return say(
        "{value}: {apart} below the middle of these batches, {middle}. Usually they lie within about {usual} of it.",
        **values,
    )


def _usually(kind: _Kind, rule: Robust | None) -> Said:
    if rule is None:
        return say("No batch has this on record.")
    return say(
        "In the middle of {count} batches: {middle}.",
        "The only batch with it on record: {middle}.",
        count=Count(rule.count),
        middle=kind.write(rule.middle),
    )


def _caution(count: int) -> Said | None:
    if count == 0 or count > FEW:
        return None
    if count < FEWEST_TO_JUDGE:
        return say(
            "With fewer than {least} batches none can be called odd: too few to know what is usual.",
            least=Number(FEWEST_TO_JUDGE, 0),
        )
    return say(
        "{count} batches prove little: take it as a hint where to look.",
        "{count} batch proves little: take it as a hint where to look.",
        count=Count(count),
    )


def _net_off_percent(summary: SessionSummary) -> float | None:
    if summary.net_g is None or not summary.target_g:
        return None
    return 100.0 * (summary.net_g - summary.target_g) / summary.target_g


def _loss_percent(summary: SessionSummary) -> float | None:
    """Only of batches that were poured: a batch that was given up has lost nothing to the jug."""
    if summary.made_g <= 0 or not summary.tins:
        return None
    return 100.0 * summary.loss_g / summary.made_g


_KINDS = {
    Figure.MELT: _Kind("Time to melt", "s", 30.0, lambda s: s.melt_s, Duration, Duration),
    Figure.ADDITION: _Kind(
        "Temperature at the addition", "°C", 0.5, lambda s: s.addition_c, Degrees, Kelvins
    ),
    Figure.WINDOW: _Kind("Time in the window", "s", 30.0, lambda s: s.window_s, Duration, Duration),
    Figure.WIDTH: _Kind("Width of the window", "K", 0.5, lambda s: s.window_k, Kelvins, Kelvins),
    Figure.LOSS: _Kind("Lost, of what was made", "%", 0.5, _loss_percent, Share, Share),
    Figure.SINK: _Kind("Depth of the sink", "mm", 0.3, lambda s: s.sink_depth_mm, Millimetres, Millimetres),
    Figure.NET: _Kind("Net weight off its target", "%", 0.5, _net_off_percent, Share, Share),
}
