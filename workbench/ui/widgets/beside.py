"""Two parts beside one another where there is room, else one under the other."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from workbench.ui.theme import GRID_PX, theme_now

WIDE_EM = 62  # from this width on they stand beside one another


class Beside(QWidget):
    """`gap` and `below` lie between them, in steps of the grid, when beside and when under one another.

    `even`: both take what room there is; else the right one is as wide as it
    needs to be, in either place.
    """

    def __init__(
        self,
        left: QWidget,
        right: QWidget,
        wide_em: float = WIDE_EM,
        parent: QWidget | None = None,
        *,
        even: bool = True,
        gap: int = 12,
        below: int = 6,
    ) -> None:
        super().__init__(parent)
        self._left, self._right, self._wide_em, self._even = left, right, wide_em, even
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(gap * GRID_PX)
        self._grid.setVerticalSpacing(below * GRID_PX)
        self._both: bool | None = None
        self._spared = False
        self._arrange()

    def spare_left(self, spared: bool) -> None:
        """Where they would stand under one another the left one is left out."""
        self._spared = spared
        self._left.setVisible(bool(self._both) or not spared)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_grid"):
            self._arrange()

    def _arrange(self) -> None:
        both = self.width() >= self._wide_em * theme_now().em()
        if both == self._both:
            return
        self._both = both
        self._left.setVisible(both or not self._spared)
        self._grid.removeWidget(self._left)
        self._grid.removeWidget(self._right)
        self._grid.addWidget(self._left, 0, 0)
        if both:
            self._grid.addWidget(self._right, 0, 1)
        elif self._even:
            self._grid.addWidget(self._right, 1, 0)
        else:
            self._grid.addWidget(self._right, 1, 0, Qt.AlignmentFlag.AlignLeft)
        self._grid.setColumnStretch(0, 1)
        self._grid.setColumnStretch(1, 1 if both and self._even else 0)
