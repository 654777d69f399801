"""The recipe page, worked as a maker works it: typing, choosing, undoing."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton, QToolButton
from pytestqt.qtbot import QtBot

from tests.ui.editor.kitchen import OPEN, SHUT
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.recipe import change
from workbench.core.recipe.model import Amount, Heat, Measure, Premix, Recipe
from workbench.core.recipe.weighed import Where
from workbench.core.skin.verdict import Verdict
from workbench.core.units import MassUnit, TemperatureUnit
from workbench.ui.context import Context
from workbench.ui.editor.answers import AnswersPage
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.page import EditorPage
from workbench.ui.editor.stove_page import RemedyRow
from workbench.ui.widgets.basic import Words
from workbench.ui.widgets.number import NumberField


@pytest.fixture
def model(context: Context) -> Iterator[RecipeModel]:
    made = RecipeModel(context, OPEN)
    yield made
    made.finish_jobs()
    made.deleteLater()


@pytest.fixture
def page(model: RecipeModel, qtbot: QtBot) -> EditorPage:
    made = EditorPage(model)
    qtbot.addWidget(made)
    made.resize(660, 800)
    made.show()
    return made


def now(model: RecipeModel) -> Recipe:
    """The recipe as it stands; asked anew, because it changes behind one's back."""
    return model.recipe


def premix_of(model: RecipeModel) -> Premix:
    assert model.recipe.premix is not None
    return model.recipe.premix


def type_into(field: NumberField | QLineEdit, text: str) -> None:
    edit: QLineEdit = field if isinstance(field, QLineEdit) else field.edit
    edit.setFocus()
    edit.selectAll()
    QTest.keyClicks(edit, text)
    QTest.keyClick(edit, Qt.Key.Key_Return)


def test_every_line_says_its_grams_and_its_share(page: EditorPage) -> None:
    first = page.base._rows[0]
    assert first.material.currentText() == "Beeswax"
    assert first.amount.edit.text() == "20"
    assert first.weigh.text().endswith(" g")
    assert "% of the balm" in first.details.text()
    assert "scale may be off" in first.details.text()


def test_typing_an_amount_is_one_undoable_edit(page: EditorPage, model: RecipeModel) -> None:
    before = page.base._rows[0].weigh.text()
    type_into(page.base._rows[0].amount, "40")
    assert model.recipe.base[0].amount.value == 40
    assert page.base._rows[0].weigh.text() != before
    model.stack.undo()
    assert page.base._rows[0].weigh.text() == before
    assert page.base._rows[0].amount.edit.text() == "20"


@pytest.mark.parametrize(("typed", "value"), [("1,3", 1.3), ("1.3", 1.3), ("1/2", 0.5), ("1 1/2", 1.5)])
def test_amounts_are_read_as_they_are_meant(
    page: EditorPage, model: RecipeModel, typed: str, value: float
) -> None:
    type_into(page.scent._rows[0].amount, typed)
    assert model.recipe.scent[0].amount.value == pytest.approx(value)


def test_spoons_go_in_and_show_what_they_weigh(page: EditorPage, model: RecipeModel) -> None:
    type_into(page.base._rows[2].amount, "2 tbsp")
    amount = model.recipe.base[2].amount
    assert amount.measure is Measure.MILLILITRES
    # A metric tablespoon holds 15 mL (kitchen measures as sold; the preference is metric by default)
    assert amount.value == pytest.approx(30)
    assert page.base._rows[2].amount.edit.text() == "2 tbsp"
    density = page.model.context.catalogue.material("jojoba").density_g_ml
    assert density is not None
    line = next(one for one in page.base._worked_out() if one.index == 2)
    others = [one for one in page.base._worked_out() if one.index != 2]
    assert line.exact_g > 0
    assert all(one.exact_g > 0 for one in others)


def test_drops_are_for_the_scent_only(page: EditorPage, model: RecipeModel) -> None:
    type_into(page.base._rows[0].amount, "12 drops")
    assert model.recipe == OPEN
    assert "drops" in page.base._rows[0].fault.text()
    assert page.base._rows[0].amount.edit.text() == "12 drops"  # stays to be mended
    type_into(page.base._rows[0].amount, "12")
    assert page.base._rows[0].fault.text() == ""
    assert model.recipe.base[0].amount.value == 12


