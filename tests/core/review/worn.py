"""Balms and wearers for tests: a wearer of a known pace marks what the model says, as a nose would."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta, timezone
from functools import cache

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.composition import Composition
from workbench.core.review.pace import Worn
from workbench.core.review.wear import Mark, WearTest
from workbench.core.review.wear_course import (
    COMPUTED_PER_POINT,
    NOTES,
    TIMES_S,
    Predicted,
    of_course,
    with_tables_off,
)
from workbench.core.scent.course import Course, course
from workbench.core.scent.strength import strength
from workbench.core.scent.volatility import Array
from workbench.store.resources import load_catalogue

DABBED = datetime(2026, 3, 20, 8, 0, tzinfo=timezone(timedelta(hours=1)))
BALMS = (
    {"bergamot": 4.0, "geranium": 3.0, "sandalwood": 3.0},
    {"lemon": 5.0, "lavender": 4.0, "cedarwood_virginia": 4.0},
    {"peppermint": 2.0, "rose": 3.0, "vetiver": 4.0},
    {"grapefruit": 5.0, "neroli": 3.0, "patchouli": 3.0},
)  # each a top, a middle and a base note


@cache
def tables_of_the_program() -> Catalogue:
    return load_catalogue()


def notes_of(number: int) -> dict[str, Note]:
    return dict(zip(BALMS[number], NOTES, strict=True))


@cache
def run_of(number: int) -> Course:
    whole = Composition.of({"sunflower": 90.0, **BALMS[number]})
    return course(whole, tables_of_the_program(), times_s=TIMES_S)


@cache
def balm(number: int = 0) -> Predicted:
    """What the program reckons for one of the four balms."""
    return of_course(run_of(number), notes_of(number))


def true_points(number: int, draw: np.random.Generator) -> Array:
    """The course of a balm in a world where the tables are off, within their stated uncertainty."""
    run = run_of(number)
    off = with_tables_off(run, *draw.standard_normal((3, len(run.volatility.keys))))
    made: Array = strength(off, notes_of(number)).notes / COMPUTED_PER_POINT
    return made


def marked(
    points: Array,
    factor: float,
    scale: float,
    draw: np.random.Generator | None = None,
    *,
    number: int = 1,
    noise: float = 1.0,
    wearer: str = "",
    moments_min: Sequence[int] = (0, 10, 30, 60, 120, 240),
) -> WearTest:
    """A wearing, in whole points; `points` rows top, middle, base over `TIMES_S`."""
    at = factor * 60.0 * np.array(moments_min, dtype=np.float64)
    given = scale * np.array([np.interp(at, TIMES_S, points[row]) for row in range(3)])
    if draw is not None:
        # a nose is sure of nothing, and less sure of more: its own law, not the one of the estimate
        given = given + noise * np.minimum(0.3 + given / 4.0, 1.0) * draw.standard_normal(given.shape)
    whole = np.clip(np.rint(given), 0, 10).astype(int)
    marks = tuple(
        Mark(
            after_min=moment,
            noted=DABBED + timedelta(minutes=moment),
            top=int(whole[0, at]),
            middle=int(whole[1, at]),
            base=int(whole[2, at]),
        )
        for at, moment in enumerate(moments_min)
    )
    return WearTest(number=number, wearer=wearer, dabbed=DABBED, moments_min=tuple(moments_min), marks=marks)


def wearings(
    factor: float,
    scale: float,
    draw: np.random.Generator,
    *,
    balms: int,
    each: int = 1,
    noise: float = 1.0,
    tables_off: bool = True,
) -> list[Worn]:
    """Several balms worn by one person; how the tables are off for a balm is the same each time."""
    made = []
    for number in range(balms):
        points = true_points(number, draw) if tables_off else balm(number).points
        for once in range(each):
            test = marked(points, factor, scale, draw, number=once + 1, noise=noise)
            made.append(Worn(test, balm(number), f"balm {number}"))
    return made
