"""Hold: the safe action, the maker's word that it is done, a fresh reading, and on."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt

from tests.ui.bench.conftest import Bench
from workbench.core.batch.state import Phase
from workbench.ui.bench import now as look
from workbench.ui.bench.facts import BenchFacts, Outlook


def test_hold_and_on_again_in_a_hot_step(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    bench.key(Qt.Key.Key_F9)
    assert bench.phase() is Phase.HOLDING
    assert bench.view.card.headline.text() == bench.state.hold.safe_action  # type: ignore[union-attr]
    assert "safe" in bench.view.primary.text()
    bench.key(Qt.Key.Key_F8, after_s=0.2)  # the same hand, too soon
    assert bench.phase() is Phase.HOLDING
    bench.done()
    assert bench.phase() is Phase.HELD
    assert "stir and read" in bench.view.far.instruction.text()  # from two steps away, too
    bench.done()  # without a fresh reading
    assert bench.phase() is Phase.HELD
    assert "fresh temperature" in bench.says
    bench.key(Qt.Key.Key_F6)
    bench.enter("41")
    bench.done()
    assert bench.phase() is Phase.RUNNING
    assert look.cautions_unread(bench.state)  # to be read again after a hold
    assert not bench.view.card.needs.isVisibleTo(bench.view)


def test_the_timer_stands_away_and_the_steps_stay(bench: Bench) -> None:
    bench.key(Qt.Key.Key_F9)
    assert bench.phase() is Phase.HOLDING
    assert not bench.view.card.timer.isVisibleTo(bench.view)
    bench.done()
    bench.done()
    assert bench.phase() is Phase.RUNNING


def test_hold_cannot_be_pressed_twice(bench: Bench) -> None:
    bench.key(Qt.Key.Key_F9)
    events = len(bench.journal.events)
    bench.key(Qt.Key.Key_F9)
    assert len(bench.journal.events) == events
    assert not bench.view.hold.isEnabled()


def test_what_the_pot_was_about_to_do_is_not_said_on_hold(make_bench: Callable[..., Bench]) -> None:
    facts = BenchFacts(outlook=lambda state, now_s: Outlook("Melted soon.", "Stir now and then."))
    bench = make_bench(facts=facts)
    bench.go_to("melt:bath")
    card = bench.view.card
    assert card.outlook.isVisibleTo(bench.view)
    bench.key(Qt.Key.Key_F9)
    assert bench.phase() is Phase.HOLDING
    assert not card.outlook.isVisibleTo(bench.view)
    assert not card.outlook_remark.isVisibleTo(bench.view)
    assert bench.view.far.outlook.text() == ""


def test_a_step_the_record_lacks_is_not_shown_on_hold_either(bench: Bench) -> None:
    bench.go_to("weigh:beeswax")
    bench.enter("8.07")
    bench.fill_disk()
    bench.done()  # the end of the step and the hold after it wait for the disk
    assert bench.phase() is Phase.HOLDING
    assert bench.state.step_id == "weigh:beeswax"
    assert bench.state.seq == len(bench.journal.events)
    assert bench.runner.state is bench.runner.state  # others ask by identity whether anything is new
    bench.done()
    assert bench.phase() is Phase.HELD
    bench.empty_disk()
    bench.click(bench.view.trouble.retry)
    bench.done()
    assert bench.phase() is Phase.RUNNING
    assert bench.state.step_id == "weigh:shea_butter"
    assert bench.state.seq == len(bench.journal.events)


@pytest.mark.parametrize("fails", [True, False])
def test_a_reading_counts_while_the_end_of_the_step_on_the_screen_waits_for_its_disk(
    make_bench: Callable[..., Bench], fails: bool
) -> None:
    bench = make_bench()
    bench.go_to("melt:bath")
    bench.maker.fill()
    bench.settle()
    if fails:
        bench.fill_disk()
    else:
        bench.journal._delayed = True
    bench.done()
    assert bench.state.step_id == "melt:bath"
    assert bench.runner.conductor.ahead.step_id == "spoon"
    if fails:
        bench.done()
        assert bench.phase() is Phase.HELD
    bench.wait(4.0)
    bench.enter("97")
    assert bench.sound.repeating == "danger"
    bench.empty_disk()
    bench.journal._delayed = False
    bench.runner.retry()
    bench.journal.flush()
    bench.settle()
    assert bench.state.last_c == 97.0
    assert bench.state.readings[-1].step == "spoon"


@pytest.mark.parametrize("far", [False, True])
def test_a_bath_that_boiled_dry_is_filled_again_and_the_batch_goes_on(bench: Bench, far: bool) -> None:
    bench.work_on("melt:bath")
    needs = bench.view.card.needs
    needs.answer("bath", "boiled dry")
    bench.settle()
    bench.done()
    assert bench.phase() is Phase.HELD
    bench.view.show_far(far)
    bench.wait(3.0)
    bench.enter("50")
    bench.done()
    assert bench.phase() is Phase.HELD
    if far:
        buttons = [each for each in bench.view.far.options.buttons if "topped up" in each.text()]
        assert any(not each.isHidden() for each in buttons)
    else:
        assert [row.key for row in needs._choices if row.isVisibleTo(bench.view)] == ["bath"]
    number = next(each.number for each in look.options(bench.state) if each.value == "topped up")
    bench.enter(str(number))
    bench.done()
    assert bench.phase() is Phase.RUNNING
    assert bench.state.recorded("bath").value == "topped up"  # type: ignore[union-attr]


def test_on_hold_a_small_number_is_a_temperature(bench: Bench) -> None:
    bench.work_on("melt:bath")
    bench.key(Qt.Key.Key_F9)
    assert look.options(bench.state) == ()
    bench.done()
    bench.enter("2")
    assert bench.state.last_c == 2.0
