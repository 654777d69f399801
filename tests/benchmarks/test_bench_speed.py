"""The running batch follows; bounds are loose for a busy machine, the figures count."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from tests.benchmarks import bench_speed


@pytest.mark.slow
def test_readings_keys_and_alarms_are_on_the_screen_at_once(qtbot: QtBot) -> None:
    taken = bench_speed.measure(hours=0.2, frames=40)
    processor_ms = {name: most for name, (_, most) in taken.items()}
    for name, bound in bench_speed.BOUNDS_MS.items():
        assert processor_ms[name] < 2 * bound, taken
