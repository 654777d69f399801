"""One judgement from 0 to 10: eleven large fields in a row, set by a finger, the mouse or the keys."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleValueChangeEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.theme import theme_now
from workbench.ui.widgets.drawn import Drawn

MOST = 10
_LEAST_EM, _USUAL_EM, _HIGH_EM = 2.1, 3.0, 2.9  # of one field


class PointsScale(Drawn):
    """picked(points or None)

    Keys: 0 to 9, and 1 followed by 0 for ten; left and right; Delete takes the
    mark away.  Up and down are left to the page, which goes to the next row.
    """

    picked = Signal(object)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._points: int | None = None
        self._one_typed = False  # a 1 was typed just now: a 0 after it makes ten
        self._name = ""
        self.rename(name)

    @property
    def points(self) -> int | None:
        return self._points

    def rename(self, name: str) -> None:
        self._name = name
        self._tell()

    def show_points(self, points: int | None) -> None:
        """Show a mark without telling anyone."""
        self._one_typed = False
        if points != self._points:
            self._points = points
            self._tell()
            self.update()

    def pick(self, points: int | None) -> None:
        if points != self._points:
            self.show_points(points)
            self.picked.emit(points)

    def _tell(self) -> None:
        words = self.tr("not marked") if self._points is None else str(self._points)
        self.setAccessibleName(self.tr("{name}: {points}").format(name=self._name, points=words))
        QAccessible.updateAccessibility(QAccessibleValueChangeEvent(self, words))

    # size and places

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(round((MOST + 1) * _LEAST_EM * em), round(_HIGH_EM * em))

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(round((MOST + 1) * _USUAL_EM * em), round(_HIGH_EM * em))

    def field(self, points: int) -> QRectF:
        """Where the field of a number stands."""
        wide = min(self.width() / (MOST + 1), 4.0 * theme_now().em())
        return QRectF(points * wide, 0, wide, self.height()).adjusted(2, 2, -2, -2)

    # keys and pointer

    def keyPressEvent(self, event: QKeyEvent) -> None:
        text, key = event.text(), Qt.Key(event.key())
        if len(text) == 1 and text in "0123456789":
            if text == "0" and self._one_typed:
                self.pick(MOST)
            else:
                self.pick(int(text))
                self._one_typed = text == "1"
        elif key in (Qt.Key.Key_Right, Qt.Key.Key_Left):
            step = 1 if key is Qt.Key.Key_Right else -1
            self.pick(0 if self._points is None else min(MOST, max(0, self._points + step)))
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.pick(None)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            hit = next((n for n in range(MOST + 1) if self.field(n).contains(event.position())), None)
            if hit is not None:
                self.pick(None if hit == self._points else hit)

    # looks

    def paintEvent(self, _event: QPaintEvent) -> None:
        theme = theme_now()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for points in range(MOST + 1):
            at, chosen = self.field(points), points == self._points
            painter.setPen(QPen(theme.colour("ink" if chosen else "edge"), 2 if chosen else 1))
            painter.setBrush(theme.colour("action_fill" if chosen else "field"))
            painter.drawRoundedRect(at, 4, 4)
            painter.setPen(theme.colour("action_text" if chosen else "ink"))
            painter.setFont(theme.font("strong" if chosen else "body"))
            painter.drawText(at, Qt.AlignmentFlag.AlignCenter, str(points))
        if self.hasFocus():
            last = self.field(MOST)
            painter.setPen(QPen(theme.colour("focus"), 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(1, 1, last.right(), self.height() - 2), 5, 5)
        painter.end()
