"""A small fixed part of the learning curve, for every run of the tests.

The whole is `python -m tests.goals.learning`.  Three families of small batches (they cool soon) are few; they catch a teaching
that broke, not one that is a little off.
"""

from __future__ import annotations

from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from tests.goals.learning import FIRST_SEED, Asked, gains, measure, show


@pytest.fixture(scope="module")
def rows() -> list[Asked]:
    return measure(3, first_seed=31_285, taught_by=(0, 3))


def of(rows: list[Asked], batches: int) -> list[Asked]:
    return [row for row in rows if row.moment == "first reading" and row.batches == batches]


@pytest.mark.slow
def test_three_batches_of_the_same_jug_narrow_the_first_forecast(rows: list[Asked]) -> None:
    blind, known = of(rows, 0), of(rows, 3)
    assert len(blind) == len(known) == 3
    assert np.mean([row.width_s for row in known]) < 0.9 * np.mean([row.width_s for row in blind])
    assert np.mean([row.relative for row in known]) < 1.1 * np.mean([row.relative for row in blind])


@pytest.mark.slow
def test_the_table_pairs_the_same_pots(rows: list[Asked]) -> None:
    console = Console(width=140, record=True, file=StringIO())
    show(rows, console)
    assert "at home" in console.export_text()
    assert "mean error with 3 over that with none" in gains(rows)
    assert FIRST_SEED > 950_000  # apart from the seeds of tuning, calibration and the other goals
