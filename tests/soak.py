"""A long batch in the real window: `python -m tests.soak [--hours 8]`.

A batch that takes eight hours, with a temperature read every second, on the
virtual clock: the window as the program builds it (no screen needed), the
real store on a disk, every reading decided, written and acknowledged before
the next.  It says how long that took, how much memory it grew by after the
first half hour, whether the record has every second and every reading, and
what was left behind: timers, threads, windows, references to None.

How long it took is judged by the time of the processor, and the window looks
and draws by that clock too, so that a computer that does other things besides
changes nothing.  On a computer that does nothing else it is the time on the wall,
less what the disk takes.
"""

from __future__ import annotations

import argparse
import gc
import os
import re
import statistics
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, QThreadPool, QTimer
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid

from tests.crash_program import HandAtWindow, furnished
from workbench import app
from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command
from workbench.core.batch.guards import BATH
from workbench.core.batch.session import fold
from workbench.core.batch.state import Phase
from workbench.core.batch.steps import StepKind
from workbench.store.check import check_project
from workbench.store.project import Project
from workbench.store.resources import load_starter_shelf
from workbench.testing import BEGIN, Maker, VirtualClock, sample_recipe
from workbench.ui.bench.runner import LOOKS_PER_S, SessionRunner
from workbench.ui.bench.sparing import Ration
from workbench.ui.window import MainWindow

WARM_UP_S = 1800  # readings at full pace before memory is measured (or a third of a shorter batch)
MOST_GROWTH_MB = 20.0  # of eight hours; part of it is what any process wavers by
WAVERING_MB = 8.0
WHOLE_H = 2.5  # a batch that goes to its end takes at least so long; a shorter one is ended over the bath
LONGEST_S = 120.0
BATH_EVERY_S = 1200.0  # how often the maker tops the bath up
MELT_SHARE = 0.45  # of the whole time, kept warm over the bath; the rest passes while it sets and rests

ROOM_C, SETTING_S = 22.0, 900.0  # how the filled tins cool; any plausible number will do


@dataclass(frozen=True, slots=True)
class Soaked:
    """What came of it."""

    hours: float
    took_s: float
    processor_s: float
    readings: int
    read_back: int  # readings in the file afterwards
    batch_s: float  # how long the record says that the batch took
    grown_mb: float | None  # None where the system does not tell
    none_lost: int  # references to None that are missing afterwards
    timers: int
    threads: int
    windows: int
    sound: bool
    slowest_ms: float  # the longest that one reading took, from the key to the screen
    early_ms: float  # one reading in the first tenth, and one in the last: medians
    late_ms: float

    @property
    def may_grow_mb(self) -> float:
        return WAVERING_MB + (MOST_GROWTH_MB - WAVERING_MB) * self.hours / 8

    @property
    def good(self) -> bool:
        return (
            self.processor_s < LONGEST_S
            and self.readings == self.read_back
            and abs(self.batch_s - 3600 * self.hours) < 60
            and (self.grown_mb is None or self.grown_mb < self.may_grow_mb)
            and self.none_lost < 100
            and self.timers == self.threads == self.windows == 0
            and self.sound
        )

    def __str__(self) -> str:
        grown = "not told" if self.grown_mb is None else f"{self.grown_mb:.1f} MB"
        return (
            f"{self.hours:g} h, {self.readings} readings shown and {self.read_back} in the file, in {self.processor_s:.0f} s of the "
            f"processor ({self.took_s:.0f} s on the wall); "
            f"memory grown after warming up: {grown}; references to None lost: {max(0, self.none_lost)}; left behind: "
            f"{self.timers} timers, {self.threads} threads, {self.windows} windows; "
            f"a reading took {self.early_ms:.1f} ms at first, {self.late_ms:.1f} ms at the end, "
            f"{self.slowest_ms:.0f} ms at most; the project is {'sound' if self.sound else 'NOT sound'}"
        )


def held_mb() -> float | None:
    """Memory of this process that is in use now, MB."""
    try:
        found = re.search(r"VmRSS:\s+(\d+)", Path("/proc/self/status").read_text(encoding="ascii"))
    except OSError:
        return None
    return None if found is None else int(found[1]) / 1024


