"""How quickly the running batch follows: frames, keys and alarms, with hours of curve on the screen.

    python -m tests.benchmarks.bench_speed [HOURS]

Readings come ten a second, over a curve of one reading a second for HOURS
(4 by default).  Every reading is drawn at once, card, list and curve, which
the window itself spares after a few.  Prints ms: the 95th percentile of a
frame (bound 33), of a key to the change it makes (100), and of an alarm from
reading to screen (250), each by the wall and by the processor: on a machine
that is busy with other work only the second says anything.
"""

from __future__ import annotations

import math
import os
import statistics
import sys
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from workbench.core.batch.commands import ReadTemperature, Start
from workbench.store.resources import resources_folder
from workbench.testing import Maker, MemoryJournal, VirtualClock, sample_catalogue, sample_plan, sample_rules
from workbench.ui import theme
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.bench.view import BenchView

STEP = "melt:bath"
BOUNDS_MS = {"frame": 33.0, "frame, bench view": 33.0, "key": 100.0, "alarm": 250.0}


class Taken:
    """Times of the same thing again and again."""

    def __init__(self) -> None:
        self._begun = (0.0, 0.0)
        self._wall_s: list[float] = []
        self._processor_s: list[float] = []

    def begin(self) -> None:
        self._begun = time.perf_counter(), time.process_time()

    def end(self) -> None:
        wall_s, processor_s = self._begun
        self._wall_s.append(time.perf_counter() - wall_s)
        self._processor_s.append(time.process_time() - processor_s)

    def most(self) -> tuple[float, float]:
        """ms by the wall and by the processor: the 95th percentile."""
        return _p95_ms(self._wall_s), _p95_ms(self._processor_s)


def _p95_ms(seconds: list[float]) -> float:
    return 1000 * (statistics.quantiles(seconds, n=20)[-1] if len(seconds) > 1 else seconds[0])


class Running:
    """A batch that has been melting for `hours`, in a window of 1280 by 800."""

    def __init__(self, app: QApplication, hours: float) -> None:
        self.app, self.clock = app, VirtualClock()
        self.runner = SessionRunner(
            "bench", MemoryJournal(), self.clock, sample_rules(), sample_catalogue().cautions
        )
        assert self.runner.send(Start(sample_plan(), maker="M")) is None
        maker = Maker(self.runner.conductor, self.clock)
        maker.go_to(STEP)
        maker.read_cautions()
        for second in range(round(3600 * hours)):
            self.clock.advance(1.0)
            self.read(50.0 + 6.0 * math.sin(second / 400))
        self.view = BenchView(self.runner)
        self.view.resize(1280, 800)
        self.view.show()
        self.settle()

    def read(self, celsius: float) -> None:
        raw_c = round(celsius, 1)
        self.runner.send(ReadTemperature(STEP, raw_c, f"{raw_c}", True, sure=True))

    def settle(self) -> None:
        for _ in range(3):
            self.app.processEvents()

    def frames(self, many: int) -> Taken:
        """ms from a reading to the repainted window."""
        taken = Taken()
        last_c = self.runner.state.last_c or 50.0
        for turn in range(many):
            self.clock.advance(0.1)
            taken.begin()
            self.read(last_c + 0.3 * math.sin(turn / 5))
            self.runner.look()
            if self.view._sparing.waiting:
                self.view.show_state()
            self.app.processEvents()
            taken.end()
        return taken

    def keys(self, many: int) -> Taken:
        """ms from a digit typed anywhere to the digit in the field."""
        taken = Taken()
        entry = self.view.card.needs.entry
        for turn in range(many):
            entry.clear()
            self.app.processEvents()
            self.clock.advance(1.0)
            taken.begin()
            QTest.keyClicks(QApplication.focusWidget() or self.view, str(turn % 10))
            self.app.processEvents()
            taken.end()
            assert entry.text() == str(turn % 10)
        entry.clear()
        return taken

    def alarm(self) -> Taken:
        """ms from a reading over the ceiling to the alarm on the screen."""
        self.clock.advance(5.0)
        taken = Taken()
        taken.begin()
        self.read(97.0)
        self.app.processEvents()
        taken.end()
        assert self.view.alarms.isVisible()
        return taken

    def close(self) -> None:
        self.view.put_away()
        self.view.close()
        self.view.deleteLater()
        self.runner.deleteLater()
        self.settle()


def measure(hours: float = 4.0, frames: int = 100) -> dict[str, tuple[float, float]]:
    """ms by the wall and by the processor, the 95th percentile of each."""
    app = QApplication.instance() or QApplication(["benchmark"])
    assert isinstance(app, QApplication)
    if app.property("theme") is None:
        theme.load_fonts(resources_folder() / "fonts")
        theme.apply(app, theme.Theme())
    running = Running(app, hours)
    running.frames(5)
    taken = {"frame": running.frames(frames).most(), "key": running.keys(20).most()}
    running.view.show_far(True)
    running.settle()
    running.frames(3)
    taken["frame, bench view"] = running.frames(frames // 2).most()
    running.view.show_far(False)
    running.settle()
    taken["alarm"] = running.alarm().most()
    running.close()
    return taken


def main(argv: list[str]) -> int:
    taken = measure(float(argv[0]) if argv else 4.0)
    for name, (wall_ms, processor_ms) in taken.items():
        sys.stdout.write(
            f"{name:20} {wall_ms:8.1f} ms, of the processor {processor_ms:6.1f} ms, bound {BOUNDS_MS[name]:4.0f} ms\n"
        )
    return 0 if all(wall_ms < BOUNDS_MS[name] for name, (wall_ms, _) in taken.items()) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
