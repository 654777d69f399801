"""A practice run may go ten times as fast; the hands that press a key do not."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from workbench.core.batch.commands import Start
from workbench.core.batch.state import Phase
from workbench.testing import MemoryJournal, VirtualClock, sample_plan, sample_rules
from workbench.ui.batch_room import PracticeClock
from workbench.ui.bench.page import BatchPage, BenchKit
from workbench.ui.bench.press import SETTLE_S
from workbench.ui.context import Context


@pytest.fixture
def fast(context: Context, qtbot: QtBot) -> Iterator[tuple[BatchPage, VirtualClock]]:
    """A batch on a clock at ten times the pace of the hands, on hold and just said to be safe."""
    hands = VirtualClock()
    kit = BenchKit(MemoryJournal(), PracticeClock(hands, 10), sample_rules(), lambda: "batch-1", hands=hands)
    page = BatchPage(context, kit)
    qtbot.addWidget(page)
    page.resize(1280, 800)
    page.show()
    qtbot.waitExposed(page)
    page.prepare(sample_plan())
    assert page.preflight is not None
    page.preflight.started.emit(Start(sample_plan(), maker="M"))
    assert page.runner is not None
    page.runner.stop_looking()
    settle()
    yield page, hands
    page.close_batch()


def settle() -> None:
    for _ in range(3):
        QApplication.processEvents()


def press(page: BatchPage, hands: VirtualClock, key: Qt.Key, after_s: float) -> None:
    """One stroke, `after_s` seconds of the hand later."""
    assert page.view is not None
    hands.advance(after_s)
    target = QApplication.focusWidget() or page.view
    QTest.keyPress(target, key)
    hands.advance(0.06)
    QTest.keyRelease(target, key)
    settle()


def phase(page: BatchPage) -> Phase:
    assert page.runner is not None
    return page.runner.state.phase


def test_a_press_too_soon_for_the_hand_does_not_count_however_fast_the_batch(
    fast: tuple[BatchPage, VirtualClock],
) -> None:
    page, hands = fast
    runner = page.runner
    assert runner is not None
    press(page, hands, Qt.Key.Key_F9, after_s=2.0)
    assert phase(page) is Phase.HOLDING
    before_s = runner.now_s()
    press(page, hands, Qt.Key.Key_F8, after_s=0.6)  # the same hand once more
    assert runner.now_s() - before_s > 5 * SETTLE_S  # seconds enough have passed in the batch
    assert phase(page) is Phase.HOLDING
    press(page, hands, Qt.Key.Key_F8, after_s=SETTLE_S + 0.2)
    assert phase(page) is not Phase.HOLDING


def test_the_clock_of_the_hand_runs_at_its_own_pace(fast: tuple[BatchPage, VirtualClock]) -> None:
    page, hands = fast
    runner = page.runner
    assert runner is not None
    hand_s, now_s = runner.hand_s(), runner.now_s()
    hands.advance(3.0)
    assert runner.hand_s() - hand_s == pytest.approx(3.0)
    assert runner.now_s() - now_s == pytest.approx(30.0)


def test_without_a_clock_of_its_own_the_hand_goes_by_the_batch(context: Context, qtbot: QtBot) -> None:
    clock = VirtualClock()
    page = BatchPage(context, BenchKit(MemoryJournal(), clock, sample_rules(), lambda: "batch-1"))
    qtbot.addWidget(page)
    page.prepare(sample_plan())
    assert page.preflight is not None
    page.preflight.started.emit(Start(sample_plan(), maker="M"))
    assert page.runner is not None
    before = page.runner.hand_s()
    clock.advance(2.0)
    assert page.runner.hand_s() - before == pytest.approx(2.0)
    page.close_batch()