def test_what_cannot_be_read_is_said_beside_the_field(page: EditorPage, model: RecipeModel) -> None:
    type_into(page.scent._rows[1].amount, "2,5,1")
    row = page.scent._rows[1]
    assert row.fault.isVisible()
    assert "more than one comma" in row.fault.text()
    assert model.recipe == OPEN
    assert not page.commit()


def test_a_line_no_scale_weighs_shows_its_ways_out(page: EditorPage, model: RecipeModel) -> None:
    type_into(page.scent._rows[0].amount, "1 drop")
    attention = page.scent._rows[0].attention.text()
    assert attention.startswith("No scale here weighs")
    assert "drop" in attention
    assert attention.count("\n–") >= 2


def test_headroom_moves_as_one_types(page: EditorPage, model: RecipeModel, context: Context) -> None:
    model.take(SHUT.model_copy(update={"load_percent": 0.2}))
    before = page.scent._rows[0].headroom.text()
    assert "Room for" in before
    assert "drops" in before
    type_into(page.use.load, "0.3")
    after = page.scent._rows[0].headroom.text()
    assert "Room for" in after
    assert "up to the limit: " in after  # a name alone would be no limit
    assert after != before


def test_where_a_material_comes_from_that_no_list_has_is_said_beside_the_list(page: EditorPage) -> None:
    for panel in (page.base, page.scent):
        shown = [words.text() for words in panel.findChildren(Words) if words.isVisibleTo(page)]
        assert "Not in the list? Add it under Shelf, Materials." in shown


def test_lines_are_added_moved_and_taken_out(page: EditorPage, model: RecipeModel) -> None:
    box = page.scent.adder
    box.setCurrentIndex(box.findData("vetiver", Qt.ItemDataRole.UserRole))
    box.activated.emit(box.currentIndex())
    added = model.recipe.scent[-1]
    assert added.material == "vetiver"
    assert added.note is Note.BASE  # the note of the material itself
    assert box.currentIndex() == -1
    page.scent._rows[2].asked.emit("up")
    assert [line.material for line in model.recipe.scent] == ["cedarwood_virginia", "vetiver", "lavender"]
    page.scent._rows[0].asked.emit("remove")
    assert [line.material for line in model.recipe.scent] == ["vetiver", "lavender"]
    model.stack.undo()
    model.stack.undo()
    model.stack.undo()
    assert model.recipe == OPEN
    assert len(page.scent._rows) == 2


def test_the_menu_of_a_line_offers_scales(page: EditorPage, model: RecipeModel, context: Context) -> None:
    row = page.base._rows[0]
    assert isinstance(row.more, QToolButton)
    row._fill_menu()
    below = next(action.menu() for action in row._menu.actions() if action.text() == "Weigh on")
    assert below is not None
    kitchen = next(action for action in below.actions() if action.data() == "scale:kitchen")  # type: ignore[attr-defined]
    kitchen.trigger()
    assert model.recipe.base[0].scale == "kitchen"


def test_use_place_and_load(page: EditorPage, model: RecipeModel) -> None:
    page.use.uses[Use.LIPS].click()
    assert now(model).uses == (Use.PERFUME, Use.LIPS)
    page.use.uses[Use.PERFUME].click()
    page.use.uses[Use.LIPS].click()  # the last one cannot go
    assert now(model).uses == (Use.LIPS,)
    assert page.use.uses[Use.LIPS].isChecked()
    assert "at least one" in page.use.fault.text()
    page.use._placed(Place.US.value)
    assert now(model).place is Place.US
    type_into(page.use.load, "55")
    assert page.use.load.fault
    assert now(model).load_percent == OPEN.load_percent


