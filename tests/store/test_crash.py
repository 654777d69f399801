"""Twenty rounds of the crash loop on the real store; `python -m tests.crash` runs more."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest


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
