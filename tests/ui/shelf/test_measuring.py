"""Measurements that the shelf leads through, and what the bench has learned, said and forgotten there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from tests.core.review.test_learned import batch, past, with_start
from workbench.core.catalogue.shelf import (
    Learned,
    Lesson,
    Lot,
    Shelf,
    Thermometer,
    ThermometerKind,
    WaterTest,
)
from workbench.core.heat.bath import STOVE
from workbench.core.heat.cooling import LOSS
from workbench.core.heat.oven_power import WATTS, cup_power, usual_power, water_test
from workbench.core.recipe.densities import DROP
from workbench.core.review.learned import taken_in
from workbench.core.units import TemperatureUnit
from workbench.ui.context import Context
from workbench.ui.shelf.guide import GuideSheet
from workbench.ui.shelf.oven_test import BESIDE, OvenTestSheet
from workbench.ui.shelf.page import ShelfPage
from workbench.ui.shelf.past import Fetched
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.widgets.callout import Callout
from workbench.ui.widgets.order import in_layout_order


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


class Offered:
    """The shelf page of a project whose past waits to be learned from."""

    def __init__(self, context: Context, keeper: Keeper, qtbot: QtBot, *found: Fetched) -> None:
        self.source = PastInMind(*found)
        self.page = ShelfPage(context, keeper, self.source)
        self.lessons = self.page.lessons
        qtbot.addWidget(self.page)
        self.page.show()


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
    oven = context.shelf.microwaves[0]
    assert oven.learned == ()
    test = oven.tests[0]
    assert (test.water_g, test.before_c, test.after_c, test.seconds, test.cup_g) == (250, 15, 40, 42, 0)
    assert usual_power(oven, 250).watts == pytest.approx(654, abs=1)
    box = page.pages["microwaves"].measuring.learned
    assert box.isVisible()
    assert "650 W to water" in box.says.text()
    assert "by one water test" in box.says.text()
    assert "Tested with 250 g" in box.says.text()


def checked(context: Context, **changes: object) -> Shelf:
    """The shelf with one thermometer only, checked like this."""
    probe = next(one for one in context.shelf.thermometers if one.kind is ThermometerKind.PROBE)
    return context.shelf.model_copy(
        update={"thermometers": (probe.model_copy(update={"checked": date(2026, 8, 1), **changes}),)}
    )


def test_a_water_test_is_read_by_the_check_of_its_thermometer_slope_and_offset(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    """As everywhere: true = slope x shown + offset.  An offset alone would leave the watts as they were."""
    keeper(checked(context, slope=1.05, offset_k=-1.0))
    sheet = opened(page, "microwaves")
    type_all(sheet, water="250", before="15", seconds="42", after="40")
    # by hand: 14.75 and 41.0 °C, so 26.25 K where 25 was shown: 4.187 x 250 x 26.25 / 40 = 687 W
    assert "About 690 W" in sheet.found.text()
    assert "14.8" in sheet.more.text()
    assert "41.0" in sheet.more.text()
    sheet.take.click()
    settle()
    test = context.shelf.microwaves[0].tests[0]
    assert test.before_c == pytest.approx(14.75)
    assert test.after_c == pytest.approx(41.0)
    assert (test.shown_before_c, test.shown_after_c) == (15, 40)  # the raw readings are kept
    assert test.thermometer == context.shelf.thermometers[0].name
    assert test.probe_sd_k == 0.2  # of a checked probe


def test_the_window_and_the_terminal_correct_a_water_test_alike(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    keeper(checked(context, slope=0.97, offset_k=0.8))
    sheet = opened(page, "microwaves")
    type_all(sheet, water="250", before="15", seconds="42", after="40")
    sheet.take.click()
    settle()
    probe, oven = context.shelf.thermometers[0], context.shelf.microwaves[0]
    before, after = (probe.slope * shown + probe.offset_k for shown in (15.0, 40.0))  # as `Jug.true_c` has it
    by_terminal = water_test(250, before, after, 42 - 2.0, probe_sd_k=0.2)
    assert usual_power(oven, 250).watts == pytest.approx(by_terminal.watts)


def test_which_thermometer_was_read_is_asked_where_there_are_several(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    kept = checked(context, slope=1.1)
    other = kept.thermometers[0].model_copy(update={"key": "other", "name": "Other", "slope": 1.0})
    keeper(kept.model_copy(update={"thermometers": (kept.thermometers[0], other)}))
    sheet = opened(page, "microwaves")
    assert isinstance(sheet, OvenTestSheet)
    type_all(sheet, water="250", before="15", seconds="42", after="40")
    assert "About 720 W" in sheet.found.text()  # 4.187 x 250 x 27.5 / 40
    sheet.probe.show_key("other")
    sheet.probe.chosen.emit("other")
    assert "About 650 W" in sheet.found.text()
    sheet.probe.show_key("")
    sheet.probe.chosen.emit("")
    assert "About 650 W" in sheet.found.text()
    sheet.reject()
    settle()


def test_an_early_result_is_said_to_be_repeated_with_the_reason(
    page: ShelfPage, context: Context, keeper: Keeper, settle: Callable[[], None]
) -> None:
    oven = context.shelf.microwaves[0].model_copy(
        update={"learned": (Learned(what=WATTS, value=600, sd=12, batches=1),)}
    )
    keeper(context.shelf.model_copy(update={"microwaves": (oven,)}))
    page.choose("microwaves")
    measuring = page.pages["microwaves"].measuring
    assert measuring.why.text().startswith("Repeat it once")
    assert "Repeat this test once" in measuring.learned.says.text()
    assert "2 to 10 % low" in measuring.learned.says.text()
    sheet = opened(page, "microwaves")
    type_all(sheet, water="250", before="15", seconds="42", after="40")
    assert "takes the place of the older result" in sheet.more.text()
    sheet.take.click()
    settle()
    assert "Repeat" not in measuring.learned.says.text()
    assert measuring.why.text().startswith("Again when")


def test_a_test_with_a_cup_of_water_beside_the_jug(
    page: ShelfPage, context: Context, settle: Callable[[], None]
) -> None:
    page.test_oven("microwave_800", True)
    sheet = page.pages["microwaves"].measuring.sheet
    assert isinstance(sheet, OvenTestSheet)
    assert sheet.fields["cup"].isVisibleTo(sheet)
    type_all(sheet, water="40", cup="250", before="15", seconds="26", after="30")
    # by hand: 4.187 x 40 x 15 / 24 = 105 W
    assert "About 100 W" in sheet.found.text()
    assert "same cup beside the jug" in sheet.more.text()
    sheet.take.click()
    settle()
    oven = context.shelf.microwaves[0]
    assert oven.tests[0].cup_g == 250
    assert cup_power(oven, 40) is not None
    assert "With a cup of water beside it" in page.pages["microwaves"].measuring.learned.says.text()
    sheet = opened(page, "microwaves")
    assert isinstance(sheet, OvenTestSheet)
    assert not sheet.fields["cup"].isVisibleTo(sheet)
    sheet.kind.show_key(BESIDE)
    sheet.kind.chosen.emit(BESIDE)
    assert sheet.fields["cup"].isVisibleTo(sheet)
    sheet.reject()
    settle()


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
    # 4.187 x 250 g x 15 K / 40 s = 393 W
    earlier = WaterTest(day=date(2026, 1, 1), water_g=250, before_c=15, after_c=30, seconds=42)
    oven = context.shelf.microwaves[0].model_copy(update={"tests": (earlier,)})
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
    made = Offered(context, keeper, qtbot, Fetched((past(batch(), 4),), 4))
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
    assert made.source.asked_after == [0, 4]


def test_lessons_of_one_project_are_not_taken_onto_the_shelf_of_another(
    context: Context, keeper: Keeper, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    made = Offered(context, keeper, qtbot, Fetched((past(batch(), 4),), 4))
    settle()
    assert made.lessons.isVisible()
    made.source.project, made.source.found = "another", []  # its shelf may be the same to the letter
    made.lessons.take.click()
    settle()
    assert keeper.kept == 0
    assert context.shelf.learned_up_to == 0
    assert made.lessons.isHidden()


def test_practice_and_empty_batches_are_passed_over(
    context: Context, keeper: Keeper, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    practice = past(with_start(batch(), rehearsal=True), 1)
    made = Offered(context, keeper, qtbot, Fetched((practice,), 1, more=1), Fetched((past(batch(), 2),), 2))
    for _ in range(3):
        settle()
    assert made.source.asked_after == [0, 1]
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


def test_the_tab_key_goes_down_the_steps_and_comes_to_the_answers_last(page: ShelfPage) -> None:
    sheet = opened(page, "microwaves")
    reached = [each for each in in_layout_order(sheet) if each.isVisible() and each.isEnabled()]
    assert isinstance(sheet, OvenTestSheet)
    assert reached[0] is sheet.kind
    assert sheet.focusWidget() is sheet.kind  # not what throws everything away
    assert reached[-1] is sheet.leave
    at: QWidget | None = sheet.kind
    for wanted in reached[1:]:
        at = at.nextInFocusChain() if at is not None else None
        while at is not None and not (
            at.isVisible() and at.isEnabled() and at.focusPolicy() & Qt.FocusPolicy.TabFocus
        ):
            at = at.nextInFocusChain()
        assert at is wanted
    sheet.reject()
