"""Decide, store, then show; dangers first; clocks that sleep, jump and stall; a journal that hangs or fails."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.core.batch.screen import Screen
from workbench.core.batch import commands as ask
from workbench.core.batch.conductor import Conductor, Danger
from workbench.core.batch.events import event_adapter
from workbench.core.batch.needs import timer_left_s
from workbench.core.batch.session import fold
from workbench.core.batch.state import Phase
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.testing import Maker, MemoryJournal, VirtualClock, begin, sample_plan, sample_rules


def phase_of(conductor: Conductor) -> Phase:
    """As the journal has it; through a function, for it changes behind a type checker's back."""
    return conductor.state.phase


def ahead_of(conductor: Conductor) -> Phase:
    return conductor.ahead.phase


def trouble_of(conductor: Conductor) -> Trouble | None:
    return conductor.trouble


def test_nothing_shows_before_it_is_stored() -> None:
    journal = MemoryJournal(delayed=True)
    screen = Screen(journal)
    conductor = screen.conductor(VirtualClock())
    assert conductor.send(ask.Start(sample_plan())) is None
    assert phase_of(conductor) is Phase.NOT_STARTED
    assert ahead_of(conductor) is Phase.RUNNING
    assert journal.waiting
    # the next command does not wait for the disk, and its answer is right
    assert conductor.send(ask.Answer("prepare", "dry", True)) is None
    assert conductor.send(ask.FinishStep("prepare")) is not None
    assert len(screen.shown) == 0
    journal.flush()
    assert [event.kind for event in screen.shown] == ["session started", "step begun", "answer given"]
    assert not conductor.pending
    assert conductor.state == conductor.ahead


def test_a_danger_is_told_while_the_journal_hangs() -> None:
    clock, journal = VirtualClock(), MemoryJournal(delayed=True)
    screen = Screen(journal)
    conductor = screen.conductor(clock)
    conductor.send(ask.Start(sample_plan()))
    maker = Maker(conductor, clock)
    maker.go_to("melt:bath")
    assert screen.shown == []
    maker.read_cautions()
    clock.advance(30.0)
    maker.read(96.0)
    assert screen.dangers[0].alarm == "over_limit"
    assert screen.dangers[0].value == 96.0
    assert screen.dangers[0].limit == 95.0
    assert "out of the bath" in screen.dangers[0].safe_action
    assert conductor.hold is not None
    assert conductor.alarms
    assert phase_of(conductor) is Phase.NOT_STARTED
    journal.flush()
    assert phase_of(conductor) is Phase.HOLDING


def test_a_danger_is_told_while_the_journal_fails() -> None:
    conductor, clock, journal = begin()
    maker = Maker(conductor, clock)
    maker.go_to("melt:bath")
    maker.read_cautions()
    told: list[Danger] = []
    conductor._on_danger = told.append
    journal.fail_on = set(range(1, 10_000))
    clock.advance(30.0)
    maker.read(97.0)
    assert [danger.alarm for danger in told] == ["over_limit"]
    assert trouble_of(conductor) is not None
    # and again while it still fails
    assert conductor.send(ask.Acknowledge("over_limit")) is None
    assert conductor.send(ask.ConfirmSafe()) is None
    assert ahead_of(conductor) is Phase.HELD
    assert phase_of(conductor) is Phase.RUNNING
    refused = conductor.send(ask.FinishStep("melt:bath"))
    assert refused is not None
    assert "disk is full" in refused.says
    journal.fail_on = set()
    conductor.retry()
    assert trouble_of(conductor) is None
    assert conductor.state == conductor.ahead


