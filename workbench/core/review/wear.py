"""Wear tests: how strongly a balm smells on somebody's skin, minute by minute to four hours.

A test belongs to one session.  Strengths are whole numbers from 0, nothing,
to 10, as strong as a scent can be; what nobody noted stays empty.  Nothing
here looks at a clock: the time is an argument, and a mark that is missing is
due for as long as it is missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import AwareDatetime, Field, model_validator

from workbench.core.catalogue.model import Key, Note, Row, Text
from workbench.core.review.keeping import Initials, SaidWords
from workbench.core.wording import Duration, Number, Said, say

MOMENTS_MIN = (0, 10, 30, 60, 120, 240)  # just on, and then as a scent unfolds (common practice, no source)
EARLY_S = 120.0  # a mark this much before its moment is still taken as one for it
_LATE_SHARE = 0.5  # after the last moment, a mark counts at its own time for half as long again
Points = Annotated[int, Field(ge=0, le=10)]
Minute = Annotated[int, Field(ge=0, le=1440)]


class Skin(StrEnum):
    """Where it was dabbed."""

    WRIST = "inside of the wrist"
    ELBOW = "crook of the elbow"
    NECK = "side of the neck"
    EAR = "behind the ear"
    CHEST = "chest"
    OTHER = "elsewhere"


class Mark(Row):
    """What was smelled at one of the chosen moments.

    `after_min` is the moment it answers, `noted` the wall time at which it
    was written down; 0..10 each, None where it was not judged.
    """

    after_min: Minute
    noted: AwareDatetime | None = None
    top: Points | None = None
    middle: Points | None = None
    base: Points | None = None
    overall: Points | None = None
    words: SaidWords = ""

    def of_note(self, note: Note) -> int | None:
        return {Note.TOP: self.top, Note.MIDDLE: self.middle, Note.BASE: self.base}[note]

    @property
    def empty(self) -> bool:
        points = (self.top, self.middle, self.base, self.overall)
        return all(each is None for each in points) and not self.words


class WearTest(Row):
    """One wearing by one person: dabbed on once, marked at the moments that were chosen.

    `wearer` is initials, or "" for whoever makes the balm.
    """

    number: Annotated[int, Field(ge=1)]  # within the session
    wearer: Initials = ""
    where: Skin = Skin.WRIST
    dabbed: AwareDatetime | None = None
    moments_min: tuple[Minute, ...] = MOMENTS_MIN
    marks: tuple[Mark, ...] = ()

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        moments = [mark.after_min for mark in self.marks]
        if moments != sorted(set(moments)) or list(self.moments_min) != sorted(set(self.moments_min)):
            raise ValueError("moments stand in order, each of them once")
        return self

    def mark(self, after_min: int) -> Mark | None:
        return next((each for each in self.marks if each.after_min == after_min), None)


class WearTests(Row):
    """Every wearing of one batch, as kept under its session.

    `made_g` is the balm as made, leftovers taken apart, and `notes` where its
    oils stand: so the course can be reckoned without reading the session.
    """

    session: Text
    batch_code: str = ""
    recipe_name: str = ""
    tests: tuple[WearTest, ...] = ()
    made_g: dict[Key, Annotated[float, Field(ge=0, allow_inf_nan=False)]] = Field(default_factory=dict)
    notes: dict[Key, Note] = Field(default_factory=dict)

    def test(self, number: int) -> WearTest | None:
        return next((each for each in self.tests if each.number == number), None)

    def next_number(self) -> int:
        return max((each.number for each in self.tests), default=0) + 1

    def put(self, test: WearTest) -> WearTests:
        """The same with one test added, or in the place of the one of its number."""
        others = [each for each in self.tests if each.number != test.number]
        tests = tuple(sorted([*others, test], key=lambda each: each.number))
        return self.model_copy(update={"tests": tests})

    def without(self, number: int) -> WearTests:
        return self.model_copy(update={"tests": tuple(each for each in self.tests if each.number != number)})


def with_mark(test: WearTest, mark: Mark) -> WearTest:
    """The test with a mark at its moment; an empty one takes away what stood there."""
    others = [each for each in test.marks if each.after_min != mark.after_min]
    marks = others if mark.empty else [*others, mark]
    return test.model_copy(update={"marks": tuple(sorted(marks, key=lambda each: each.after_min))})


# --- when a mark is due ---


@dataclass(frozen=True, slots=True)
class Due:
    """A mark that is missing; `by_s` is how long it has been due, less than 0 while it is still to come."""

    after_min: int
    by_s: float


def missing(test: WearTest, now: datetime) -> tuple[Due, ...]:
    """Every moment without a mark, earliest first; none before the balm was dabbed on."""
    if test.dabbed is None:
        return ()
    elapsed_s = (now - test.dabbed).total_seconds()
    return tuple(
        Due(moment, elapsed_s - 60.0 * moment) for moment in test.moments_min if test.mark(moment) is None
    )


def due(test: WearTest, now: datetime) -> tuple[Due, ...]:
    """Moments that have come and have no mark yet, earliest first."""
    return tuple(each for each in missing(test, now) if each.by_s >= 0)


def coming(test: WearTest, now: datetime) -> Due | None:
    """The next moment that is still to come."""
    return next((each for each in missing(test, now) if each.by_s < 0), None)


def due_sentence(test: WearTest, now: datetime) -> Said | None:
    """What to smell now, or next; None before it was dabbed on and when every mark is there."""
    late, ahead = due(test, now), coming(test, now)
    if not late and ahead is None:
        return None
    if not late:
        assert ahead is not None
        return say(
            "Next to smell: {moment}, in {time}.",
            moment=moment_words(ahead.after_min),
            time=Duration(_rounded_up(-ahead.by_s)),
        )
    newest = late[-1]
    if newest.by_s < 60.0:
        return say("Smell now: {moment}.", moment=moment_words(newest.after_min))
    return say(
        "Smell now: {moment}. It has been due for {time}.",
        moment=moment_words(newest.after_min),
        time=Duration(60.0 * (newest.by_s // 60.0)),
    )


def _rounded_up(seconds: float) -> float:
    """Whole minutes: a countdown in seconds would have to be said every second."""
    return 60.0 * max(1.0, -(-seconds // 60.0))


def moment_words(after_min: int) -> Said:
    """A moment as it is named beside a field."""
    if after_min == 0:
        return say("just on")
    if after_min % 60 == 0:
        return say("after {hours} h", hours=Number(after_min / 60, 0))
    return say("after {minutes} min", minutes=Number(after_min, 0))


def smelled_s(test: WearTest, mark: Mark) -> float:
    """When it was really smelled, s after dabbing.

    A mark that was written down in its own time, from shortly before its
    moment until the next one, counts when it was written.  One that was
    written later (from a slip of paper) or without a time counts at its moment.
    """
    moment_s = 60.0 * mark.after_min
    if test.dabbed is None or mark.noted is None:
        return moment_s
    after = [60.0 * each for each in test.moments_min if each > mark.after_min]
    until_s = after[0] if after else moment_s * (1.0 + _LATE_SHARE)
    noted_s = (mark.noted - test.dabbed).total_seconds()
    if moment_s - EARLY_S <= noted_s < until_s:
        return max(0.0, noted_s)
    return moment_s


# --- several wearers together ---


@dataclass(frozen=True, slots=True)
class Together:
    """What several wearings say at one moment of one note (None: overall).

    `low` and `high` are the quartiles from four wearings on, else the lowest
    and the highest.
    """

    after_min: int
    note: Note | None
    median: float
    low: float
    high: float
    count: int


def together(tests: Sequence[WearTest]) -> tuple[Together, ...]:
    """Median and spread at every moment that anybody marked, by note and then overall."""
    moments = sorted({mark.after_min for test in tests for mark in test.marks})
    found = []
    for note in (Note.TOP, Note.MIDDLE, Note.BASE, None):
        for moment in moments:
            points = sorted(_points(tests, moment, note))
            if not points:
                continue
            low, high = (
                (_quantile(points, 0.25), _quantile(points, 0.75))
                if len(points) >= 4
                else (points[0], points[-1])
            )
            found.append(Together(moment, note, _quantile(points, 0.5), low, high, len(points)))
    return tuple(found)


def _points(tests: Sequence[WearTest], moment: int, note: Note | None) -> list[float]:
    marks = (test.mark(moment) for test in tests)
    points = ((mark.overall if note is None else mark.of_note(note)) for mark in marks if mark is not None)
    return [float(each) for each in points if each is not None]


def _quantile(points: Sequence[float], share: float) -> float:
    """Of sorted points, straight between neighbours."""
    place = share * (len(points) - 1)
    below = int(place)
    above = min(below + 1, len(points) - 1)
    return points[below] + (place - below) * (points[above] - points[below])
