"""Boxes to choose from: the wheel changes nothing, the key of the choice is at hand."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QStandardItem, QStandardItemModel, QWheelEvent
from PySide6.QtWidgets import QComboBox, QSizePolicy, QWidget

KEY = Qt.ItemDataRole.UserRole
MEASURED = 24  # a longer list is one of names, which the layout gives what room there is
MOST_LETTERS = 40
LEAST_ROWS, MOST_ROWS = 8, 20  # of an open list that is longer


class ListBox(QComboBox):
    """A combo box whose open list shows whole rows: all of them, or as many as the screen has room for.

    Left to itself Qt lays the list over the box where the style says so, cuts
    it at the edge of the screen in the middle of a row, and measures it before
    the style sheet has had its say, so that the last row is halved.
    """

    def showPopup(self) -> None:
        """The list is as wide as its longest entry, also where the box is not."""
        view, screen = self.view(), self.screen().availableGeometry()
        bar = view.verticalScrollBar().sizeHint().width()
        view.setMinimumWidth(min(view.sizeHintForColumn(0) + bar, screen.width()))
        self.setMaxVisibleItems(max(1, min(self.count(), MOST_ROWS)))
        super().showPopup()
        self._whole_rows(screen)

    def _whole_rows(self, screen: QRect) -> None:
        """Below the box, or above it where there is more room; over it only before fewer than eight are seen."""
        view = self.view()
        frame = view.parentWidget()
        if frame is None or self.count() == 0 or not view.isVisible():
            return
        row = max(view.sizeHintForRow(at) for at in range(self.count()))
        around = frame.height() - view.viewport().height()
        box = QRect(self.mapToGlobal(QPoint(0, 0)), self.size())
        below, above = screen.bottom() - box.bottom(), box.top() - screen.top()
        wanted = min(self.count(), MOST_ROWS)

        def fitting(room: int) -> int:
            return max(0, min(wanted, (room - around) // row))

        rows = max(fitting(below), fitting(above))
        if rows < min(wanted, LEAST_ROWS):
            rows = max(1, fitting(min(screen.height(), LEAST_ROWS * row + around)))
        tall = rows * row + around
        if tall <= below:
            top = box.bottom() + 1
        elif tall <= above:
            top = box.top() - tall
        else:
            top = screen.bottom() + 1 - tall
        left = max(screen.left(), min(frame.x(), screen.right() + 1 - frame.width()))
        frame.setGeometry(left, top, frame.width(), tall)
        view.scrollTo(
            self.model().index(max(0, self.currentIndex()), self.modelColumn(), self.rootModelIndex())
        )


class ChooseBox(ListBox):
    """A combo box over (key, text); `chosen` carries the key, and only what the user chose."""

    chosen = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None, least_chars: int = 6) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(least_chars)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.activated.connect(self._activated)

    def offer(self, entries: Iterable[tuple[str, str]]) -> None:
        """Fill the box, keeping what is chosen."""
        wanted, kept = list(entries), self.key()
        if [(self.itemData(i, KEY), self.itemText(i)) for i in range(self.count())] == wanted:
            return
        self.blockSignals(True)
        self.clear()
        for key, text in wanted:
            self.addItem(text, key)
        self.blockSignals(False)
        self.show_key(kept)

    def key(self) -> str:
        held = self.currentData(KEY)
        return held if isinstance(held, str) else ""

    def show_key(self, key: str | None) -> None:
        """Show a choice without telling anyone."""
        index = self.findData(key or "", KEY)
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def sizeHint(self) -> QSize:
        """Wide enough for the longest entry, where the entries are few and short enough for that."""
        hint = super().sizeHint()
        if self.count() <= MEASURED:
            most = MOST_LETTERS * self.fontMetrics().averageCharWidth()
            hint.setWidth(max(hint.width(), min(self.widest_px(), most)))
        return hint

    def widest_px(self) -> int:
        """The width at which every entry stands in full."""
        texts = [self.itemText(at) for at in range(self.count())]
        widest = max(map(self.fontMetrics().horizontalAdvance, texts), default=0)
        return widest + round(2.6 * self.fontMetrics().height())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def _activated(self, index: int) -> None:
        key = self.itemData(index, KEY)
        if isinstance(key, str):
            self.chosen.emit(key)


def grouped_model(groups: Iterable[tuple[str, Iterable[tuple[str, str]]]]) -> QStandardItemModel:
    """A list with headings that cannot be chosen: (heading, [(key, text), ...]), ..."""
    model = QStandardItemModel()
    for heading, entries in groups:
        listed = list(entries)
        if not listed:
            continue
        head = QStandardItem(heading)
        head.setFlags(Qt.ItemFlag.NoItemFlags)
        font = head.font()
        font.setBold(True)
        head.setFont(font)
        model.appendRow(head)
        for key, text in listed:
            item = QStandardItem(text)
            item.setData(key, KEY)
            model.appendRow(item)
    return model
