"""Past batches: the list from summaries alone, one read through, some side by side, trends."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from tests.ui.history.past import Shelf, many
from workbench.core.batch.record import record
from workbench.core.review.faults import FaultKind, FaultSeen, FaultsSeen
from workbench.core.review.keeping import FAULT_SEEN, body_of
from workbench.core.trouble import Trouble
from workbench.store.review_tables import load_faults
from workbench.testing import BEGIN
from workbench.ui.context import Context
from workbench.ui.history import HistoryPage, PastPorts
from workbench.ui.history.batch_model import COLUMNS
from workbench.ui.history.port import ShelvedInMind
from workbench.ui.history.timeline import StepBar
from workbench.ui.widgets.ask import ScriptedAsk

Settle = Callable[[], None]


@pytest.fixture
def shelf() -> Shelf:
    return Shelf()


@pytest.fixture
def shelved() -> ShelvedInMind:
    return ShelvedInMind()


@pytest.fixture
def page(qtbot: QtBot, context: Context, shelf: Shelf, shelved: ShelvedInMind, tmp_path: Path) -> HistoryPage:
    made = HistoryPage(
        context, PastPorts(shelf.load, load_faults(), shelved, lambda: tmp_path, now=lambda: BEGIN)
    )
    qtbot.addWidget(made)
    made.show_entries(many(24))
    made.resize(1280, 740)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    return made


def column_of(page: HistoryPage, key: str) -> list[str]:
    model = page.list.model
    return [str(model.index(row, COLUMNS.index(key)).data()) for row in range(model.rowCount())]


def texts(page: HistoryPage) -> list[str]:
    return [label.text() for label in page.reader.findChildren(QLabel)]


# the list


def test_the_list_reads_no_record(page: HistoryPage, shelf: Shelf, qtmodeltester: object) -> None:
    model = page.list.model
    qtmodeltester.check(model)  # type: ignore[attr-defined]
    assert model.rowCount() == 24
    assert "ended early" in column_of(page, "end")
    assert sum("practice" in name for name in column_of(page, "what")) == 24 // 7
    assert any(cell.endswith(" g") for cell in column_of(page, "yield"))
    assert shelf.loaded == []


def test_a_batch_ended_before_the_pour_has_no_yield_rather_than_none_at_all(page: HistoryPage) -> None:
    entry = many(1)[0]
    assert entry.summary is not None
    page.show_entries((replace(entry, summary=replace(entry.summary, in_tins_g=0.0, yield_percent=0.0)),))
    assert column_of(page, "yield") == ["–"]
    assert column_of(page, "percent") == ["–"]


def test_words_narrow_the_list_letter_by_letter(page: HistoryPage) -> None:
    QTest.keyClicks(page.list.filters.words, "harb wood")  # a name, and a word of a note
    found = page.list.model.rows
    assert 0 < len(found) < 24
    assert all("harbour" in row.folded and "wood" in row.folded for row in found)
    assert f"{len(found)} of 24" in page.list.count.text()


def test_enter_goes_from_the_find_box_into_the_list_and_a_key_back(page: HistoryPage) -> None:
    words = page.list.filters.words
    words.setFocus()
    QTest.keyClicks(words, "harbour")
    QTest.keyClick(words, Qt.Key.Key_Return)
    assert page.list.table.hasFocus()
    QTest.keyClick(page.list.table, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert words.hasFocus()
    assert words.selectedText() == "harbour"


def test_nothing_found_says_so_and_lets_one_out(page: HistoryPage) -> None:
    QTest.keyClicks(page.list.filters.words, "no such word")
    assert page.list.nothing.isVisibleTo(page)
    assert not page.list.hint.isVisibleTo(page)  # there is nothing to tick
    assert not page.list.clear.isVisibleTo(page)  # said once, below
    page.list.clear_here.click()
    assert page.list.hint.isVisibleTo(page)
    assert page.list.model.rowCount() == 24
    assert page.list.table.isVisibleTo(page)


def test_filters_and_days(page: HistoryPage) -> None:
    filters = page.list.filters
    filters.choose("recipe", "Grey harbour")
    assert {row.recipe_name for row in page.list.model.rows} == {"Grey harbour"}
    assert "recipe: Grey harbour" in page.list.count.text()
    filters.clear()
    filters.choose("practice", "only")
    assert all(row.rehearsal for row in page.list.model.rows)
    filters.clear()
    filters.since.setText("2026-04")
    assert all(row.day.month >= 4 for row in page.list.model.rows)
    filters.until.setText("2026-04-02")
    assert {row.day.isoformat() for row in page.list.model.rows} == {"2026-04-01", "2026-04-02"}
    filters.until.setText("2026-13")
    assert "no day" in filters.fault.text()  # and it counts as none
    assert len({row.day for row in page.list.model.rows}) > 2


def test_a_fault_that_was_recorded_is_found_again(page: HistoryPage, shelved: ShelvedInMind) -> None:
    seen = FaultsSeen(session="s5", faults=(FaultSeen(kind=FaultKind.GRAIN, noted=BEGIN),))
    shelved.write(FAULT_SEEN, "s5", body_of(seen))
    page.refresh()
    page.list.filters.choose("fault", "grain")
    assert [row.id for row in page.list.model.rows] == ["s5"]
    assert column_of(page, "faults") == ["Grain"]


def test_every_column_sorts_both_ways_with_the_empty_ones_last(page: HistoryPage) -> None:
    for key in COLUMNS[1:]:
        page.list.sort_by(key, True)
        down = column_of(page, key)
        page.list.sort_by(key, False)
        up = column_of(page, key)
        empty = [cell for cell in up if cell in ("", "–")]
        assert up[len(up) - len(empty) :] == down[len(down) - len(empty) :] == empty, key
        full = len(up) - len(empty)
        assert sorted(up[:full]) == sorted(down[:full])
        if key in ("yield", "percent", "added", "poured", "sink", "off"):
            numbers = [float(cell.split()[0]) for cell in up[:full]]
            assert numbers == sorted(numbers), key
            assert [float(cell.split()[0]) for cell in down[:full]] == numbers[::-1], key


def test_a_press_on_a_heading_sorts_and_a_second_turns(page: HistoryPage) -> None:
    header = page.list.table.horizontalHeader()
    at = header.sectionViewportPosition(COLUMNS.index("added")) + 12
    for order in (True, False):
        QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(at, header.height() // 2))
        values = [row.summary.addition_c for row in page.list.model.rows if row.summary is not None]
        known = [value for value in values if value is not None]
        assert known == sorted(known, reverse=order)
    assert page.list.sort_box.key() == "added"


def test_an_empty_list_teaches(qtbot: QtBot, context: Context, shelf: Shelf) -> None:
    made = HistoryPage(context, PastPorts(shelf.load, load_faults()))
    qtbot.addWidget(made)
    made.show_entries(())
    made.show()
    assert made.list.empty.isVisibleTo(made)
    assert "practice run" in made.list.empty.text()
    assert not made.list.table.isVisibleTo(made)


# ticks


def test_ticks_by_keyboard_and_by_mouse(page: HistoryPage, shelf: Shelf) -> None:
    table = page.list.table
    table.setFocus()
    table.selectRow(0)
    assert not page.list.beside.isEnabled()
    QTest.keyClick(table, Qt.Key.Key_Space)
    cell = table.visualRect(page.list.model.index(2, 0))
    box = cell.center() - QPoint(cell.width() // 2 - 14, 0)
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=box)
    assert page.list.model.ticks == (page.list.model.rows[0].id, page.list.model.rows[2].id)
    assert page.list.beside.isEnabled()
    assert shelf.loaded == []  # a tick opens nothing
    QTest.keyClick(table, Qt.Key.Key_Space)
    assert len(page.list.model.ticks) in (1, 3)


@pytest.mark.parametrize("width", [1024, 1280])
def test_a_first_tick_moves_nothing(page: HistoryPage, width: int, settle: Settle) -> None:
    page.resize(width, 700)
    settle()
    stood = page.list.table.mapTo(page, QPoint(0, 0))
    for at in range(3):
        page.list.model.tick(at)
        settle()
        assert page.list.untick.isVisible()
        assert page.list.table.mapTo(page, QPoint(0, 0)) == stood
    page.list.untick.click()
    settle()
    assert page.list.table.mapTo(page, QPoint(0, 0)) == stood


def test_under_a_short_list_stands_what_can_be_done_with_it(page: HistoryPage) -> None:
    assert not page.list.beneath.isVisible()  # 24 batches fill the page
    page.show_entries(many(1))
    assert "side by side" in page.list.beneath.text()
    page.show_entries(many(3))
    assert page.list.beneath.isVisible()
    assert "trends" in page.list.beneath.text()
    assert page.list.beneath.y() >= page.list.table.geometry().bottom()


def test_a_seventh_is_refused_and_said(page: HistoryPage) -> None:
    for row in range(7):
        page.list.model.tick(row)
    assert len(page.list.model.ticks) == 6
    assert "6" in page.list.hint.text()
    page.list.untick.click()
    assert not page.list.model.ticks


# one batch


def test_one_is_read_through_by_keyboard(page: HistoryPage, shelf: Shelf) -> None:
    page.list.table.setFocus()
    at = page.list.model.row_of("s23")  # made after the corrected one
    page.list.table.selectRow(at)
    QTest.keyClick(page.list.table, Qt.Key.Key_Return)
    assert shelf.loaded == ["s23"]
    assert page.reading
    shown = texts(page)
    assert any("<s>8.07 g</s> 8.11 g" in text for text in shown)  # the original stays readable
    assert "smells of warm wood" in shown
    assert any("Lavender" in text and "was planned" in text for text in shown)  # weighed off
    assert page.record_page.curve._model.rowCount() > 3
    bars = page.reader.findChildren(StepBar)
    assert len(bars) > 10
    assert all(bar.accessibleName() for bar in bars)
    page.reader.back.click()
    assert page.list.isVisibleTo(page)
    assert page.list.chosen() == "s23"


def test_where_there_is_little_room_one_button_holds_the_rest(page: HistoryPage, settle: Settle) -> None:
    page.open("s6")
    settle()
    assert page.reader.paper.isVisibleTo(page)
    assert not page.reader.more.isVisibleTo(page)
    page.resize(600, 700)
    settle()
    assert not page.reader.paper.isVisibleTo(page)
    assert page.reader.more.isVisibleTo(page)
    asked: list[str] = []
    page.print_asked.connect(asked.append)
    page.reader.more.menu().actions()[0].trigger()
    assert asked == ["s6"]


def test_lots_that_were_not_named_are_said_in_the_record(page: HistoryPage) -> None:
    """Of a practice run nothing came off a shelf, so nothing is missing."""

    def told() -> bool:
        labels = page.record_page.findChildren(QLabel)
        return any("from which bottles and bags this batch was made" in each.text() for each in labels)

    page.open("s6")
    state = page.reader.state
    page.record_page.show_session("s6", state, replace(record(state), rehearsal=False))
    assert told()
    page.record_page.show_session("s6", state, replace(record(state), rehearsal=True))
    assert not told()
    made = record(state)
    lines = tuple(
        replace(line, lots=("b1",), lot_unknown=False) if line.material == "beeswax" else line
        for line in made.lines
    )
    page.record_page.show_session("s6", state, replace(made, rehearsal=False, lines=lines))
    labels = [each.text() for each in page.record_page.findChildren(QLabel)]
    (one,) = [each for each in labels if "from which bottle or bag this came" in each]
    assert "Jojoba" in one
    assert "Beeswax" not in one


def test_a_hold_says_what_was_done(page: HistoryPage) -> None:
    page.open("s2")  # made after the one with the door bell
    shown = texts(page)
    assert any("the door bell" in text for text in shown)
    assert any("Made safe after 8 s" in text for text in shown)


def test_an_early_end_says_why(page: HistoryPage) -> None:
    page.open("s3")
    assert "a call came" in page.reader.remark.text()
    assert not page.record_page.curve.isVisibleTo(page)


def test_a_record_that_cannot_be_read_is_told(page: HistoryPage, qtbot: QtBot) -> None:
    def refuse(_session: str) -> tuple[()]:
        raise Trouble("The record cannot be read.")

    object.__setattr__(page._ports, "load", refuse)
    with qtbot.waitSignal(page.troubled):
        page.open("s9")
    assert not page.reading


# side by side


def beside(page: HistoryPage, *sessions: str) -> None:
    for session in sessions:
        page.list.model.tick(page.list.model.row_of(session))
    page.list.beside.click()


def test_side_by_side_is_laid_at_a_step_and_marks_what_differs(page: HistoryPage) -> None:
    beside(page, "s6", "s23", "s2")
    side = page.beside
    assert side.isVisibleTo(page)
    assert side.at_box.key() == "add fragrance"
    for line in side.chart.lines:  # at 0 the fragrance went in: all of them have a reading on both sides
        assert line.points[0][0] < 0 < line.points[-1][0]
    shown = [label.text() for label in side.shares.findChildren(QLabel)]
    assert any("\n+" in text and text.endswith("%") for text in shown)  # 20 % more lavender
    side.at_box.chosen.emit("start")
    assert all(line.points[0][0] > 0 for line in side.chart.lines)
    side.chart.setFocus()
    QTest.keyClick(side.chart, Qt.Key.Key_Right)
    assert "A " in side.readout.text()
    assert "°C" in side.readout.text()


def test_one_of_them_is_read_and_left_again(page: HistoryPage) -> None:
    beside(page, "s6", "s23")
    page.beside.opened.emit("s23")
    assert page.reading
    page.reader.back.click()
    assert page.beside.isVisibleTo(page)
    page.beside.back.click()
    assert page.list.isVisibleTo(page)


# trends


def test_trends_mark_the_odd_one_and_say_so(page: HistoryPage, settle: Settle) -> None:
    page.show_entries(many(200))
    page.list.filters.choose("recipe", "Wind over thyme")
    page.list.trends.click()
    page.trends.choose("recipe", "Wind over thyme")
    page.trends.last_box.show_key("200")
    page.trends._refill()
    titles = [card.title.text() for card in page.trends.cards]
    assert "Time to melt" in titles
    odd = [dot for card in page.trends.cards for dot in card.chart.dots if dot.odd]
    said = [words.text() for card in page.trends.cards for words in card.odd]
    assert len(odd) == len(said) > 0
    card = page.trends.cards[1]
    card.chart.setFocus()
    QTest.keyClick(card.chart, Qt.Key.Key_End)
    assert card.chart.dots[-1].text in card.at.text()
    QTest.keyClick(card.chart, Qt.Key.Key_Return)
    assert page.reading
    page.reader.back.click()
    assert page.trends.isVisibleTo(page)


def test_trends_of_a_vessel_and_of_practice_alone(page: HistoryPage) -> None:
    page.list.trends.click()
    box = page.trends.of_box
    keys = [str(box.itemData(at)) for at in range(box.count())]
    assert "vessel:beaker_250" in keys
    said = [box.itemText(at) for at in range(box.count())]
    assert any(each.startswith("Jug: ") for each in said)  # the shelf says “Jugs”
    assert page.list.filters._name("vessel") == page.list.model.title("vessel") == "Jug"
    assert page.list.filters._name("outcome") == page.list.model.title("end")
    page.trends.last_box.show_key("200")
    page.trends.choose("vessel", "beaker_250")
    of_the_vessel = len(page.trends.cards[0].chart.dots)
    page.trends.practice.setChecked(True)
    assert len(page.trends.cards[0].chart.dots) > of_the_vessel  # practice runs count only when asked for
    page.show_list()
    page.show_entries(tuple(each for each in many(14) if each.rehearsal))
    page.list.trends.click()
    assert page.trends.practice.isChecked()  # there is nothing else
    assert any("fewer than" in text.text() for text in page.trends.findChildren(QLabel))


def test_another_project_starts_anew(page: HistoryPage) -> None:
    page.list.model.tick(0)
    page.list.filters.words.setText("harbour")
    page.open("s6")
    page.forget()
    page.show_entries(many(5))
    assert page.list.isVisibleTo(page)
    assert not page.list.model.ticks
    assert page.list.model.rowCount() == 5
    assert page.list.chosen() == "s5"


# taking away


def test_what_is_shown_can_be_taken_out(page: HistoryPage, ask: ScriptedAsk, tmp_path: Path) -> None:
    table, picture = tmp_path / "out.csv", tmp_path / "out.png"
    ask.answers = {"past table": table, "past picture": picture}

    def rows() -> list[dict[str, str]]:
        with table.open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    page.list.filters.choose("recipe", "Grey harbour")
    page.list.save.click()
    assert {row["recipe"] for row in rows()} == {"Grey harbour"}
    assert len(rows()) == page.list.model.rowCount()
    page.list.filters.clear()
    page.open("s23")
    page.reader.table.click()
    lavender = next(row for row in rows() if row["what"] == "Lavender")
    assert float(lavender["made_g"]) == pytest.approx(1.2 * float(lavender["planned_g"]), abs=0.01)
    page.reader.picture.click()
    image = QImage(str(picture))
    assert (
        image.height() > 2 * page.reader.stack.height()
    )  # also what is scrolled out of sight, at twice the size
    page.show_list()
    beside(page, "s6", "s23")
    page.beside.table.click()
    with table.open(encoding="utf-8", newline="") as file:
        assert len(next(csv.reader(file))) == 3 + 2
    page.show_trends()
    page.trends.table.click()
    assert {"figure", "z", "odd"} <= set(rows()[0])
