"""How long a balm is said to be good: the date, or the open jar.

Rule: Regulation (EC) 1223/2009, Art. 19(1)(c).  A date is not mandatory for
products that keep for *more than* 30 months; those carry the months after
opening.  So exactly 30 months still asks for the date.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from workbench.core.skin.label_rules import LabelPlace

DATE_UP_TO_MONTHS = 30
USUAL_MONTHS_OPEN = 12  # common practice, no source; the maker may choose another


class DurabilityKind(StrEnum):
    DATE = "date"
    OPEN_JAR = "open jar"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Durability:
    """`best_before` is known for a date, `months_open` for the open jar."""

    kind: DurabilityKind
    best_before: date | None = None
    months_open: int | None = None
    lot: str = ""  # of the lot that does not keep longer; "" where the maker gave the date

    @property
    def end_of_month(self) -> bool:
        """Month and year are enough: the date is the last day of its month."""
        return self.best_before is not None and last_of_month(self.best_before) == self.best_before


def last_of_month(day: date) -> date:
    return day.replace(day=monthrange(day.year, day.month)[1])


def add_months(day: date, months: int) -> date:
    """The same day so many months on, or the last day of that month where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    month += 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def keeps_over_30_months(made_on: date, best_before: date) -> bool:
    return best_before > add_months(made_on, DATE_UP_TO_MONTHS)


def shortest(dates: Iterable[tuple[str, date]]) -> tuple[str, date] | None:
    """The lot that does not keep longer, and its date."""
    return min(dates, key=lambda pair: (pair[1], pair[0]), default=None)


def durability(
    place: LabelPlace,
    made_on: date,
    best_before: date | None,
    *,
    lot: str = "",
    months_open: int = USUAL_MONTHS_OPEN,
) -> Durability:
    """Which mark a place asks for.

    `best_before` is that of the shortest-lived lot.  A place without such a
    rule gets the date.
    """
    if best_before is None:
        return Durability(DurabilityKind.UNKNOWN, months_open=months_open)
    lasting = keeps_over_30_months(made_on, best_before)
    if lasting and place in (LabelPlace.EU, LabelPlace.UK):
        return Durability(DurabilityKind.OPEN_JAR, best_before, months_open, lot)
    return Durability(DurabilityKind.DATE, best_before, None, lot)
