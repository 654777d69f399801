"""Words and buttons with capitals of a true height, for reading from across the room."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QMouseEvent, QPaintEvent
from PySide6.QtWidgets import (
    QPushButton,
    QStyle,
    QStyleOptionButton,
    QStylePainter,
    QWidget,
)

from workbench.ui.bench.letters import Laid, Letters
from workbench.ui.bench.metrics import TARGET_MM
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, held_together


class BigWords(Words):
    """A label whose capitals have a true height; it wraps and never elides."""

    def __init__(self, millimetres: float, bold: bool = False, parent: QWidget | None = None) -> None:
        super().__init__("", "body", parent)
        self.millimetres = millimetres
        self.bold = bold

    @property
    def shape(self) -> tuple[object, ...]:
        return (self.text(), self.millimetres)

    def laid(self, width: int, letters: Letters) -> Laid | None:
        tall = letters.tall(self.text(), self.millimetres, self.bold, width)
        return None if tall is None else Laid(tall, font=letters.font(self.millimetres, self.bold))


class BigButton(QPushButton):
    """A button of at least 12 mm whose words wrap."""

    def __init__(
        self,
        millimetres: float,
        pressed: Callable[[], object] | None = None,
        role: str = "big",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.millimetres = millimetres
        as_role(self, role)
        self.setAutoDefault(False)
        if pressed is not None:
            self.clicked.connect(pressed)

    def _pad(self, letters: Letters) -> int:
        return letters.pad + 6

    def natural(self, letters: Letters) -> int:
        """Wide enough for one line."""
        return max(
            letters.true_px(TARGET_MM),
            letters.wide(self.text(), self.millimetres, True) + 2 * self._pad(letters),
        )

    def laid(self, width: int, letters: Letters) -> Laid | None:
        tall = letters.tall(self.text(), self.millimetres, True, width - 2 * self._pad(letters))
        if tall is None:
            return None
        return Laid(
            max(letters.true_px(TARGET_MM), tall + 2 * letters.pad), font=letters.font(self.millimetres, True)
        )

    def minimumSizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        words = held_together(self.text()).split(" ")
        return QSize(max(map(metrics.horizontalAdvance, words), default=0) + 12, metrics.height())

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, option = QStylePainter(self), QStyleOptionButton()
        self.initStyleOption(option)
        option.text = ""
        painter.drawControl(QStyle.ControlElement.CE_PushButton, option)
        colours = theme_now().colours
        role = self.property("role")
        ink = colours.action_text if role == "primary" else colours.ink
        if not self.isEnabled():
            ink = colours.muted
        elif role != "primary" and (self.isChecked() or self.isDown() or self.underMouse()):
            ink = colours.chosen_text
        painter.setPen(ink)
        painter.setFont(self.font())
        flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
        painter.drawText(self.rect().adjusted(6, 0, -6, 0), flags, held_together(self.text()))
        painter.end()


class OnceButton(BigButton):
    """One of several that close up where one was pressed: a double click is one press.

    Its second half would land on the button that has just come under the pointer.
    """

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        event.accept()
