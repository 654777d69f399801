"""What stands on the card, from the state alone."""

from __future__ import annotations

from itertools import combinations

import pytest
from PySide6.QtCore import QRectF

from workbench.core.batch import commands as ask
from workbench.core.batch.steps import NeedKind
from workbench.testing import Maker, begin, sample_plan
from workbench.ui.bench import now as look
from workbench.ui.bench.curve_data import (
    INSET,
    Mark,
    Naming,
    Point,
    Tone,
    labels_that_fit,
    names_apart,
    with_gaps,
)
from workbench.ui.bench.now import Clockwork
from workbench.ui.bench.temperature_face import TemperatureShown, Trend, Where, trend_of
from workbench.ui.bench.words import countdown_words, elapsed_words


def at(step: str) -> Maker:
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to(step)
    return maker


def test_numbers_of_ticks_and_answers_run_on() -> None:
    state = at("melt:bath").state
    numbers = [option.number for option in look.options(state)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len({(option.need, option.value) for option in look.options(state)}) == len(numbers)


def test_a_hot_step_takes_a_number_as_the_temperature() -> None:
    need = look.need_now(at("melt:bath").state)
    assert need is not None
    assert need.kind is NeedKind.TEMPERATURE


def test_a_weight_comes_before_another_reading_once_one_was_taken() -> None:
    maker = at("pour:1")
    maker.read_cautions()
    first = look.need_now(maker.state)
    assert first is not None
    assert first.kind is NeedKind.TEMPERATURE
    maker.read()
    second = look.need_now(maker.state)
    assert second is not None
    assert second.key == "tin:1"
    chosen = look.need_now(maker.state, first.key)
    assert chosen is not None
    assert chosen.key == first.key


def test_the_rate_is_what_the_readings_say() -> None:
    maker = at("melt:bath")
    maker.read_cautions()
    for celsius in (40.0, 44.0, 48.0):
        maker.read(celsius)
        maker.wait(60.0)
    assert look.rate_k_min(maker.state) == pytest.approx(4.0, abs=0.1)


def test_one_reading_has_no_rate() -> None:
    maker = at("melt:bath")
    maker.read_cautions()
    maker.read(40.0)
    assert look.rate_k_min(maker.state) is None


def test_a_reading_grows_stale_and_a_new_one_is_fresh() -> None:
    maker = at("cool")
    maker.read_cautions()
    maker.read()
    now_s = maker.conductor.now_s()
    assert not look.temperature_shown(maker.state, now_s + 30).stale
    assert look.temperature_shown(maker.state, now_s + 400).stale


def test_a_rate_is_as_old_as_its_reading() -> None:
    maker = at("melt:bath")
    maker.read_cautions()
    for celsius in (40.0, 44.0):
        maker.wait(60.0)
        maker.read(celsius)
    now_s = maker.conductor.now_s()
    assert look.temperature_shown(maker.state, now_s + 5).rate_k_min == pytest.approx(4.0, abs=0.1)
    later = look.temperature_shown(maker.state, now_s + 600)
    assert later.stale
    assert later.rate_k_min is None


def test_before_fragrance_a_minute_is_old() -> None:
    maker = at("add")
    maker.read_cautions()
    maker.read()
    now_s = maker.conductor.now_s()
    assert not look.temperature_shown(maker.state, now_s + 59).stale
    assert look.temperature_shown(maker.state, now_s + 61).stale


def test_the_timer_counts_down_then_over_by_time_alone() -> None:
    maker = at("stir")
    begun_s = maker.conductor.now_s()
    total_s = maker.step.timer_s
    assert total_s is not None
    down = look.timer_shown(maker.state, begun_s + 10)
    assert down.kind is Clockwork.DOWN
    over = look.timer_shown(maker.state, begun_s + total_s + 25)
    assert over.kind is Clockwork.OVER
    assert over.seconds == pytest.approx(25, abs=3)


def test_a_burst_then_a_stir_then_a_reading() -> None:
    from workbench.core.recipe.model import Heat

    conductor, clock, _ = begin(sample_plan(heat=Heat.MICROWAVE))
    maker = Maker(conductor, clock)
    melt = next(each.step.id for each in maker.state.steps if look.has_bursts(each.step))
    maker.go_to(melt)
    maker.read_cautions()
    maker.send(ask.StartBurst(melt, conductor.rules.next_burst_s(maker.state)))
    assert look.timer_shown(maker.state, conductor.now_s()).kind is Clockwork.BURST
    clock.advance(5)
    maker.send(ask.EndBurst(melt))
    stir = look.timer_shown(maker.state, conductor.now_s() + 4)
    assert stir.kind is Clockwork.STIR
    assert stir.seconds == pytest.approx(look.STIR_S - 4)
    maker.send(ask.Stir(melt))
    assert look.timer_shown(maker.state, conductor.now_s()).kind is Clockwork.READ


def test_opening_is_foretold_by_the_cooling_seen() -> None:
    maker = at("cool")
    maker.read_cautions()
    below_c = maker.state.temperatures.add_below_c
    assert below_c is not None
    maker.wait(310)  # so long that no trend of before is held against it
    maker.read(below_c + 8.5)
    maker.wait(60)
    maker.read(below_c + 6.5)
    # 8 K to go (1.5 K under the limit) at 2 K a minute: 4 minutes
    assert look.opens_in_s(maker.state, maker.conductor.now_s()) == pytest.approx(240, abs=8)


def test_bands_name_what_is_in_force() -> None:
    maker = at("melt:bath")
    tones = {band.tone for band in look.bands_of(maker.state, look.BandNames())}
    assert tones == {Tone.WINDOW, Tone.FLOOR, Tone.AIM, Tone.CEILING}
    names = look.BandNames()
    assert names.melt_ceiling in [band.label for band in look.bands_of(maker.state, names)]
    scented = [band.label for band in look.bands_of(at("pour:1").state, names)]
    assert names.melt_ceiling not in scented  # with fragrance in it another ceiling counts
    assert names.melt_out not in scented


@pytest.mark.parametrize(
    ("celsius", "where"),
    [(None, Where.NO_BAND), (50, Where.BELOW), (60, Where.INSIDE), (70, Where.ABOVE), (90, Where.DANGER)],
)
def test_where_a_reading_lies(celsius: float | None, where: Where) -> None:
    assert TemperatureShown(celsius, low_c=55, high_c=65, danger_c=90).where is where


def test_a_trend_needs_more_than_noise() -> None:
    assert trend_of(None) is None
    assert trend_of(0.1) is Trend.STEADY
    assert trend_of(2.0) is Trend.RISING
    assert trend_of(-2.0) is Trend.FALLING


def test_gaps_stay_gaps() -> None:
    xs, ys = with_gaps([Point(0, 60, True), Point(60, 61, True), Point(4_000, 40, True)])
    assert len(xs) == 4
    assert ys[2] != ys[2]  # not a number: no line is drawn there


@pytest.mark.parametrize("gap", [0.0, 0.02, 0.05, 0.1, 0.15])
def test_names_of_lines_that_lie_close_do_not_stand_on_one_another(gap: float) -> None:
    tall, wide = 0.08, 0.2
    names = [
        Naming(0.5 + gap, wide, False, False),
        Naming(0.5, wide, True, False),
        Naming(0.6, 0.1, False, True),
    ]
    boxes = []
    for name, (above, moved) in zip(names, names_apart(names, tall), strict=True):
        begin = INSET + moved if name.left else 1 - INSET - moved - name.wide
        low = name.at if above else name.at - tall
        boxes.append(QRectF(begin, low, name.wide, tall))
    for one, other in combinations(boxes, 2):
        common = one.intersected(other)
        assert min(common.width(), common.height()) < 1e-9, (one, other)
    assert all(QRectF(0, 0, 1, 1).contains(box) for box in boxes)


def test_names_of_lines_far_apart_stay_where_they_belong() -> None:
    names = [Naming(0.9, 0.2, False, False), Naming(0.5, 0.2, True, False), Naming(0.2, 0.2, True, False)]
    assert names_apart(names, 0.08) == [(False, 0.0), (True, 0.0), (True, 0.0)]
    assert names_apart([Naming(0.97, 0.2, True, False)], 0.08) == [(False, 0.0)]  # over it there is no room


def test_labels_give_way_by_rank_and_stay_inside() -> None:
    marks = (Mark(500, "off the heat", 1), Mark(520, "fragrance in", 2), Mark(990, "pour", 1))
    kept = labels_that_fit(marks, 0, 1_000, 0.01)
    assert {mark.label: left for mark, left in kept.items()} == {"fragrance in": False, "pour": True}


@pytest.mark.parametrize(
    ("seconds", "words"), [(0, "0:00"), (5, "0:05"), (65, "1:05"), (3_725, "1:02:05"), (-5, "-0:05")]
)
def test_times_as_written(seconds: float, words: str) -> None:
    assert elapsed_words(seconds) == words


def test_a_countdown_ends_at_zero_and_not_before() -> None:
    assert countdown_words(0.2) == "0:01"
    assert countdown_words(0.0) == "0:00"
    assert countdown_words(30.0) == "0:30"
