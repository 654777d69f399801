"""The course in the window: what is drawn, what is said, and an oil drawn larger by mouse and by key."""

from __future__ import annotations

import time

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.scent.balms import HEAVY, LIGHT, balm, model_of
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.amounts import Where, work_out
from workbench.core.recipe.model import Measure, Recipe
from workbench.ui import theme
from workbench.ui.palettes import SCENT_PAINTS, contrast
from workbench.ui.scent.chart import CourseChart, note_tops
from workbench.ui.scent.course_data import picture_of, short_names, unfold_recipe
from workbench.ui.scent.course_panel import CoursePanel, Earlier
from workbench.ui.scent.hues import paint


def panel(qtbot: QtBot, tables: Catalogue, recipe: Recipe | None = None) -> CoursePanel:
    model = model_of(recipe or balm(), tables)
    made = CoursePanel(model)
    qtbot.addWidget(made)
    model.setParent(made)
    made.show_recipe()
    made.resize(640, 760)
    made.show()
    QApplication.processEvents()
    return made


def share_of(recipe: Recipe, index: int, tables: Catalogue) -> float:
    lines = [line for line in work_out(recipe, tables).lines if line.where is Where.SCENT]
    return lines[index].exact_g / sum(line.exact_g for line in lines)


def model_recipe(made: CoursePanel) -> Recipe:
    return made._model.recipe


def test_areas_stand_base_below_and_add_up_to_the_whole(tables: Catalogue) -> None:
    picture = picture_of(unfold_recipe(balm(), tables))
    assert [layer.note for layer in picture.layers] == [
        Note.BASE, Note.MIDDLE, Note.MIDDLE, Note.TOP, Note.TOP,
    ]  # fmt: skip
    assert picture.total[0] == pytest.approx(1.0)
    assert np.all(np.diff(picture.total) <= 0)
    tops = note_tops(picture)
    assert len(tops) == 3
    assert np.allclose(tops[-1], picture.total)
    assert picture.low is not None
    assert picture.high is not None
    assert np.all(picture.low <= picture.total + 1e-9)