def test_a_failing_store_puts_the_session_on_hold_and_keeps_what_was_typed() -> None:
    journal = MemoryJournal()
    clock = VirtualClock()
    screen = Screen(journal)
    conductor = screen.conductor(clock)
    conductor.send(ask.Start(sample_plan()))
    Maker(conductor, clock).go_to("weigh:beeswax")
    journal.fail_on = {journal.appends + 1, journal.appends + 2}
    assert conductor.send(ask.Weigh("weigh:beeswax", "mass:beeswax", 8.07, "8,07")) is None
    assert conductor.state.recorded("mass:beeswax") is None
    assert isinstance(screen.troubles[-1], Trouble)
    conductor.retry()
    assert trouble_of(conductor) is not None
    conductor.retry()
    assert not screen.troubles[-1]
    assert trouble_of(conductor) is None
    recorded = conductor.state.recorded("mass:beeswax")
    assert recorded is not None
    assert recorded.typed == "8,07"
    assert phase_of(conductor) is Phase.HOLDING
    assert conductor.state.hold is not None
    assert conductor.state.hold.by == "program"
    assert "disk is full" in conductor.state.hold.reason


def test_nothing_goes_on_where_the_journal_fails_at_what_the_clocks_have_to_say() -> None:
    maker, clock, journal = at("weigh:jojoba")
    maker.send(ask.Hold("the telephone"))
    maker.send(ask.ConfirmSafe())
    clock.set_wall(3600.0)
    journal.fail_on = {journal.appends + 1}
    refused = maker.conductor.send(ask.GoOn())
    assert refused is not None
    assert "disk is full" in refused.says
    assert ahead_of(maker.conductor) is Phase.HELD


@pytest.mark.slow
@pytest.mark.parametrize("heat", list(Heat))
def test_a_journal_that_fails_once_at_every_append_in_turn_loses_nothing(heat: Heat) -> None:
    """After the I/O-error loops of SQLite's own tests: fail the Nth call, for every N."""
    whole, clock, all_of_it = begin(sample_plan(heat=heat))
    Maker(whole, clock).go_to_end()
    for failing in range(1, all_of_it.appends + 1):
        journal = MemoryJournal(fail_on=[failing])
        screen, clock = Screen(journal), VirtualClock()
        conductor = screen.conductor(clock, stall_after_s=math.inf)
        conductor.send(ask.Start(sample_plan(heat=heat)))
        maker = Maker(conductor, clock, look_every_s=600.0)
        for _ in range(60):
            if conductor.ahead.phase.over:
                break
            if conductor.trouble is not None:
                conductor.retry()
            if conductor.ahead.phase is Phase.HOLDING:
                maker.send(ask.ConfirmSafe())
            if conductor.ahead.phase is Phase.HELD:
                if conductor.ahead.hot:
                    maker.read()
                maker.send(ask.GoOn())
            try:
                maker.do_step()
            except AssertionError as interrupted:
                if "disk is full" not in str(interrupted) and "hold" not in str(interrupted):
                    raise
        conductor.retry()
        assert conductor.state.phase.over, failing
        assert screen.shown == journal.events
        assert fold(journal.events) == conductor.state
        assert journal.appends > failing


# --- clocks ---


def kinds(journal: MemoryJournal, since: int) -> list[str]:
    return [event.kind for event in journal.events[since:]]


def at(step: str) -> tuple[Maker, VirtualClock, MemoryJournal]:
    conductor, clock, journal = begin()
    maker = Maker(conductor, clock)
    maker.go_to(step)
    return maker, clock, journal


def test_sleep_in_a_hot_step_is_seen_and_holds() -> None:
    maker, clock, journal = at("cool")
    since, before_s = len(journal.events), maker.conductor.now_s()
    clock.sleep(8 * 60.0)
    maker.conductor.look()
    assert kinds(journal, since)[:2] == ["clock noticed", "hold asked"]
    note = maker.state.clock_notes[-1]
    assert note.what == "slept"
    assert note.seconds == pytest.approx(480.0)
    assert maker.conductor.now_s() - before_s == pytest.approx(480.0)
    assert maker.state.hold is not None
    assert maker.state.hold.by == "program"
    maker.send(ask.ConfirmSafe())
    assert maker.conductor.send(ask.GoOn()) is not None
    maker.read(52.0)
    maker.send(ask.GoOn())


