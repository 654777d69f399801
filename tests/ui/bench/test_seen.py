"""What is on the screen: sizes, names, words; the curve; the view from two steps away."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QAccessible, QWheelEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QWidget

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import Correct
from workbench.core.batch.steps import StepKind
from workbench.ui import theme
from workbench.ui.bench import now as look
from workbench.ui.bench.big_words import BigWords
from workbench.ui.bench.metrics import Ruler

STEPS = ("prepare", "weigh:beeswax", "melt:bath", "pour:1", "finish")


def seen(root: QWidget) -> list[QWidget]:
    return [each for each in root.findChildren(QWidget) if each.isVisibleTo(root)]


@pytest.fixture
def in_theme(qapp: QApplication) -> Callable[[theme.Scheme, int], None]:
    def put_on(scheme: theme.Scheme, percent: int) -> None:
        theme.apply(qapp, theme.Theme(scheme, percent))

    return put_on


@pytest.mark.parametrize("step", STEPS)
def test_everything_that_takes_the_focus_has_a_name(bench: Bench, step: str) -> None:
    bench.go_to(step)
    bench.maker.read_cautions()
    bench.settle()
    nameless = []
    for widget in seen(bench.view):
        if widget.focusPolicy() == Qt.FocusPolicy.NoFocus or widget.parent() is None:
            continue
        face = QAccessible.queryAccessibleInterface(widget)
        name = face.text(QAccessible.Text.Name) if face is not None else ""
        if not name and not widget.inherits("QSplitterHandle"):
            nameless.append(f"{type(widget).__name__} in {type(widget.parent()).__name__}")
    assert not nameless


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("step", ["melt:bath", "pour:1"])
def test_no_label_is_cut(
    make_bench: Callable[..., Bench],
    in_theme: Callable[[theme.Scheme, int], None],
    step: str,
    percent: int,
) -> None:
    in_theme(theme.Scheme.LIGHT, percent)
    bench = make_bench(size=(1280, 800))
    bench.go_to(step)
    bench.maker.read_cautions()
    bench.settle()
    assert bench.view.width() == 1280
    cut = []
    for label in bench.view.findChildren(QLabel):
        if not label.isVisibleTo(bench.view) or not label.text():
            continue
        metrics, wide = label.fontMetrics(), label.width()
        longest = max(metrics.horizontalAdvance(word) for word in label.text().split())
        if longest > wide + 1:
            cut.append(f"{label.text()!r}: {longest} in {wide}")
        if label.wordWrap() and label.heightForWidth(wide) > label.height() + 2:
            cut.append(f"{label.text()!r}: {label.heightForWidth(wide)} high in {label.height()}")
    for button in bench.view.findChildren(QAbstractButton):
        if (
            button.isVisibleTo(bench.view)
            and button.text()
            and button.width() < button.minimumSizeHint().width()
        ):
            cut.append(button.text())
    assert not cut


def test_the_buttons_at_the_foot_are_twelve_millimetres(bench: Bench) -> None:
    wanted = Ruler().px(bench.view, 12.0)
    for button in (bench.view.hold, bench.view.primary):
        assert button.height() >= wanted - 1
        assert button.width() >= wanted - 1


# -- the bench view


@pytest.mark.parametrize("percent", [100, 150, 200])
@pytest.mark.parametrize("step", ["prepare", "melt:bath", "cool", "pour:1"])
def test_letters_of_the_bench_view_are_as_tall_as_they_must_be(bench: Bench, step: str, percent: int) -> None:
    bench.go_to(step)
    bench.maker.read_cautions()
    bench.maker.read(60.0)
    bench.view.show_far(True)
    bench.view.far.set_size(percent, None)
    bench.settle()
    far = bench.view.far
    assert far.page is not None
    # 1280 by 800 hold so much: “Scented now: water bath only, no flame, no microwave.” takes two lines of it
    assert far.page.letters.percent >= min(percent, 145)
    px = Ruler().px(far, 9.0 * far.page.letters.percent / 100)
    assert far.instruction.isVisibleTo(far)
    assert far.instruction.fontMetrics().capHeight() >= px - 1
    if far.figures.has_right:
        assert far.temperature.fontMetrics().capHeight() >= 2 * px - 2
    for _ in range(far.pages):
        assert far.danger.isVisibleTo(far) == bool(bench.state.step and bench.state.step.cautions)
        assert far.page is not None
        bottom = max((block.geometry().bottom() for block, _ in far.page.blocks), default=0)  # type: ignore[attr-defined]
        assert bottom <= far.height()  # nothing scrolls, nothing falls off the edge
        far.turn_page()
        bench.settle()


def test_the_bench_view_uses_the_short_wordings(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.view.show_far(True)
    bench.settle()
    step = bench.state.step
    assert step is not None
    assert bench.view.far.instruction.text() == step.bench
    assert len(bench.view.far.danger.words.text()) <= 60


def test_a_ruler_decides_what_a_millimetre_is(bench: Bench) -> None:
    far = bench.view.far
    bench.view.show_far(True)
    bench.view.resize(3000, 1600)
    far.toggle_size()  # while they are chosen, letters are as large as is said
    far.set_size(100, 10.0)  # ten pixels to the millimetre, whatever the screen says
    assert far.instruction.fontMetrics().capHeight() == pytest.approx(90, abs=2)
    kept: list[tuple[int, object]] = []
    bench.view.sized.connect(lambda percent, px: kept.append((percent, px)))
    far.sizes._larger()
    assert kept == [(110, 10.0)]
    assert far.instruction.fontMetrics().capHeight() == pytest.approx(99, abs=2)


def test_every_word_of_the_bench_view_can_be_read_from_two_steps(bench: Bench) -> None:
    """20 minutes of arc are preferred and 16 the least (ISO 9241-303): 7 mm at 1.5 m is 16 minutes."""
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.view.show_far(True)
    bench.settle()
    least = Ruler().px(bench.view, 6.2)
    far = bench.view.far
    also = {line.word for line in far._lines}  # the sign and its colour say it as well
    seen = [each for each in far.findChildren(BigWords) if each.isVisibleTo(far) and each not in also]
    assert len(seen) > 5
    for words in seen:
        if words.text():
            assert words.fontMetrics().capHeight() >= least, words.text()


# -- temperature and curve


def test_a_number_never_stands_naked(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    for celsius in (40.0, 46.0):
        bench.maker.wait(60.0)
        bench.maker.read(celsius)
    bench.wait(12.0)
    face = bench.view.card.temperature
    words = face.words()
    assert "46.0 °C" in words
    assert "rising" in words
    assert "a minute" in words
    assert "ago" in words
    assert "stirred" in words
    assert face.bar.isVisibleTo(bench.view)
    bench.wait(500.0)
    assert "Old" in face.age.text()


def test_the_curve_follows_until_it_is_taken_over_and_comes_back(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    curve = bench.view.curve
    lived: list[bool] = []
    curve.followed.connect(lived.append)
    curve.setFocus()
    bench.key(Qt.Key.Key_Plus)
    assert lived == [False]
    assert curve._live.isVisibleTo(bench.view)
    before = curve._plot.viewRange()[0]
    bench.wait(90.0)
    bench.maker.read(46.0)
    bench.settle()
    assert curve._plot.viewRange()[0] == before  # it stays where the maker put it
    bench.click(curve._live)
    assert lived == [False, True]
    assert curve._plot.viewRange()[0] != before


def test_the_wheel_takes_the_curve_over(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    curve = bench.view.curve
    port = curve._plot.viewport()
    middle = QPointF(port.rect().center())
    wheel = QWheelEvent(
        middle,
        QPointF(port.mapToGlobal(middle.toPoint())),
        QPoint(0, 0),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(port, wheel)
    bench.settle()
    assert not curve.following
    bench.click(curve._live)
    assert curve.following


def test_marks_on_the_curve_are_words(bench: Bench) -> None:
    bench.view.resize(1920, 1080)
    bench.go_to("pour:1")
    bench.settle()
    words = {item.label.format for item in bench.view.curve._items["marks"]}
    assert words
    assert words <= {"off the heat", "fragrance in", "pour"}  # those that have room


def test_the_curve_can_be_heard_and_read_as_a_table(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    curve = bench.view.curve
    assert "40.0 °C" in curve._plot.accessibleDescription()
    curve._as_table.click()
    bench.settle()
    model = curve._table.model()
    assert model.rowCount() == 1
    assert model.index(0, 1).data() == "40.0 °C"
    assert model.index(0, 2).data() == "stirred"


def test_readings_model(bench: Bench, qtmodeltester: object) -> None:
    bench.go_to("spoon")
    bench.settle()
    qtmodeltester.check(bench.view.curve._model)  # type: ignore[attr-defined]


# -- beside the card


def test_what_is_going_in_shows_planned_and_weighed(bench: Bench) -> None:
    bench.go_to("weigh:shea_butter")
    bench.settle()
    texts = [label.text() for label in bench.view.recipe_strip.findChildren(QLabel)]
    assert "Beeswax" in texts
    assert texts.count("8.07 g") >= 2  # planned and weighed
    assert "–" in texts


def test_a_correction_shows_everywhere(bench: Bench) -> None:
    bench.go_to("weigh:shea_butter")
    seq = next(entry.seq for entry in bench.state.entries if entry.material == "beeswax")
    bench.runner.send(Correct(seq, 8.11, "8.11", "misread the scale"))
    bench.settle()
    texts = [label.text() for label in bench.view.recipe_strip.findChildren(QLabel)]
    assert "8.11 g" in texts


def test_the_spoken_word_before_the_window_opens(bench: Bench) -> None:
    bench.go_to("cool")
    bench.maker.read_cautions()
    below_c = bench.state.temperatures.add_below_c
    assert below_c is not None
    bench.maker.wait(310.0)
    bench.maker.read(below_c + 6.0)
    bench.maker.wait(60.0)
    bench.maker.read(below_c + 2.0)  # 4 K a minute, 3.5 K to go: within two minutes
    bench.wait(8.0)
    assert any("two minutes" in words for words in bench.speech.asked)
    assert "opens" in bench.sound.played
    assert "opens in about" in bench.view.card.outlook.text()


def test_a_plain_tone_at_the_end_of_a_timer_once(bench: Bench) -> None:
    bench.go_to("stir")
    bench.maker.read_cautions()
    step = bench.state.step
    assert step is not None
    assert step.kind is StepKind.STIR
    assert step.timer_s is not None
    bench.wait(step.timer_s - 5.0)
    assert bench.sound.played == []
    bench.wait(20.0)
    assert bench.sound.played == ["timer"]


def test_unread_cautions_come_before_the_field(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.settle()
    assert look.cautions_unread(bench.state)
    assert not bench.view.card.needs.isVisibleTo(bench.view)
    assert bench.view.card.cautions.isVisibleTo(bench.view)
    for _ in range(5):
        if look.cautions_unread(bench.state):
            bench.done()
    assert bench.view.card.needs.isVisibleTo(bench.view)
    assert bench.view.card.cautions.isVisibleTo(bench.view)  # for the whole step
    assert any(event.kind == "caution read" for event in bench.journal.events)


def test_cautions_that_go_on_below_are_read_on_first(
    make_bench: Callable[..., Bench], in_theme: Callable[[theme.Scheme, int], None]
) -> None:
    in_theme(theme.Scheme.LIGHT, 200)
    bench = make_bench(size=(1024, 700))
    bench.go_to("melt:bath")
    bench.settle()
    assert "Read on" in bench.view.primary.text()
    bench.done()
    assert look.cautions_unread(bench.state)
    for _ in range(12):
        bench.done()
    assert not look.cautions_unread(bench.state)


def test_themes_change_under_way(bench: Bench, in_theme: Callable[[theme.Scheme, int], None]) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    for scheme in (theme.Scheme.DARK, theme.Scheme.HIGH_CONTRAST):
        in_theme(scheme, 100)
        bench.settle()
        ground = theme.theme_now().colour("page")
        picture = bench.view.grab().toImage()
        assert picture.pixelColor(bench.view.card.x() + 3, 200) == ground
        plot = bench.view.curve._plot.backgroundBrush().color()
        assert plot == ground
