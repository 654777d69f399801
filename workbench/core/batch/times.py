"""How long the parts of a batch take, as told; how they are reckoned stands in `expected`, which brings the solvers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class What(StrEnum):
    MELT = "melt"
    COOL = "cool"
    WINDOW = "window"
    SKIN = "skin"
    MOVABLE = "movable"
    ROOM = "room"
    OTHER = "other"
    TOTAL = "total"


@dataclass(frozen=True, slots=True)
class Expected:
    """One stretch of time in s, with the range that holds it four times of five; None: it cannot be known.

    `says` stands in for a time that there is none of; `by` says what it was reckoned from.
    """

    what: What
    median_s: float | None
    low80_s: float | None = None
    high80_s: float | None = None
    by: str = ""
    says: str = ""


@dataclass(frozen=True, slots=True)
class Times:
    rows: tuple[Expected, ...]
    assumed: tuple[str, ...]
    oven: str = ""  # key of a microwave that was never tested with water, or not as this batch needs it
    test_says: str = ""  # why it is to be tested
    with_cup: bool = False  # the test it needs is one with a cup of water beside it

    def of(self, what: What) -> Expected | None:
        return next((row for row in self.rows if row.what is what), None)