def test_a_long_sleep_while_the_tins_set_only_passes_the_time() -> None:
    maker, clock, journal = at("set")
    since = len(journal.events)
    clock.sleep(9 * 3600.0)
    maker.conductor.look()
    assert kinds(journal, since) == ["clock noticed"]
    assert phase_of(maker.conductor) is Phase.RUNNING
    maker.send(ask.FinishStep("set"))


def test_a_command_right_after_a_sleep_sees_it_first() -> None:
    maker, clock, journal = at("cool")
    since = len(journal.events)
    clock.sleep(600.0)
    maker.conductor.send(ask.ReadTemperature("cool", 50.0, "50", True))
    assert kinds(journal, since)[:3] == ["clock noticed", "hold asked", "temperature read"]


@pytest.mark.parametrize("by_s", [-3600.0, 3600.0, 366 * 86400.0, -5.0])
def test_the_wall_clock_is_set_in_mid_step(by_s: float) -> None:
    maker, clock, journal = at("melt:bath")
    since, before_s = len(journal.events), maker.conductor.now_s()
    clock.set_wall(by_s)
    clock.advance(1.0)
    maker.conductor.look()
    assert kinds(journal, since) == ["clock noticed"]
    assert maker.state.clock_notes[-1].what == "wall clock changed"
    assert maker.state.clock_notes[-1].seconds == pytest.approx(by_s)
    assert maker.conductor.now_s() - before_s == pytest.approx(1.0)
    assert phase_of(maker.conductor) is Phase.RUNNING
    # seen once, not at every look
    clock.advance(1.0)
    maker.conductor.look()
    assert len(kinds(journal, since)) == 1


def test_daylight_saving_changes_no_second() -> None:
    maker, clock, _ = at("cool")
    before_s = maker.conductor.now_s()
    clock.change_offset(1.0)
    maker.conductor.look()
    assert maker.state.clock_notes[-1].seconds == 3600.0
    assert maker.conductor.now_s() == before_s


def test_a_stalled_loop_is_recorded_and_counted_once() -> None:
    maker, clock, journal = at("melt:bath")
    since, before_s = len(journal.events), maker.conductor.now_s()
    clock.advance(30.0)
    for _ in range(5):
        maker.conductor.look()
    assert kinds(journal, since) == ["clock noticed"]
    assert maker.state.clock_notes[-1].what == "program stood still"
    assert maker.conductor.now_s() - before_s == pytest.approx(30.0)


def test_a_burst_of_ticks_adds_nothing() -> None:
    maker, _, journal = at("cool")
    since, before_s = len(journal.events), maker.conductor.now_s()
    for _ in range(1000):
        maker.conductor.look()
    assert kinds(journal, since) == []
    assert maker.conductor.now_s() == before_s


# --- taking up again ---


def reopened(journal: MemoryJournal, clock: VirtualClock) -> Conductor:
    events = [event_adapter.validate_json(event_adapter.dump_json(event)) for event in journal.events]
    return Conductor("b", journal, clock, sample_rules(), state=fold(events))


@pytest.mark.parametrize("step", ["weigh:jojoba", "melt:bath", "add", "pour:1", "set"])
def test_after_a_crash_it_goes_on_with_the_time_that_really_passed(step: str) -> None:
    maker, clock, journal = at(step)
    last_s, hot = maker.state.at_s, maker.state.hot
    clock.advance(20.0)
    clock.sleep(400.0)
    conductor = reopened(journal, clock)
    # only looking changes nothing
    refused = conductor.send(ask.WriteNote("x"))
    assert refused is not None
    assert "interrupted" in refused.says
    conductor.look()
    assert conductor.state.step_id == step
    assert conductor.take_up() is None
    taken = [event for event in journal.events if event.kind == "taken up"]
    assert len(taken) == 1
    assert taken[0].gap_s == pytest.approx(conductor.now_s() - last_s)
    assert conductor.now_s() == pytest.approx(maker.conductor.now_s())
    assert taken[0].basis == "running clock"
    assert conductor.state.phase is (Phase.HOLDING if hot else Phase.RUNNING)
    assert conductor.take_up() is not None  # once


