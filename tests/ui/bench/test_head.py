"""What must be done now stands above what scrolls, at every size of letters, with all that belongs to it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from tests.ui.bench.conftest import Bench
from tests.ui.bench.test_near import CHROME, SMALL, hidden_part
from workbench.core.batch.commands import ReadTemperature
from workbench.core.batch.state import BurstPhase
from workbench.core.batch.steps import NeedKind
from workbench.core.recipe.model import Heat
from workbench.core.units import TemperatureUnit, Units
from workbench.testing import sample_plan
from workbench.ui import theme
from workbench.ui.bench.sheet import bench_sheet
from workbench.ui.bench.words import elapsed_words
from workbench.ui.writing import Writer

LOW = (1024, 700 - 2 * CHROME)  # what a window of 1024x700 leaves at 200 % text
STEPS = ("prepare", "weigh:beeswax", "melt", "cool", "add", "stir", "pour:1", "set", "inspect", "weigh_tins")


def counts(bench: Bench) -> list[QWidget]:
    """What a maker at the pot has to find without scrolling."""
    card = bench.view.card
    found: list[QWidget] = [card.place, card.headline]
    found += [each for each in (card.timer, card.temperature, card.burst) if not each.isHidden()]
    need = card.needs.need
    typed = need is not None and need.kind not in (NeedKind.TICK, NeedKind.CHOICE)
    if typed and card.needs.isVisibleTo(card) and not card.bursting:
        found.append(card.needs.entry)  # what is ticked or chosen can be pressed as well
    return found


def cut(bench: Bench) -> list[str]:
    """Words of the head that have less room than they need."""
    return [
        f"{label.text()!r} has {label.height()} of {label.heightForWidth(label.width())} px"
        for label in bench.view.card.head.findChildren(QLabel)
        if label.isVisibleTo(bench.view)
        and label.height() < max(label.heightForWidth(label.width()), QFontMetrics(label.font()).height()) - 2
    ]


@pytest.mark.parametrize("heat", [Heat.WATER_BATH, Heat.MICROWAVE])
def test_nothing_that_counts_is_out_of_sight_at_the_largest_letters(
    make_bench: Callable[..., Bench], qapp: QApplication, heat: Heat
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(sample_plan(heat=heat), size=LOW)
    melt = "melt:bath" if heat is Heat.WATER_BATH else "melt:bursts"
    faults: list[str] = []
    for step in STEPS:
        bench.go_to(melt if step == "melt" else step)
        bench.maker.read_cautions()
        bench.view.near.show_field()  # as at every step that is begun before one's eyes
        bench.settle()
        card = bench.view.card
        faults += [f"{step}: {each}" for each in (*hidden_part(bench, *counts(bench)), *cut(bench))]
        primary = bench.view.primary
        assert bench.view.rect().contains(
            QRect(primary.mapTo(bench.view, primary.rect().topLeft()), primary.size())
        )
        assert not card.temperature.isHidden() or not card.timer.isHidden() or step in ("prepare", "inspect")
    assert not faults, "\n".join(faults)


def test_the_weightiest_caution_gives_way_to_an_alarm_only(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    """A banner of the window takes room as well, and says nothing of what is hot."""
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE), size=(LOW[0], LOW[1] - 60))
    bench.go_to("melt:bursts")
    bench.maker.read_cautions()
    bench.settle()
    assert not bench.view.alarms.shown
    assert not hidden_part(bench, bench.view.card.danger)


def test_the_button_of_a_burst_stays_where_three_ticks_stand_below_it(
    make_bench: Callable[..., Bench],
) -> None:
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE), size=SMALL)
    bench.go_to("melt:bursts")
    bench.maker.read_cautions()
    bench.settle()
    view, card = bench.view, bench.view.card
    view.resize(SMALL[0], 420)  # as little room as many ticks would leave
    bench.settle()
    bar = view.near.scroller.verticalScrollBar()
    assert bar.maximum() > 0
    for at in (bar.maximum(), 0):
        bar.setValue(at)
        assert not hidden_part(bench, card.burst, card.headline)
    bench.key(Qt.Key.Key_F5)
    assert bench.burst() is BurstPhase.RUNNING
    for at in (bar.maximum(), 0):
        bar.setValue(at)
        assert not hidden_part(bench, card.burst, card.timer)


def test_what_is_to_be_weighed_is_the_largest_figure(bench: Bench) -> None:
    bench.go_to("weigh:beeswax")
    bench.wait(30.0)
    card = bench.view.card
    need = card.needs.need
    assert need is not None
    assert need.target is not None
    assert card.timer.digits.text() == card.needs.value_of(need, need.target)
    assert card.timer.digits.isVisibleTo(bench.view)
    assert "good from" in card.timer.caption.text()
    assert not card.needs.target.isVisibleTo(bench.view)  # and it is said once
    digits = QFontMetrics(card.timer.digits.font()).height()
    others = [each for each in card.findChildren(QLabel) if each.isVisibleTo(bench.view)]
    assert all(QFontMetrics(each.font()).height() < digits for each in others)


@pytest.mark.parametrize("step", ["prepare", "inspect"])
def test_a_clock_that_nobody_waits_for_is_not_shown(bench: Bench, step: str) -> None:
    bench.go_to(step)
    bench.wait(30.0)
    assert not bench.view.card.timer.isVisibleTo(bench.view)
    bench.view.show_far(True)
    bench.settle()
    assert not bench.view.far.timer.isVisibleTo(bench.view)


def test_how_long_a_hot_step_has_been_going_on_is_said(bench: Bench) -> None:
    bench.work_on("cool")
    begun_s = bench.state.current.begun_at_s if bench.state.current is not None else None
    assert begun_s is not None
    bench.wait(64.0)
    gone = elapsed_words(bench.runner.now_s() - begun_s)
    assert bench.view.card.total.text() == f"{gone} in this step"


@pytest.mark.parametrize(
    ("step", "hot"), [("weigh:beeswax", False), ("melt:bath", True), ("pour:1", True), ("set", False)]
)
def test_a_hot_step_says_so_by_sign_and_word(bench: Bench, step: str, hot: bool) -> None:
    bench.go_to(step)
    head = bench.view.card.head
    assert head.hot.isVisibleTo(bench.view) is hot
    assert head.hot_says.text() == "Hot"


def test_one_alarm_at_a_time_where_the_window_is_low(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    """The weightiest with its button; how many wait is said."""
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(size=LOW)
    bench.work_on("melt:bath")
    bench.wait(30.0)
    bench.maker.read(50.0)
    bench.wait(600.0)  # a fresh reading is long due
    bench.runner.send(ReadTemperature("melt:bath", 97.0, "97", True, sure=True))
    bench.settle()
    alarms = bench.view.alarms
    shown = [row for row in alarms._rows if row.isVisibleTo(bench.view)]
    assert len(alarms.shown) > 1
    assert len(shown) == 1
    assert shown[0].key == alarms.shown[0].key
    assert f"and {len(alarms.shown) - 1} more" in shown[0].title.text()
    assert not hidden_part(bench, bench.view.card.headline, bench.view.card.temperature)
    assert not cut(bench)
    first = alarms.shown[0].key
    bench.key(Qt.Key.Key_F7)
    assert [row.key for row in alarms._rows if row.isVisibleTo(bench.view)] != [first]  # the next comes up
    bench.view.resize(1280, 1400)
    bench.settle()
    assert sum(row.isVisibleTo(bench.view) for row in alarms._rows) == len(alarms.shown)


def test_the_bar_and_the_words_name_the_same_ceiling(bench: Bench) -> None:
    """73.8 °C: a ceiling is never rounded up, whoever says it."""
    bench.work_on("melt:bath")
    step = bench.state.step
    assert step is not None
    assert step.high_c == pytest.approx(73.8)
    texts = [text for _, text, _ in bench.view.card.temperature.bar.labels()]
    assert "Never over 73 °C" in bench.view.card.headline.text()
    assert "73 °C" in texts
    assert "74 °C" not in texts
    bench.work_on("pour:1")
    assert "Not under 51.8 °C" in bench.view.card.headline.text()
    assert "51.8 °C" in [text for _, text, _ in bench.view.card.temperature.bar.labels()]


def test_the_curve_names_its_unit(bench: Bench) -> None:
    assert bench.view.curve._title.text() == "Temperature, °C"
    bench.view.set_writer(Writer(Units(temperature=TemperatureUnit.FAHRENHEIT)))
    assert bench.view.curve._title.text() == "Temperature, °F"


def test_marks_and_titles_of_the_steps_are_level(bench: Bench) -> None:
    bench.go_to("mix")
    for glyph, title, _ in bench.view.steps._rows[:6]:
        line = QFontMetrics(title.font()).height()
        middle = title.y() + title.contentsMargins().top() + line / 2
        assert abs(glyph.y() + glyph.height() / 2 - middle) <= 1.0


def test_the_buttons_of_the_foot_stand_on_one_line_at_the_largest_letters(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(size=LOW)
    foot = bench.view.foot
    assert [each.text() for each in (foot.hold, foot.more, foot.primary)] == [
        "Hold (F9)",
        "More (F12)",
        "Done, next step (F8)",
    ]
    words = QFontMetrics(foot.more.font()).horizontalAdvance(foot.more.text())
    arrow = 0.6 * theme.theme_now().em()
    assert foot.more.width() >= words + arrow + theme.theme_now().space(2)


def test_larger_letters_reach_a_bench_that_is_open_already(bench: Bench, qapp: QApplication) -> None:
    """The same colours in another size are no change of the palette."""
    bench.work_on("melt:bath")
    for percent in (200, 100, 200):
        theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, percent))
        bench.settle()
        assert bench.view.styleSheet() == bench_sheet(theme.theme_now())
