"""The bench view: every kind of step, every size, and nothing cut or left out."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, product

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import Hold, ReadTemperature
from workbench.core.batch.state import BurstPhase
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui.bench import now as look
from workbench.ui.bench.big_words import BigButton, BigWords
from workbench.ui.bench.far_view import FarView
from workbench.ui.bench.metrics import Ruler

SIZES = ((1024, 700), (1280, 800), (1920, 1080))
PERCENTS = (100, 150, 200)
EVERY = tuple(product(SIZES, PERCENTS))
OUTER = ((SIZES[0], 100), (SIZES[0], 200), (SIZES[1], 150), (SIZES[2], 200))
Looks = tuple[tuple[tuple[int, int], int], ...]


def cut(far: FarView) -> list[str]:
    """What of the open page does not fit, measured from the widgets themselves."""
    found = []
    for widget in far.findChildren(QWidget):
        if not widget.isVisibleTo(far) or not isinstance(widget, BigWords | BigButton):
            continue
        text, place = widget.text(), QRect(widget.mapTo(far, widget.rect().topLeft()), widget.size())
        if not text:
            continue
        metrics = widget.fontMetrics()
        wide = (
            max(metrics.horizontalAdvance(word) for word in text.split())
            if not isinstance(widget, QLabel) or widget.wordWrap()
            else metrics.horizontalAdvance(text)
        )
        flags = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap
        if isinstance(widget, QLabel) and not widget.wordWrap():
            flags = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextSingleLine
        room = widget.width() - (12 if isinstance(widget, BigButton) else 0)
        tall = (
            widget.heightForWidth(widget.width())
            if isinstance(widget, QLabel) and widget.wordWrap()
            else metrics.boundingRect(QRect(0, 0, room, 9999), int(flags), text).height()
        )
        if wide > room + 1 or tall > widget.height() + 1:
            found.append(f"{text[:40]!r} has {widget.width()}x{widget.height()}, needs {wide}x{tall}")
        if not far.rect().contains(place):
            found.append(f"{text[:40]!r} runs out of the page")
    page = far.page
    places = [] if page is None else [block.geometry() for block, _ in page.blocks]  # type: ignore[attr-defined]
    for one, other in combinations(places, 2):
        if one.intersects(other):
            found.append(f"{one} lies on {other}")
    return found


def texts(far: FarView) -> set[str]:
    """What can be read on the open page."""
    return {
        widget.text()
        for widget in far.findChildren(QWidget)
        if isinstance(widget, BigWords | BigButton) and widget.isVisibleTo(far) and widget.text()
    }


def must_say(bench: Bench) -> set[str]:
    """What the step has to say somewhere, from the state and not from the view."""
    state, measures = bench.state, bench.view._measures
    step = state.step
    assert step is not None
    unread = bool(look.cautions_unread(state)) and state.hold is None
    said = {measures.say(state.hold.safe_action) if state.hold else measures.step_says(step, "bench")}
    said |= {measures.say(bench.runner.cautions[key].bench) for key in step.cautions}
    if not unread and state.hold is None:
        said.add(f"Done when: {measures.step_says(step, 'done_when')}")
        said |= {
            f"{each.number}  {'Water: ' if each.need == 'bath' else ''}{measures.say(each.label)}"
            for each in look.options(state)
            if state.recorded(each.need) is None
        }
    return said


def check(bench: Bench, where: str, looks: Looks = EVERY) -> list[str]:
    """All pages at every size: nothing cut, nothing missing, the danger and Hold on each of them."""
    far, faults = bench.view.far, []
    step = bench.state.step
    bench.view.setUpdatesEnabled(False)  # it is measured, not painted
    for size, percent in looks:
        bench.view.resize(*size)
        far.set_size(percent, None)
        QApplication.processEvents()
        place = f"{where}, {size}, {percent} %"
        if (bench.view.width(), bench.view.height()) != size:
            faults.append(f"{place}: asks for {bench.view.width()}x{bench.view.height()}")
        if not 1 <= far.pages <= 3:
            faults.append(f"{place}: {far.pages} pages")
        first, together = texts(far), set[str]()
        if must_say(bench) and not far.instruction.isVisibleTo(far):
            faults.append(f"{place}: no instruction on the first page")
        assert far.page is not None
        if far.page.letters.percent < 100:
            faults.append(f"{place}: letters of {far.page.letters.percent} %")
        if far.figures.has_right and far.temperature.text() not in first:
            faults.append(f"{place}: no temperature on the first page")
        if far.figures.has_left and far.timer.text() not in first:
            faults.append(f"{place}: no timer on the first page")
        for page in range(far.pages):
            faults += [f"{place}, page {page + 1}: {says}" for says in cut(far)]
            if step is not None and step.cautions and not far.danger.isVisibleTo(far):
                faults.append(f"{place}, page {page + 1}: no danger line")
            if bench.view.alarms.shown and not far.alarm.isVisibleTo(far):
                faults.append(f"{place}, page {page + 1}: no alarm")
            if not bench.view.hold.isVisibleTo(bench.view):
                faults.append(f"{place}, page {page + 1}: no Hold")
            together |= texts(far)
            far.turn_page()
        missing = must_say(bench) - together
        faults += [f"{place}: nowhere {says!r}" for says in missing]
    bench.view.setUpdatesEnabled(True)
    return faults


@pytest.fixture
def far_bench(make_bench: Callable[..., Bench]) -> Callable[[Heat], Bench]:
    def make(heat: Heat) -> Bench:
        bench = make_bench(sample_plan(heat=heat))
        bench.view.show_far(True)
        bench.settle()
        return bench

    return make


def melting_in_large_letters(far_bench: Callable[[Heat], Bench]) -> Bench:
    """On a small window at 200 %: one page does not hold everything."""
    bench = far_bench(Heat.WATER_BATH)
    bench.view.far.set_size(200, None)
    bench.view.resize(1024, 700)
    bench.work_on("melt:bath")
    return bench


def steps_of(heat: Heat) -> list[str]:
    """One step of each kind."""
    seen: dict[object, str] = {}
    for step in sample_plan(heat=heat).steps:
        seen.setdefault(step.kind, step.id)
    return list(seen.values())


def test_every_kind_of_step_is_whole_at_every_size(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.WATER_BATH)
    faults = []
    for step in steps_of(Heat.WATER_BATH):
        bench.go_to(step)
        if look.cautions_unread(bench.state):
            faults += check(bench, f"{step}, unread", OUTER)
            bench.maker.read_cautions()
            bench.settle()
        faults += check(bench, step)
    assert not faults, "\n".join(faults[:20])


def test_a_danger_a_hold_and_a_refusal_are_whole_at_every_size(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.WATER_BATH)
    bench.work_on("melt:bath")
    bench.maker.wait(75.0)
    bench.maker.read(50.0)
    bench.view.far.tell("It is 50.0 °C, and the aim is 59.0 °C. Press F8 once more to go on all the same.")
    faults = check(bench, "refused", OUTER)
    bench.maker.wait(60.0)
    bench.runner.send(ReadTemperature("melt:bath", 97.0, "97", True, sure=True))
    faults += check(bench, "danger")
    assert bench.view.far.alarm.isVisibleTo(bench.view)
    bench.key(Qt.Key.Key_F7)
    faults += check(bench, "danger seen", OUTER)
    assert not faults, "\n".join(faults[:20])


def test_a_full_disk_is_read_from_two_steps_on_every_page(far_bench: Callable[[Heat], Bench]) -> None:
    """16 minutes of arc at the least (ISO 9241-303); at 1.5 m that is 6.2 mm with what rounding takes."""
    bench = far_bench(Heat.WATER_BATH)
    far, trouble = bench.view.far, bench.view.far.trouble
    bench.work_on("melt:bath")
    bench.maker.wait(75.0)
    assert not trouble.isVisibleTo(far)
    bench.fill_disk()
    bench.runner.send(ReadTemperature("melt:bath", 50.0, "50", True))
    bench.settle()
    assert bench.state.hold is not None
    assert not bench.view.trouble.isVisibleTo(bench.view)  # the small bar says nothing twice
    faults = check(bench, "disk full")
    assert not faults, "\n".join(faults[:20])
    far.set_size(100, None)
    bench.settle()
    said = set[str]()
    for _ in range(far.pages):
        assert trouble.isVisibleTo(far)
        assert trouble.words.fontMetrics().capHeight() >= Ruler().px(far, 6.2)
        assert min(trouble.retry.height(), trouble.copy.height()) >= Ruler().px(far, 12.0) - 1
        said |= texts(far)
        far.turn_page()
    assert any("/media/blue stick/balms/Kitchen.balmbook" in each for each in said)
    bench.empty_disk()
    bench.click(trouble.retry)
    assert not trouble.isVisibleTo(far)


def test_a_page_that_is_only_read_fills_a_large_screen(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.WATER_BATH)
    far = bench.view.far
    bench.view.resize(1920, 1080)
    bench.go_to("melt:bath")
    assert look.cautions_unread(bench.state)
    assert far.pages == 1
    assert far.page is not None
    words = [each for each in far.findChildren(BigWords) if each.isVisibleTo(far) and each.wordWrap()]
    assert max(each.mapTo(far, each.rect().bottomRight()).y() for each in words) > 0.85 * far.height()
    widest = max(each.fontMetrics().horizontalAdvance(each.text()) for each in words)
    assert widest > 0.6 * far.width()
    bench.maker.read_cautions()
    bench.settle()
    assert far.page.letters.percent == 100  # beside the pot they are as large as was wished for


def test_a_burst_counts_down_in_huge_digits_and_says_stop(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.MICROWAVE)
    far, faults = bench.view.far, []
    bench.work_on("melt:bursts")
    assert far.burst.text().startswith("Start a burst of")
    faults += check(bench, "ready")
    bench.key(Qt.Key.Key_F5)
    seconds = bench.state.burst.planned_s
    bench.settle()
    tall = far.timer.fontMetrics().capHeight()
    assert tall >= Ruler().px(far, 2 * 18.0) - 2  # twice what a temperature must have
    faults += check(bench, "running", OUTER)
    bench.wait(seconds + 1.0)
    assert far.instruction.text() == "STOP the microwave."
    bench.key(Qt.Key.Key_F5)
    assert bench.burst() is BurstPhase.STIR_DUE
    assert far.instruction.text() == "Stir to the bottom."
    bench.key(Qt.Key.Key_F5)
    assert bench.burst() is BurstPhase.READING_DUE
    assert far.instruction.text() == "Take the temperature."
    assert far.stirred.isChecked()  # it was just said, by the key of the burst
    bench.key(Qt.Key.Key_F6)
    assert far.stirred.isChecked()  # and once more by its own key
    bench.enter("52")
    assert bench.state.last_reading is not None
    assert bench.state.last_reading.stirred
    assert bench.state.last_c == 52.0
    assert far.burst.text().startswith("Start a burst of")
    assert not [each for each in faults if "nowhere 'Burst" not in each], faults


def test_weighing_shows_the_target_in_huge_digits(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.WATER_BATH)
    bench.go_to("weigh:beeswax")
    far = bench.view.far
    assert far.timer.text() == "8.07 g"
    assert far.timer.fontMetrics().capHeight() >= Ruler().px(far, 36.0) - 2
    assert "Then: Weigh" in far.then.text()
    assert far.field.isVisibleTo(far)
    bench.enter("8.07")
    assert bench.state.recorded("mass") is not None or bench.state.entries


def test_a_number_typed_on_any_page_goes_to_the_field_and_back(far_bench: Callable[[Heat], Bench]) -> None:
    bench = melting_in_large_letters(far_bench)
    far = bench.view.far
    assert not far.field.isVisibleTo(far)
    assert QApplication.focusWidget() is far  # where a stray key does no harm
    bench.wait(70.0)
    bench.type("45")
    assert far.field.isVisibleTo(far)
    bench.key(Qt.Key.Key_Return)
    assert bench.state.last_c == 45.0
    assert far.instruction.isVisibleTo(far)


def test_what_is_pressed_with_oily_hands_is_twelve_millimetres(far_bench: Callable[[Heat], Bench]) -> None:
    for heat, step in ((Heat.WATER_BATH, "melt:bath"), (Heat.MICROWAVE, "melt:bursts")):
        bench = far_bench(heat)
        bench.view.resize(1024, 700)
        bench.work_on(step)
        bench.maker.wait(400.0)
        bench.settle()
        bench.wait(1.0)
        least = Ruler().px(bench.view, 12.0) - 1
        pressed = [*bench.view.far.findChildren(BigButton), bench.view.hold, bench.view.primary]
        pressed += [bench.view.foot.turn, bench.view.foot.far]
        seen = set()
        for _ in range(bench.view.far.pages):
            bench.settle()
            for button in pressed:
                if button.isVisibleTo(bench.view):
                    seen.add(button.text().replace("\n", " ").split(" (")[0])
                    assert min(button.width(), button.height()) >= least, button.text()
            bench.view.far.turn_page()
        assert {"Hold", "Stirred", "Record"} <= seen, seen


def test_a_hold_from_the_bench_view_tells_what_to_do(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.WATER_BATH)
    bench.work_on("melt:bath")
    assert bench.runner.send(Hold("the door bell")) is None
    faults = check(bench, "held", OUTER)
    assert not faults, "\n".join(faults[:20])
    assert bench.state.hold is not None
    assert bench.view.far.instruction.text() == bench.state.hold.safe_action


def test_what_is_recorded_is_said_where_the_field_is_empty_again(far_bench: Callable[[Heat], Bench]) -> None:
    """Two steps away an empty field and an unchanged target look like an entry that was lost."""
    bench = far_bench(Heat.WATER_BATH)
    far = bench.view.far
    bench.go_to("weigh:beeswax")
    assert far.field.says.text() == "Beeswax"
    bench.enter("9.57")
    assert far.field.says.text() == "Beeswax: 9.57 g is recorded, 1.50 g too much."
    bench.enter("8.07")
    assert far.field.says.text() == "Beeswax: 8.07 g is recorded."


def test_answers_that_are_all_given_ask_for_no_number(far_bench: Callable[[Heat], Bench]) -> None:
    bench = far_bench(Heat.WATER_BATH)
    far = bench.view.far
    assert far.field.says.text() == "Type its number, or press it."
    while shown := [each for each in far.options.buttons if each.isVisibleTo(far)]:
        bench.click(shown[0])
        assert QApplication.focusWidget() is far.entry  # not the next button of the window
    assert far.field.says.text() == "All of it is recorded."


def test_a_refusal_takes_the_reader_back_to_where_it_stands(far_bench: Callable[[Heat], Bench]) -> None:
    bench = melting_in_large_letters(far_bench)
    far = bench.view.far
    for _ in range(2):  # the same answer twice
        far.turn_page()
        assert not far.instruction.isVisibleTo(far)
        bench.done()
        assert far.says.text()
        assert far.says.isVisibleTo(far)
