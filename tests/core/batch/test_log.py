"""A log is a value: a version never changes, whatever is appended to whichever version."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.core.batch.log import Log


@given(st.lists(st.tuples(st.integers(0, 5), st.integers())))
def test_every_version_stays_what_it_was(appends: list[tuple[int, int]]) -> None:
    versions: list[tuple[Log[int], list[int]]] = [(Log(), [])]
    for back, item in appends:
        log, expected = versions[-1 - min(back, len(versions) - 1)]
        versions.append((log.plus(item), [*expected, item]))
    for log, expected in versions:
        assert list(log) == expected
        assert len(log) == len(expected)
        assert log == Log(expected)
        assert log[-3:] == tuple(expected[-3:])


def test_it_is_read_like_any_sequence() -> None:
    log = Log([1, 2, 3])
    assert log[0] == 1
    assert log[-1] == 3
    assert 2 in log
    assert log != [1, 2, 3]
    assert repr(log) == "Log([1, 2, 3])"
    longer = log.plus(4)
    with pytest.raises(IndexError):
        log[3]
    assert longer[3] == 4


def test_the_same_thing_told_twice_is_shared() -> None:
    log = Log([1])
    tried, told, other = log.plus(2), log.plus(2), log.plus(3)
    assert tried == told
    assert tried._shared is told._shared
    assert other == Log([1, 3])
    assert tried == Log([1, 2])


def test_growing_a_long_log_costs_no_more_than_a_short_one() -> None:
    def cost(length: int) -> float:
        log = Log(range(length))
        started = time.process_time()
        for item in range(2000):
            log = log.plus(item)
        return time.process_time() - started

    short, long = min(cost(10) for _ in range(5)), min(cost(100_000) for _ in range(5))
    assert long < 3 * short
