"""The card in a small window: what counts is in sight without scrolling, and the window asks for no more."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import EndBurst, Hold, ReadTemperature, StartBurst
from workbench.core.batch.state import Phase
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui import theme
from workbench.ui.bench.foot import Foot
from workbench.ui.bench.metrics import Ruler

CHROME = 64  # px of menu and strip above the bench at 100 % text
SMALL = (1024, 700 - CHROME)


def hidden_part(bench: Bench, *widgets: QWidget) -> list[str]:
    """Which of these are not wholly in sight."""
    scroller, head = bench.view.near.scroller.viewport(), bench.view.card.head
    found = []
    for widget in widgets:
        port = head if head.isAncestorOf(widget) else scroller
        place = QRect(widget.mapTo(port, widget.rect().topLeft()), widget.size())
        if not widget.isVisibleTo(bench.view) or not port.rect().contains(place):
            found.append(f"{type(widget).__name__} at {place} in {port.rect()}")
    return found


def overlapping(foot: Foot) -> list[str]:
    """Buttons of the foot that stand on one another or beyond its edge."""
    shown = [each for each in foot.findChildren(QPushButton) if each.isVisibleTo(foot)]
    found = [one.text() for one in shown if not foot.rect().contains(one.geometry())]
    pairs = combinations(shown, 2)
    return found + [one.text() for one, two in pairs if one.geometry().intersects(two.geometry())]


STEPS = ("melt:bath", "cool", "add", "pour:1")


@pytest.mark.parametrize("step", STEPS)
def test_instruction_danger_and_field_are_in_sight_on_a_small_window(
    make_bench: Callable[..., Bench], step: str
) -> None:
    bench = make_bench(size=SMALL)
    bench.go_to(step)
    bench.maker.read_cautions()
    bench.maker.wait(30.0)
    bench.maker.read(58.0)
    bench.settle()
    card = bench.view.card
    seen = (card.headline, card.danger, card.temperature, card.needs.entry)
    timed = [card.timer] if step == "melt:bath" else []  # the others wait for a temperature, not for a time
    assert not hidden_part(bench, *timed, *seen)
    bench.wait(400.0)  # a fresh reading is overdue: an alarm takes some of the room
    assert bench.view.alarms.isVisibleTo(bench.view) or step in ("cool", "add", "pour:1")
    assert not hidden_part(bench, *seen)


def test_a_hold_with_its_alarm_is_in_sight_on_a_small_window(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench(size=SMALL)
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.wait(30.0)
    bench.maker.read(50.0)
    bench.maker.wait(30.0)
    bench.runner.send(ReadTemperature("melt:bath", 97.0, "97", True, sure=True))
    bench.settle()
    card = bench.view.card
    assert bench.phase() is Phase.HOLDING
    assert bench.view.alarms.isVisibleTo(bench.view)
    assert card.headline.text() == bench.state.hold.safe_action  # type: ignore[union-attr]
    assert not hidden_part(bench, card.headline, card.danger, card.temperature, card.needs.entry)


def test_a_burst_is_in_sight_on_a_small_window(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE), size=SMALL)
    bench.go_to("melt:bursts")
    bench.maker.read_cautions()
    bench.settle()
    bench.key(Qt.Key.Key_F5)
    card = bench.view.card
    assert not hidden_part(bench, card.headline, card.danger, card.timer, card.burst, card.needs.entry)


def test_large_text_asks_for_no_larger_window(make_bench: Callable[..., Bench], qapp: QApplication) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(size=(1024, 700 - 2 * CHROME))
    for step in ("prepare", "melt:bath", "pour:1"):
        bench.go_to(step)
        least = bench.view.minimumSizeHint()
        assert least.width() <= 1024, step
        assert least.height() <= 700 - 2 * CHROME - 20, step
        assert overlapping(bench.view.foot) == [], step
    bench.go_to_end()
    assert bench.view.minimumSizeHint().height() <= 700 - 2 * CHROME


def test_a_step_that_can_be_left_out_says_so_before_its_cautions(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench(size=SMALL)
    bench.go_to("mend")
    card = bench.view.card
    assert not hidden_part(bench, card.optional)
    first = card.cautions if card.cautions.isVisibleTo(card) else card.danger
    assert card.optional.geometry().bottom() < first.geometry().top()
    bench.click(card.leave_out_button)
    assert card.form.form is not None
    bench.view.card.form.leave()
    bench.view.show_far(True)
    bench.settle()
    assert "can be left out" in bench.view.far.optional.text()
    assert bench.view.far.optional.isVisibleTo(bench.view)


@pytest.mark.parametrize(("heat", "step"), [(Heat.WATER_BATH, "melt:bath"), (Heat.MICROWAVE, "melt:bursts")])
def test_what_is_pressed_with_oily_hands_is_twelve_millimetres(
    make_bench: Callable[..., Bench], heat: Heat, step: str
) -> None:
    bench = make_bench(sample_plan(heat=heat), size=SMALL)
    bench.go_to(step)
    bench.maker.read_cautions()
    bench.maker.wait(30.0)
    if heat is Heat.WATER_BATH:
        bench.maker.read(50.0)
        bench.maker.wait(30.0)
        bench.runner.send(ReadTemperature(step, 97.0, "97", True, sure=True))
    bench.settle()
    view, least = bench.view, Ruler().px(bench.view, 12.0) - 1
    pressed: list[QWidget] = [view.hold, view.primary, view.card.needs.record, view.card.needs.stirred]
    if heat is Heat.MICROWAVE:
        pressed.append(view.card.burst)
    else:
        pressed.append(view.alarms._rows[0].ack)
    for widget in pressed:
        assert widget.isVisibleTo(view)
        assert min(widget.width(), widget.height()) >= least, widget


def test_a_hold_shows_what_to_do_first_where_not_all_fits(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(size=(1024, 700 - 2 * CHROME))
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.wait(30.0)
    bench.maker.read(50.0)
    bench.runner.send(Hold("the door bell"))
    bench.settle()
    assert not hidden_part(bench, bench.view.card.headline)
    bench.wait(2.0)
    bench.type("5")
    assert bench.view.card.needs.entry.text() == "5"
    assert not hidden_part(bench, bench.view.card.needs.entry)


def low_bench(make_bench: Callable[..., Bench], qapp: QApplication) -> Bench:
    """Melting at the largest letters, in the room a window of 1024x700 leaves."""
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(size=(1024, 700 - 2 * CHROME))
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.wait(30.0)
    bench.maker.read(50.0)
    bench.settle()
    return bench


def test_the_time_of_a_burst_is_in_sight_at_the_largest_letters(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE), size=(1024, 700 - 2 * CHROME))
    bench.go_to("melt:bursts")
    bench.maker.read_cautions()
    bench.maker.send(StartBurst("melt:bursts", bench.runner.conductor.rules.next_burst_s(bench.state)))
    bench.settle()
    card = bench.view.card
    assert card.bursting
    assert not hidden_part(bench, card.timer, card.headline)
    bench.clock.advance(5)
    bench.maker.send(EndBurst("melt:bursts"))
    bench.settle()
    assert not card.bursting


def wait_for_alarm(bench: Bench) -> None:
    for _ in range(60):
        if bench.view.alarms.isVisibleTo(bench.view):
            return
        bench.wait(10.0)
    pytest.fail("no alarm came")


def test_what_must_be_done_is_in_sight_below_every_bar_at_the_largest_letters(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    bench = low_bench(make_bench, qapp)
    card = bench.view.card
    wait_for_alarm(bench)  # a fresh reading is due, and nothing is on hold yet
    assert bench.state.hold is None
    assert not hidden_part(bench, card.headline, card.needs.entry)
    bench.runner.send(ReadTemperature("melt:bath", 97.0, "97", True, sure=True))
    bench.settle()
    assert "turn the heat off" in card.headline.text()
    assert not hidden_part(bench, card.place, card.headline)
    bar = bench.view.near.scroller.verticalScrollBar()
    assert bar.maximum() > 0
    for at in (bar.maximum(), 0):  # wherever the card below is read
        bar.setValue(at)
        assert not hidden_part(bench, card.place, card.headline)
    assert card.headline.height() >= card.headline.heightForWidth(card.headline.width())


def test_full_disk_leaves_what_must_be_done_in_sight(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    bench = low_bench(make_bench, qapp)
    bench.maker.wait(30.0)
    bench.fill_disk()
    bench.runner.send(ReadTemperature("melt:bath", 55.0, "55", True))
    bench.settle()
    card, trouble = bench.view.card, bench.view.trouble
    assert trouble.isVisibleTo(bench.view)
    assert not hidden_part(bench, card.place, card.headline)
    assert trouble.says.height() >= trouble.says.heightForWidth(trouble.says.width())


def test_letters_of_the_headline_are_small_only_while_a_bar_takes_the_room(
    make_bench: Callable[..., Bench], qapp: QApplication
) -> None:
    bench = low_bench(make_bench, qapp)
    card = bench.view.card
    least = theme.theme_now().points("head") * 0.9
    wait_for_alarm(bench)
    small = card.headline.font().pointSizeF()
    assert small >= least
    bench.view.resize(1400, 1200)
    bench.settle()
    assert card.headline.font().pointSizeF() == pytest.approx(theme.theme_now().points("title"))
    assert small < theme.theme_now().points("title")
