"""From command to window, beside a bare PySide6 window with one pyqtgraph plot on the same machine.

    python -m tests.benchmarks.window_start [RUNS]

Prints the median times in ms and their ratio.  "Furnished" is when recipes
can be worked on: tables read, everything put together.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys

BARE = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
import pyqtgraph
app = QApplication(["bare"])
window = QMainWindow()
window.setCentralWidget(pyqtgraph.PlotWidget())
window.show()
QTimer.singleShot(0, app.quit)
app.exec()
print("window", clock())
"""

OURS = """
import sys
from PySide6.QtCore import QTimer
from workbench import app as ours
assert not ours.bindings_lose_none()
app = ours.make_application(["balmbook"])
kept = ours.preferences_file()
ours.dress(app, kept)
window = ours.make_window()
window.show()
QTimer.singleShot(0, app.quit)
app.exec()
print("window", clock())
ours.furnish(window, kept)
app.processEvents()
print("furnished", clock())
"""


def _once(code: str, clock: str) -> dict[str, float]:
    """Seconds from the start of the process to each mark, by a clock of the module time."""
    timed = f"from time import {clock} as clock; print('begun', clock())\n{code}"
    done = subprocess.run(
        [sys.executable, "-c", timed],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
        env={"QT_QPA_PLATFORM": "offscreen", **os.environ},
    )
    marks = {line.split()[0]: float(line.split()[1]) for line in done.stdout.splitlines()}
    return {name: at - marks["begun"] for name, at in marks.items() if name != "begun"}


def measure(runs: int = 5, clock: str = "time") -> dict[str, float]:
    """Median ms of each, and the ratio; runs take turns, so that a busy spell hits both."""
    bare, window, furnished = [], [], []
    for _ in range(runs):
        bare.append(_once(BARE, clock)["window"])
        ours = _once(OURS, clock)
        window.append(ours["window"])
        furnished.append(ours["furnished"])
    taken = {
        "bare window with a plot": 1000 * statistics.median(bare),
        "our window": 1000 * statistics.median(window),
        "furnished": 1000 * statistics.median(furnished),
    }
    taken["ratio"] = taken["our window"] / taken["bare window with a plot"]
    return taken


if __name__ == "__main__":
    for name, value in measure(int(sys.argv[1]) if len(sys.argv) > 1 else 5).items():
        sys.stdout.write(f"{name:28} {value:8.2f}{'' if name == 'ratio' else ' ms'}\n")
