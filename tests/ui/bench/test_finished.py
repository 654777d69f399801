"""After the last step: what came of it is said, and what can be done next is one press away."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRect
from PySide6.QtWidgets import QApplication, QLabel

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import Add, EndBatch
from workbench.core.batch.state import Phase
from workbench.ui import theme
from workbench.ui.bench.finished import FinishedPage
from workbench.ui.bench.metrics import Ruler
from workbench.ui.bench.view import BenchView


def words(view: BenchView) -> str:
    page = view.finished
    return "\n".join(each.text() for each in page.findChildren(QLabel) if each.isVisibleTo(page))


def test_a_finished_batch_says_what_came_of_it(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.go_to_end()
    assert bench.phase() is Phase.FINISHED
    assert bench.view.finished.isVisibleTo(bench.view)
    said = words(bench.view)
    made_g = sum(entry.mass_g or 0.0 for entry in bench.state.entries if entry.step.startswith("weigh:"))
    assert f"of {made_g:.1f} g that went in" in said
    assert "3 tins" in said
    assert "13.5 g, 13.5 g, 13.5 g" in said  # as they were weighed at the end, not as they were poured
    assert f"{3 * 13.5:.1f} g of" in said
    hottest = max(bench.state.celsius_of(each) for each in bench.state.readings)
    assert f"{hottest:.1f} °C" in said


def test_what_is_next_is_one_press_away(bench: Bench) -> None:
    asked: list[str] = []
    page = bench.view.finished
    page.read.connect(lambda: asked.append("read"))
    page.printed.connect(lambda: asked.append("print"))
    page.again.connect(lambda: asked.append("again"))
    bench.view.over.connect(lambda: asked.append("close"))
    bench.go_to_end()
    least = Ruler().px(page, 12.0) - 1
    for button in (page.read_button, page.print_button, page.again_button):
        assert min(button.width(), button.height()) >= least
        bench.click(button)
    bench.done()
    assert asked == ["read", "print", "again", "close"]
    assert not bench.view.hold.isVisibleTo(bench.view)  # nothing is left to be held


def test_the_bench_view_gives_way_to_it(bench: Bench) -> None:
    bench.view.show_far(True)
    bench.settle()
    bench.go_to_end()
    assert not bench.view.is_far
    assert bench.view.finished.isVisibleTo(bench.view)


def test_one_that_was_ended_early_says_why(bench: Bench) -> None:
    assert bench.runner.send(EndBatch("The jar broke.", safe=True)) is None
    bench.settle()
    assert bench.view.finished.heading.text() == "This batch was ended early."
    assert "The jar broke." in words(bench.view)


def test_what_was_added_is_called_by_its_name(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench()
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    refused = bench.runner.send(Add("melt:bath", "shea_butter", 1.5, "1.5", "too firm"))
    assert refused is None, refused
    bench.go_to_end()
    assert "Shea butter were added" in words(bench.view)
    assert "shea_butter" not in words(bench.view)


def test_what_it_taught_is_shown_when_it_is_told(bench: Bench) -> None:
    waiting: list[Callable[[str], object]] = []
    page = FinishedPage(bench.runner.rules.alarms, waiting.append, bench.view)
    bench.go_to_end()
    page.show_state(bench.state, bench.view._measures)
    assert page.learned.isHidden()  # it is shown at once, and the sentence comes when it is worked out
    waiting[-1]("There is something to learn.")
    assert not page.learned.isHidden()
    assert page.learned.text() == "There is something to learn."


def test_what_comes_next_stands_beside_what_came_of_it_where_there_is_room(bench: Bench) -> None:
    bench.go_to_end()
    page = bench.view.finished
    came = page._grid.itemAt(0).widget()  # type: ignore[union-attr]
    assert came is not None
    assert page.next_head.x() > page.width() // 2 - 40
    assert page.next_head.y() <= came.y() + came.height()
    assert "Past batches" in page.wear.text()
    bench.view.resize(700, 700)
    bench.settle()
    assert page.next_head.x() == came.x()
    assert page.next_head.y() < came.y()  # what is pressed now comes before what is kept anyway


@pytest.mark.parametrize("practice", [False, True])
def test_every_way_on_is_in_sight_at_the_largest_letters(
    make_bench: Callable[..., Bench], qapp: QApplication, practice: bool
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    bench = make_bench(size=(1024, 700 - 2 * 64), practice=practice)  # what a window of 1024x700 leaves
    bench.go_to_end()
    page, port = bench.view.finished, bench.view._finished.viewport()
    for press in (page.read_button, page.print_button, page.again_button):
        if press.isVisibleTo(page):
            place = QRect(press.mapTo(port, press.rect().topLeft()), press.size())
            assert port.rect().contains(place), (press.text(), place, port.rect())


@pytest.mark.parametrize("practice", [False, True])
def test_how_it_went_fills_the_room_below(make_bench: Callable[..., Bench], practice: bool) -> None:
    """The curve and the times of the steps, down to the foot of a window of 1280x800, without scrolling."""
    bench = make_bench(size=(1280, 800 - 64), practice=practice)
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.go_to_end()
    page, bar = bench.view.finished, bench.view._finished.verticalScrollBar()
    assert page.curve is not None
    assert bar.maximum() == 0
    for part in (page.curve, page.steps):
        bottom = part.mapTo(page, part.rect().bottomLeft()).y()
        assert page.height() - bottom < page.height() // 10
    assert len(page.curve._data.points) == len(bench.state.readings)
    if practice:
        assert "Make this batch" in page.wear.text()
        assert "Practise" in page.again_button.text()
