"""The real clocks of this computer, and the choice between those of others."""

from __future__ import annotations

import sys
import time
from datetime import datetime, timedelta

import pytest

from workbench.devices import clock


def test_the_counters_move_on_and_wall_time_has_its_offset() -> None:
    real = clock.SystemClock()
    first, second = real.read(), real.read()
    assert second.running_s >= first.running_s
    assert second.awake_s >= first.awake_s
    assert first.wall.utcoffset() is not None
    assert abs(second.wall - datetime.now().astimezone()) < timedelta(seconds=5)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="as clock_gettime(2) of Linux describes it")
def test_on_linux_the_running_clock_counts_suspend() -> None:
    """clock_gettime(2): CLOCK_BOOTTIME is CLOCK_MONOTONIC plus time suspended; /proc/uptime counts it too."""
    real = clock.SystemClock().read()
    assert abs(real.running_s - time.clock_gettime(time.CLOCK_BOOTTIME)) < 5
    assert abs(real.awake_s - time.clock_gettime(time.CLOCK_MONOTONIC)) < 5
    with open("/proc/uptime", encoding="ascii") as file:  # noqa: PTH123 - one line of the kernel
        uptime_s = float(file.read().split()[0])
    assert abs(real.running_s - uptime_s) < 5
    assert len(real.boot) == 36  # a UUID, new with each start of the computer
    assert real.boot == clock.boot_name("linux")


def test_elsewhere_one_counter_serves_for_both() -> None:
    running, awake = clock.counters("plan9")
    assert running is time.monotonic
    assert awake is time.monotonic
    assert clock.boot_name("plan9") == ""


@pytest.mark.skipif(not hasattr(time, "CLOCK_MONOTONIC_RAW"), reason="the names exist on POSIX only")
def test_the_clocks_of_macos_are_asked_by_their_names() -> None:
    running, awake = clock.counters("darwin")
    assert abs(running() - time.clock_gettime(time.CLOCK_MONOTONIC_RAW)) < 5
    assert awake() > 0
    if sys.platform != "darwin":
        assert clock.boot_name("darwin") == ""  # no such program here: no name, no trouble
