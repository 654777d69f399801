"""Asking the computer to stay awake while a batch runs: best effort only.

The maker may close the lid all the same, so nothing relies on it: the clocks
are compared at every look and tell the truth (`devices/clock.py`).
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from typing import Protocol

MOST_BEGUN = 3  # a tool that ends at once, for want of anybody to ask, is not begun again at every look


class Awake(Protocol):
    def keep(self, why: str) -> bool:
        """Ask to stay awake; True where somebody seems to have listened."""

    def release(self) -> None: ...


@dataclass(slots=True)
class NoAwake:
    """Asks nobody."""

    held: bool = False

    def keep(self, why: str) -> bool:
        self.held = True
        return False

    def release(self) -> None:
        self.held = False


@dataclass(slots=True)
class ChildAwake:
    """Holds a small system tool of the desktop open for as long as it is needed.

    The tools end their request when they end, so a crash of ours leaves
    nothing behind: they wait on a pipe that closes with us.
    """

    command: tuple[str, ...]
    _child: subprocess.Popen[bytes] | None = field(default=None, repr=False)
    _begun: int = field(default=0, repr=False)

    def keep(self, why: str) -> bool:
        if self._child is not None and self._child.poll() is None:
            return True
        if self._begun >= MOST_BEGUN:
            return False
        self._begun += 1
        self._forget()
        try:
            self._child = subprocess.Popen(
                [part.replace("{why}", why) for part in self.command],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
        except OSError:
            self._child = None
            return False
        return True

    def release(self) -> None:
        self._begun = 0
        self._forget()

    def _forget(self) -> None:
        child, self._child = self._child, None
        if child is None:
            return
        if child.stdin is not None:
            child.stdin.close()
        if child.poll() is None:
            child.terminate()
        try:
            child.wait(timeout=2)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


def open_awake() -> Awake:
    """What this system offers: systemd on Linux, caffeinate on macOS, a flag on Windows, else nothing."""
    if sys.platform.startswith("linux") and shutil.which("systemd-inhibit"):
        return ChildAwake(
            (
                "systemd-inhibit",
                "--what=sleep:idle",
                "--who=Balmbook",
                "--why={why}",
                "cat",
            )
        )
    if sys.platform == "darwin" and shutil.which("caffeinate"):
        return ChildAwake(("caffeinate", "-i", "cat"))
    if sys.platform == "win32":
        return _WindowsAwake()
    return NoAwake()


class _WindowsAwake:
    """SetThreadExecutionState, as the Windows documentation describes it."""

    _CONTINUOUS = 0x80000000
    _SYSTEM_REQUIRED = 0x00000001

    def keep(self, why: str) -> bool:
        return self._set(self._CONTINUOUS | self._SYSTEM_REQUIRED)

    def release(self) -> None:
        self._set(self._CONTINUOUS)

    @staticmethod
    def _set(flags: int) -> bool:
        import ctypes

        library = getattr(ctypes, "windll", None)
        return library is not None and bool(library.kernel32.SetThreadExecutionState(flags))
