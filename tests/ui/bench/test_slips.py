"""Slips of the hand: none may record, skip or end anything by itself."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from tests.ui.bench.conftest import Bench
from workbench.core.batch.state import Phase
from workbench.core.units import Units
from workbench.ui.bench import now as look
from workbench.ui.bench.going_in import lines_of
from workbench.ui.writing import Writer


def at(bench: Bench, step: str) -> Bench:
    bench.go_to(step)
    bench.settle()
    return bench


def test_enter_without_text_does_nothing(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    before = len(bench.journal.events)
    for _ in range(5):
        bench.key(Qt.Key.Key_Return, after_s=2.0)
    assert len(bench.journal.events) == before
    assert bench.state.step_id == "weigh:beeswax"


def test_enter_that_records_never_finishes_the_step(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("8.07")
    assert bench.state.recorded("mass:beeswax") is not None
    for _ in range(3):
        bench.key(Qt.Key.Key_Return, after_s=2.0)
    assert bench.state.step_id == "weigh:beeswax"


def test_the_primary_action_right_after_a_record_is_refused_with_the_reason(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("8.07")
    bench.key(Qt.Key.Key_F8, after_s=0.2)
    assert bench.state.step_id == "weigh:beeswax"
    assert "too soon" in bench.says
    bench.done()
    assert bench.state.step_id == "weigh:shea_butter"


def test_the_primary_action_says_what_is_missing(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.done()
    assert bench.state.step_id == "weigh:beeswax"
    assert "Beeswax" in bench.says


def test_an_elbow_on_the_keys_skips_nothing(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("8.07")
    bench.clock.advance(5.0)
    keys = (Qt.Key.Key_F7, Qt.Key.Key_F8, Qt.Key.Key_U, Qt.Key.Key_I)
    for key in keys:  # all down at once, as an elbow does it
        QTest.keyPress(bench.focus, key)
        bench.clock.advance(0.01)
    for key in keys:
        QTest.keyRelease(bench.focus, key)
    bench.settle()
    assert bench.state.step_id == "weigh:beeswax"


def test_a_key_held_down_finishes_at_most_one_step(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("8.07")
    bench.clock.advance(2.0)
    QTest.keyPress(bench.focus, Qt.Key.Key_F8)
    for _ in range(40):
        bench.clock.advance(0.05)
        again = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_F8, Qt.KeyboardModifier.NoModifier, "", True)
        QApplication.sendEvent(bench.focus, again)
    QTest.keyRelease(bench.focus, Qt.Key.Key_F8)
    bench.settle()
    assert bench.state.step_id == "weigh:shea_butter"


def test_a_double_click_on_the_primary_button_finishes_one_step(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("8.07")
    bench.click(bench.view.primary, after_s=2.0)
    bench.click(bench.view.primary, after_s=0.1)
    assert bench.state.step_id == "weigh:shea_butter"


@pytest.mark.parametrize("typed", ["8,07", "8.07"])
def test_comma_and_point_mean_the_same(bench: Bench, typed: str) -> None:
    at(bench, "weigh:beeswax")
    bench.enter(typed)
    held = bench.state.recorded("mass:beeswax")
    assert held is not None
    assert held.value == pytest.approx(8.07)
    assert held.typed == typed


@pytest.mark.parametrize("typed", ["8,0,7", "1.008,07", "80-7", "."])
def test_what_is_no_number_stays_in_the_field_with_a_sentence(bench: Bench, typed: str) -> None:
    at(bench, "weigh:beeswax")
    before = len(bench.journal.events)
    bench.enter(typed)
    assert len(bench.journal.events) == before
    assert bench.view.card.needs.entry.text() == typed
    assert bench.says


def test_ten_times_off_asks_once_more(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("80.7")  # 8.07 g were meant
    assert bench.state.recorded("mass:beeswax") is None
    assert "once more" in bench.says
    bench.key(Qt.Key.Key_Return, after_s=0.1)  # a bounce of the key is no answer
    assert bench.state.recorded("mass:beeswax") is None
    bench.key(Qt.Key.Key_Return, after_s=2.0)
    held = bench.state.recorded("mass:beeswax")
    assert held is not None
    assert held.value == pytest.approx(80.7)


def test_another_number_after_the_question_is_asked_about_anew(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("80.7")
    bench.key(Qt.Key.Key_Escape)
    bench.enter("8.07")
    held = bench.state.recorded("mass:beeswax")
    assert held is not None
    assert held.value == pytest.approx(8.07)


def test_a_digit_typed_anywhere_goes_to_the_field(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.view.hold.setFocus()
    bench.type("8.0")
    assert bench.view.card.needs.entry.text() == "8.0"
    assert bench.view.card.needs.entry.hasFocus()


def test_letters_are_keys_only_outside_of_text(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    assert bench.view.card.needs.entry.hasFocus()
    bench.key(Qt.Key.Key_H)
    assert bench.phase() is Phase.RUNNING
    bench.view.foot.far.setFocus()
    bench.key(Qt.Key.Key_H)
    assert bench.phase() is Phase.HOLDING


def test_letters_without_a_number_do_not_get_into_the_field(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.type("xh8.07")
    assert bench.view.card.needs.entry.text() == "8.07"
    assert bench.phase() is Phase.RUNNING


@pytest.mark.parametrize("typed", ["8.o7", "1e9", "8x.0h7"])
def test_a_letter_in_a_number_is_refused_and_never_left_out(bench: Bench, typed: str) -> None:
    at(bench, "weigh:beeswax")
    before = len(bench.journal.events)
    bench.enter(typed)
    assert len(bench.journal.events) == before  # 1e9 is neither 19 nor 1
    assert bench.view.card.needs.entry.text() == typed
    assert "“" in bench.says


def test_a_unit_that_was_typed_counts(make_bench: Callable[..., Bench]) -> None:
    bench = at(make_bench(), "weigh:beeswax")
    bench.enter("0.285 oz")
    held = bench.state.recorded("mass:beeswax")
    assert held is not None
    assert held.value == pytest.approx(0.285 * 28.349523125)  # the pound agreement of 1959
    bench.work_on("melt:bath")
    bench.enter("140 °F")
    assert bench.state.last_c == pytest.approx(60.0)  # by definition of the scales
    assert not bench.state.alarms


def test_the_field_s_own_unit_may_be_typed_too(bench: Bench) -> None:
    bench.go_to("inspect")
    bench.enter("2 mm")
    assert not bench.says
    assert any(getattr(event, "value", None) == 2.0 for event in bench.journal.events)


def test_nothing_typed_over_unread_cautions_is_recorded(make_bench: Callable[..., Bench]) -> None:
    for far in (False, True):
        bench = make_bench()
        bench.go_to("melt:bath")
        bench.view.show_far(far)
        assert look.cautions_unread(bench.state)
        before = len(bench.journal.events)
        bench.enter("5")  # it would tick what stands there under that number
        assert len(bench.journal.events) == before
        told = bench.view.far.says if far else bench.view.card.says
        assert told.text() == "Read the cautions first, then type it."
        assert told.isVisibleTo(bench.view)


def test_what_is_wrong_with_a_number_is_said_in_the_bench_view_too(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.view.show_far(True)
    bench.enter("80.7")
    assert "once more" in bench.view.far.says.text()
    bench.key(Qt.Key.Key_Escape)
    bench.enter("-3")
    assert "less than" in bench.view.far.says.text()  # and no longer what was said of 80.7
    assert bench.state.recorded("mass:beeswax") is None


def test_a_digit_that_repeats_itself_is_typed_once(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    QTest.keyPress(bench.focus, Qt.Key.Key_8)
    for _ in range(10):
        QApplication.sendEvent(
            bench.focus,
            QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_8, Qt.KeyboardModifier.NoModifier, "8", True),
        )
    QTest.keyRelease(bench.focus, Qt.Key.Key_8)
    assert bench.view.card.needs.entry.text() == "8"


def test_ounces_and_fahrenheit_are_typed_and_shown(make_bench: Callable[..., Bench]) -> None:
    from workbench.core.units import MassUnit, TemperatureUnit

    units = Units(mass=MassUnit.OUNCE, temperature=TemperatureUnit.FAHRENHEIT)
    bench = at(make_bench(writer=Writer(units)), "weigh:beeswax")
    assert bench.view.card.needs.unit.text() == "oz"
    bench.enter("0.285")
    held = bench.state.recorded("mass:beeswax")
    assert held is not None
    # 1 oz avoirdupois is 28.349523125 g (international yard and pound agreement, 1959)
    assert held.value == pytest.approx(0.285 * 28.349523125)
    at(bench, "melt:bath")
    for _ in range(5):
        if look.cautions_unread(bench.state):
            bench.done()
    bench.enter("140")
    assert bench.state.last_c == pytest.approx(60.0)  # 140 °F are 60 °C by definition of the scales
    assert bench.view.card.temperature.number.text() == "140.0 °F"


def test_a_second_look_needs_a_second_press(bench: Bench) -> None:
    at(bench, "weigh:beeswax")
    bench.enter("9.5")  # outside of the tolerance, but no tenfold slip
    assert bench.view.card.slip.isVisibleTo(bench.view)
    bench.done()
    assert bench.state.step_id == "weigh:beeswax"
    assert "once more" in bench.says
    bench.done()
    assert bench.state.step_id == "weigh:shea_butter"


def test_what_was_typed_for_one_thing_is_never_recorded_for_another(bench: Bench) -> None:
    bench.go_to("pour:1")
    bench.maker.read_cautions()
    bench.maker.read()
    bench.settle()
    assert bench.view.card.needs.unit.text() == "g"
    bench.type("12.7")
    bench.key(Qt.Key.Key_F9)  # hold comes between; the field asks for the temperature now
    assert bench.view.card.needs.unit.text() == "°C"
    assert bench.view.card.needs.entry.text() == ""
    before = len(bench.state.readings)
    bench.key(Qt.Key.Key_Return)
    assert len(bench.state.readings) == before


def test_a_guard_is_set_aside_by_key_with_a_reason(bench: Bench) -> None:
    bench.go_to("pour:1")
    bench.maker.read_cautions()
    floor_c = bench.state.temperatures.pour_floor_c
    assert floor_c is not None
    bench.maker.read(floor_c - 1.0)
    bench.settle()
    bench.enter("12.7")
    assert "no longer levels" in bench.says
    bench.key(Qt.Key.Key_F11)
    form = bench.view.card.form
    assert form.isVisibleTo(bench.view)
    bench.key(Qt.Key.Key_Return)  # without a reason
    assert form.isVisibleTo(bench.view)
    assert "reason" in form.says.text()
    bench.type("tins are warm")
    bench.key(Qt.Key.Key_Return)
    assert not form.isVisibleTo(bench.view)
    assert bench.state.asides[-1].reason == "tins are warm"
    bench.enter("12.7")
    assert 1 in bench.state.poured


def test_the_largest_words_ask_for_what_the_batch_has_grown_to(bench: Bench) -> None:
    bench.work_on("weigh:shea_butter")
    bench.enter("9.0")  # 8.07 g were meant
    slip = bench.view.card.slip
    bench.click(slip.grow_button)
    bench.type("the spoon slipped")
    bench.key(Qt.Key.Key_Return)
    assert bench.state.targets_g
    assert not slip.grow_button.isVisibleTo(bench.view)  # it has grown, and does not grow twice
    assert "has grown to it" in slip.ways.text()
    wax = next(line for line in lines_of(bench.state) if line.name == "Beeswax")
    assert wax.planned_g == pytest.approx(9.0)  # 8.07 g and 0.93 g more: the strip says both
    assert wax.changed
    bench.done()
    bench.done()  # outside of the tolerance: asked once more
    assert bench.state.step_id == "weigh:beeswax:more"
    assert bench.view.card.headline.text() == "Weigh 0.93 g more of Beeswax."
    bench.enter("0.93")
    bench.done()
    assert bench.view.card.headline.text() == "Weigh 27.01 g of Jojoba oil."
    assert "27.01 g" in bench.view.far.instruction.text()


def test_a_double_click_ticks_one_thing_in_the_bench_view(bench: Bench) -> None:
    """The buttons close up: under the second half of it stands what was not looked at."""
    assert bench.state.step_id == "prepare"
    bench.view.show_far(True)
    ticks = [button for button in bench.view.far.options.buttons if button.isVisibleTo(bench.view)]
    assert len(ticks) > 1
    bench.click(ticks[0])
    assert ticks[0].isVisibleTo(bench.view)  # with what was the second before
    QTest.mouseDClick(ticks[0], Qt.MouseButton.LeftButton)
    QTest.mouseRelease(ticks[0], Qt.MouseButton.LeftButton)
    bench.settle()
    ticked = [event for event in bench.journal.events if event.kind == "answer given"]
    assert len(ticked) == 1


def test_a_stirred_reading_that_is_asked_about_is_still_stirred(bench: Bench) -> None:
    bench.work_on("melt:bath")
    bench.key(Qt.Key.Key_F6)
    bench.enter("50")
    bench.wait(20.0)
    bench.key(Qt.Key.Key_F6)
    bench.enter("15")  # 65 were meant
    assert "once more" in bench.says
    bench.key(Qt.Key.Key_Return, after_s=2.0)
    reading = bench.state.last_reading
    assert reading is not None
    assert (reading.celsius, reading.stirred) == (15.0, True)


def test_what_the_water_is_asked_for_is_said_with_the_answer_in_the_bench_view(bench: Bench) -> None:
    bench.work_on("melt:bath")
    bench.view.show_far(True)
    shown = [button.text() for button in bench.view.far.options.buttons if not button.isHidden()]
    assert any(text.endswith("  Water: high enough") for text in shown)
    assert not any(text.endswith("  high enough") for text in shown)
