"""The real program is stopped and let go again: it was still, it says so, and no second is lost or doubled."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import IO

import pytest

from workbench.core.batch.events import ClockNoticed
from workbench.store.project import Project
from workbench.store.resources import load_starter_shelf
from workbench.testing import BEGIN

STOPPED_S = 6.5  # more than five are noticed


def next_line(said: IO[str], start: str) -> list[str]:
    """The words after `start` in the next line that begins with it."""
    for line in said:
        first, *words = line.split()
        if first == start:
            return words
    raise AssertionError(f"it ended before it said {start!r}")


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="this system cannot stop a process")
def test_a_program_that_was_stopped_knows_it_and_its_timers_are_right(tmp_path: Path) -> None:
    path = tmp_path / "stalled.balmbook"
    with Project.create(path, now=lambda: BEGIN) as project:
        project.save_shelf(load_starter_shelf())
    home = {name: str(tmp_path) for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME")}
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.stalled", str(path)],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env={**os.environ, **home},
    )  # fmt: skip
    assert child.stdout is not None
    try:
        before_s, began = float(next_line(child.stdout, "at")[0]), time.monotonic()
        child.send_signal(signal.SIGSTOP)
        nothing, _ = os.pipe()
        select.select(
            [nothing], [], [], STOPPED_S
        )  # the process is still; nothing can be waited for but time
        os.close(nothing)
        child.send_signal(signal.SIGCONT)
        what, seconds = next_line(child.stdout, "noted")
        after_s, ran_s = float(next_line(child.stdout, "at")[0]), time.monotonic() - began
    finally:
        child.kill()
        child.stdout.close()
        child.wait(timeout=60)
    assert what == "program-stood-still"
    assert STOPPED_S - 0.5 < float(seconds) < ran_s + 1.0
    assert after_s - before_s == pytest.approx(
        ran_s, abs=5.0
    )  # lines wait in the pipe; a stop lost or doubled would be more
    with Project.open(path) as project:
        events = project.events("s1")
        notes = [event for event in events if isinstance(event, ClockNoticed)]
        stood = [note.seconds for note in notes if note.what == "program stood still"]
        assert [one for one in stood if one > STOPPED_S - 0.5] == [pytest.approx(float(seconds), abs=0.01)]
        assert [event.at_s for event in events] == sorted(event.at_s for event in events)
