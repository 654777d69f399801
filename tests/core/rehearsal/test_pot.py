"""The simulated kitchen against what everybody who makes balm knows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.shelf import Tin, TinShape, Vessel, VesselMaterial
from workbench.core.rehearsal import pot
from workbench.core.rehearsal.pot import Heating, Kitchen

BEAKER = Vessel(
    key="beaker",
    name="Beaker",
    material=VesselMaterial.GLASS,
    holds_ml=250,
    empty_g=110,
    inner_diameter_mm=66,
)
TIN = Tin(key="tin", name="Tin", shape=TinShape.ROUND, diameter_mm=48, fill_height_mm=8.3)
BASE = {"beeswax": 20.0, "shea": 20.0, "almond": 60.0}


def kitchen(seed: int) -> Kitchen:
    made = Kitchen(CUPBOARD, seed, vessel=BEAKER)
    made.put_in(BASE)
    return made


def melted(seed: int) -> Kitchen:
    made = kitchen(seed)
    made.into_bath(90)
    while not made.clear and made.now_s < 4000:
        made.stir(10)
        made.pass_time(60)
    return made


@pytest.mark.parametrize("seed", [1, 2])
def test_a_small_batch_melts_over_a_bath_in_10_to_20_minutes(seed: int) -> None:
    # Common practice, no source.
    made = melted(seed)
    assert made.clear
    assert 8 * 60 <= made.now_s <= 20 * 60
    assert made.mean_c < made.bath_c  # never hotter than its bath
    assert made.highest_c <= 100


def test_a_poured_tin_sets_within_two_hours() -> None:
    # Common practice, no source: one to two hours.
    made = melted(3)
    made.off_the_heat()
    set_c = made.set_point_c
    assert set_c is not None
    while made.mean_c > set_c + 5:
        made.stir()
        made.pass_time(60)
    made.pour(TIN, 13)
    made.pass_time(7200)
    assert made.tins_centre_c()[0] < made.room_c + 3
    made.pour(TIN, 13)
    assert len(made.tins_centre_c()) == 2


def test_the_same_seed_gives_the_same_day() -> None:
    one, other = melted(5), melted(5)
    assert [one.read() for _ in range(3)] == [other.read() for _ in range(3)]
    assert one.mean_c == other.mean_c
    assert kitchen(6).conditions != kitchen(7).conditions


def test_an_oven_burst_warms_and_leaves_a_hot_spot() -> None:
    made = kitchen(8)
    before = made.mean_c
    made.start_oven()
    assert made.heating is Heating.OVEN
    made.pass_time(30)
    made.off_the_heat()
    assert made.mean_c > before + 1
    assert made.highest_c > made.mean_c + 1
    hot = made.highest_c
    made.stir()
    made.pass_time(20)
    assert made.mean_c < hot
    # no more heat than an oven of 1200 W can give in 28 s
    joules = made.composition.mass_g * 2.05 * (made.mean_c - before)
    assert joules < 28 * 1200


def test_fragrance_at_room_temperature_cools_the_jug_by_its_share() -> None:
    made = melted(9)
    before = made.mean_c
    made.put_in({"mct": 5.0})
    fall = before - made.mean_c
    expected = (before - made.room_c) * 5 / 105  # hand arithmetic, equal heat capacities, no wall
    assert 0.5 * expected < fall <= 1.05 * expected
    assert made.composition.mass_g == pytest.approx(105)


def test_the_scale_and_the_probe_are_only_as_good_as_they_are() -> None:
    made = kitchen(10)
    readings = [made.read() for _ in range(50)]
    assert all(round(value / 0.1, 6) == pytest.approx(round(value / 0.1)) for value in readings)
    assert max(readings) - min(readings) > 0.2
    assert made.weigh(12.34, 0.1) == pytest.approx(12.3, abs=0.4)


def test_a_bath_loses_water_and_can_be_topped_up() -> None:
    made = melted(11)
    before = made.bath_g
    made.pass_time(600)
    assert made.bath_g < before
    made.top_up_bath(300)
    assert made.bath_g > before


def test_long_steps_where_nothing_is_done_come_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Against steps as short as while something is done: the same melt and the same set tins, within a reading's worth."""
    calm = replace(kitchen(12).conditions, draught_wander=0.0)

    def batch() -> tuple[float, list[float]]:
        made = Kitchen(CUPBOARD, 12, vessel=BEAKER, conditions=calm)
        made.put_in({"beeswax": 9.0, "shea": 9.0, "almond": 27.0})
        made.into_bath(90)
        while not made.clear:
            made.pass_time(10)
        melted_s = made.now_s
        made.off_the_heat()
        made.pass_time(240)
        seen = [made.mean_c]
        for _ in range(3):
            made.pour(TIN, 13)
        for _ in range(4):
            made.pass_time(900)
            seen += [made.tins_centre_c()[0], made.mean_c]
        return melted_s, seen

    long_s, long_c = batch()
    monkeypatch.setattr(pot, "BATH_STEP_S", pot.BUSY_STEP_S)
    monkeypatch.setattr(pot, "REST_STEP_S", pot.QUIET_STEP_S)
    monkeypatch.setattr(pot, "FILM_S", 0.0)
    short_s, short_c = batch()
    assert long_s == pytest.approx(short_s, rel=0.05)
    assert long_c == pytest.approx(short_c, abs=0.3)


def test_long_steps_are_for_gel_only() -> None:
    made = melted(13)
    body = made._jug
    assert body is not None
    assert body.rest_s(2.0, 10.0) == 2.0
    body.gelled[:] = True
    assert 2.0 <= body.rest_s(2.0, 10.0) <= 10.0
