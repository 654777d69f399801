"""The forecast against closed forms, published data and what a kitchen does to readings."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.goals.coffee import coffee
from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.model import Confidence, Figure
from workbench.core.catalogue.shelf import Vessel, VesselMaterial
from workbench.core.heat.blend import Blend
from workbench.core.heat.cooling import Guesses, Jug, describe, paths
from workbench.core.heat.forecast import SET_FACTORS, Forecast, Reading, forecast
from workbench.core.heat.learning import merged, teach_vessel
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue

BALM = Blend.of(Composition.of({"beeswax": 20, "shea": 20, "almond": 60}), CUPBOARD)
BEAKER = Vessel(
    key="b", name="B", material=VesselMaterial.GLASS, holds_ml=250, empty_g=110, inner_diameter_mm=66
)


def plain_jug(convection: float, linear: float, capacity: float = 250.0) -> Jug:
    return Jug(
        capacity_j_k=capacity,
        convection_w_k=convection,
        linear_w_k=linear,
        base_w_k=0.0,
        table_j_k=1.0,
        table_loss_w_k=0.0,
        ln_loss=0.0,
        ln_loss_sd=0.3,
        ln_base_sd=0.5,
        set_point_c=-50.0,
        set_point_sd_k=1.0,
        latent_x=np.arange(-45, 5.1, 0.25),
        latent_j_k=np.zeros(201),
    )


def cooled(jug: Jug, start_c: float, room_c: float, seconds: float, steps: int = 400) -> float:
    def one(value: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.array([value])

    guesses = Guesses(one(start_c), one(0), one(room_c), one(-50), one(0), one(0), one(0), np.zeros((2, 1)))
    grid = np.linspace(0, seconds, steps)
    return float(paths(jug, guesses, grid, np.array([0.0, seconds]))[-1, 0])


def test_newton_limit() -> None:
    # T = Ta + (T0 - Ta) exp(-t/tau): 80 °C, room 20 °C, tau 1800 s
    jug = plain_jug(0.0, 250 / 1800)
    for seconds, celsius in ((600, 62.9919), (1800, 42.0728), (3600, 28.1201)):
        assert cooled(jug, 80, 20, seconds) == pytest.approx(celsius, abs=2e-3)


def test_free_convection_alone() -> None:
    # Bejan & Kraus, Heat Transfer Handbook, eq. 3.286: n 1/4, h 10 W/m²K, A 0.0104 m², C 250 J/K, 60 K
    # at first: 16.815069 K after an hour.
    at_40 = 10 * 0.0104 * (40 / 60) ** 0.25
    assert cooled(plain_jug(at_40, 0.0), 80, 20, 3600) - 20 == pytest.approx(16.815069, abs=2e-3)


def test_convection_with_a_linear_part() -> None:
    # d(theta)/dt = -(a theta^1.25 + b theta) is linear in theta^-1/4; UA 0.104 W/K split 0.45 and 0.55 at
    # 40 K, C 250 J/K, 60 K at first: 14.122229 K after an hour, 30 K after 1655.085 s.
    jug = plain_jug(0.45 * 0.104, 0.55 * 0.104)
    assert cooled(jug, 80, 20, 3600) - 20 == pytest.approx(14.122229, abs=2e-3)
    assert cooled(jug, 80, 20, 1655.085) - 20 == pytest.approx(30.0, abs=2e-3)


def test_the_prior_of_a_beaker_is_what_hand_arithmetic_gives() -> None:
    jug = describe(BALM, BEAKER, 100)
    # 100 g at 2.08 J/gK and the wetted half of 110 g of glass at 0.835 J/gK, a quarter of the rest
    assert jug.capacity_j_k == pytest.approx(208 + 0.55 * 92, rel=0.15)
    # 7 to 12 W/m²K over some 100 cm² (natural convection and radiation, 40 K)
    area = 2 * math.pi * 0.033 * 0.0335 + math.pi * 0.033**2
    # and the fin above the filling
    assert 7 < (jug.convection_w_k + jug.linear_w_k) / area < 14


def straight(
    resolution: float = 0.1, every: float = 45.0, count: int = 9, slip: int | None = None
) -> list[Reading]:
    """Readings of a jug that follows a known law: 82 °C, room 21 °C, tau 1500 s."""
    made = []
    for number in range(count):
        at = every * number
        celsius = 21 + 61 * math.exp(-at / 1500)
        if number == slip:
            celsius += 10
        made.append(Reading(at, round(celsius / resolution) * resolution))
    return made


def ask(readings: list[Reading], below: float = 62.0, **more: float) -> Forecast:
    return forecast(readings, BALM, BEAKER, 100, 21, below=[below], **more)  # type: ignore[arg-type]


TRUE_62 = 1500 * math.log(61 / 41)


def test_it_finds_a_known_law() -> None:
    made = ask(straight())
    found = made.crossings[0]
    assert found.median_s is not None
    assert found.median_s == pytest.approx(TRUE_62, rel=0.06)
    assert found.low80_s is not None
    assert found.high80_s is not None
    assert found.low80_s < TRUE_62 < found.high80_s
    assert made.now_c == pytest.approx(21 + 61 * math.exp(-360 / 1500), abs=0.7)
    assert made.rate_k_min < 0
    assert made.next_reading_s > made.now_s


@pytest.mark.parametrize("slip", [0, 2, 4, 7, 8])
def test_one_typing_slip_of_10_k_hardly_moves_it_and_is_asked_about(slip: int) -> None:
    clean, wrong = ask(straight()), ask(straight(slip=slip))
    before, after = clean.crossings[0].median_s, wrong.crossings[0].median_s
    assert before is not None
    assert after is not None
    assert after == pytest.approx(before, abs=0.15 * (TRUE_62 - 360) + 25)
    assert wrong.odd == (slip,)
    assert clean.odd == ()


def test_whole_degrees_and_odd_intervals_are_stood() -> None:
    times = [0, 31, 95, 130, 260, 275, 360]
    readings = [Reading(t, round(21 + 61 * math.exp(-t / 1500))) for t in times]
    found = ask(readings, resolution_k=1.0).crossings[0].median_s
    assert found is not None
    assert found == pytest.approx(TRUE_62, abs=0.2 * (TRUE_62 - 360) + 20)


def test_one_reading_is_enough_to_begin_with_a_wide_range() -> None:
    one, many = ask(straight(count=1)), ask(straight())
    assert one.crossings[0].high80_s is not None
    assert one.crossings[0].low80_s is not None
    assert many.crossings[0].high80_s is not None
    assert many.crossings[0].low80_s is not None
    wide = one.crossings[0].high80_s - one.crossings[0].low80_s
    assert wide > many.crossings[0].high80_s - many.crossings[0].low80_s


def test_unstirred_readings_widen_it_and_ask_for_a_stir() -> None:
    stirred = straight()
    still = [Reading(each.seconds, each.celsius, stirred=False) for each in stirred]
    a, b = ask(stirred), ask(still)
    assert b.now_high80_c - b.now_low80_c > a.now_high80_c - a.now_low80_c
    assert any("Stir 20 s" in line for line in b.says)
    assert not any("Stir 20 s" in line for line in a.says)


def test_the_room_is_the_floor() -> None:
    assert ask(straight(), below=15.0).crossings[0].median_s is None


def test_a_crossing_that_is_past_stays_in_the_past() -> None:
    found = ask(straight(), below=75.0).crossings[0]
    assert found.median_s == pytest.approx(1500 * math.log(61 / 54), abs=30)
    assert found.remaining_s(360) == 0


def test_what_cannot_be_forecast_is_said() -> None:
    with pytest.raises(Trouble, match="at least one reading"):
        ask([])
    with pytest.raises(Trouble, match="order of time"):
        ask(list(reversed(straight())))
    with pytest.raises(Trouble, match="mass"):
        forecast(straight(), BALM, BEAKER, 0, 21)
    oil = Blend.of(Composition.of({"almond": 100}), CUPBOARD)
    assert forecast(straight(), oil, BEAKER, 100, 21).sets is None


def test_a_vessel_that_is_known_narrows_the_first_forecast() -> None:
    past = ask(straight(count=20))
    lesson = past.loss
    taught = BEAKER
    for _ in range(3):
        taught = teach_vessel(taught, [past.loss, past.base])
    blind = ask(straight(count=1)).crossings[0]
    known = forecast(straight(count=1), BALM, taught, 100, 21, below=[62.0]).crossings[0]
    for found in (blind, known):
        assert found.low80_s is not None
        assert found.high80_s is not None
    assert known.median_s is not None
    assert known.median_s == pytest.approx(TRUE_62, rel=0.12)
    assert (known.high80_s or 0) - (known.low80_s or 0) < (blind.high80_s or 0) - (blind.low80_s or 0)
    both = merged(lesson, lesson)
    assert both.value == pytest.approx(lesson.value)
    assert both.batches == 2
    assert both.sd < math.hypot(lesson.sd, 0.12)


def test_the_knee_is_found_where_the_curve_shows_it() -> None:
    # the beaker by its own law, but setting at 54 °C where the recipe says 50 °C
    jug = describe(BALM, BEAKER, 100)
    guesses = Guesses(  # type: ignore[call-arg]
        *(np.array([value]) for value in (72.0, 0.0, 21.0, 54.0, 0.0, 0.0, 0.1)), np.zeros((2, 1))
    )
    grid = np.linspace(0, 2000, 400)
    path = paths(jug, guesses, grid, np.array([0.0, 2000.0]))[:, 0]
    readings = [
        Reading(float(at), round(float(np.interp(max(at - 9, 0), grid, path)), 1))
        for at in range(0, 2000, 40)
    ]
    made = forecast(readings, BALM, BEAKER, 100, 21)
    assert made.set_point_c is not None
    assert made.set_point_c == pytest.approx(54, abs=1.0)
    assert made.set_point_sd_k < BALM.set_point.sd_k
    assert made.set_point_found
    early = forecast(readings[:8], BALM, BEAKER, 100, 21)
    assert not early.set_point_found


def test_calibrated_factors_come_with_the_program_and_are_used() -> None:
    figures = load_catalogue().heat
    assert {"interval_factor", "interval_factor_unstirred", *SET_FACTORS} <= set(figures)
    assert all("seeds" in figures[key].source for key in SET_FACTORS)  # where each comes from is kept with it
    wide = {"interval_factor": Figure(value=2.0, source="test", confidence=Confidence.DERIVED)}
    narrow = forecast(straight(), BALM, BEAKER, 100, 21, below=[62.0], figures=figures).crossings[0]
    broad = forecast(straight(), BALM, BEAKER, 100, 21, below=[62.0], figures=wide).crossings[0]
    assert (broad.high80_s or 0) - (broad.low80_s or 0) > 1.5 * (
        (narrow.high80_s or 0) - (narrow.low80_s or 0)
    )


def test_the_range_of_setting_has_a_factor_for_each_part_of_the_way() -> None:
    def width(share: float, **factors: float) -> float:
        """Of the 80 % range around the start of setting, asked when `share` of the way has gone."""
        figures = {
            key: Figure(value=factors.get(key, 1.0), source="test", confidence=Confidence.DERIVED)
            for key in ("interval_factor", *SET_FACTORS)
        }
        first = forecast(straight(), BALM, BEAKER, 100, 21, figures=figures)
        assert first.sets is not None
        assert first.sets.median_s is not None
        given = [each for each in straight(count=60) if each.seconds <= share * first.sets.median_s]
        sets = forecast(given, BALM, BEAKER, 100, 21, figures=figures).sets
        assert sets is not None
        assert sets.high80_s is not None
        assert sets.low80_s is not None
        return sets.high80_s - sets.low80_s

    quarter, half, late = SET_FACTORS
    for share, own, other in ((0.2, quarter, half), (0.2, quarter, late), (0.85, late, quarter)):
        plain = width(share)
        assert width(share, **{own: 2.0}) == pytest.approx(2 * plain, rel=0.1)
        assert width(share, **{other: 2.0}) == pytest.approx(plain, rel=0.1)


def test_black_coffee_as_published() -> None:
    # Gould & Tobochnik, An Introduction to Computer Simulation Methods; see tests/goals/coffee.py.
    ours, newton, truth = coffee()
    assert truth == pytest.approx(1551, abs=2)
    assert abs(ours) <= 0.20
    assert abs(ours) < abs(newton)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.floats(1, 200), st.floats(-3, 3)), min_size=1, max_size=12),
    st.floats(40, 95),
    st.floats(20, 800),
)
def test_whatever_is_typed_the_answer_is_in_order(
    typed: list[tuple[float, float]], start: float, mass: float
) -> None:
    readings, at, celsius = [], 0.0, start
    for gap, off in typed:
        at += gap
        celsius = max(celsius - 0.02 * gap + off, 15.0)
        readings.append(Reading(at, celsius))
    made = forecast(readings, BALM, BEAKER, mass, 21, below=[50.0, 40.0])
    for found in (*made.crossings, made.sets):
        assert found is not None
        if found.median_s is not None:
            assert math.isfinite(found.median_s)
            assert found.low80_s is None or found.low80_s <= found.median_s
            assert found.high80_s is None or found.median_s <= found.high80_s
    assert math.isfinite(made.now_c)
    assert all(
        later > earlier for earlier, later in zip(made.fan.seconds, made.fan.seconds[1:], strict=False)
    )
