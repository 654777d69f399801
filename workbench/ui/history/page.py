"""The list of past batches and the one that is read."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from workbench.core.batch.events import AnyEvent
from workbench.core.batch.session import fold
from workbench.core.trouble import Trouble
from workbench.store.sessions import SessionEntry
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.sheet import bench_sheet
from workbench.ui.history.batch_list import BatchList
from workbench.ui.history.read_through import ReadThrough
from workbench.ui.theme import theme_now
from workbench.ui.writing import Writer


class HistoryPage(QWidget):
    """troubled(Trouble): a record could not be read; print_asked(session id): it is wanted on paper.

    `load(session id)` gives the events of one session; it is called only when
    one is opened.
    """

    troubled = Signal(object)
    print_asked = Signal(str)

    def __init__(
        self,
        load: Callable[[str], Sequence[AnyEvent]],
        writer: Writer | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._load = load
        self._measures = Measures(writer or Writer())
        self._entries: tuple[SessionEntry, ...] = ()
        self._session = ""
        self.list = BatchList(self._measures, self)
        self.reader = ReadThrough(self._measures, self)
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.list)
        self._stack.addWidget(self.reader)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self._stack)
        self.setStyleSheet(bench_sheet(theme_now()))
        self.list.opened.connect(self.open)
        self.reader.left.connect(self.show_list)
        self.reader.paper_asked.connect(self._print)

    def show_entries(self, entries: tuple[SessionEntry, ...]) -> None:
        """Newest first, as the store lists them."""
        self._entries = entries
        self.list.show_entries(entries, self._measures)

    def set_writer(self, writer: Writer) -> None:
        self._measures = Measures(writer)
        self.show_entries(self._entries)
        if self.reading:
            self.open(self._session)

    @property
    def reading(self) -> bool:
        return self._stack.currentWidget() is self.reader

    def open(self, session: str) -> None:
        """Read one batch through."""
        try:
            state = fold(self._load(session))
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return
        self._session = session
        self.reader.show_state(state, self._measures)
        self._stack.setCurrentWidget(self.reader)
        self.reader.back.setFocus()

    def _print(self) -> None:
        self.print_asked.emit(self._session)

    def show_list(self) -> None:
        self._stack.setCurrentWidget(self.list)
        self.list.select(self._session)
        self.list.table.setFocus()
