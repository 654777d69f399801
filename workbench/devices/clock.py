"""The real clocks: one that keeps counting while the computer sleeps, and two others.

Wax cools while the computer sleeps, so steps are timed by a clock that counts
the sleep too.  What each system offers:

Linux    CLOCK_BOOTTIME counts sleep; CLOCK_MONOTONIC stops then.
macOS    CLOCK_MONOTONIC_RAW counts sleep (it is the continuous time of the kernel);
         CLOCK_UPTIME_RAW stops then.
Windows  GetTickCount64 counts sleep, in steps of 10 to 16 ms;
         QueryUnbiasedInterruptTime stops then.
Others   only CLOCK_MONOTONIC, which may or may not count sleep; then a sleep shows
         as a jump of the wall clock.

Only the Linux pair has been run by us, and not through a real suspend: macOS and
Windows follow their documentation from memory.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from workbench.core.batch.ports import ClockReading

Seconds = Callable[[], float]


def _linux() -> tuple[Seconds, Seconds]:
    boottime, monotonic = time.CLOCK_BOOTTIME, time.CLOCK_MONOTONIC
    return (lambda: time.clock_gettime(boottime)), (lambda: time.clock_gettime(monotonic))


def _macos() -> tuple[Seconds, Seconds]:
    raw = time.CLOCK_MONOTONIC_RAW
    uptime = getattr(time, "CLOCK_UPTIME_RAW", time.CLOCK_MONOTONIC)
    return (lambda: time.clock_gettime(raw)), (lambda: time.clock_gettime(uptime))


def _windows() -> tuple[Seconds, Seconds]:
    import ctypes

    kernel = getattr(ctypes, "windll").kernel32  # noqa: B009 - the name exists on Windows only
    kernel.GetTickCount64.restype = ctypes.c_ulonglong

    def running() -> float:
        return float(kernel.GetTickCount64()) / 1e3

    def awake() -> float:
        count = ctypes.c_ulonglong()
        kernel.QueryUnbiasedInterruptTime(ctypes.byref(count))
        return count.value / 1e7  # counted in 100 ns

    return running, awake


def counters(platform: str = sys.platform) -> tuple[Seconds, Seconds]:
    """(counts sleep, stops in sleep), both in seconds from somewhere."""
    if platform.startswith("linux") and hasattr(time, "CLOCK_BOOTTIME"):
        return _linux()
    if platform == "darwin" and hasattr(time, "CLOCK_MONOTONIC_RAW"):
        return _macos()
    if platform == "win32":
        return _windows()
    return time.monotonic, time.monotonic


def boot_name(platform: str = sys.platform) -> str:
    """A name for this run of the computer, or "" where the system gives none.

    The running clock of an interrupted session still holds only within the same run.
    """
    if platform.startswith("linux"):
        try:
            return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
        except OSError:
            return ""
    if platform == "darwin":
        try:
            asked = subprocess.run(
                ["/usr/sbin/sysctl", "-n", "kern.bootsessionuuid"],
                capture_output=True,
                text=True,
                timeout=5,
                check=True,
            )
        except (OSError, subprocess.SubprocessError):
            return ""
        return asked.stdout.strip()
    return ""


class SystemClock:
    """`core.batch.ports.Clock` on the real clocks."""

    def __init__(self) -> None:
        self._running, self._awake = counters()
        self._boot = boot_name()

    def read(self) -> ClockReading:
        """Three clocks at one instant; wall time is local, with its offset."""
        return ClockReading(
            running_s=self._running(),
            awake_s=self._awake(),
            wall=datetime.now().astimezone(),
            boot=self._boot,
        )
