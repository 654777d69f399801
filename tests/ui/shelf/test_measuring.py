"""Measurements that the shelf leads through, and what the bench has learned, said and forgotten there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.core.review.test_learned import batch, past, with_start
from workbench.core.catalogue.shelf import Learned, Lesson, Lot, Shelf, Thermometer, ThermometerKind
from workbench.core.heat.bath import STOVE
from workbench.core.heat.bursts import WATTS
from workbench.core.heat.cooling import LOSS
from workbench.core.recipe.densities import DROP
from workbench.core.review.learned import taken_in
from workbench.core.units import TemperatureUnit
from workbench.ui.context import Context
from workbench.ui.shelf.guide import GuideSheet
from workbench.ui.shelf.page import ShelfPage
from workbench.ui.shelf.past import Fetched
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.widgets.callout import Callout


class Keeper:
    """Keeps shelves in mind and can refuse, as a disk does."""

    def __init__(self, context: Context) -> None:
        self.context, self.refuses, self.kept = context, "", 0

    def __call__(self, shelf: Shelf) -> str:
        if self.refuses:
            return self.refuses
        self.kept += 1
        self.context.take_shelf(shelf)
        return ""


class PastInMind:
    """Batches that wait to be asked; answers at once."""

    project = "p"

    def __init__(self, *found: Fetched) -> None:
        self.found = list(found)
        self.asked_after: list[int] = []

    def fetch(self, after: int, done: Callable[[Fetched], object]) -> None:
        self.asked_after.append(after)
        for one in self.found:
            if one.up_to > after:
                done(one)
                return


@pytest.fixture
def keeper(context: Context) -> Keeper:
    return Keeper(context)


@pytest.fixture
def page(context: Context, keeper: Keeper, qtbot: QtBot) -> ShelfPage:
    made = ShelfPage(context, keeper)
    qtbot.addWidget(made)
    made.resize(1000, 760)
    made.show()
    return made


def opened(page: ShelfPage, key: str) -> GuideSheet:
    page.choose(key)
    measuring = page.pages[key].measuring
    assert measuring.begin.isVisible()
    measuring.begin.click()
    sheet = measuring.sheet
    assert isinstance(sheet, GuideSheet)
    return sheet


def type_all(sheet: GuideSheet, **texts: str) -> None:
    for key, text in texts.items():
        edit = sheet.fields[key].edit
        edit.setFocus()
        edit.selectAll()
        QTest.keyClicks(edit, text)
        QTest.keyClick(edit, Qt.Key.Key_Return)


def test_a_water_test_by_keyboard_is_kept_on_its_oven_in_one_change(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    sheet = opened(page, "microwaves")
    assert not sheet.take.isEnabled()
    type_all(sheet, water="250", before="15", seconds="42")
    assert not sheet.take.isEnabled()
    type_all(sheet, after="40")
    # IEC 60705, without the start of the oven: 4.187 x 250 x 25 / 40 = 654 W
    assert "About 650 W" in sheet.found.text()
    assert sheet.take.isEnabled()
    QTest.keyClick(sheet.take, Qt.Key.Key_Space)
    settle()
    assert keeper.kept == 1
    row = context.shelf.microwaves[0].learned[0]
    assert (row.what, row.batches) == (WATTS, 1)
    assert row.value == pytest.approx(654, abs=1)
    box = page.pages["microwaves"].measuring.learned
    assert box.isVisible()
    assert "650 W to water" in box.says.text()
    assert "by one water test" in box.says.text()
    assert "no more than the water it was tested with" in box.says.text()


def test_readings_that_cannot_be_right_are_refused_with_the_reason(
    page: ShelfPage, context: Context, settle: Callable[[], None]
) -> None:
    sheet = opened(page, "microwaves")
    type_all(sheet, water="250", before="15", seconds="40", after="96")
    assert "close to boiling" in sheet.found.text()
    assert not sheet.take.isEnabled()
    sheet.leave.click()
    settle()
    assert context.shelf.microwaves[0].learned == ()


def test_the_cautions_stand_above_the_steps(page: ShelfPage, settle: Callable[[], None]) -> None:
    sheet = opened(page, "microwaves")
    texts = [each.accessibleName() for each in sheet.findChildren(Callout)]
    assert any("hotter than boiling" in text for text in texts)
    assert any("Metal in a microwave" in text for text in texts)
    sheet.reject()
    settle()


def test_a_disk_that_refuses_is_said_on_the_sheet_and_nothing_is_lost(
    page: ShelfPage, keeper: Keeper, settle: Callable[[], None]
) -> None:
    keeper.refuses = "The disk is full. Make room and try again."
    sheet = opened(page, "microwaves")
    type_all(sheet, water="250", before="15", seconds="40", after="40")
    sheet.take.click()
    assert sheet.isVisible()
    assert sheet.fault.text().startswith("The disk is full")
    assert sheet.fields["after"].edit.text() == "40"
    sheet.reject()
    settle()


def test_a_second_test_that_does_not_agree_says_so(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    oven = context.shelf.microwaves[0].model_copy(
        update={"learned": (Learned(what=WATTS, value=400, sd=8, batches=1),)}
    )
    keeper(context.shelf.model_copy(update={"microwaves": (oven,)}))
    sheet = opened(page, "microwaves")
    type_all(sheet, water="250", before="15", seconds="40", after="40")
    assert "does not agree with the earlier test" in sheet.more.text()
    sheet.reject()
    settle()


def test_a_probe_is_checked_at_the_users_height_and_in_the_users_degrees(
    page: ShelfPage, context: Context, settle: Callable[[], None]
) -> None:
    context.take_preferences(
        context.preferences.model_copy(update={"temperature": TemperatureUnit.FAHRENHEIT})
    )
    sheet = opened(page, "thermometers")
    type_all(sheet, ice="33.8", boil="204.4")  # 1.0 °C and 95.8 °C
    assert not sheet.take.isEnabled()
    assert "height or the air pressure" in sheet.more.text()
    # water boils at 95.0 °C at 1500 m by the standard atmosphere (handbook tables: 94.9 to 95.1 °C)
    type_all(sheet, height="1500")
    assert sheet.take.isEnabled(), sheet.found.text()
    assert "What the thermometer showed is kept" in sheet.more.text()
    sheet.take.click()
    settle()
    probe = context.shelf.thermometers[0]
    assert probe.checked == date(2026, 8, 15)
    corrected_c = probe.slope * 95.8 + probe.offset_k
    assert corrected_c == pytest.approx(95.0, abs=0.2)
    assert probe.slope * 1.0 + probe.offset_k == pytest.approx(0.0, abs=0.01)


def test_a_probe_whose_two_points_do_not_fit_is_called_broken(
    page: ShelfPage, settle: Callable[[], None]
) -> None:
    sheet = opened(page, "thermometers")
    type_all(sheet, ice="-2", boil="102", height="0")
    assert "the probe is broken" in sheet.more.text()
    type_all(sheet, boil="91")
    assert "Repeat the check, or use another probe" in sheet.found.text()
    assert not sheet.take.isEnabled()
    type_all(sheet, boil="99.9", ice="0.1")
    assert "broken" not in sheet.more.text()
    sheet.reject()
    settle()


def test_an_infrared_thermometer_is_not_checked_in_water(page: ShelfPage, context: Context) -> None:
    page.choose("thermometers")
    panel = page.pages["thermometers"]
    kinds = [one.kind for one in context.shelf.thermometers]
    panel.list.setCurrentRow(kinds.index(ThermometerKind.INFRARED))
    assert not panel.measuring.begin.isVisible()
    assert isinstance(context.shelf.thermometers[0], Thermometer)


def test_drops_are_weighed_and_kept_with_their_bottle(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    keeper(context.shelf.model_copy(update={"lots": (Lot(key="lv", material="lavender"),)}))
    sheet = opened(page, "lots")
    type_all(sheet, count="5", mass="0.16")
    assert "Count at least 10" in sheet.found.text()
    # 20 drops weigh 0.66 g on average (Tisserand Institute, "Drop size")
    type_all(sheet, count="20", mass="6.6")
    assert "usually weigh" in sheet.found.text()
    type_all(sheet, mass="0.66")
    assert "0.033 g" in sheet.found.text()
    sheet.take.click()
    settle()
    assert context.shelf.lots[0].learned[0].what == DROP


def learned_shelf(context: Context) -> Shelf:
    lessons = [
        Lesson(batch=f"s{n}", day=date(2026, 3, n), about="vessel:beaker_250", what=LOSS, value=0.1, sd=0.1)
        for n in (1, 2, 3)
    ]
    stove = Lesson(batch="s1", day=date(2026, 3, 1), about="stove", what=STOVE, value=-0.2, sd=0.1)
    return taken_in(context.shelf, [*lessons, stove], 3, date(2026, 3, 4))


def test_what_was_learned_is_said_plainly_and_forgotten_only_when_meant(
    page: ShelfPage, context: Context, keeper: Keeper, ask: ScriptedAsk
) -> None:
    keeper(learned_shelf(context))
    page.choose("vessels")
    box = page.pages["vessels"].measuring.learned
    assert box.isVisible()
    assert "loses 10 °C in about" in box.says.text()
    assert "from 3 batches" in box.says.text()
    ask.answers["forget what was learned"] = "keep"
    box.forget.click()
    assert context.shelf.vessels[0].learned
    ask.answers["forget what was learned"] = "forget"
    box.forget.click()
    assert context.shelf.vessels[0].learned == ()
    assert box.isHidden()
    assert context.shelf.stove_learned  # only this thing
    page.choose("kitchen")
    assert "Your stove warms a litre" in page.pages["kitchen"].learned.says.text()


def test_new_batches_are_offered_and_taken_in_when_asked(
    context: Context, keeper: Keeper, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    source = PastInMind(Fetched((past(batch(), 4),), 4))
    made = ShelfPage(context, keeper, source)
    qtbot.addWidget(made)
    made.show()
    settle()
    assert made.lessons.isVisible()
    assert made.lessons.words.text().startswith("One new batch to learn from")
    assert keeper.kept == 0  # nothing is learned before it is asked for
    made.lessons.take.click()
    settle()
    assert keeper.kept == 1
    assert context.shelf.learned_up_to == 4
    assert any(row.what == LOSS for row in context.shelf.vessels[0].learned)
    assert made.lessons.isHidden()
    assert source.asked_after == [0, 4]


def test_lessons_of_one_project_are_not_taken_onto_the_shelf_of_another(
    context: Context, keeper: Keeper, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    source = PastInMind(Fetched((past(batch(), 4),), 4))
    made = ShelfPage(context, keeper, source)
    qtbot.addWidget(made)
    made.show()
    settle()
    assert made.lessons.isVisible()
    source.project, source.found = "another", []  # its shelf may be the same to the letter
    made.lessons.take.click()
    settle()
    assert keeper.kept == 0
    assert context.shelf.learned_up_to == 0
    assert made.lessons.isHidden()


def test_practice_and_empty_batches_are_passed_over(
    context: Context, keeper: Keeper, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    practice = past(with_start(batch(), rehearsal=True), 1)
    source = PastInMind(Fetched((practice,), 1, more=1), Fetched((past(batch(), 2),), 2))
    made = ShelfPage(context, keeper, source)
    qtbot.addWidget(made)
    made.show()
    for _ in range(3):
        settle()
    assert source.asked_after == [0, 1]
    assert made.lessons.isVisible()
    assert "One new batch" in made.lessons.words.text()


def test_the_oven_of_a_recipe_is_tested_from_outside(page: ShelfPage, settle: Callable[[], None]) -> None:
    page.test_oven("microwave_800")
    sheet = page.pages["microwaves"].measuring.sheet
    assert isinstance(sheet, GuideSheet)
    assert sheet.isVisible()
    sheet.reject()
    settle()
    page.test_oven("gone")
    assert page.pages["microwaves"].measuring.sheet is None