class EverySecond(Maker):
    """A hand that reads the thermometer every second, whatever else it does."""

    def __init__(self, runner: SessionRunner, clock: VirtualClock, whole_s: float) -> None:
        super().__init__(runner.conductor, clock)
        self.runner, self.whole_s = runner, whole_s
        self.readings = 0
        self.taken_ms: list[float] = []
        self.warm_mb: float | None = None
        self.poured = False
        self.looks_at_s = 0.0

    def send(self, command: Command) -> None:
        super().send(command)
        self.until_shown()

    def wait(self, seconds: float) -> None:
        for _ in range(max(1, round(seconds))):
            self.clock.advance(1.0)
            if self.poured:
                self.jug_c += (ROOM_C - self.jug_c) / SETTING_S
            began = time.perf_counter()
            if time.process_time() >= self.looks_at_s:
                self.looks_at_s = time.process_time() + 1 / LOOKS_PER_S
                self.runner.look()
            else:  # so that no gap is taken for a program that stood still
                self.conductor.look()
            if self.state.phase is Phase.RUNNING:
                self.read(self.jug_c + 0.1 * (len(self.taken_ms) % 3))
            self.until_shown()
            self.taken_ms.append(1e3 * (time.perf_counter() - began))
            if len(self.taken_ms) == min(WARM_UP_S, self.whole_s // 3):
                gc.collect()
                self.warm_mb = held_mb()

    def read(self, celsius: float | None = None, *, stirred: bool = True) -> None:
        super().read(celsius, stirred=stirred)
        self.readings += 1

    def until_shown(self) -> None:
        """The record has it, and the window has drawn it."""
        while self.conductor.pending:
            if self.conductor.trouble is not None:
                raise RuntimeError(f"the record took no more: {self.conductor.trouble}")
            QApplication.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
        QApplication.processEvents()

    def whole_batch(self) -> None:
        while not self.state.phase.over:
            kind = self.step.kind
            self.poured = self.poured or kind is StepKind.SET
            if kind is StepKind.MELT_BATH:
                self.fill()
                if self.whole_s < 3600 * WHOLE_H:
                    self.keep_warm(self.whole_s - self.conductor.now_s())
                    self.send(ask.EndBatch("long enough", safe=True))
                    return
                self.keep_warm(MELT_SHARE * self.whole_s)
            if kind is StepKind.REST:
                # what is left of the hours, less the rest that the step itself takes
                left_s = self.whole_s - self.conductor.now_s() - (self.step.timer_s or 0.0) - 30.0
                self.wait(max(0.0, left_s))
            self.do_step()

    def keep_warm(self, seconds: float) -> None:
        """Over the bath, which is topped up in good time."""
        choices = next(need.choices for need in self.step.needs if need.key == BATH)
        ends_s = self.conductor.now_s() + seconds
        while (left_s := ends_s - self.conductor.now_s()) > 1.0:
            self.wait(min(BATH_EVERY_S, left_s))
            self.send(ask.Answer(self.step.id, BATH, choices[1], choices[1]))


def soak(hours: float, folder: Path) -> Soaked:
    """One batch of that many hours from the opened project to the closed window."""
    Ration.seconds = staticmethod(time.process_time)
    application = app.make_application(["balmbook"])
    path = folder / "soak.balmbook"
    with Project.create(path, now=lambda: BEGIN) as project:
        project.save_shelf(load_starter_shelf())
    threads, timers = set(threading.enumerate()), set(running_timers())
    clock = VirtualClock(BEGIN)
    window = furnished(clock)
    assert window.open_path(path), window.banner.words.text()
    house = window.house
    assert house is not None
    house.model.open(sample_recipe())
    if hours >= WHOLE_H:  # whatever a batch needs once, in any of its steps, is there from the first one on
        first = HandAtWindow(begun_quietly(window), clock)
        first.whole_batch()
        first.until_shown()
        QThreadPool.globalInstance().waitForDone(20_000)
    runner = begun_quietly(window)
    hand = EverySecond(runner, clock, 3600 * hours)
    hand.until_shown()
    runner.stop_looking()  # the hand looks in its place, by the time of the processor
    none_before, began, ran = sys.getrefcount(None), time.perf_counter(), time.process_time()
    hand.whole_batch()
    took_s, ran_s, none_after = time.perf_counter() - began, time.process_time() - ran, sys.getrefcount(None)
    gc.collect()
    mb = held_mb()
    put_away(window)
    with Project.open(path, read_only=True) as project:
        state = fold(project.events(project.sessions()[0].id))  # the newest
    tenth = max(1, len(hand.taken_ms) // 10)
    return Soaked(
        hours, took_s, ran_s, hand.readings, len(state.readings), state.at_s,
        None if mb is None or hand.warm_mb is None else mb - hand.warm_mb,
        none_before - none_after,
        len(set(running_timers()) - timers),
        len([one for one in threading.enumerate() if one not in threads]),
        len([one for one in application.topLevelWidgets() if one.isVisible()]),
        check_project(path).sound,
        max(hand.taken_ms), statistics.median(hand.taken_ms[:tenth]), statistics.median(hand.taken_ms[-tenth:]),
    )  # fmt: skip


def begun_quietly(window: MainWindow) -> SessionRunner:
    """The recipe's batch, from its first press on."""
    house = window.house
    assert house is not None
    if house.batches.room is not None:
        house.batches.room.over.emit()
        QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))  # a loop would do it at once
    house.batches.make(False)
    room = house.batches.room
    assert room is not None, window.banner.words.text()
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    assert room.page.runner is not None
    return room.page.runner


def put_away(window: MainWindow) -> None:
    """Close the window and let everything that was ordered come to its end."""
    window.close()
    for _ in range(3):
        QThreadPool.globalInstance().waitForDone(5000)
        QApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
    window.deleteLater()
    QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
    QApplication.processEvents()


def running_timers() -> list[QTimer]:
    """Every timer of ours that still runs, wherever it hangs."""
    gc.collect()
    return [one for one in gc.get_objects() if isinstance(one, QTimer) and isValid(one) and one.isActive()]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0)
    hours = parser.parse_args().hours
    home = tempfile.TemporaryDirectory()
    with home as folder:
        for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME"):
            os.environ[name] = folder
        soaked = soak(hours, Path(folder))
    print(soaked)
    return 0 if soaked.good else 1


if __name__ == "__main__":
    sys.exit(main())
