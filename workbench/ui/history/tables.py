"""Plain tables on a page: a heading, columns of figures to the right, words that wrap to the left."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, held_together

TOP_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
TOP_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop


class PlainTable(QWidget):
    """Rows are added from the top; a cell is words, or any widget."""

    def __init__(self, heading: str, columns: tuple[str, ...] = (), parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(heading)
        self.heading = Words(heading, "head")
        self.grid = QGridLayout(self)
        self.grid.setContentsMargins(0, 0, 0, 0)
        self.grid.setHorizontalSpacing(5 * GRID_PX)
        self.grid.setVerticalSpacing(GRID_PX)
        self.grid.setColumnStretch(0, 1)
        self.grid.addWidget(self.heading, 0, 0)
        for at, words in enumerate(columns, start=1):
            self.grid.addWidget(self.figure(words, "muted", Qt.AlignmentFlag.AlignBottom), 0, at)
        self._next = 1

    def add(self, words: str | QWidget, *cells: str | QWidget, role: str = "body") -> None:
        """One row; the first cell wraps, the others stand on one line."""
        first = words
        if isinstance(first, str):
            first = Words(first, role)
            first.setAlignment(TOP_LEFT)
        self.grid.addWidget(first, self._next, 0)
        for at, cell in enumerate(cells, start=1):
            made = self.figure(cell, role) if isinstance(cell, str) else cell
            self.grid.addWidget(made, self._next, at)
        self._next += 1

    def add_wide(self, words: str, role: str = "body") -> None:
        """A remark over all columns."""
        made = Words(words, role)
        made.setAlignment(TOP_LEFT)
        self.grid.addWidget(made, self._next, 0, 1, -1)
        self._next += 1

    def fill_down(self) -> None:
        """The rows keep together on top where the table is given more room than it needs."""
        self.grid.setRowStretch(self._next, 1)

    def figure(
        self, words: str, role: str = "body", at: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignTop
    ) -> QLabel:
        """A number to the right of its column, on one line: a bare label, since a page may hold hundreds."""
        made = QLabel(held_together(words), self)
        made.setProperty("role", role)  # new, so the stylesheet reads it when it is first shown
        made.setTextFormat(Qt.TextFormat.PlainText)
        made.setAlignment(Qt.AlignmentFlag.AlignRight | at)
        made.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Preferred)
        return made


def with_struck(old: list[str], newest: str) -> QLabel:
    """The newest value after every earlier one: struck through on screen, in words for who listens."""
    made = QLabel()
    as_role(made, "body")
    made.setAlignment(TOP_RIGHT)
    made.setTextFormat(Qt.TextFormat.RichText)
    made.setText(" ".join([*(f"<s>{_escaped(each)}</s>" for each in old), _escaped(newest)]))
    made.setAccessibleName(newest)
    return made


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
