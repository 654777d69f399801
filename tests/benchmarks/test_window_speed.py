"""The window is there at once and follows typing, by the time of the processor: other work besides is not ours."""

from __future__ import annotations

import time

import pytest
from pytestqt.qtbot import QtBot

from tests.benchmarks import editor_speed, window_start


@pytest.mark.slow
def test_the_window_is_there_as_soon_as_a_bare_one_with_a_plot() -> None:
    taken = window_start.measure(3, "process_time")
    assert taken["ratio"] < 1.5


def test_an_edit_of_forty_lines_is_on_the_screen_at_once(qtbot: QtBot) -> None:
    taken = editor_speed.measure(9, time.thread_time)
    assert taken["model"] < 50
    assert taken["model, pages and repaint"] < 250  # 50 ms on an idle machine
