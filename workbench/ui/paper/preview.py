"""Pages on the screen, painted by the very code that paints the file."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QWidget

from workbench.paper.paint import paint_sheet
from workbench.paper.scene import Document, Ink
from workbench.ui.theme import GRID_PX, as_role, theme_now

_GAP = 5 * GRID_PX
ZOOMS = (0.0, 1.0, 2.0, 4.0)  # 0: as wide as there is room; else times true size


class PageView(QWidget):
    """All pages under one another.  True size is that of a screen of 96 dots per inch unless it was measured."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document: Document | None = None
        self._zoom = 0.0
        self._px_per_mm = 96 / 25.4
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(self.tr("Preview"))

    def show_document(self, document: Document | None) -> None:
        self._document = document
        self.setAccessibleDescription("" if document is None else spoken(document))
        self._fit()
        self.update()

    def set_zoom(self, zoom: float) -> None:
        self._zoom = zoom
        self._fit()
        self.update()

    def set_px_per_mm(self, px_per_mm: float | None) -> None:
        """As the maker measured it on this screen with a ruler."""
        self._px_per_mm = px_per_mm or 96 / 25.4
        self._fit()

    @property
    def scale(self) -> float:
        """Pixels for a millimetre of paper."""
        if self._zoom > 0 or self._document is None or not self._document.sheets:
            return max(self._zoom, 1.0) * self._px_per_mm
        widest = max(sheet.w_mm for sheet in self._document.sheets)
        return max((self._room() - 2 * _GAP) / widest, 0.5)

    def _room(self) -> int:
        parent = self.parentWidget()
        return parent.width() if parent is not None else self.width()

    def _fit(self) -> None:
        size = self.sizeHint()
        self.setMinimumSize(size if self._zoom > 0 else QSize(0, size.height()))
        self.setFixedHeight(size.height())
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        if self._document is None:
            return QSize(200, 200)
        scale = self.scale
        wide = max((sheet.w_mm for sheet in self._document.sheets), default=0.0) * scale
        high = sum(sheet.h_mm * scale + _GAP for sheet in self._document.sheets) + _GAP
        return QSize(round(wide) + 2 * _GAP, round(high))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange:
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._document is None:
            return
        painter = QPainter(self)
        scale, y = self.scale, float(_GAP)
        for sheet in self._document.sheets:
            wide, high = sheet.w_mm * scale, sheet.h_mm * scale
            x = max((self.width() - wide) / 2, float(_GAP))
            frame = QRectF(x, y, wide, high)
            if frame.intersects(QRectF(event.rect())):
                painter.fillRect(frame, QColor(Ink.WHITE.value))  # paper is white in every theme
                painter.setPen(theme_now().pen("edge"))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(frame)
                painter.save()
                painter.setClipRect(frame)
                painter.translate(x, y)
                paint_sheet(painter, sheet, scale)
                painter.restore()
            y += high + _GAP
        painter.end()


class Preview(QScrollArea):
    """The pages on the desk, with bars where they are larger than the room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "desk")
        self.view = PageView()
        self.setAccessibleName(self.tr("Preview"))
        self.setWidget(self.view)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(QSize(20 * theme_now().em(), 9 * theme_now().em()))


def spoken(document: Document) -> str:
    """The words on the pages, for who cannot see them."""
    from workbench.paper.scene import Text

    return " / ".join(
        " ".join(mark.text.replace("\u00a0", " ") for mark in sheet.marks if isinstance(mark, Text))
        for sheet in document.sheets
    )[:4000]