def test_after_a_restart_of_the_computer_the_wall_clock_counts() -> None:
    maker, clock, journal = at("cool")
    last_s = maker.state.at_s
    wall = clock.read().wall
    clock.reboot(900.0)
    conductor = reopened(journal, clock)
    assert conductor.take_up() is None
    gap_s = (clock.read().wall - wall).total_seconds() + maker.conductor._moment(clock.read()).at_s * 0
    taken = [event for event in journal.events if event.kind == "taken up"][-1]
    assert taken.basis == "wall clock"
    assert taken.gap_s >= gap_s
    assert conductor.now_s() >= last_s + 900.0
    # and a second crash in the same boot finds the running clock again
    clock.advance(100.0)
    again = reopened(journal, clock)
    again.take_up()
    taken = [event for event in journal.events if event.kind == "taken up"][-1]
    assert taken.basis == "running clock"
    assert taken.gap_s == pytest.approx(100.0)


def test_a_wall_clock_set_back_never_makes_time_run_backwards() -> None:
    maker, clock, journal = at("cool")
    last_s = maker.state.at_s
    clock.reboot(10.0)
    clock.set_wall(-86_400.0)
    conductor = reopened(journal, clock)
    assert conductor.take_up() is None
    assert conductor.state.at_s >= last_s


def test_a_held_step_wants_a_reading_taken_after_it_was_taken_up_whatever_the_clocks_say() -> None:
    maker, clock, journal = at("cool")
    conductor = maker.conductor
    conductor.send(ask.Hold("the telephone"))
    conductor.send(ask.ConfirmSafe())
    maker.read()
    clock.reboot(3600.0)
    clock.set_wall(-7200.0)  # nothing knows of the hour any more
    conductor = reopened(journal, clock)
    conductor.take_up()
    refused = conductor.send(ask.GoOn())
    assert refused is not None
    assert "fresh temperature" in refused.says
    Maker(conductor, clock).read(50.0)
    assert conductor.send(ask.GoOn()) is None


def test_a_clock_that_rounds_does_not_keep_the_hold_of_a_failing_journal_back() -> None:
    maker, clock, journal = at("weigh:jojoba")
    clock.reboot(0.0)
    clock.set_wall(-60.0)
    clock._running_s, at_s = 114 / 7, 301 / 3
    assert clock._running_s - (clock._running_s - at_s) < at_s  # short by a last digit
    conductor = Conductor("b", journal, clock, sample_rules(), state=replace(maker.state, at_s=at_s))
    journal.fail_on = {journal.appends + 1}
    conductor.take_up()
    assert ahead_of(conductor) is Phase.HOLDING
    conductor.retry()
    assert phase_of(conductor) is Phase.HOLDING


def test_without_a_name_for_the_boot_both_clocks_must_agree() -> None:
    clock = VirtualClock(boot="")
    conductor, clock, journal = begin(clock=clock)
    Maker(conductor, clock).go_to("cool")
    clock.advance(300.0)
    again = reopened(journal, clock)
    again.take_up()
    assert [e for e in journal.events if e.kind == "taken up"][-1].basis == "running clock"
    clock.set_wall(7200.0)
    clock.advance(60.0)
    third = reopened(journal, clock)
    third.take_up()
    assert [e for e in journal.events if e.kind == "taken up"][-1].basis == "wall clock"


@pytest.mark.parametrize("away", ["asleep", "gone"])
def test_nobody_stirs_while_the_program_is_away(away: str) -> None:
    """Wax cools and sets by itself; a stir is what a hand does, and the jug stood alone."""
    maker, clock, journal = at("stir")
    maker.read_cautions()
    maker.wait(40.0)
    maker.send(ask.WriteNote("smells good"))  # the last that is known
    left_s = timer_left_s(maker.state, maker.conductor.now_s())
    assert left_s is not None
    conductor = maker.conductor
    if away == "asleep":
        clock.sleep(1800.0)
        conductor.look()
    else:
        clock.advance(1800.0)
        conductor = reopened(journal, clock)
        conductor.take_up()
    assert ahead_of(conductor) is Phase.HOLDING
    conductor.send(ask.ConfirmSafe())
    Maker(conductor, clock).read(60.0)
    assert conductor.send(ask.GoOn()) is None
    assert timer_left_s(conductor.state, conductor.now_s()) == pytest.approx(left_s, abs=3.0)


