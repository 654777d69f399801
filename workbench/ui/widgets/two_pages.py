"""Two pages beside one another; where it is narrow, one at a time with a switch above."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt, QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSplitter, QWidget

from workbench.ui.theme import GRID_PX, theme_now
from workbench.ui.widgets.basic import button, column, row

TWO_PAGES_EM = 62  # below this width one page is shown at a time


class TwoPages(QWidget):
    """`left_percent` is the share of the first page where both are shown."""

    def __init__(
        self,
        left: QWidget,
        left_name: str,
        right: QWidget,
        right_name: str,
        left_percent: int = 52,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.left, self.right, self._percent = left, right, left_percent
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setHandleWidth(2 * GRID_PX)
        self.splitter.setChildrenCollapsible(False)
        for at, (made, share) in enumerate(((left, left_percent), (right, 100 - left_percent))):
            self.splitter.addWidget(made)
            self.splitter.setStretchFactor(at, share)
        self.to_left = button(left_name, self.show_left, "place")
        self.to_right = button(right_name, self.show_right, "place")
        for way in (self.to_left, self.to_right):
            way.setCheckable(True)
        self.switch = QWidget()
        line = row(self.to_left, self.to_right, 1)
        line.setContentsMargins(4 * GRID_PX, 0, 4 * GRID_PX, GRID_PX)
        self.switch.setLayout(line)
        whole = column(self.switch, self.splitter, gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self._narrow: bool | None = None
        self._on_left = True
        self._to_share = False
        self._arrange()  # one page, until there is room for two

    @property
    def narrow(self) -> bool:
        return bool(self._narrow)

    def show_left(self) -> None:
        self._on_left = True
        self._show()

    def show_right(self) -> None:
        self._on_left = False
        self._show()

    def minimumSizeHint(self) -> QSize:
        """As wide as one page: where both have no room one goes, and the window never grows for them.

        Text that becomes large is laid out once before that is known.
        """
        shown = [each for each in (self.left, self.right) if not each.isHidden()]
        wide = max((each.minimumSizeHint().width() for each in shown), default=0)
        return QSize(max(wide, self.switch.minimumSizeHint().width()), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._to_share:  # the text became smaller while another page was in front
            QTimer.singleShot(0, self, self._share)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_on_left"):
            self._arrange()

    def _arrange(self) -> None:
        narrow = self.width() < TWO_PAGES_EM * theme_now().em()
        if narrow != self._narrow:
            self._narrow = narrow
            self.switch.setVisible(narrow)
            self._show()
            if not narrow:
                self._to_share = True
                QTimer.singleShot(0, self, self._share)

    def _share(self) -> None:
        """Give each page its part, once both know how narrow they can be at the text size of now."""
        if self._to_share and self.isVisible() and not self._narrow:
            self._to_share = False
            left = self.width() * self._percent // 100
            self.splitter.setSizes([left, self.width() - left])

    def _show(self) -> None:
        both = not self._narrow
        self.left.setVisible(both or self._on_left)
        self.right.setVisible(both or not self._on_left)
        self.to_left.setChecked(self._on_left)
        self.to_right.setChecked(not self._on_left)
