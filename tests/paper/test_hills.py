"""The small drawing comes from the computed course, and the setting of text does what it says."""

from __future__ import annotations

import numpy as np
import pytest

from tests.paper.balms import LONG_NAME
from workbench.core.catalogue.model import Note
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import course
from workbench.paper.hills import FROM_S, TO_S, draw_hills, hills_of
from workbench.paper.press import Press
from workbench.paper.scene import Face, Shape
from workbench.paper.setting import BoxRegion, CircleRegion, Para, balanced, set_paras
from workbench.paper.type import width_mm
from workbench.testing import sample_catalogue

BALM = Composition.of({"jojoba": 95.0, "petitgrain": 3.0, "cedarwood_virginia": 2.0})
NOTES = {"petitgrain": Note.TOP, "cedarwood_virginia": Note.BASE}


def test_the_area_of_a_hill_is_what_left_the_skin() -> None:
    """Mass balance: the sum of what leaves over all times is what is gone in the end."""
    made = hills_of(BALM, sample_catalogue(), NOTES, steps=400)
    assert made is not None
    reckoned = course(BALM, sample_catalogue(), np.array([FROM_S, TO_S]))
    gone = {
        oil: float(row[0] - row[1]) * grams
        for oil, row, grams in zip(reckoned.oils, reckoned.left, reckoned.masses_g, strict=True)
    }
    areas = {note: sum(row) for note, row in made.heights.items()}
    ratio = areas[Note.TOP] / areas[Note.BASE]
    assert ratio == pytest.approx(gone["petitgrain"] / gone["cedarwood_virginia"], rel=0.01)


def test_the_top_stands_before_the_base() -> None:
    """A fact of the trade (common practice, no source): top notes go first, the base stays longest."""
    made = hills_of(BALM, sample_catalogue(), NOTES)
    assert made is not None
    top, base = made.heights[Note.TOP], made.heights[Note.BASE]
    assert top.index(max(top)) < base.index(max(base))
    assert max(max(row) for row in made.heights.values()) == pytest.approx(1.0)


def test_a_balm_without_scent_has_no_hills() -> None:
    assert hills_of(Composition.of({"jojoba": 100.0}), sample_catalogue(), {}) is None


def test_the_drawing_stays_in_its_box() -> None:
    made = hills_of(BALM, sample_catalogue(), NOTES)
    assert made is not None
    for mark in draw_hills(made, 10.0, 40.0, 50.0, 20.0):
        if isinstance(mark, Shape):
            assert all(9.999 <= x <= 60.001 and 19.999 <= y <= 40.001 for x, y in mark.points_mm)


def test_lines_of_a_name_are_as_even_as_they_can_be(press: Press) -> None:
    for count in range(1, 6):
        lines = balanced(LONG_NAME, count, Face.DISPLAY)
        assert lines is not None
        assert " ".join(lines) == LONG_NAME
        widest = max(width_mm(line, 1.0, Face.DISPLAY) for line in lines)
        words = LONG_NAME.split(" ")
        # no other way of breaking is narrower: tried for every pair of neighbours
        for at in range(count - 1):
            left, right = lines[at].split(" "), lines[at + 1].split(" ")
            for moved in ((left[:-1], [left[-1], *right]), ([*left, right[0]], right[1:])):
                if all(moved):
                    tried = max(width_mm(" ".join(side), 1.0, Face.DISPLAY) for side in moved)
                    assert (
                        max(
                            tried,
                            *(
                                width_mm(lines[i], 1.0, Face.DISPLAY)
                                for i in range(count)
                                if i not in (at, at + 1)
                            ),
                            0.0,
                        )
                        >= widest - 1e-9
                    )
        assert len(words) >= count
    assert balanced("one", 2, Face.DISPLAY) is None


def test_text_that_finds_no_room_comes_back_whole(press: Press) -> None:
    text = "a few words that are far too many for a box as small as this one is"
    made = set_paras([Para.of(text, 1.2)], BoxRegion(0, 0, 20, 8), 1.2)
    assert not made.fits
    put = " ".join(mark.text for mark in made.marks if hasattr(mark, "text"))
    rest = " ".join(run.text for para in made.rest for run in para.runs)
    assert f"{put} {rest}" == text


def test_a_circle_is_narrow_at_its_ends_and_wide_in_the_middle() -> None:
    circle = CircleRegion(20, 20, 15)
    middle, end = circle.span(19, 21), circle.span(6, 8)
    assert middle is not None
    assert end is not None
    # Pythagoras, at the edge of the line that is farther from the centre
    assert middle[1] - middle[0] == pytest.approx(2 * (15**2 - 1**2) ** 0.5)
    assert end[1] - end[0] == pytest.approx(2 * (15**2 - 14**2) ** 0.5)
    assert circle.span(3, 6) is None
