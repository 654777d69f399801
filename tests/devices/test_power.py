"""Asking the computer to stay awake: held as long as it is needed, let go of whatever happens, never relied on."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys

import pytest

from workbench.devices.power import MOST_BEGUN, ChildAwake, NoAwake, open_awake

WAITS = (sys.executable, "-c", "import sys; sys.stdin.read()", "{why}")


def test_the_tool_runs_from_keep_to_release() -> None:
    awake = ChildAwake(WAITS)
    assert awake.keep("A batch is running")
    child = awake._child
    assert child is not None
    assert "A batch is running" in child.args  # type: ignore[operator]
    assert awake.keep("again")
    assert awake._child is child  # asked at every look: one tool is enough
    assert child.poll() is None
    awake.release()
    assert child.returncode is not None
    awake.release()


def test_a_tool_that_ended_by_itself_is_asked_again() -> None:
    awake = ChildAwake(WAITS)
    awake.keep("a batch")
    first = awake._child
    assert first is not None
    first.kill()
    first.wait(timeout=20)
    assert first.stdin is not None
    first.stdin.close()
    assert awake.keep("a batch")
    assert awake._child is not first
    awake.release()


def test_a_tool_that_ends_at_once_is_not_begun_at_every_look() -> None:
    """Where nobody manages sleep (a container, a bare desktop) the tool is there and has nobody to ask."""
    awake = ChildAwake((sys.executable, "-c", "raise SystemExit(1)"))
    begun = set()
    for _ in range(20):
        awake.keep("a batch")
        child = awake._child
        assert child is not None
        child.wait(timeout=20)
        begun.add(child.pid)
    assert len(begun) == MOST_BEGUN
    assert not awake.keep("a batch")
    awake.release()
    awake.keep("another batch")
    assert awake._child is not None
    awake.release()


def test_without_the_tool_nobody_listens_and_nothing_breaks() -> None:
    awake = ChildAwake(("no-such-tool-anywhere",))
    assert not awake.keep("a batch")
    awake.release()


@pytest.mark.skipif(not hasattr(os, "pidfd_open"), reason="only Linux lets us wait for a process of another")
def test_a_crash_of_ours_leaves_no_tool_behind() -> None:
    words = f"""
import os, signal, sys
from workbench.devices.power import ChildAwake
awake = ChildAwake({WAITS!r})
awake.keep("a batch")
print(awake._child.pid, flush=True)
os.kill(os.getpid(), signal.SIGKILL)
"""
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGKILL, done.stderr
    try:
        tool = os.pidfd_open(int(done.stdout))
    except ProcessLookupError:
        return  # it has ended already
    ended, _, _ = select.select([tool], [], [], 60)
    os.close(tool)
    assert ended


def test_what_each_system_offers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")
    held = open_awake()
    assert isinstance(held, ChildAwake)
    assert held.command[0] == "systemd-inhibit"
    monkeypatch.setattr("sys.platform", "darwin")
    held = open_awake()
    assert isinstance(held, ChildAwake)
    assert held.command[0] == "caffeinate"
    monkeypatch.setattr("shutil.which", lambda _name: None)
    assert isinstance(open_awake(), NoAwake)


def test_nobody_is_asked_where_there_is_nobody() -> None:
    nobody = NoAwake()
    assert not nobody.keep("a batch")
    assert nobody.held
    nobody.release()
    assert not nobody.held
