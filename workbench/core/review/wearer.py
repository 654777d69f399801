"""Word from the wearer: what the person who got a tin says weeks later, and what follows from it.

A reaction of the skin marks the batch, its recipe and the lots in it, so that
whoever uses them again is told.  That a reaction was reported stays with the
batch; who it was and what they said can be erased.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from workbench.core.catalogue.model import Row, Text
from workbench.core.review.keeping import Initials, SaidWords


class WordFromWearer(Row):
    """What one person said; `rating` 0..10, None where none was given."""

    number: Annotated[int, Field(ge=1)]
    told: date | None = None
    wearer: Initials = ""
    rating: Annotated[int, Field(ge=0, le=10)] | None = None
    reaction: bool = False
    words: SaidWords = ""


class WordsFromWearers(Row):
    """All that was said of one batch."""

    session: Text
    batch_code: str = ""
    recipe_name: str = ""
    said: tuple[WordFromWearer, ...] = ()

    @property
    def reaction(self) -> bool:
        return any(each.reaction for each in self.said)
