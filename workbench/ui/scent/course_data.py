"""From a recipe to what the charts show of it; no Qt in here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Recipe
from workbench.core.scent.course import Course, course
from workbench.core.scent.notes import notes_for
from workbench.core.scent.paper import PaperCourse
from workbench.core.scent.strength import Strength, strength
from workbench.core.scent.volatility import Array
from workbench.ui.scent.chart import UPWARDS, Layer, Picture, note_tops
from workbench.ui.scent.strength_chart import NoteLine


@dataclass(frozen=True, slots=True, eq=False)
class Unfolding:
    """The course of one composition with its strength and the notes its oils count to."""

    course: Course
    strength: Strength
    notes: Mapping[str, Note]


def unfold(composition: Composition, recipe: Recipe, catalogue: Catalogue) -> Unfolding:
    """Notes as the recipe says; oils out of leftovers take those of the tables."""
    run = course(composition, catalogue)
    chosen = notes_for(run.oils, catalogue, {line.material: line.note for line in recipe.scent})
    return Unfolding(run, strength(run, chosen), chosen)


def layers_of(
    oils: tuple[str, ...], masses_g: Array, left: Array, notes: Mapping[str, Note], catalogue: Catalogue
) -> tuple[Layer, ...]:
    """One layer per oil, base at the bottom; within a note the longest lasting lowest."""
    total = float(masses_g.sum()) or 1.0
    names = short_names(oils, catalogue)
    made = [
        Layer(
            oil,
            names[oil],
            notes.get(oil, Note.MIDDLE),
            left[row] * masses_g[row] / total,
        )
        for row, oil in enumerate(oils)
    ]
    halfway = {layer.key: float(np.mean(layer.left) / max(layer.left[0], 1e-12)) for layer in made}
    return tuple(
        layer
        for note in UPWARDS
        for layer in sorted((one for one in made if one.note is note), key=lambda one: -halfway[one.key])
    )


def picture_of(now: Unfolding, earlier: Unfolding | None = None) -> Picture:
    """Areas of now; the note edges of an earlier one to be drawn dashed."""
    run, catalogue = now.course, now.course.volatility.catalogue
    layers = layers_of(run.oils, run.masses_g, run.left, now.notes, catalogue)
    low, high = run.band()
    weights = run.masses_g / (run.masses_g.sum() or 1.0)
    was: tuple[Array, ...] = ()
    if earlier is not None and earlier.course.oils:
        old = earlier.course
        was = note_tops(
            Picture(old.times_s, layers_of(old.oils, old.masses_g, old.left, earlier.notes, catalogue))
        )
    return Picture(run.times_s, layers, weights @ low, weights @ high, was)


def paper_picture(run: PaperCourse, notes: Mapping[str, Note], catalogue: Catalogue) -> Picture:
    return Picture(run.times_s, layers_of(run.oils, run.masses_g, run.left, notes, catalogue))


def lines_of(now: Unfolding) -> tuple[NoteLine, ...]:
    """The notes that are in there, top first."""
    s = now.strength
    there = {now.notes.get(oil, Note.MIDDLE) for oil in now.course.oils}
    return tuple(
        NoteLine(note, s.notes[row], s.notes_low[row], s.notes_high[row])
        for row, note in enumerate((Note.TOP, Note.MIDDLE, Note.BASE))
        if note in there
    )


def unfold_recipe(recipe: Recipe, catalogue: Catalogue) -> Unfolding:
    """The same from a recipe alone.  Raises `Trouble` where it cannot be worked out."""
    return unfold(work_out(recipe, catalogue).composition, recipe, catalogue)


def short_name(name: str) -> str:
    """The name without what stands in brackets or behind a comma, for small places."""
    return name.split(" (")[0].split(", ")[0]


def short_names(oils: Iterable[str], catalogue: Catalogue) -> dict[str, str]:
    """Short names by oil; two that would read the same keep their whole name."""
    whole = {oil: catalogue.material(oil).name for oil in oils}
    short = [short_name(name) for name in whole.values()]
    return {
        oil: name if short.count(short_name(name)) > 1 else short_name(name) for oil, name in whole.items()
    }
