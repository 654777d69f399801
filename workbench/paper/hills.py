"""The small drawing of a scent: three hills, for what leaves the skin of its top, middle and base.

Over the logarithm of time each note rises and falls once; where it stands
highest, most of it goes.  Heights are in proportion to one another, so a
light hand with the base shows.  There are no hours on it: nobody can promise
them for a skin that was not there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import course
from workbench.paper.scene import Ink, Line, Mark, Shape

ORDER = (Note.TOP, Note.MIDDLE, Note.BASE)
FILLS = {Note.TOP: Ink.WASH, Note.MIDDLE: Ink.MIST, Note.BASE: Ink.FAINT}
FROM_S, TO_S = 10.0, 8 * 24 * 3600.0  # long enough for the slowest hill to come down


@dataclass(frozen=True, slots=True)
class Hills:
    """Heights 0..1 of each note at even steps of the logarithm of time; the highest of all is 1."""

    heights: Mapping[Note, tuple[float, ...]]


def hills_of(
    composition: Composition, catalogue: Catalogue, notes: Mapping[str, Note], steps: int = 120
) -> Hills | None:
    """From the course of a balm on skin and the note of each oil; None where nothing leaves."""
    reckoned = course(composition, catalogue, np.geomspace(FROM_S, TO_S, steps))
    logs = np.log(reckoned.times_s)
    left = reckoned.left_g()
    heights: dict[Note, tuple[float, ...]] = {}
    tallest = 0.0
    for note in ORDER:
        rows = [row for row, oil in enumerate(reckoned.oils) if notes.get(oil) is note]
        if not rows:
            continue
        leaving = np.maximum(-np.gradient(left[rows].sum(axis=0), logs), 0.0)
        heights[note] = tuple(leaving.tolist())
        tallest = max(tallest, float(leaving.max()))
    if tallest <= 0:
        return None
    return Hills({note: tuple(each / tallest for each in row) for note, row in heights.items()})


def draw_hills(
    hills: Hills, x_mm: float, base_mm: float, w_mm: float, h_mm: float, *, filled: bool = True
) -> list[Mark]:
    """The hills on a base line, the tallest behind."""
    marks: list[Mark] = []
    crests: list[Mark] = []
    for note in sorted(hills.heights, key=lambda each: -max(hills.heights[each])):
        row = hills.heights[note]
        step = w_mm / (len(row) - 1)
        crest = tuple((x_mm + step * at, base_mm - h_mm * height) for at, height in enumerate(row))
        if filled:
            whole = ((x_mm, base_mm), *crest, (x_mm + w_mm, base_mm))
            marks.append(Shape(whole, True, 0.1, None, FILLS[note]))
        crests.append(Shape(crest, False, 0.2, Ink.SOFT))
    return [*marks, *crests, Line(x_mm, base_mm, x_mm + w_mm, base_mm, 0.2, Ink.SOFT)]
