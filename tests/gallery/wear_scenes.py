"""How batches wore, what was said of them, and what is left on the shelf."""

from __future__ import annotations

from datetime import date

import numpy as np

from tests.core.review.worn import marked
from tests.gallery.past_scenes import past_project
from tests.gallery.stage import Stage
from workbench.core.batch.session import fold
from workbench.core.catalogue.shelf import Lot
from workbench.core.review.keeping import WEAR_TEST, WORD_FROM_WEARER, body_of
from workbench.core.review.wear import MOMENTS_MIN, WearTests
from workbench.core.review.wear_course import as_made, predicted_of
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers

WORN, SAID = "s21", "s20"
LOTS = (
    Lot(key="wax", material="beeswax", supplier_lot="BW-114", left_g=250.0, price_per_kg=18.0),
    Lot(key="oil", material="jojoba", supplier_lot="4471", left_g=420.0, price_per_kg=32.0, opened=date(2025, 5, 1)),
    Lot(key="shea", material="shea_butter", left_g=500.0, price_per_kg=14.0, best_before=date(2026, 9, 10)),
    Lot(key="lav", material="lavender", supplier_lot="LV 22/7", left_g=9.0, price_per_kg=190.0),
    Lot(key="cedar", material="cedarwood_virginia"),
)  # fmt: skip


def wear(stage: Stage) -> None:
    """Three people wore one batch; the marks of the first are in hand."""
    page = past_project(stage)
    project = stage.house.desk.project
    assert project is not None
    if not project.documents(WEAR_TEST, WORN):
        catalogue = stage.house.context.catalogue
        made_g, notes = as_made(fold(project.events(WORN)), catalogue)
        kept = WearTests(session=WORN, recipe_name="Evening ember", made_g=made_g, notes=notes)
        course = predicted_of(kept, catalogue)
        assert course is not None
        draw = np.random.default_rng(4)
        for number, (who, factor, scale) in enumerate((("", 1.5, 1.3), ("K", 1.0, 0.9), ("MA", 2.0, 1.2)), 1):
            test = marked(
                course.points, factor, scale, draw, number=number, wearer=who, moments_min=MOMENTS_MIN
            )
            marks = tuple(mark.model_copy(update={"top": None}) for mark in test.marks)
            kept = kept.put(test.model_copy(update={"marks": marks}))
        project.save_document(WEAR_TEST, WORN, body_of(kept))
    page.open(WORN)
    page.reader.go_to("wear")
    page.wear.all_together.setChecked(False)
    page.wear._choose("1")
    page.wear.entry.go_to(30)
    stage.settle()


def wear_together(stage: Stage) -> None:
    wear(stage)
    page = stage.house.history
    assert page is not None
    page.wear.all_together.setChecked(True)
    stage.settle()


def nobody_wore_it(stage: Stage) -> None:
    page = past_project(stage)
    page.open("s17")
    page.reader.go_to("wear")
    stage.settle()


def words(stage: Stage) -> None:
    """Two wearers said something of one batch, and one of them had a reaction."""
    page = past_project(stage)
    project = stage.house.desk.project
    assert project is not None
    entry = next(each for each in project.sessions() if each.id == SAID)
    if not project.documents(WORD_FROM_WEARER, entry.batch_code):
        kept = WordsFromWearers(session=SAID, batch_code=entry.batch_code, recipe_name=entry.recipe_name)
        lovely = "Warm and dry, gone by noon. A little hard in the cold."
        kept = kept.put(WordFromWearer(number=1, told=date(2026, 6, 2), wearer="K", rating=8, words=lovely))
        kept = kept.put(WordFromWearer(number=2, told=date(2026, 6, 9), reaction=True, words="red for a day"))
        project.save_document(WORD_FROM_WEARER, entry.batch_code, body_of(kept))
    page.open(SAID)
    page.reader.go_to("words")
    stage.settle()


def stock(stage: Stage) -> None:
    past_project(stage)
    house = stage.house
    house._keep_shelf(house.context.shelf.model_copy(update={"lots": LOTS}))
    house.to_shelf()
    assert house.shelf is not None
    house.shelf.choose("stock")
    stage.settle()
