"""A bench with a virtual clock and a journal in memory, worked by key or by mouse."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget
from pytestqt.qtbot import QtBot

from workbench.core.batch.commands import Start
from workbench.core.batch.plan import Plan
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import BurstPhase, Phase, SessionState
from workbench.devices.sound import TONES
from workbench.devices.speech import SilentSpeech
from workbench.store.troubles import disk_full
from workbench.testing import (
    Maker,
    MemoryJournal,
    VirtualClock,
    sample_catalogue,
    sample_plan,
    sample_rules,
)
from workbench.ui.bench.facts import BenchFacts
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.bench.view import BenchView
from workbench.ui.writing import Writer


@dataclass
class HeardSound:
    """A loudspeaker that keeps what it was asked to play."""

    works: bool = True
    why: str = ""
    played: list[str] = field(default_factory=list)
    repeating: str = ""

    def play(self, tone: str) -> None:
        assert tone in TONES
        self.played.append(tone)

    def repeat(self, tone: str) -> None:
        assert tone in TONES
        self.repeating = tone

    def hush(self) -> None:
        self.repeating = ""

    def set_volume(self, share: float) -> None:
        pass


class Bench:
    """The view with everything it runs on, and hands to work it."""

    def __init__(
        self,
        qtbot: QtBot,
        plan: Plan,
        *,
        journal: MemoryJournal | None = None,
        facts: BenchFacts | None = None,
        writer: Writer | None = None,
        rules: Rules | None = None,
        size: tuple[int, int] = (1280, 800),
        practice: bool = False,
    ) -> None:
        self.clock, self.journal = VirtualClock(), journal or MemoryJournal()
        self.sound, self.speech = HeardSound(), SilentSpeech()
        self.runner = SessionRunner(
            "batch-1", self.journal, self.clock, rules or sample_rules(), sample_catalogue().cautions
        )
        assert self.runner.send(Start(plan, maker="M", rehearsal=practice)) is None
        self.journal.flush()
        self.view = BenchView(self.runner, writer, facts, sound=self.sound, speech=self.speech)
        qtbot.addWidget(self.view)
        self.view.resize(*size)
        self.view.show()
        qtbot.waitExposed(self.view)
        self.view.activateWindow()
        self.settle()
        self.maker = Maker(self.runner.conductor, self.clock)

    @property
    def state(self) -> SessionState:
        return self.runner.state

    def phase(self) -> Phase:
        return self.state.phase

    def burst(self) -> BurstPhase:
        return self.state.burst.phase

    @property
    def says(self) -> str:
        return self.view.card.says.text() if self.view.card.says_frame.isVisibleTo(self.view) else ""

    def go_to(self, step: str) -> None:
        """Walk there behind the scenes, then look once: the view is not under test on the way."""
        self.runner.blockSignals(True)
        self.maker.go_to(step)
        self.runner.blockSignals(False)
        self.view.show_state()
        self.settle()

    def work_on(self, step: str) -> None:
        """Walk there and read the cautions, so that the step itself is in sight."""
        self.go_to(step)
        self.maker.read_cautions()
        self.settle()

    def go_to_end(self) -> None:
        self.runner.blockSignals(True)
        self.maker.go_to_end()
        self.runner.blockSignals(False)
        self.view.show_state()
        self.settle()

    def fill_disk(self) -> None:
        """From here on nothing can be written."""
        self.journal.fail_on = set(range(self.journal.appends + 1, self.journal.appends + 100))
        self.journal.trouble = disk_full(Path("/media/blue stick/balms/Kitchen.balmbook"))

    def empty_disk(self) -> None:
        self.journal.fail_on = set()

    def settle(self) -> None:
        for _ in range(3):
            QApplication.processEvents()

    def wait(self, seconds: float) -> None:
        """Time passes, with a look now and then, as the timer would."""
        while seconds > 0:
            part = min(seconds, 4.0)
            self.clock.advance(part)
            self.runner.look()
            seconds -= part
        self.settle()

    # -- keys

    @property
    def focus(self) -> QWidget:
        return QApplication.focusWidget() or self.view

    def key(self, key: Qt.Key, after_s: float = 0.3) -> None:
        """One stroke of a key, wherever the focus is."""
        self.clock.advance(after_s)
        QTest.keyPress(self.focus, key)
        self.clock.advance(0.06)
        QTest.keyRelease(self.focus, key)
        self.settle()

    def type(self, text: str) -> None:
        for character in text:
            self.clock.advance(0.12)
            QTest.keyClicks(self.focus, character)
        self.settle()

    def enter(self, text: str) -> None:
        self.type(text)
        self.key(Qt.Key.Key_Return)

    def done(self) -> None:
        """The primary action, after a breath."""
        self.key(Qt.Key.Key_F8, after_s=1.5)

    # -- mouse

    def click(self, widget: QWidget, after_s: float = 0.3) -> None:
        assert widget.isVisibleTo(self.view), f"{widget.objectName() or widget} cannot be seen"
        assert widget.isEnabled()
        self.clock.advance(after_s)
        where = QPoint(min(12, widget.width() // 2), widget.height() // 2)
        if isinstance(widget, QAbstractButton):
            QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=where)
        else:
            QTest.mouseClick(widget, Qt.MouseButton.LeftButton)
        self.settle()


@pytest.fixture
def make_bench(qtbot: QtBot) -> Iterator[Callable[..., Bench]]:
    made: list[Bench] = []

    def make(plan: Plan | None = None, **more: object) -> Bench:
        bench = Bench(qtbot, plan or sample_plan(), **more)  # type: ignore[arg-type]
        made.append(bench)
        return bench

    yield make
    for bench in made:
        bench.view.put_away()


@pytest.fixture
def bench(make_bench: Callable[..., Bench]) -> Bench:
    return make_bench()
