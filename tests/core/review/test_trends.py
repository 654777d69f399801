"""The odd batch by the robust rule, against SciPy and a published worked example."""

from __future__ import annotations

from datetime import timedelta

import pytest
from scipy import stats

from tests.core.review.batches import FIRST, row
from workbench.core.review.trends import (
    FEWEST_TO_JUDGE,
    NORMAL_QUARTILE,
    ODD_OVER,
    Figure,
    robust,
    trend,
    trends,
)

MINUTES = (20.0, 21.0, 19.5, 20.5, 22.0, 35.0, 20.0, 19.0)


def melts(*minutes: float) -> list:  # type: ignore[type-arg]
    return [row(n, melt_s=60.0 * each) for n, each in enumerate(minutes, start=1)]


def test_median_and_mad_are_those_of_a_published_example() -> None:
    """Replicates 145 157 183 151 143 147 153 163 130 148: median 149.5, MAD 5.5 ("Robust - MAD method",
    docslib.org/doc/3866134, worked through there by hand)."""
    data = (145.0, 157.0, 183.0, 151.0, 143.0, 147.0, 153.0, 163.0, 130.0, 148.0)
    rule = robust(data, 0.001)
    assert rule is not None
    assert (rule.middle, rule.mad) == (149.5, 5.5)
    assert [value for value in data if abs(rule.z(value)) > ODD_OVER] == [183.0]


def test_the_spread_is_scipys() -> None:
    rule = robust(MINUTES, 0.001)
    assert rule is not None
    assert rule.mad == pytest.approx(stats.median_abs_deviation(MINUTES))
    assert rule.spread == pytest.approx(stats.median_abs_deviation(MINUTES, scale="normal"), rel=1e-4)
    assert pytest.approx(stats.norm.ppf(0.75), abs=1e-4) == NORMAL_QUARTILE


def test_the_odd_one_is_marked_and_said_why() -> None:
    found = trend(melts(*MINUTES), Figure.MELT)
    assert [point.session for point in found.points] == [f"s{n}" for n in range(1, 9)]  # oldest first
    assert [point.session for point in found.odd] == ["s6"]
    said = found.odd[0].says
    assert said is not None
    assert str(said).startswith("35 min: 14 min 45 s above the middle of these batches, 20 min 15 s.")
    assert found.low is not None
    assert found.high is not None
    assert found.low < 1140 < 1320 < found.high < 2100
    assert found.caution is not None
    assert "prove little" in found.caution


def test_below_is_said_as_below() -> None:
    found = trend(melts(20, 21, 19, 20, 21, 5), Figure.MELT)
    assert "below the middle" in str(found.odd[0].says)


@pytest.mark.parametrize("count", range(1, FEWEST_TO_JUDGE))
def test_of_fewer_than_five_none_is_called_odd(count: int) -> None:
    found = trend(melts(*(20.0, 20.1, 20.2, 90.0)[4 - count :]), Figure.MELT)
    assert found.odd == ()
    assert (found.low, found.high) == (None, None)
    assert found.caution is not None
    assert "fewer than 5" in found.caution


def test_many_need_no_caution() -> None:
    assert trend(melts(*range(20, 33)), Figure.MELT).caution is None


def test_batches_that_agree_to_the_digit_do_not_make_the_next_one_odd() -> None:
    """MAD is 0 there, and every rule without a floor would cry (the reader can tell 20 s from 20 min)."""
    rows = melts(20, 20, 20, 20, 20, 20.5)
    assert stats.median_abs_deviation([20, 20, 20, 20, 20, 20.5]) == 0
    assert trend(rows, Figure.MELT).odd == ()
    assert [p.session for p in trend([*rows, row(7, melt_s=1500.0)], Figure.MELT).odd] == ["s7"]


def test_one_slip_does_not_hide_itself() -> None:
    """With mean and standard deviation the slip stretches the yardstick: of six values none can lie more
    than (n - 1)/sqrt(n) = 2.04 standard deviations out (Shiffler, Am. Stat. 42 (1988) 79)."""
    values = [20.0, 20.2, 19.9, 20.1, 20.0, 90.0]
    assert max(abs(stats.zscore(values, ddof=1))) < 2.05
    assert [p.session for p in trend(melts(*values), Figure.MELT).odd] == ["s6"]


def test_by_recipe_by_vessel_and_the_last_only() -> None:
    rows = [
        row(1, recipe="Noon", melt_s=100.0),
        row(2, vessel="jug_500", melt_s=200.0),
        row(3, melt_s=300.0),
        row(4, end=""),
        row(5, melt_s=None),
    ]
    assert [p.value for p in trend(rows, Figure.MELT, recipe="Noon").points] == [100.0]
    assert [p.value for p in trend(rows, Figure.MELT, vessel="jug_500").points] == [200.0]
    whole = trend(rows, Figure.MELT)
    assert [p.value for p in whole.points] == [100.0, 200.0, 300.0]
    assert whole.missing == 1
    assert [p.value for p in trend(rows, Figure.MELT, last=2).points] == [300.0]
    assert trend([], Figure.MELT).says == "No batch has this on record."
    assert str(trend(rows[:1], Figure.MELT).says) == "The only batch with it on record: 1 min 40 s."


def test_order_is_that_of_time_not_of_the_rows() -> None:
    rows = [row(2, day=1), row(1, day=5)]
    assert [p.session for p in trend(rows, Figure.SINK).points] == ["s2", "s1"]
    assert trend(rows, Figure.SINK).points[0].started == FIRST + timedelta(days=1)


def test_every_figure_reads_its_own_value() -> None:
    found = {each.figure: each for each in trends([row(1, net_g=13.3, target_g=14.0)])}
    assert set(found) == set(Figure)
    values = {figure: each.points[0].value for figure, each in found.items()}
    assert values == {
        Figure.MELT: 1200.0,
        Figure.ADDITION: 60.0,
        Figure.WINDOW: 300.0,
        Figure.WIDTH: 20.0,
        Figure.LOSS: pytest.approx(100 * 2.0 / 44.0),
        Figure.SINK: 0.5,
        Figure.NET: pytest.approx(-5.0),
    }


def test_a_batch_that_was_given_up_before_pouring_lost_nothing_to_the_jug() -> None:
    assert trend([row(1, end="ended early", tins=0)], Figure.LOSS).points == ()
    assert trend([row(1, target_g=None)], Figure.NET).points == ()
