"""A wish in the window: sliders, leanings, three answers, one edit."""

from __future__ import annotations

from datetime import timedelta
from unittest.mock import Mock

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.core.review.batches import FIRST, entry
from tests.ui.scent.balms import balm, model_of
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.catalogue.shelf import Lot, Scale, Shelf
from workbench.core.design.wish import Leaning
from workbench.core.recipe.model import Measure
from workbench.ui.scent.kept import left_of
from workbench.ui.scent.wish_panel import WishPanel

SHELF = Shelf(
    lots=tuple(
        Lot(key=f"lot_{key}", material=key)
        for key in ("lemon", "petitgrain", "lavender", "geranium", "vetiver", "sandalwood", "patchouli")
    ),
    scales=(Scale(key="fine", name="Fine", readability_g=0.01, capacity_g=50),),
)


def panel(qtbot: QtBot, tables: Catalogue) -> WishPanel:
    model = model_of(balm(), tables, SHELF)
    made = WishPanel(model)
    qtbot.addWidget(made)
    model.setParent(made)
    made.show_recipe()
    made.shelf_only.setChecked(True)
    made.resize(680, 900)
    made.show()
    return made


def answered(qtbot: QtBot, made: WishPanel) -> None:
    with qtbot.waitSignal(made._later.came, timeout=20_000):
        QTest.mouseClick(made.ask, Qt.MouseButton.LeftButton)


def test_three_answers_side_by_side_and_one_click_takes_one(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    before = made._model.recipe
    answered(qtbot, made)
    assert made.composed is not None
    shown = [card for card in made.cards if not card.isHidden()]
    assert len(shown) == len(made.composed.answers) == 3
    assert "drops" in shown[0].accessibleDescription()
    assert made._model.recipe == before
    shown[1].take.click()
    taken = {line.material: line.amount.value for line in made._model.recipe.scent}
    assert taken == dict(made.composed.answers[1].counts)
    assert made._model.stack.count() == 1
    assert "Undo" in made.taken.text()
    made._model.stack.undo()
    assert made._model.recipe == before


def test_the_wish_is_what_the_sliders_say(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made.aims[0].slider.setFocus()
    QTest.keyClick(made.aims[0].slider, Qt.Key.Key_Right)
    made.aims[1].note.show_key("")
    made._say_strengths()
    made.grams.setChecked(True)
    made.set_leaning("lavender", Leaning.MORE)
    wish = made.wish()
    assert [(aim.at_s, aim.note, aim.strength) for aim in wish.aims] == [
        (60.0, Note.TOP, 26.0),
        (14400.0, Note.BASE, 6.0),
    ]
    assert wish.leanings == {"lavender": Leaning.MORE}
    assert not wish.in_drops
    assert (wish.step_g, wish.smallest_g) == (0.01, 0.1)
    assert wish.oils == ()
    assert not made.aims[1].slider.isEnabled()
    made.shelf_only.setChecked(False)
    assert "frankincense" in made.wish().oils


def test_leanings_come_and_go(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made._add_leaning("lemon")
    assert made.wish().leanings == {"lemon": Leaning.MUST}
    box = made._leaning_rows["lemon"][1]
    box.chosen.emit(Leaning.NOT.value)  # type: ignore[attr-defined]
    answered(qtbot, made)
    assert made.composed is not None
    assert all("lemon" not in dict(answer.counts) for answer in made.composed.answers)
    made._drop_leaning("lemon")
    QApplication.processEvents()
    assert made.wish().leanings == {}
    assert made.adder.findData("lemon") >= 0


def test_what_cannot_be_had_is_said_beside_the_answers(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made.aims[2].note.show_key(Note.TOP.value)
    made.aims[2].slider.setValue(40)
    answered(qtbot, made)
    assert not made.unmet.isHidden()
    assert "after four hours" in made.unmet.accessibleDescription()


def test_no_aim_and_a_load_that_is_none_are_refused_in_words(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    for aim in made.aims:
        aim.note.show_key("")
    made.compose_now()
    assert "at least one moment" in made.fault.text()
    made.load.edit.setFocus()
    made.load.edit.setText("45")
    made.load.edit.commit()
    assert "at most 20" in made.load.fault
    made.compose_now()
    assert made.ask.isEnabled()


def test_trouble_of_the_composer_is_said(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made._model.take(balm().model_copy(update={"base": ()}))
    answered(qtbot, made)
    assert "base is empty" in made.fault.text()
    assert made.ask.isEnabled()


def test_what_batches_took_since_the_count_is_not_chosen_again(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    answered(qtbot, made)
    assert made.composed is not None
    oil = made.composed.answers[0].counts[0][0]
    counted = tuple(
        lot.model_copy(update={"left_g": 20.0, "counted": FIRST}) if lot.material == oil else lot
        for lot in SHELF.lots
    )
    made._model.context.take_shelf(SHELF.model_copy(update={"lots": counted}))
    project = Mock(spec=["sessions"])
    project.sessions.return_value = (entry(1, used=((oil, f"lot_{oil}", 20.0),)),)
    made.set_left(left_of(project))
    answered(qtbot, made)
    assert made.composed.answers
    assert all(oil not in dict(answer.counts) for answer in made.composed.answers)


def test_a_bottle_past_its_date_is_said_and_not_chosen(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    answered(qtbot, made)
    assert made.composed is not None
    assert made.dated.isHidden()
    oil = made.composed.answers[0].counts[0][0]
    yesterday = made._model.context.today() - timedelta(days=1)
    lots = tuple(
        lot.model_copy(update={"best_before": yesterday}) if lot.material == oil else lot
        for lot in SHELF.lots
    )
    made._model.context.take_shelf(SHELF.model_copy(update={"lots": lots}))
    answered(qtbot, made)
    assert all(oil not in dict(answer.counts) for answer in made.composed.answers)
    assert tables.material(oil).name in made.dated.text()
    assert yesterday.isoformat() in made.dated.text()
    assert made.dated.isVisibleTo(made)


def test_a_fault_of_our_own_leaves_the_button(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made._say_ask(True)
    made._later.failed.emit()
    assert made.ask.text() == "Find three blends"
    answered(qtbot, made)
    assert made.composed is not None


def test_grams_are_written_and_narrow_windows_stack_the_answers(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made.grams.setChecked(True)
    answered(qtbot, made)
    assert " g" in made.cards[0].accessibleDescription()
    made.cards[0].take.click()
    assert {line.amount.measure for line in made._model.recipe.scent} == {Measure.GRAMS}
    made.resize(340, 900)
    QApplication.processEvents()
    assert made._columns == 1


def test_the_focus_stays_on_the_question_while_it_is_answered(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made.activateWindow()
    qtbot.waitExposed(made)
    QApplication.processEvents()
    made.ask.setFocus()
    with qtbot.waitSignal(made._later.came, timeout=20_000):
        QTest.keyClick(made.ask, Qt.Key.Key_Space)
        assert QApplication.focusWidget() is made.ask
        assert made.ask.text() == "Looking for blends …"
        number = made._later._number
        QTest.keyClick(made.ask, Qt.Key.Key_Space)  # asked once, answered once
        assert made._later._number == number
    assert QApplication.focusWidget() is made.ask
    assert made.ask.text() == "Find three blends"
    assert made.composed is not None
    QTest.keyClick(made.ask, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is made.cards[0].take
    assert made._model.stack.count() == 0


def test_a_strength_says_of_how_much_it_is(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables)
    made.aims[0].slider.setValue(25)
    assert made.aims[0].words.text() == "clear, 25 of 100"
