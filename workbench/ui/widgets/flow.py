"""Side by side as many as fit, the rest in further lines."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX


class FlowLayout(QLayout):
    """Items keep their own width; a line ends where the next one would not fit."""

    def __init__(self) -> None:
        super().__init__()
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(2 * GRID_PX)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._place(QRect(0, 0, width, 0), False)

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._place(rect, True)

    def sizeHint(self) -> QSize:
        sizes = [item.sizeHint() for item in self._items if not item.isEmpty()]
        wide = sum(size.width() for size in sizes) + self.spacing() * max(0, len(sizes) - 1)
        return QSize(wide, max((size.height() for size in sizes), default=0))

    def minimumSize(self) -> QSize:
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size

    def _place(self, rect: QRect, really: bool) -> int:
        """Set the items where they belong, or only reckon; the height they take."""
        lines: list[list[tuple[QLayoutItem, QRect]]] = []
        x, y, high = rect.x(), rect.y(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            size = item.sizeHint()
            wide = min(size.width(), max(rect.width(), item.minimumSize().width()))
            if not lines or x + wide > rect.x() + rect.width():
                x, y, high = rect.x(), y + (high + self.spacing() if lines else 0), 0
                lines.append([])
            lines[-1].append((item, QRect(x, y, wide, size.height())))
            x, high = x + wide + self.spacing(), max(high, size.height())
        if really:
            for line in lines:
                tallest = max(place.height() for _item, place in line)
                for item, place in line:
                    item.setGeometry(place.translated(0, (tallest - place.height()) // 2))
        return y + high - rect.y()


class Flow(QWidget):
    def __init__(self, *items: QWidget) -> None:
        super().__init__()
        line = FlowLayout()
        for item in items:
            line.addWidget(item)
        self.setLayout(line)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
