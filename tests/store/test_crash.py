"""Twenty rounds of the crash loop on the real store; `python -m tests.crash` runs more."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests import crash_window
from tests.crash_program import what
from tests.store.builders import whole_batch
from workbench.core.batch.session import fold
from workbench.store.project import Project


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL and fork are of POSIX")
def test_twenty_kills_lose_nothing() -> None:
    """In a process of its own: this one may have threads, which do not go well with fork."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.crash", "--rounds", "20"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "20 rounds" in done.stdout
    assert " 0 lost, 0 doubled or strange, 0 files unsound" in done.stdout
    acknowledged = re.search(r"(\d+) events acknowledged", done.stdout)
    assert acknowledged is not None
    assert int(acknowledged[1]) > 100, "the child hardly wrote anything; the test would show nothing"


def test_the_loop_sees_what_is_lost_and_what_is_strange(tmp_path: Path) -> None:
    """A screen that showed more than the record has, or something else, does not pass."""
    path = tmp_path / "judged.balmbook"
    with Project.create(path) as project:
        project.append("s1", 1, whole_batch()[:9])
        state = fold(project.events("s1"))
    tally = crash_window.WindowTally()
    crash_window.examine(path, {"s1": {what(state)}}, tally)
    assert (tally.lost, tally.strange, tally.unsound) == (0, 0, 0)
    crash_window.examine(path, {"s1": {"10|melt|0||1.000000", f"9|pour|0||{state.at_s:.6f}"}}, tally)
    assert (tally.lost, tally.strange) == (1, 1)
    crash_window.judge_resume(("s1", state), ["ready"], tally)  # nothing was offered
    assert tally.badly_taken_up == 1
    offered = [f"resume s1 {what(state)}", "held s1 HOLDING"]
    crash_window.judge_resume(("s1", state), offered, tally)  # on hold, though nothing was hot
    assert not state.hot
    assert tally.badly_taken_up == 2
    assert not tally.good
