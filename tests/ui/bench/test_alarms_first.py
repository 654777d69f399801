"""A danger is shown and sounded before anything is stored, whatever the store does."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import ReadTemperature
from workbench.core.batch.state import AlarmState, AlarmStatus, Phase
from workbench.testing import MemoryJournal
from workbench.ui.bench.alarm_bar import AlarmBar
from workbench.ui.bench.measures import Measures


def hot(bench: Bench) -> Bench:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.settle()
    return bench


def too_hot(bench: Bench) -> None:
    bench.wait(20.0)
    bench.runner.send(ReadTemperature(bench.state.step_id, 97.0, "97", True, sure=True))
    bench.settle()


def test_it_is_shown_and_sounds_while_the_store_still_writes(make_bench: Callable[..., Bench]) -> None:
    journal = MemoryJournal()
    bench = hot(make_bench(journal=journal))
    stored = len(journal.events)
    journal._delayed = True  # from here on the disk is slow
    too_hot(bench)
    assert len(journal.events) == stored
    assert bench.view.alarms.isVisibleTo(bench.view)
    assert bench.sound.repeating == "danger"
    assert any("off the heat" in alarm.title for alarm in bench.view.alarms.shown)
    assert bench.phase() is Phase.HOLDING  # the hold as well
    assert "turn the heat off" in bench.view.card.headline.text()
    journal.flush()
    bench.settle()
    assert any(event.kind == "alarm raised" for event in journal.events)
    assert bench.view.alarms.isVisibleTo(bench.view)


def test_it_is_spoken_once_and_again_when_it_was_ignored(make_bench: Callable[..., Bench]) -> None:
    journal = MemoryJournal()
    bench = hot(make_bench(journal=journal))
    journal._delayed = True  # as the screen, so the voice: it waits for no disk
    too_hot(bench)
    assert bench.speech.asked == ["Too hot: off the heat"]
    bench.wait(20.0)
    assert len(bench.speech.asked) == 1
    bench.view.alarms.acknowledge_first()
    bench.wait(70.0)
    assert bench.speech.asked.count("Too hot: off the heat") == 2


def test_a_store_that_fails_neither_hides_nor_delays_it(make_bench: Callable[..., Bench]) -> None:
    journal = MemoryJournal()
    bench = hot(make_bench(journal=journal))
    journal.fail_on = set(range(journal.appends + 1, journal.appends + 100))
    too_hot(bench)
    assert bench.sound.repeating == "danger"
    assert bench.view.trouble.isVisibleTo(bench.view)
    assert "disk is full" in bench.view.trouble.says.text()
    journal.fail_on = set()
    bench.view.trouble.retry.click()
    bench.settle()
    assert not bench.view.trouble.isVisibleTo(bench.view)
    assert any(event.kind == "alarm raised" for event in journal.events)


def test_saying_that_it_was_seen_silences_but_does_not_mend(bench: Bench) -> None:
    hot(bench)
    too_hot(bench)
    while any(not alarm.seen for alarm in bench.view.alarms.shown):
        bench.view.alarms.acknowledge_first()
        bench.settle()
    assert bench.sound.repeating == ""
    assert bench.view.alarms.isVisibleTo(bench.view)
    assert not bench.view.alarms._pulse.isActive()


def test_seen_while_the_store_is_slow_is_silent_at_once(make_bench: Callable[..., Bench]) -> None:
    journal = MemoryJournal()
    bench = hot(make_bench(journal=journal))
    journal._delayed = True
    too_hot(bench)
    while any(not alarm.seen for alarm in bench.view.alarms.shown):
        bench.view.alarms.acknowledge_first()
    assert bench.sound.repeating == ""
    journal.flush()
    bench.settle()
    assert any(event.kind == "alarm acknowledged" for event in journal.events)


def test_only_an_unseen_danger_pulses_and_slowly(bench: Bench) -> None:
    hot(bench)
    bars = bench.view.findChildren(AlarmBar)
    assert len(bars) == 1
    assert not bars[0]._pulse.isActive()
    too_hot(bench)
    assert bars[0]._pulse.isActive()
    # WCAG 2.2, 2.3.1: fewer than three flashes a second; a flash is two turns
    assert 1000 / (2 * bars[0]._pulse.interval()) < 3


def test_the_bench_view_shows_the_short_wording_large(bench: Bench) -> None:
    hot(bench)
    bench.view.show_far(True)
    too_hot(bench)
    row = bench.view.far.alarm
    assert not bench.view.alarms.isVisibleTo(bench.view)  # once is enough
    assert row.big.isVisibleTo(bench.view)
    assert len(row.big.text()) <= 60
    assert row.big.fontMetrics().capHeight() >= round(bench.view.far.ruler.px(row.big, 9.0)) - 1


@pytest.mark.parametrize("far", [False, True])
def test_hold_stands_in_the_same_place_on_every_page(bench: Bench, far: bool) -> None:
    place = bench.view.hold.mapTo(bench.view, bench.view.hold.rect().topLeft())
    hot(bench)
    bench.view.show_far(far)
    bench.settle()
    assert bench.view.hold.mapTo(bench.view, bench.view.hold.rect().topLeft()) == place
    assert bench.view.hold.isVisibleTo(bench.view)


def test_what_the_bar_says_of_the_disk_is_not_said_again_on_the_card(
    make_bench: Callable[..., Bench],
) -> None:
    journal = MemoryJournal()
    bench = hot(make_bench(journal=journal))
    journal.fail_on = {journal.appends + 1}
    bench.maker.read(45.0)
    bench.settle()
    assert bench.phase() is Phase.HOLDING
    assert "disk is full" in bench.view.trouble.says.text()
    assert "disk is full" not in bench.view.card.instruction.text()
    bench.view.trouble.retry.click()
    bench.settle()
    assert (
        "disk is full" in bench.view.card.instruction.text()
    )  # the bar is gone, and why it holds is said here


def test_an_alarm_that_is_over_does_not_stand_before_one_that_is_not(bench: Bench) -> None:
    """From two steps away only the first is read: “stop the microwave” of a burst that has stopped hid “too hot”."""
    bar, rules = bench.view.alarms, {each.key: each for each in bench.runner.rules.alarms}
    over = AlarmState("burst_over", AlarmStatus.RETURNED, "melt:bursts", 1.0, returned_at_s=2.0)
    hot = AlarmState("over_melt_ceiling", AlarmStatus.UNACKNOWLEDGED, "melt:bursts", 3.0)
    bar.show_alarms({each.key: each for each in (over, hot)}, rules, Measures())
    assert [each.key for each in bar.shown] == ["over_melt_ceiling", "burst_over"]


def test_an_alarm_that_was_over_and_comes_again_is_spoken_again(bench: Bench) -> None:
    """Nobody had seen the first one; from two steps away the voice is what tells that it is back."""
    bar, rules = bench.view.alarms, {each.key: each for each in bench.runner.rules.alarms}
    for status in (AlarmStatus.UNACKNOWLEDGED, AlarmStatus.RETURNED, AlarmStatus.UNACKNOWLEDGED):
        alarm = AlarmState("over_melt_ceiling", status, "melt:bath", 3.0)
        bar.show_alarms({alarm.key: alarm}, rules, Measures())
    assert bench.speech.asked.count(bar.shown[0].title) == 2
