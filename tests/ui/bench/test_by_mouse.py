"""A whole batch without letting go of the mouse, but for the numbers themselves."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QLineEdit, QPushButton

from tests.ui.bench.conftest import Bench
from tests.ui.bench.test_by_keyboard import Typist
from workbench.core.batch.commands import LeaveOut
from workbench.core.batch.state import BurstPhase, Phase
from workbench.core.batch.steps import NeedKind
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui.bench import now as look


class Clicker(Typist):
    """The numbers come as if a scale or a thermometer typed them; everything else is a click."""

    def click_done(self) -> None:
        self.bench.click(self.bench.view.primary, after_s=1.5)

    def number(self, text: str) -> None:
        self.bench.view.card.needs.entry.setText(text)
        self.bench.click(self.bench.view.card.needs.record)

    def step(self) -> None:
        done, self.bench.done = self.bench.done, self.click_done  # type: ignore[method-assign]
        try:
            super().step()
        finally:
            self.bench.done = done  # type: ignore[method-assign]

    def record_the_rest(self) -> None:
        bench, needs = self.bench, self.bench.view.card.needs
        for shown in look.needs_shown(bench.state):
            if bench.state.recorded(shown.need.key) is not None or not shown.need.required:
                continue
            if shown.need.kind is NeedKind.TICK:
                bench.click(next(row.button for row in needs._rows if row.key == shown.need.key))
            elif shown.need.kind is NeedKind.CHOICE:
                bench.click(next(row.buttons[0] for row in needs._choices if row.key == shown.need.key))
            elif shown.need.kind is NeedKind.TEMPERATURE:
                self.reading()
            else:
                self.number(f"{shown.need.target or 1:.2f}" if shown.need.kind is NeedKind.MASS else "1")
            assert bench.state.recorded(shown.need.key) is not None, f"{shown.need.key}: {bench.says}"

    def reading(self) -> None:
        needs = self.bench.view.card.needs
        if not needs.stirred.isChecked():  # after the stirring of a burst it is ticked already
            self.bench.click(needs.stirred)
        self.number(f"{self.jug_c:.1f}")
        if self.bench.says:
            self.bench.click(needs.record, after_s=1.5)
        assert self.bench.state.last_reading is not None
        assert self.bench.state.last_reading.stirred

    def bursts(self) -> None:
        bench, burst = self.bench, self.bench.view.card.burst
        aim_c = bench.state.step.aim_c if bench.state.step else None
        assert aim_c is not None
        while self.jug_c < aim_c:
            bench.click(burst)
            seconds = bench.state.burst.planned_s
            bench.wait(seconds)
            bench.click(burst)
            bench.wait(20.0)
            bench.click(burst)
            assert bench.burst() is BurstPhase.READING_DUE
            self.jug_c += 0.7 * seconds
            self.reading()

    def leave_out(self) -> None:
        bench = self.bench
        action = next(action for action, command in bench.view.menu.actions if command is LeaveOut)
        action.trigger()  # the menu itself is Qt's own
        bench.settle()
        form = bench.view.card.form
        reason = form.findChild(QLineEdit)
        assert reason is not None
        reason.setText("no dip")
        accept = next(each for each in form.findChildren(QPushButton) if each.property("role") == "primary")
        bench.click(accept)


@pytest.mark.slow
@pytest.mark.parametrize("heat", list(Heat))
def test_a_whole_batch_by_mouse(make_bench: Callable[..., Bench], heat: Heat) -> None:
    bench = make_bench(sample_plan(heat=heat))
    Clicker(bench).whole_batch()
    assert bench.phase() is Phase.FINISHED
    assert len(bench.state.poured) == 3


def test_a_finished_batch_is_closed_by_the_same_button(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench()
    bench.go_to_end()
    bench.settle()
    closed: list[bool] = []
    bench.view.over.connect(lambda: closed.append(True))
    assert "finished" in bench.view.card.headline.text()
    bench.click(bench.view.primary, after_s=2.0)
    assert closed == [True]
