"""One life of the real program for the crash loop: the window as the program builds it, and a maker with a script.

`python -m tests.crash_program PROJECT WALL` opens PROJECT in the real
window without a screen, takes up what was interrupted (or begins a batch) and
walks on, until it is killed.  Only the clock is not the real one: hours of
melting and setting pass at once.  It says what the screen showed, line by line:

    resume SESSION WHAT   it offers to go on with a batch, which stands like that
    held SESSION PHASE    how that batch stood right after "Go on where it was"
    shown SESSION WHAT    an entry was acknowledged, and shown
"""

from __future__ import annotations

import os
import sys
from datetime import datetime
from pathlib import Path
from typing import cast

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop
from PySide6.QtWidgets import QApplication, QPushButton

from workbench import app
from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command
from workbench.core.batch.ports import Clock
from workbench.core.batch.state import Phase, SessionState
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import Maker, VirtualClock, sample_recipe
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.window import MainWindow


def what(state: SessionState) -> str:
    """What a screen can show of a session, on one line."""
    reading = state.last_reading
    last = "" if reading is None else f"{reading.seq}:{reading.raw_c}"
    return f"{state.seq}|{state.step_id}|{len(state.entries)}|{last}|{state.at_s:.6f}"


def tell(*words: str) -> None:
    os.write(1, (" ".join(words) + "\n").encode())


class HandAtWindow(Maker):
    """Goes on once the window shows that the last thing is stored; picks up wherever the record stands."""

    def __init__(self, runner: SessionRunner, clock: VirtualClock) -> None:
        super().__init__(runner.conductor, clock)
        self.runner = runner
        reading = runner.state.last_reading
        if reading is not None:
            self.jug_c = reading.raw_c

    def send(self, command: Command) -> None:
        super().send(command)
        self.until_shown()

    def wait(self, seconds: float) -> None:
        super().wait(seconds)
        self.until_shown()

    def until_shown(self) -> None:
        while self.conductor.pending:
            if self.conductor.trouble is not None:
                raise SystemExit(f"the record took no more: {self.conductor.trouble}")
            QApplication.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
        QApplication.processEvents()

    def whole_batch(self) -> None:
        refusals = 0
        while not self.state.phase.over:
            try:
                if self.state.phase is Phase.HOLDING:
                    self.send(ask.ConfirmSafe())
                if self.state.phase is Phase.HELD:
                    self.read()
                    self.send(ask.GoOn())
                self.do_step()
                refusals = 0
            except AssertionError as refused:
                # a step that was cut in the middle does not always fit this script; a person would look, and so do we
                refusals += 1
                if refusals > 3:
                    tell("stuck", str(refused).replace("\n", " "))
                    self.send(ask.EndBatch("the script knows no way on", safe=True))
                else:
                    self.wait(5.0)
                    self.read()


def furnished(clock: Clock) -> MainWindow:
    """The window as `balmbook PROJECT` builds it, with that clock and nothing to hear."""
    app.system_clock = lambda: clock
    app.now = lambda: clock.read().wall
    app.tones, app.voice, app.stay_awake = SilentSound, SilentSpeech, NoAwake  # type: ignore[assignment]
    kept = app.preferences_file()
    app.dress(cast("QApplication", QApplication.instance()), kept)
    window = app.make_window()
    window.show()
    app.furnish(window, kept)
    return window


def taken_up(window: MainWindow) -> SessionRunner | None:
    """Accept the offer to go on, if the window makes one."""
    house = window.house
    assert house is not None
    offers = [one for one in window.banner.findChildren(QPushButton) if one.text() == "Go on with it"]
    if not offers or window.banner.isHidden():
        return None
    offers[0].click()
    room = house.batches.room
    assert room is not None
    runner, resume = room.page.runner, room.page.resume
    assert runner is not None
    assert resume is not None
    tell("resume", runner.session_id, what(runner.state))
    runner.changed.connect(lambda state, _kinds: tell("shown", runner.session_id, what(state)))
    resume.on.click()
    while runner.conductor.pending:
        QApplication.processEvents()
    tell("held", runner.session_id, runner.state.phase.name)
    return runner


def begun(window: MainWindow) -> SessionRunner:
    """Make the recipe's batch, from its first press on."""
    house = window.house
    assert house is not None
    if house.batches.room is not None:  # the batch before is over: put it away
        house.batches.room.over.emit()
        QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))  # a loop would do it at once
    house.batches.make(False)
    room = house.batches.room
    assert room is not None, window.banner.words.text()
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    runner = room.page.runner
    assert runner is not None
    runner.changed.connect(lambda state, _kinds: tell("shown", runner.session_id, what(state)))
    return runner


def main(path: Path, wall: datetime) -> None:
    app.make_application(["balmbook"])
    clock = VirtualClock(wall, boot=wall.isoformat())
    window = furnished(clock)
    assert window.open_path(path), window.banner.words.text()
    house = window.house
    assert house is not None
    assert not house.desk.read_only, window.banner.words.text()
    runner = taken_up(window)
    if house.desk.recipe(sample_recipe().name) is None:
        house.model.open(sample_recipe())
    tell("ready")
    while True:
        runner = runner or begun(window)
        hand = HandAtWindow(runner, clock)
        hand.until_shown()
        hand.whole_batch()
        runner = None


if __name__ == "__main__":
    main(Path(sys.argv[1]), datetime.fromisoformat(sys.argv[2]))
