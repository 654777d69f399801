"""A whole batch without a mouse."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import LeaveOut
from workbench.core.batch.guards import reading_due_at_s
from workbench.core.batch.state import BurstPhase, Phase
from workbench.core.batch.steps import NeedKind, StepKind
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui.bench import now as look


class Typist:
    """Somebody who only has keys; the jug is a plain sum of warming and cooling."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.jug_c = 24.0

    def whole_batch(self) -> None:
        for _ in range(60):
            if self.bench.phase().over:
                return
            self.step()
        raise AssertionError("never came to the end")

    def step(self) -> None:
        bench, state = self.bench, self.bench.state
        step = state.step
        assert step is not None
        if step.optional:
            self.leave_out()
            return
        self.read_cautions()
        if step.kind is StepKind.MELT_BURSTS:
            self.bursts()
        elif step.kind is StepKind.MELT_BATH:
            self.warm()
        elif step.kind is StepKind.COOL:
            self.cool()
        elif step.timer_s is not None:
            self.pass_time(step.timer_s + 1.0)
        elif step.least_s is not None:
            bench.wait(step.least_s)
        self.record_the_rest()
        before = bench.state.step_id
        bench.done()
        assert bench.state.step_id != before or bench.state.phase.over, f"{before}: {bench.says}"

    def read_cautions(self) -> None:
        for _ in range(10):
            if not look.cautions_unread(self.bench.state):
                return
            self.bench.done()
        raise AssertionError(self.bench.says)

    def record_the_rest(self) -> None:
        bench = self.bench
        for shown in look.needs_shown(bench.state):
            held = bench.state.recorded(shown.need.key)
            if held is not None or not shown.need.required:
                continue
            match shown.need.kind:
                case NeedKind.TEMPERATURE:
                    self.reading()
                case NeedKind.TICK | NeedKind.CHOICE:
                    bench.enter(str(shown.number))
                case NeedKind.DROPS | NeedKind.COUNT:
                    bench.enter(str(round(shown.need.target or 1)))
                case NeedKind.DEPTH:
                    bench.enter("0,5")
                case NeedKind.MASS:
                    bench.enter(f"{shown.need.target or 1.0:.2f}".replace(".", ","))
                    if shown.need.key.startswith("tin:"):
                        bench.wait(8.0)
                case NeedKind.WORDS:
                    bench.enter("all well")
            assert bench.state.recorded(shown.need.key) is not None, f"{shown.need.key}: {bench.says}"

    def reading(self) -> None:
        self.bench.key(Qt.Key.Key_F6)
        self.bench.enter(f"{self.jug_c:.1f}")
        if self.bench.says:  # asked once more
            self.bench.key(Qt.Key.Key_Return, after_s=1.5)
        assert self.bench.state.last_reading is not None
        assert self.bench.state.last_reading.stirred

    def warm(self) -> None:
        aim_c = self.bench.state.step.aim_c if self.bench.state.step else None
        assert aim_c is not None
        while self.jug_c < aim_c:
            self.bench.wait(60.0)
            self.jug_c += 5.0
            self.reading()

    def cool(self) -> None:
        step = self.bench.state.step
        assert step is not None
        assert step.high_c is not None
        for _ in range(60):
            self.bench.wait(60.0)
            self.jug_c -= 1.5
            self.reading()
            if self.jug_c < step.high_c - 2.0:
                return

    def bursts(self) -> None:
        bench = self.bench
        aim_c = bench.state.step.aim_c if bench.state.step else None
        assert aim_c is not None
        while self.jug_c < aim_c:
            bench.key(Qt.Key.Key_F5)
            assert bench.burst() is BurstPhase.RUNNING, bench.says
            seconds = bench.state.burst.planned_s
            bench.wait(seconds)
            bench.key(Qt.Key.Key_F5)
            assert bench.burst() is BurstPhase.STIR_DUE, bench.says
            bench.wait(20.0)
            bench.key(Qt.Key.Key_F5)
            self.jug_c += 0.7 * seconds
            self.reading()

    def pass_time(self, seconds: float) -> None:
        bench = self.bench
        ends_s = bench.runner.now_s() + seconds
        while bench.runner.now_s() < ends_s:
            due_s = reading_due_at_s(bench.state)
            until_s = ends_s if due_s is None else min(ends_s, due_s - 10.0)
            bench.wait(max(1.0, until_s - bench.runner.now_s()))
            if due_s is not None:
                self.reading()

    def leave_out(self) -> None:
        """By the menu: down to the entry, Enter, a reason, Enter."""
        bench = self.bench
        action = next(action for action, command in bench.view.menu.actions if command is LeaveOut)
        assert action.isVisible()
        action.trigger()
        bench.settle()
        assert isinstance(bench.focus, QLineEdit)
        bench.type("no dip")
        before = bench.state.step_id
        bench.key(Qt.Key.Key_Return)
        assert bench.state.step_id != before, bench.view.card.form.says.text()


@pytest.mark.slow
@pytest.mark.parametrize("heat", list(Heat))
def test_a_whole_batch_by_keyboard(make_bench: Callable[..., Bench], heat: Heat) -> None:
    bench = make_bench(sample_plan(heat=heat))
    Typist(bench).whole_batch()
    assert bench.phase() is Phase.FINISHED
    assert len(bench.state.poured) == 3
    kinds = [event.kind for event in bench.journal.events]
    assert kinds.count("tin poured") == 3
    assert kinds[-1] == "finished"
    assert "hold asked" not in kinds
    typed = [event.typed for event in bench.journal.events if event.kind == "mass weighed"]
    assert all("," in text for text in typed)  # as it was typed
    raised = [event for event in bench.journal.events if event.kind == "alarm raised"]
    hours = bench.runner.now_s() / 3600
    assert len(raised) <= 6 * hours  # the budget of EEMUA 191 as the trade quotes it: 6 an hour


def test_the_same_keys_work_in_the_bench_view(bench: Bench) -> None:
    bench.key(Qt.Key.Key_F4)
    assert bench.view.is_far
    typist = Typist(bench)
    for _ in range(8):
        typist.step()
    assert bench.view.is_far
    assert bench.state.step is not None
    assert bench.state.step.kind is StepKind.COLD_SPOON


@pytest.mark.parametrize("far", [False, True])
def test_a_temperature_read_while_stirring_is_kept(make_bench: Callable[..., Bench], far: bool) -> None:
    bench = make_bench(sample_plan())
    bench.work_on("stir")
    if far:
        bench.key(Qt.Key.Key_F4)
    for typed in ("59", "58"):
        bench.wait(14.0)
        bench.key(Qt.Key.Key_F6)
        bench.enter(typed)
        reading = bench.state.last_reading
        assert reading is not None
        assert (reading.step, reading.celsius, reading.stirred) == ("stir", float(typed), True)
