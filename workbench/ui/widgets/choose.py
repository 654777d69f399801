"""Boxes to choose from: the wheel changes nothing, the key of the choice is at hand."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QStandardItem, QStandardItemModel, QWheelEvent
from PySide6.QtWidgets import QComboBox, QSizePolicy, QWidget

KEY = Qt.ItemDataRole.UserRole
MEASURED = 24  # a longer list is one of names, which the layout gives what room there is
MOST_LETTERS = 40


class ChooseBox(QComboBox):
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

    def showPopup(self) -> None:
        """The list is as wide as its longest entry, also where the box is not."""
        view = self.view()
        bar = view.verticalScrollBar().sizeHint().width()
        view.setMinimumWidth(min(view.sizeHintForColumn(0) + bar, self.screen().availableSize().width()))
        super().showPopup()

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
