"""The real program, killed at random: twenty rounds in every test run, `python -m tests.crash --program` for more."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.crash_window import WindowTally, run_program

ROUNDS, LINES = 5, 45  # lives of half a batch at most; five of them come to its end
SEED = 20261125


@pytest.mark.slow
@pytest.mark.parametrize("loops", [(0, 1), (2, 3)])
def test_a_batch_in_the_window_survives_being_killed(tmp_path: Path, loops: tuple[int, int]) -> None:
    def loop(number: int) -> WindowTally:
        folder = tmp_path / str(number)
        folder.mkdir()
        return run_program(ROUNDS, SEED + number, folder, LINES)

    # Two at a time: this file is among the last of a run, when the other processor has nothing to do.
    with ThreadPoolExecutor(len(loops)) as pool:
        tallies = list(pool.map(loop, loops))
    assert sum(tally.rounds for tally in tallies) == 10
    assert all(tally.good for tally in tallies), "\n".join(map(str, tallies))
    assert sum(tally.shown for tally in tallies) > 100
    assert sum(tally.hot for tally in tallies) >= 1  # so that a hot step was among those taken up again
