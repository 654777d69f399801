"""A batch in the real window on the real clock, to be stopped from outside: `python -m tests.stalled PROJECT`.

It says what the screen says of time, line by line:

    at SECONDS           the batch has been going for so long
    noted WHAT SECONDS   the record took down that the clocks did something
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from tests.crash_program import furnished, tell
from workbench import app
from workbench.core.batch.state import SessionState
from workbench.devices.clock import SystemClock
from workbench.testing import sample_recipe


def main(path: Path) -> int:
    app.make_application(["balmbook"])
    window = furnished(SystemClock())
    assert window.open_path(path), window.banner.words.text()
    house = window.house
    assert house is not None
    house.model.open(sample_recipe())
    house.batches.make(False)
    room = house.batches.room
    assert room is not None, window.banner.words.text()
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    runner = room.page.runner
    assert runner is not None

    def noted(state: SessionState, kinds: frozenset[str]) -> None:
        if "clock noticed" in kinds:
            for note in state.clock_notes:
                tell("noted", note.what.replace(" ", "-"), f"{note.seconds:.2f}")

    runner.changed.connect(noted)
    runner.ticked.connect(lambda now_s: tell("at", f"{now_s:.2f}"))
    return QApplication.exec()


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
