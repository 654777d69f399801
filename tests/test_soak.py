"""A long batch in the real window: half an hour in every test run, `python -m tests.soak` for the eight hours."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.slow
def test_half_an_hour_at_a_reading_a_second_leaves_nothing_behind() -> None:
    """In a process of its own, whose memory, threads and timers are this batch's alone."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.soak", "--hours", "0.5"],
        capture_output=True, text=True, check=False, timeout=1200,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0.5 h, " in done.stdout
