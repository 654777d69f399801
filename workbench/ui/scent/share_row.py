"""One oil of the scent: its colour, its name and a slider over its share, by mouse or key."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QSlider, QWidget

from workbench.ui.theme import theme_now


class Swatch(QWidget):
    """A piece of the colour of an area."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._colour: QColor | None = None
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def show_colour(self, colour: QColor | None) -> None:
        self._colour = colour
        self.setVisible(colour is not None)
        self.update()

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(em, em)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colour is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(theme_now().colour("edge"), 1))
        painter.setBrush(self._colour)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 2, 2)
        painter.end()


class InkSlider(QSlider):
    """A slider in paper and ink; the wheel scrolls the page, not the value.

    wished(value)   while it moves; settled(value) when it stands
    """

    wished = Signal(int)
    settled = Signal(int)

    def __init__(self, name: str, least: int, most: int, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setAccessibleName(name)
        self.setRange(least, most)
        self.setPageStep(max(1, (most - least) // 10))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.fill: QColor | None = None
        self._showing = False
        self.valueChanged.connect(self._changed)
        self.sliderReleased.connect(self._released)

    def show_value(self, value: int) -> None:
        """Show a value without telling anyone; not while it is being drawn."""
        if not self.isSliderDown() and value != self.value():
            self._showing = True
            self.setValue(value)
            self._showing = False

    def _changed(self, value: int) -> None:
        if self._showing:
            return
        self.wished.emit(value)
        if not self.isSliderDown():
            self.settled.emit(value)

    def _released(self) -> None:
        self.settled.emit(self.value())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(8 * em, round(1.7 * em))

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(4 * em, round(1.7 * em))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.EnabledChange):
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        theme = theme_now()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle, radius = self.height() / 2, 0.42 * theme.em()
        left, right = radius + 2, self.width() - radius - 2
        span = max(1, self.maximum() - self.minimum())
        x = left + (right - left) * (self.value() - self.minimum()) / span
        groove = QRectF(left, middle - 2.5, right - left, 5)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour("bar_track"))
        painter.drawRoundedRect(groove, 2.5, 2.5)
        painter.setBrush(self.fill or theme.colour("bar_fill"))
        painter.drawRoundedRect(QRectF(left, middle - 2.5, x - left, 5), 2.5, 2.5)
        painter.setPen(
            QPen(theme.colour("focus" if self.hasFocus() else "edge"), 3 if self.hasFocus() else 1.5)
        )
        painter.setBrush(theme.colour("field" if self.isEnabled() else "raised"))
        painter.drawEllipse(QRectF(x - radius, middle - radius, 2 * radius, 2 * radius))
        painter.end()