def test_size_by_tins_or_by_mass(page: EditorPage, model: RecipeModel) -> None:
    size = page.size_panel
    assert size.by_tins.isChecked()
    type_into(size._rows[0].count, "5")
    assert model.recipe.size.tins[0].count == 5
    type_into(size._rows[0].count, "2.5")
    assert model.recipe.size.tins[0].count == 5
    assert size._rows[0].count.fault
    type_into(size._rows[0].count, "4")
    size.by_mass.click()
    assert model.recipe.size.mass_g is not None
    type_into(size.mass, "80")
    assert model.recipe.size.mass_g == 80
    assert page.model.evaluation is not None
    assert page.model.evaluation.weighed.batch_g == pytest.approx(80)
    size.by_tins.click()
    assert model.recipe.size.tins


def test_the_only_thermometer_is_named_where_none_was_chosen(page: EditorPage, model: RecipeModel) -> None:
    shelf, box = model.context.shelf, page.heat.thermometer
    assert len(shelf.thermometers) > 1
    assert box.itemText(0) == "not chosen"
    model.context.take_shelf(shelf.model_copy(update={"thermometers": shelf.thermometers[:1]}))
    page.heat.show_recipe()
    assert box.itemText(0) == f"the only one: {shelf.thermometers[0].name}"


def test_heat_vessel_margin_and_premix(page: EditorPage, model: RecipeModel) -> None:
    heat = page.heat
    heat.oven.click()
    assert now(model).heat is Heat.MICROWAVE
    assert heat.microwave.isVisible()
    heat.margin.chosen.emit("15.0")
    assert now(model).flash_margin_k == 15
    heat.premix.click()
    assert now(model).premix is not None
    assert premix_of(model).carrier == "jojoba"  # the carrier oil, not the wax
    type_into(heat.held_back, "30")
    assert premix_of(model).share_of_carrier_percent == 30
    type_into(heat.warmed, "122 °F")
    # (122 - 32) / 1.8 = 50 by definition of the scale
    assert premix_of(model).warmed_to_c == pytest.approx(50)
    heat.premix.click()
    assert now(model).premix is None
    type_into(heat.set_point, "49,5")
    assert now(model).observed_set_point_c == pytest.approx(49.5)
    heat.set_point.edit.setText("")
    heat.set_point.commit()
    assert now(model).observed_set_point_c is None


def test_the_brief_is_folded_and_settled(page: EditorPage, model: RecipeModel) -> None:
    brief = page.brief
    assert not brief.form_holder.isVisible()
    assert brief.toggle.text() == "Change"
    brief.toggle.click()
    assert brief.toggle.text() == "Done"
    type_into(brief.allergies, "lavender, linalool")
    brief.ticks["asthma"].click()
    assert model.recipe.brief.allergies == ("lavender", "linalool")
    assert model.recipe.brief.asthma
    brief.toggle.click()
    assert brief.toggle.text() == "Change"
    assert "allergic to lavender, linalool" in brief.summary.text()
    assert "Asthma" in brief.summary.text()


def test_an_open_field_is_settled_before_it_is_saved(page: EditorPage, model: RecipeModel) -> None:
    edit = page.base._rows[0].amount.edit
    edit.setFocus()
    edit.selectAll()
    QTest.keyClicks(edit, "33")
    page.title.setText("Ember, firmer")
    assert model.recipe.base[0].amount.value == 20
    assert page.commit()
    assert model.recipe.base[0].amount.value == 33
    assert model.recipe.name == "Ember, firmer"


def test_a_recipe_needs_a_name(page: EditorPage, model: RecipeModel) -> None:
    page.title.setText("   ")
    assert not page.commit()
    assert "needs a name" in page.title_fault.text()
    page.title.setText("Ember")
    assert page.commit()


def test_other_units_everywhere_at_once(
    page: EditorPage, model: RecipeModel, context: Context, qtbot: QtBot
) -> None:
    answers = AnswersPage(model)
    qtbot.addWidget(answers)
    wanted = {"mass": MassUnit.OUNCE, "temperature": TemperatureUnit.FAHRENHEIT, "decimal_comma": True}
    context.take_preferences(context.preferences.model_copy(update=wanted))
    assert page.base._rows[0].weigh.text().endswith(" oz")
    assert "," in page.base._rows[0].weigh.text()
    assert "°F" in answers.stove.window_words.text()
    assert "°C" not in answers.stove.window_words.text()
    assert page.heat.set_point.unit.text() == "°F"


