"""The real program, killed at random: a few rounds in every test run, `python -m tests.crash --program` for more."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.crash_window import run_program


@pytest.mark.slow
def test_a_batch_in_the_window_survives_being_killed(tmp_path: Path) -> None:
    tally = run_program(3, 20261125, tmp_path)
    assert tally.good, str(tally)
