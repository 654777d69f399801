"""Temperatures packed close together are the same values as those that were put in."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workbench.core.batch.log import Log
from workbench.core.batch.readings import NEWEST, Reading, Readings
from workbench.testing import BEGIN


def reading(number: int, tenths: int = 650, wall: datetime = BEGIN) -> Reading:
    at = wall + timedelta(seconds=number + 0.123456)
    return Reading(
        number, f"step {tenths % 7}", float(number), at, tenths / 10, tenths / 10 + 0.4, f"{tenths / 10}",
        tenths % 2 == 0, tenths % 3 == 0,
    )  # fmt: skip


PACKED = [reading(number, number % 900) for number in range(5 * NEWEST)]


@given(st.lists(st.tuples(st.integers(0, NEWEST), st.integers(0, 1)), max_size=60))
@settings(max_examples=50, deadline=None)
def test_every_version_stays_what_it_was(appends: list[tuple[int, int]]) -> None:
    """Grown at any of its versions, and far enough that what those show is packed meanwhile."""
    length = 2 * NEWEST - 20  # soon packed
    log: Log[Reading] = Readings(PACKED[:length])
    versions = [(log, PACKED[:length])]
    for back, other in appends:
        log, expected = versions[-1 - min(back, len(versions) - 1)]
        item = reading(len(expected), other)
        versions.append((log.plus(item), [*expected, item]))
    for log, expected in versions:
        assert list(log) == expected
        assert log == Readings(expected)
        assert log[-3:] == tuple(expected[-3:])
        assert log[0] == expected[0]


def test_a_packed_reading_is_whole_to_the_last_digit() -> None:
    log = Readings(PACKED)
    assert list(log) == PACKED
    with pytest.raises(IndexError):
        log[len(PACKED)]
    for packed, given_in in zip(log, PACKED, strict=True):
        assert packed.wall.utcoffset() == given_in.wall.utcoffset()
        assert type(packed.stirred) is type(packed.sure) is bool


def test_the_hour_that_comes_twice_keeps_which_one_it_was() -> None:
    """On 25 October 2026 clocks in Paris went from 3:00 back to 2:00 (tz database, rule EU)."""
    paris = ZoneInfo("Europe/Paris")
    first = datetime(2026, 10, 25, 2, 30, tzinfo=paris)
    walls = [first, first.replace(fold=1), first.replace(tzinfo=UTC), first.replace(tzinfo=None)]
    given_in = [replace(PACKED[number], wall=walls[number % 4]) for number in range(4 * NEWEST)]
    log = Readings(given_in)
    for packed, one in zip(log, given_in, strict=True):
        assert (packed.wall, packed.wall.fold, packed.wall.utcoffset()) == (
            one.wall, one.wall.fold, one.wall.utcoffset()
        )  # fmt: skip
    assert [log[at].wall.utcoffset() for at in (0, 1)] == [timedelta(hours=2), timedelta(hours=1)]


def test_eight_hours_of_seconds_take_less_than_two_megabytes() -> None:
    tracemalloc.start()
    try:
        log: Log[Reading] = Readings()
        before, _ = tracemalloc.get_traced_memory()
        for number in range(28_800):
            log = log.plus(reading(number, 600 + number % 70))
        after, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert after - before < 2_000_000
    assert len(log) == 28_800