def test_two_sentences_names_and_shares_are_there(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    assert "leads" in made.says.text()
    assert "After an hour" in made.then.text()
    assert "no hours are promised" in made.note.text()
    assert [row.name.text() for row in made._rows] == [
        "Lemon", "Sweet orange", "Neroli", "Lavender", "Cedarwood",
    ]  # fmt: skip
    assert sum(row.slider.value() for row in made._rows) == pytest.approx(1000, abs=3)
    assert made.chart.accessibleDescription().startswith(made.says.text())


def test_what_is_not_known_and_where_lists_disagree_is_said(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables, balm((*HEAVY, ("frankincense", 1, Note.BASE))))
    assert "Labdanum" in made.missing.text()
    hint = next(row.hint for row in made._rows if row.key == "frankincense")
    assert "lists put it at base" in hint.text()


def test_a_slider_by_key_is_one_edit_that_can_be_undone(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    before, slider = model_recipe(made), made._rows[0].slider
    slider.setFocus()
    QTest.keyClick(slider, Qt.Key.Key_PageUp)
    after = model_recipe(made)
    assert share_of(after, 0, tables) == pytest.approx(slider.value() / 1000, abs=0.002)
    assert share_of(after, 0, tables) > share_of(before, 0, tables)
    assert made._model.stack.count() == 1
    made._model.stack.undo()
    assert model_recipe(made) == before


def test_an_area_is_drawn_larger_and_seen_to_move_before_it_is_let_go(
    qtbot: QtBot, tables: Catalogue
) -> None:
    made = panel(qtbot, tables)
    before, chart = model_recipe(made), made.chart
    area = chart.plot()
    start = next(
        QPoint(round(area.left() + 4), y)
        for y in range(round(area.top()) + 6, round(area.bottom()))
        if (layer := chart.layer_at(area.topLeft() + QPoint(4, y - round(area.top()))))
        and layer.key == "lavender"
    )
    picture = chart._picture
    QTest.mousePress(chart, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(chart, start - QPoint(0, 40))
    QApplication.processEvents()
    assert chart._picture is not picture
    assert model_recipe(made) == before
    assert "of the limit on skin" in made.readout.text()
    QTest.mouseRelease(chart, Qt.MouseButton.LeftButton, pos=start - QPoint(0, 40))
    wished = share_of(before, 3, tables) + 40 / area.height()
    assert share_of(model_recipe(made), 3, tables) == pytest.approx(wished, abs=0.01)
    assert made._model.stack.count() == 1


@pytest.mark.parametrize("measure", [Measure.PARTS, Measure.GRAMS, Measure.DROPS, Measure.PERCENT])
def test_a_share_is_reached_in_every_measure(measure: Measure, qtbot: QtBot, tables: Catalogue) -> None:
    values = (40, 20, 20, 15, 5)
    scent = tuple((key, value, note) for (key, _, note), value in zip(LIGHT, values, strict=True))
    made = panel(qtbot, tables, balm(scent, measure))
    made._moved("lavender", 0.30)
    assert share_of(model_recipe(made), 3, tables) == pytest.approx(0.30, abs=0.012)
    if measure is Measure.DROPS:
        assert all(line.amount.value == int(line.amount.value) for line in model_recipe(made).scent)


def test_a_mixture_of_grams_and_parts_reaches_its_share(qtbot: QtBot, tables: Catalogue) -> None:
    recipe = balm()
    grams = recipe.scent[0].model_copy(
        update={"amount": recipe.scent[0].amount.model_copy(update={"measure": Measure.GRAMS, "value": 1.0})}
    )
    made = panel(qtbot, tables, recipe.model_copy(update={"scent": (grams, *recipe.scent[1:])}))
    made._moved("lemon", 0.2)
    assert share_of(model_recipe(made), 0, tables) == pytest.approx(0.2, abs=0.01)
    made._moved("lavender", 0.3)
    assert share_of(model_recipe(made), 3, tables) == pytest.approx(0.3, abs=0.01)


def test_the_only_oil_cannot_be_a_share(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables, balm((("lemon", 1, Note.TOP),)))
    assert not made._rows[0].slider.isEnabled()
    made._moved("lemon", 0.5)
    assert "only oil" in made.fault.text()
    made._moving("lemon", 0.5)
    assert "only oil" in made.fault.text()


def test_the_cursor_reads_out_what_is_left(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made.chart.setFocus()
    QTest.keyClick(made.chart, Qt.Key.Key_End)
    assert "After 24 h" in made.readout.text()
    assert "Cedarwood" in made.readout.text()
    assert made.chart.accessibleDescription() == made.readout.text()
    QTest.keyClick(made.chart, Qt.Key.Key_Home)
    assert "100 %" in made.readout.text()
    QTest.keyClick(made.chart, Qt.Key.Key_Right)
    assert made.chart.cursor_s is not None
    assert made.chart.cursor_s > 0
    assert made.strength.cursor_s == made.chart.cursor_s
    QTest.keyClick(made.chart, Qt.Key.Key_Escape)
    assert "Point at a time" in made.readout.text()


def test_an_earlier_revision_is_drawn_dashed(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    assert made.compare.isHidden()
    made.set_earlier([Earlier("1", "Revision 1", balm(HEAVY)), Earlier("2", "Revision 2", balm(()))])
    assert not made.compare.isHidden()
    made.compare.show_key("1")
    made._compare("1")
    assert made.chart._picture is not None
    assert len(made.chart._picture.earlier) == 3
    made.compare.show_key("2")
    made._compare("2")
    picture = made.chart._picture
    assert picture is not None
    assert not picture.earlier


def test_both_charts_paint_in_every_look(qtbot: QtBot, tables: Catalogue, dressed: QApplication) -> None:
    made = panel(qtbot, tables, balm(HEAVY))
    for scheme in (theme.Scheme.LIGHT, theme.Scheme.DARK, theme.Scheme.HIGH_CONTRAST):
        theme.apply(dressed, theme.Theme(scheme))
        made.to_left.click()
        QApplication.processEvents()
        image = made.chart.grab().toImage()
        # what is painted at the foot of the chart is the lowest area in its own colour
        colours = made.chart.colours()
        spot = made.chart.plot().bottomLeft() + QPoint(4, -6)
        assert image.pixelColor(spot.toPoint()).name() in {
            shade.name() for colour in colours.values() for shade in (colour, colour.lighter(106))
        }
        for row in made._rows:
            if row.key in colours:  # the list wears the same colours as the areas
                assert row.slider.fill == colours[row.key]
        made.to_strength.click()
        QApplication.processEvents()
        assert made.charts.currentWidget() is made.strength
        assert not made.strength.grab().isNull()


def test_words_on_areas_can_be_read_in_every_look() -> None:
    """WCAG 2.2, 1.4.3: text at least 4.5 to 1."""
    for scheme in (theme.Scheme.LIGHT, theme.Scheme.DARK, theme.Scheme.HIGH_CONTRAST):
        look = theme.Theme(scheme)
        for note, paints in SCENT_PAINTS.items():
            for place in range(2 * len(paints)):
                assert contrast(look.colours.ink, paint(look, Note(note), place).name()) >= 4.5


def test_neighbours_of_a_note_have_different_colours() -> None:
    look = theme.Theme()
    for note in Note:
        found = [QColor(paint(look, note, place)).name() for place in range(12)]
        assert len(set(found)) == len(found)


def test_names_that_would_read_the_same_keep_what_tells_them_apart(tables: Catalogue) -> None:
    names = short_names(("petitgrain", "petitgrain_paraguay", "lemon"), tables)
    assert len(set(names.values())) == 3
    assert names["lemon"] == "Lemon"


def test_a_recipe_that_cannot_be_worked_out_says_why(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables, balm().model_copy(update={"base": ()}))
    assert "base is empty" in made.says.text()
    assert made.charts.isHidden()


def test_a_course_follows_the_hand(qtbot: QtBot, tables: Catalogue) -> None:
    """Drawing a slider must keep up with the hand: ten pictures a second are the least."""
    made = panel(qtbot, tables)
    took = []
    for step in range(12):
        start = time.process_time()
        made._moving("lavender", 0.2 + 0.01 * step)
        took.append(time.process_time() - start)
    assert min(took) < 0.1


def test_the_chart_ignores_what_it_does_not_know(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    chart: CourseChart = made.chart
    corner = QPoint(2, 2)
    QTest.mouseClick(chart, Qt.MouseButton.LeftButton, pos=corner)
    QTest.mouseClick(chart, Qt.MouseButton.RightButton, pos=chart.rect().center())
    QTest.keyClick(chart, Qt.Key.Key_A)
    assert made._model.stack.count() == 0
