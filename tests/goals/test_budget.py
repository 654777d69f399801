"""The error budget tells what it says it tells."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.goals.budget import ALL, errors
from tests.goals.cupboard import CUPBOARD
from tests.goals.pots import Pot, cool
from workbench.core.heat.blend import Blend
from workbench.core.heat.cooling import describe


@pytest.fixture(scope="module")
def pots() -> list[Pot]:
    return cool(list(range(53_000, 53_010)))


@pytest.mark.slow
def test_perfect_readings_leave_less_error(pots: list[Pot]) -> None:
    as_is, perfect = ALL[0], ALL[-1]
    plain, clean = (np.abs(errors(pots, told, 0.5)) for told in (as_is, perfect))
    assert len(plain) == len(clean) >= 5
    assert clean.mean() < plain.mean()


@pytest.mark.slow
def test_what_is_told_is_the_truth(pots: list[Pot]) -> None:
    pot = pots[0]
    prior = describe(Blend.of(pot.composition, CUPBOARD), pot.vessel, pot.mass_g)
    by_what = {told.what: told for told in ALL}
    level = by_what["how draughty the place is"].jug(pot, prior)
    assert math.exp(level.ln_loss) == pytest.approx(pot.conditions.draught_level)
    counter = by_what["the counter it stands on"].jug(pot, prior)
    assert counter.base_w_k / prior.base_w_k == pytest.approx(pot.conditions.base_w_m2_k / 15)
