"""Looking back follows at once; bounds are loose for a busy machine, the command's figures count."""

from __future__ import annotations

import time
from pathlib import Path

from pytestqt.qtbot import QtBot

from tests.benchmarks import review_speed


def test_lists_and_charts_are_there_at_once(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "past.balmbook"
    review_speed.fill(path, 200)
    measured, _first_ms = review_speed.measure(path, times=2, clock=time.process_time)
    slow = [str(each) for each in measured if each.ours_ms > 4 * each.goal_ms]
    assert len(measured) == 9
    assert not slow, "\n".join(slow)
