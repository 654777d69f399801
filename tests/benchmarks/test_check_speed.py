"""The check follows typing; bounds are loose enough for a busy machine, the printed figures are what counts."""

from __future__ import annotations

from tests.benchmarks.check_speed import measure


def test_a_recipe_of_forty_lines_is_checked_while_one_types() -> None:
    taken = measure()
    # a stall of the machine must not fail the build: the median of many calls is compared
    assert taken["limits"] < 10.0
    assert taken["headroom of all oils"] < 20.0
    assert taken["whole check"] < 50.0
