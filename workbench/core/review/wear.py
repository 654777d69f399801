"""Wear tests: how strongly a balm smells on somebody's skin, minute by minute to four hours.

A test belongs to one session.  Strengths are whole numbers from 0, nothing,
to 10, as strong as a scent can be; what nobody noted stays empty.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import AwareDatetime, Field

from workbench.core.catalogue.model import Note, Row, Text
from workbench.core.review.keeping import Initials, SaidWords

MOMENTS_MIN = (0, 10, 30, 60, 120, 240)  # just on, and then as a scent unfolds (common practice, no source)
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
    """One wearing by one person: dabbed on once, marked at the moments that were chosen."""

    number: Annotated[int, Field(ge=1)]  # within the session
    wearer: Initials = ""
    where: Skin = Skin.WRIST
    dabbed: AwareDatetime | None = None
    moments_min: tuple[Minute, ...] = MOMENTS_MIN
    marks: tuple[Mark, ...] = ()  # by `after_min`, rising

    def mark(self, after_min: int) -> Mark | None:
        return next((each for each in self.marks if each.after_min == after_min), None)


class WearTests(Row):
    """Every wearing of one batch, as kept under its session."""

    session: Text
    batch_code: str = ""
    recipe_name: str = ""
    tests: tuple[WearTest, ...] = ()
