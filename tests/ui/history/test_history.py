"""Past batches: the list from summaries alone, and one read through."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from workbench.core.batch.commands import Correct, EndBatch, WriteNote
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.record import summary
from workbench.core.trouble import Trouble
from workbench.store.sessions import SessionEntry
from workbench.testing import BEGIN, Maker, begin
from workbench.ui.history import HistoryPage


class Shelf:
    """Two batches: one finished with a correction and a note, one ended early."""

    def __init__(self) -> None:
        self.loaded: list[str] = []
        conductor, clock, journal = begin()
        maker = Maker(conductor, clock)
        maker.go_to("weigh:shea_butter")
        seq = next(entry.seq for entry in maker.state.entries if entry.material == "beeswax")
        maker.send(Correct(seq, 8.11, "8.11", "misread the scale"))
        maker.send(WriteNote("smells of warm wood"))
        maker.go_to_end()
        self.events: dict[str, Sequence[AnyEvent]] = {"s1": journal.events}
        early, clock, stopped = begin()
        other = Maker(early, clock)
        other.go_to("mix")
        other.send(EndBatch("a call came"))
        self.events["s2"] = stopped.events
        self.entries = (
            SessionEntry("s2", 2, BEGIN, "Evening ember", 1, False, "", "ended early", summary(early.state)),
            SessionEntry("s1", 1, BEGIN, "Evening ember", 1, True, "", "finished", summary(conductor.state)),
        )

    def load(self, session: str) -> Sequence[AnyEvent]:
        self.loaded.append(session)
        if session not in self.events:
            raise Trouble("The record cannot be read.")
        return self.events[session]


@pytest.fixture
def shelf() -> Shelf:
    return Shelf()


@pytest.fixture
def page(qtbot: QtBot, shelf: Shelf) -> HistoryPage:
    made = HistoryPage(shelf.load)
    qtbot.addWidget(made)
    made.show_entries(shelf.entries)
    made.resize(1000, 700)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    return made


def texts(page: HistoryPage) -> list[str]:
    return [label.text() for label in page.reader.findChildren(QLabel)]


def test_the_list_reads_no_record(page: HistoryPage, shelf: Shelf, qtmodeltester: object) -> None:
    model = page.list.model
    qtmodeltester.check(model)  # type: ignore[attr-defined]
    assert model.rowCount() == 2
    cells = [[model.index(row, column).data() for column in range(model.columnCount())] for row in range(2)]
    assert cells[0][4] == "ended early"
    assert cells[1][4] == "finished"
    assert "practice" in cells[1][1]
    assert cells[1][2].endswith(" g")
    assert shelf.loaded == []


def test_one_is_read_through_by_keyboard(page: HistoryPage, shelf: Shelf) -> None:
    page.list.table.setFocus()
    page.list.table.selectRow(1)
    QTest.keyClick(page.list.table, Qt.Key.Key_Return)
    assert shelf.loaded == ["s1"]
    assert page.reading
    shown = texts(page)
    assert any("<s>8.07 g</s> 8.11 g" in text for text in shown)  # the original stays readable
    assert "smells of warm wood" in shown
    assert any("Beeswax" in text for text in shown)
    assert page.reader.curve._model.rowCount() > 3
    page.reader.back.click()
    assert not page.reading


def test_an_early_end_says_why(page: HistoryPage) -> None:
    page.open("s2")
    assert "a call came" in page.reader.remark.text()
    assert not page.reader.curve.isVisibleTo(page)


def test_a_record_that_cannot_be_read_is_told(page: HistoryPage, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.troubled):
        page.open("s9")
    assert not page.reading


def test_an_empty_list_teaches(qtbot: QtBot, shelf: Shelf) -> None:
    made = HistoryPage(shelf.load)
    qtbot.addWidget(made)
    made.show_entries(())
    made.show()
    assert made.list.empty.isVisibleTo(made)
    assert "practice run" in made.list.empty.text()