def test_narrow_pages_set_a_line_in_two_rows(page: EditorPage) -> None:
    row = page.scent._rows[0]
    page.resize(660, 800)
    QTest.qWait(0)
    wide = row.amount.y() - row.material.y()
    page.resize(420, 800)
    QTest.qWait(0)
    assert abs(wide) < 8
    assert row.amount.y() > row.material.y() + 10


def test_answers_follow_and_the_window_is_said(
    context: Context, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    model = RecipeModel(context, SHUT)
    answers = AnswersPage(model)
    qtbot.addWidget(answers)
    answers.resize(620, 760)
    answers.show()
    model.finish_jobs()
    qtbot.waitUntil(lambda: "remedies" in model.results)
    assert answers.cards.cards["stove"].answer.text().startswith("!  No window")
    assert answers.cards.cards["skin"].answer.text() == "!  Over a limit"
    assert answers.stove.finding.isVisible()
    assert answers._remedies
    opening = next(i for i, remedy in enumerate(answers._remedies) if remedy.opens)
    answers.stove.remedy_chosen.emit(opening)
    assert model.evaluation is not None
    assert model.evaluation.temperatures.open
    assert "Window from" in answers.stove.window_words.text()
    assert not answers.stove.finding.isVisible()
    model.stack.undo()
    assert model.recipe == SHUT
    model.finish_jobs()
    settle()


def test_over_a_limit_by_own_grams_one_press_brings_it_within(
    context: Context, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    own = SHUT.model_copy(update={"load_from_scent": True})
    own = change.set_amount(own, Where.SCENT, 0, Amount(value=2.0, measure=Measure.GRAMS))
    own = change.set_amount(own, Where.SCENT, 1, Amount(value=1.0, measure=Measure.GRAMS))
    model = RecipeModel(context, own)
    answers = AnswersPage(model)
    qtbot.addWidget(answers)
    answers.resize(620, 760)
    answers.show()
    answers.cards.choose("skin")
    skin = answers.skin
    assert "Looking for" in skin.remedy_head.text()
    model.finish_jobs()
    qtbot.waitUntil(lambda: "skin" in model.results)
    rows = skin.findChildren(RemedyRow)
    buttons = [each for row in rows for each in row.findChildren(QPushButton)]
    assert len(buttons) == 2
    assert "Bergamot" in buttons[0].accessibleName()
    assert "The scent turns" in " ".join(words.text() for words in rows[0].findChildren(QLabel))
    buttons[0].click()
    assert model.evaluation is not None
    assert model.evaluation.skin.verdict is Verdict.WITHIN
    assert model.stack.count() == 1
    assert not skin.remedy_head.isVisible()
    settle()
    assert not [row for row in skin.findChildren(RemedyRow) if row.isVisible()]
    model.stack.undo()
    assert model.recipe == own
    model.finish_jobs()
    settle()


def test_limits_show_where_they_come_from(context: Context, qtbot: QtBot) -> None:
    model = RecipeModel(context, SHUT)
    answers = AnswersPage(model)
    qtbot.addWidget(answers)
    answers.show()
    answers.cards.choose("skin")
    rows = [row for row in answers.skin._rows if row.isVisible()]
    assert rows
    assert "over" in rows[0].used.text()
    assert all(row.source.text() for row in rows)
    answers.skin.more.click()
    assert len([row for row in answers.skin._rows if row.isVisible()]) >= len(rows)
    assert "from memory" in " ".join(row.trust.text() for row in answers.skin._rows)
    model.finish_jobs()


def test_a_shelf_that_changed_leaves_every_line_its_material(page: EditorPage, context: Context) -> None:
    """A water test that was kept, a room that was typed in: nothing of it is about what a line holds."""
    before = [[row.material.currentText() for row in part._rows] for part in (page.base, page.scent)]
    assert len(set(before[0])) > 1
    context.take_shelf(context.shelf.model_copy(update={"currency": "GBP"}))
    after = [[row.material.currentText() for row in part._rows] for part in (page.base, page.scent)]
    assert after == before