def test_a_burst_that_ran_when_the_program_died_is_ended() -> None:
    conductor, clock, journal = begin(sample_plan(heat=Heat.MICROWAVE))
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    maker.send(ask.StartBurst("melt:bursts", 5.0))
    clock.advance(3600.0)
    again = reopened(journal, clock)
    again.take_up()
    ended = [event for event in journal.events if event.kind == "burst ended"]
    assert len(ended) == 1
    assert ended[0].seconds <= 120.0
    assert phase_of(again) is Phase.HOLDING
    assert again.state.hold is not None
    assert "microwave" in again.state.hold.safe_action


def test_a_finished_batch_can_still_be_corrected_and_noted() -> None:
    maker, clock, journal = at("finish")
    maker.go_to_end()
    clock.advance(86_400.0)
    conductor = reopened(journal, clock)
    assert conductor.take_up() is not None
    assert conductor.send(ask.WriteNote("softer after a day")) is None
    weighed = next(entry for entry in conductor.state.entries if entry.kind == "mass weighed")
    assert conductor.send(ask.Correct(weighed.seq, 8.0, "8.0", "misread")) is None
    assert phase_of(conductor) is Phase.FINISHED


def test_a_refused_start_leaves_the_clock_alone() -> None:
    clock = VirtualClock()
    conductor = Conductor("b", MemoryJournal(), clock, sample_rules())
    blocked = sample_plan().model_copy(update={"blockers": ("No jug.",)})
    assert conductor.send(ask.Start(blocked)) is not None
    clock.advance(500.0)
    assert conductor.send(ask.Start(sample_plan())) is None
    assert conductor.state.at_s == 0.0
    assert math.isclose(conductor.now_s(), 0.0)


def put_away(journal: MemoryJournal) -> tuple[Conductor, Screen, list[Trouble]]:
    """Two notes are decided while the disk still works on the start, and then nobody looks any more."""
    screen = Screen(journal)
    conductor = screen.conductor(VirtualClock())
    for command in (ask.Start(sample_plan()), ask.WriteNote("first"), ask.WriteNote("second")):
        assert conductor.send(command) is None
    lacking: list[Trouble] = []
    conductor.let_go(lacking.append)
    return conductor, screen, lacking


def test_who_lets_go_leaves_nothing_in_line() -> None:
    """The journal may be closed right after: all is ordered by then, and nobody is told of it any more."""
    journal = MemoryJournal(delayed=True)
    conductor, screen, lacking = put_away(journal)
    ordered = journal.waiting
    conductor.let_go(lacking.append)  # again: nothing more
    assert journal.waiting == ordered
    journal.flush()
    assert [event.kind for event in journal.events] == ["session started", "step begun", "noted", "noted"]
    assert not conductor.pending
    assert conductor.state == conductor.ahead == fold(journal.events)
    assert (screen.shown, lacking) == ([], [])


@pytest.mark.parametrize("fails", [{1}, {2}, {1, 2}])
def test_who_lets_go_is_told_only_of_what_the_journal_does_not_take_in_the_end(fails: set[int]) -> None:
    journal = MemoryJournal(delayed=True)
    journal.fail_on = fails
    conductor, screen, lacking = put_away(journal)
    journal.flush()
    whole = 2 not in fails
    assert lacking == ([] if whole else [journal.trouble])
    assert conductor.pending is not whole
    assert len(journal.events) == (4 if whole else 0 if 1 in fails else 2)
    assert screen.troubles == []
