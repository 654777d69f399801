"""Readings that come faster than anybody looks: what is drawn, and that nothing is left out of it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import Correct
from workbench.ui.bench.curve_data import Point
from workbench.ui.bench.read_points import MOST_DRAWN, ReadPoints, Thinned, peaks
from workbench.ui.bench.sparing import MOST_AT_ONCE, Sparing


class Clock:
    """Seconds that stand still until they are told."""

    at_s = 0.0

    def __call__(self) -> float:
        return self.at_s


def test_a_few_are_drawn_at_once_and_of_many_the_last(qtbot: QtBot) -> None:
    owner, drawn, clock = QObject(), list[int](), Clock()
    asked = [0]
    sparing = Sparing(lambda: drawn.append(asked[0]), owner, per_s=50.0)
    sparing._ration.seconds = clock
    sparing._ration._seen_s = 0.0
    for asked[0] in range(1, 101):
        sparing.ask()
    assert drawn == list(range(1, MOST_AT_ONCE + 1))
    assert sparing.waiting
    clock.at_s = 1.0
    qtbot.waitUntil(lambda: not sparing.waiting)
    assert drawn[-1] == 100
    assert len(drawn) == MOST_AT_ONCE + 1


def test_seldom_is_always_at_once() -> None:
    owner, drawn, clock = QObject(), list[float](), Clock()
    sparing = Sparing(lambda: drawn.append(clock.at_s), owner, per_s=2.0)
    sparing._ration.seconds = clock
    sparing._ration._seen_s = 0.0
    for second in range(1, 200):
        clock.at_s = float(second)
        sparing.ask()
    assert drawn == [float(second) for second in range(1, 200)]
    assert not sparing.waiting


def test_what_was_drawn_for_another_reason_is_not_drawn_again() -> None:
    owner, drawn = QObject(), list[int]()
    sparing = Sparing(lambda: drawn.append(1), owner, per_s=0.001)
    for _ in range(MOST_AT_ONCE + 5):
        sparing.ask()
    sparing.stop()
    assert not sparing.waiting
    assert len(drawn) == MOST_AT_ONCE


def test_a_danger_among_readings_is_never_spared(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench()
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    for _ in range(MOST_AT_ONCE + 10):
        bench.clock.advance(1.0)
        bench.maker.read(60.0)
    bench.maker.read(97.0)
    assert bench.view.card.temperature.words().startswith("97.0 °C")
    assert bench.runner.state.hold is not None


def test_the_last_of_many_readings_is_shown(make_bench: Callable[..., Bench], qtbot: QtBot) -> None:
    bench = make_bench()
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    for tenth in range(MOST_AT_ONCE + 10):
        bench.clock.advance(1.0)
        bench.maker.read(60.0 + tenth / 10)
    qtbot.waitUntil(lambda: "62.9 °C" in bench.view.card.temperature.words(), timeout=3000)
    assert bench.view.curve._table.model().rowCount() == MOST_AT_ONCE + 10


# the curve of a long row


def many(count: int, hottest_at: int) -> list[Point]:
    return [Point(float(at), 99.0 if at == hottest_at else 60.0 + at % 7, True) for at in range(count)]


def test_no_peak_is_left_out_nor_the_first_reading_or_the_last() -> None:
    for count in (10, MOST_DRAWN, MOST_DRAWN + 1, 3000, 28_800):
        points = many(count, count // 3)
        thin = Thinned().of(points)
        assert len(thin) <= MOST_DRAWN + 64
        assert max(thin, key=lambda point: point.celsius) == points[count // 3]
        assert min(point.celsius for point in thin) == min(point.celsius for point in points)
        assert thin == sorted(thin, key=lambda point: point.at_s)
        assert (thin[0], thin[-1]) == (points[0], points[-1])


def test_short_rows_are_drawn_whole() -> None:
    points = many(MOST_DRAWN, 5)
    assert Thinned().of(points) == points
    assert peaks(points[:1]) == points[:1]


def test_a_growing_row_is_thinned_as_if_it_came_at_once(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench()
    bench.go_to("melt:bath")
    bench.runner.blockSignals(True)
    bench.maker.read_cautions()
    grown, row = Thinned(), list[Point]()
    for second in range(1500):
        bench.clock.advance(1.0)
        bench.maker.read(60.0 + second % 5)
        if second % 50 == 49:
            row = grown.of(ReadPoints(bench.state))
    assert row == Thinned().of(ReadPoints(bench.state))
    assert len(row) < MOST_DRAWN
    before = ReadPoints(bench.state)
    first = bench.state.readings[700]
    bench.maker.send(Correct(first.seq, 71.5, "71.5", "misread"))
    after = ReadPoints(bench.state)
    assert not after.follows(before)
    assert after != before
    assert 71.5 in {point.celsius for point in grown.of(after)}
    bench.runner.blockSignals(False)


def test_a_table_that_grows_keeps_its_place(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench()
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    table = bench.view.curve._table
    table.selectRow(0)
    bench.clock.advance(30.0)
    bench.maker.read(42.0)
    bench.settle()
    QTest.qWait(0)
    chosen = table.selectionModel().selectedRows()
    assert [index.row() for index in chosen] == [1]
    assert chosen[0].siblingAtColumn(1).data() == "40.0 °C"
