"""How large the letters of the bench view are, and a ruler that makes a millimetre true."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QSizePolicy, QVBoxLayout, QWidget

from workbench.ui.bench.metrics import CAPITAL_MM, Ruler, told_px_per_mm
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, row

LEAST, MOST, STEP = 100, 200, 10


class RulerBar(QWidget):
    """A bar that should be exactly 100 mm long; the maker holds a ruler to it."""

    LENGTH_MM = 100.0

    def __init__(self, ruler: Ruler, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.ruler = ruler
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(self.tr("A bar that should be 100 mm long"))

    def show_ruler(self, ruler: Ruler) -> None:
        self.ruler = ruler
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(self.ruler.px(self, self.LENGTH_MM)) + 2, 2 * theme_now().em())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), theme_now()
        painter.setPen(theme.pen("ink", 2))
        length, base = self.ruler.px(self, self.LENGTH_MM), self.height() - 2
        painter.drawLine(1, base, round(length) + 1, base)
        for at in range(0, 101, 10):
            x = round(1 + length * at / 100)
            painter.drawLine(x, base, x, base - (self.height() - 4 if at % 50 == 0 else self.height() // 2))
        painter.end()


class SizePanel(QFrame):
    """Letters larger or smaller, and the ruler.

    changed(percent, px per mm)   `percent` is what the maker wishes for
    closed()
    """

    changed = Signal(int, object)
    closed = Signal()

    def __init__(self, percent: int, ruler: Ruler, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "panel")
        self.percent, self.ruler, self._fits = percent, ruler, percent
        self.words = Words("", "body", self)
        self.bar = RulerBar(ruler, self)
        self.smaller = button("", self._smaller, "", self)
        self.larger = button("", self._larger, "", self)
        self.shorter = button("", self._shorter, "", self)
        self.longer = button("", self._longer, "", self)
        self.close_button = button("", self.closed.emit, "", self)
        whole = self._whole = QVBoxLayout(self)
        whole.setSpacing(2 * GRID_PX)
        whole.addWidget(self.words)
        whole.addLayout(row(self.smaller, self.larger, 1, self.close_button))
        whole.addLayout(row(self.bar, self.shorter, self.longer, 1))
        self._say()

    def show_size(self, percent: int, ruler: Ruler, fits: int) -> None:
        """`fits`: the largest size at which the first page holds."""
        if (percent, ruler, fits) == (self.percent, self.ruler, self._fits):
            return
        self.percent, self.ruler, self._fits = percent, ruler, fits
        self.bar.show_ruler(ruler)
        self._say()

    def tall_at(self, width: int) -> int:
        return self._whole.totalHeightForWidth(width)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    def _say(self) -> None:
        self.smaller.setText(self.tr("Smaller"))
        self.larger.setText(self.tr("Larger"))
        self.shorter.setText(self.tr("Bar is too long"))
        self.longer.setText(self.tr("Bar is too short"))
        self.close_button.setText(self.tr("Close"))
        said = self.tr("Letters at {percent} %. Hold a ruler to the bar: it should be 100 mm long.").format(
            percent=self.percent
        )
        if self._fits < self.percent:
            said += "\n" + self.tr("On this step {fits} % fit: capitals of {mm} mm.").format(
                fits=self._fits, mm=f"{CAPITAL_MM * self._fits / 100:.1f}"
            )
        self.words.say(said)

    def _step(self, percent: int, times: float = 1.0) -> None:
        self.percent = min(MOST, max(LEAST, percent))
        if times != 1.0:
            px_per_mm = (self.ruler.px_per_mm or told_px_per_mm(self)) * times
            self.ruler = Ruler(min(60.0, max(0.6, px_per_mm)))
            self.bar.show_ruler(self.ruler)
        self._say()
        self.changed.emit(self.percent, self.ruler.px_per_mm)

    def _smaller(self) -> None:
        self._step(self.percent - STEP)

    def _larger(self) -> None:
        self._step(self.percent + STEP)

    def _shorter(self) -> None:
        self._step(self.percent, 1 / 1.01)

    def _longer(self) -> None:
        self._step(self.percent, 1.01)
