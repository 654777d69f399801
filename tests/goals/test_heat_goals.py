"""A small fixed part of the heat goals, for every run of the tests.

The whole is `python -m tests.goals.heat`.  With so few pots the figures scatter, so the bounds here are
wider than the goals; they catch a forecast that broke, not one that is a little off.
"""

from __future__ import annotations

from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from tests.goals.heat import AT_A_TIME, FIRST_SEED, many_pots, show
from tests.goals.heat import at_most as goal_at_most
from tests.goals.ovens import CEILING_C, melt
from tests.goals.pots import Pot
from tests.goals.scoring import at, median, score, with_error


@pytest.fixture(scope="module")
def pots() -> list[Pot]:
    return many_pots([70_000 + number for number in range(24)], None, lambda: None)


@pytest.mark.slow
def test_the_forecast_keeps_near_its_goals_on_a_few_pots(pots: list[Pot]) -> None:
    rows = score(pots)
    assert len(rows) > 40
    for moment, bound in ((0.25, 0.15), (0.5, 0.16), (0.75, 0.24)):
        assert float(np.median([abs(row.relative) for row in at(rows, moment)])) < bound
    assert np.mean([row.within(0.20, 60) for row in rows]) > 0.75
    assert 0.6 < np.mean([row.inside for row in rows]) < 0.97
    ours = np.median([abs(row.error_s) for row in rows])
    assert ours < np.median([abs(row.newton_s) for row in rows])
    assert ours < np.median([abs(row.linear_s) for row in rows])


@pytest.mark.slow
def test_the_start_of_setting_keeps_near_its_goal_on_a_few_pots(pots: list[Pot]) -> None:
    rows = score(pots, setting=True, moments=(0.25, 0.5))
    assert float(np.median([abs(row.relative) for row in rows])) < 0.2


def test_ovens_stay_below_the_ceiling() -> None:
    melts = [melt(71_000 + seed) for seed in range(120)]
    assert sum(each.highest_mean_c > CEILING_C for each in melts) <= 2
    assert max(each.highest_mean_c for each in melts) <= CEILING_C + 5
    assert np.median([each.bursts for each in melts]) <= 11


def test_small_batches_cannot_be_promised() -> None:
    # Below 50 g the rule refuses; nothing is heated at all.
    melts = [melt(72_000 + seed, low_g=20, high_g=45) for seed in range(10)]
    assert all(each.bursts == 0 for each in melts)


def test_with_a_cup_of_water_beside_it_a_small_batch_stays_below_the_ceiling() -> None:
    """20 to 50 g, with a cup of 250 g in the test as in the bursts: what cannot be promised without it."""
    melts = [melt(73_000 + seed, low_g=20, high_g=50, cup_g=250.0) for seed in range(100)]
    assert sum(each.highest_mean_c > CEILING_C for each in melts) <= 1
    assert max(each.highest_mean_c for each in melts) < CEILING_C + 5
    assert sum(each.done for each in melts) >= 99
    assert float(np.median([each.bursts for each in melts])) <= 25
    # a cup that is forgotten from the third burst on may cost quality, and nobody comes over 95 °C
    gone = [melt(73_000 + seed, low_g=20, high_g=50, cup_g=250.0, forgotten=True) for seed in range(100)]
    assert max(each.highest_mean_c for each in gone) < 95.0


def test_the_table_says_by_how_much_a_goal_is_missed() -> None:
    console = Console(width=140, record=True, file=StringIO())
    show([goal_at_most("something", with_error([0.2, 0.2, 0.2], median), 0.07)], console)
    text = console.export_text()
    assert "no" in text
    assert "13.0 %" in text
    assert FIRST_SEED > 100_000  # scored seeds lie apart from those of tuning and calibration
    assert AT_A_TIME > 0
