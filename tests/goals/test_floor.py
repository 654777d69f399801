"""What the air to come is worth, on a few made-up pots."""

from __future__ import annotations

from typing import cast

import numpy as np
import pytest

from tests.goals.floor import floor
from tests.goals.pots import Pot


class Fake:
    """A jug that falls a degree in `pace_s` seconds from 80 °C; the limit is 60 °C."""

    limit_c = 60.0

    def __init__(self, pace_s: float) -> None:
        self.times_s = np.arange(30.0, 3000.0, 30.0)
        self.truth_s = np.arange(0.0, 40 * pace_s, 2.0)
        self.truth_c = 80.0 - self.truth_s / pace_s

    def crossing_s(self, celsius: float) -> float | None:
        return Pot.crossing_s(cast("Pot", self), celsius)


def runs(*paces_s: float) -> list[dict[int, Pot]]:
    return [{1: cast("Pot", Fake(pace_s))} for pace_s in paces_s]


def test_the_floor_is_how_far_runs_lie_around_their_mean() -> None:
    # By hand: paces of 36, 40 and 44 s a degree have a mean of 40, so two lie 4 away, over their own length;
    # widened by sqrt(3/2), for the mean is that of the three runs themselves.
    by_hand = sorted(1.5**0.5 * each for each in (0.0, 4 / 44, 4 / 36))
    for each in floor(runs(40.0, 44.0, 36.0)):
        assert each.median == pytest.approx(by_hand[1], rel=0.02)
        assert each.pots == 1


def test_without_any_draught_there_is_nothing_that_cannot_be_known() -> None:
    assert [each.median for each in floor(runs(40.0, 40.0, 40.0))] == pytest.approx([0.0] * 3, abs=1e-6)
