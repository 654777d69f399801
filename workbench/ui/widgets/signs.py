"""Safety signs of our own drawing, to the shape rules of ISO 3864.

Yellow triangle: warning.  White disc with a red ring and bar: prohibition.
Blue disc: must be done.  Green square: safe condition, first aid.  Red
square: against fire.  The pictures inside are ours, painted as vectors in a
field of 100 by 100.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from types import MappingProxyType

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.theme import Theme, theme_now


class Shape(StrEnum):
    WARNING = "warning"
    PROHIBITION = "prohibition"
    MANDATORY = "mandatory"
    SAFE = "safe condition"
    FIRE = "fire equipment"


Picture = Callable[[QPainter, QColor], None]


def _pen(painter: QPainter, colour: QColor, width: float = 5) -> None:
    painter.setPen(
        QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
    )
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _solid(painter: QPainter, colour: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)


def _wave(x: float, top: float, bottom: float) -> QPainterPath:
    path = QPainterPath(QPointF(x, bottom))
    step = (bottom - top) / 2
    path.cubicTo(x - 7, bottom - step * 0.4, x + 7, bottom - step * 0.6, x, bottom - step)
    path.cubicTo(x - 7, bottom - step * 1.4, x + 7, bottom - step * 1.6, x, top)
    return path


def _hot_surface(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour)
    painter.drawLine(QPointF(27, 76), QPointF(73, 76))
    for x in (38, 50, 62):
        painter.drawPath(_wave(x, 46, 69))


def _flame(painter: QPainter, colour: QColor) -> None:
    path = QPainterPath(QPointF(50, 22))
    path.cubicTo(54, 38, 70, 46, 70, 62)
    path.cubicTo(70, 75, 61, 80, 50, 80)
    path.cubicTo(39, 80, 30, 74, 30, 61)
    path.cubicTo(30, 52, 37, 48, 38, 38)
    path.cubicTo(43, 42, 45, 47, 45, 51)
    path.cubicTo(50, 44, 51, 33, 50, 22)
    _solid(painter, colour)
    painter.drawPath(path)


def _small_flame(painter: QPainter, colour: QColor) -> None:
    painter.save()
    painter.translate(50, 60)
    painter.scale(0.72, 0.72)
    painter.translate(-50, -52)
    _flame(painter, colour)
    painter.restore()


def _drop(painter: QPainter, colour: QColor, x: float = 50, y: float = 50, size: float = 1.0) -> None:
    painter.save()
    painter.translate(x, y)
    painter.scale(size, size)
    path = QPainterPath(QPointF(0, -28))
    path.cubicTo(8, -12, 18, -3, 18, 10)
    path.cubicTo(18, 21, 10, 28, 0, 28)
    path.cubicTo(-10, 28, -18, 21, -18, 10)
    path.cubicTo(-18, -3, -8, -12, 0, -28)
    _solid(painter, colour)
    painter.drawPath(path)
    painter.restore()


def _water(painter: QPainter, colour: QColor) -> None:
    _drop(painter, colour, 50, 52, 0.9)


def _splash(painter: QPainter, colour: QColor) -> None:
    for x, y, size in ((50, 55, 0.45), (36, 66, 0.32), (64, 66, 0.32)):
        _drop(painter, colour, x, y, size)
    _pen(painter, colour)
    painter.drawArc(QRectF(28, 66, 44, 16), 200 * 16, 140 * 16)


def _mark(painter: QPainter, colour: QColor) -> None:
    _solid(painter, colour)
    painter.drawPolygon(QPolygonF([QPointF(44.5, 36), QPointF(55.5, 36), QPointF(53, 63), QPointF(47, 63)]))
    painter.drawEllipse(QPointF(50, 73), 5, 5)


def _big_mark(painter: QPainter, colour: QColor) -> None:
    _solid(painter, colour)
    painter.drawPolygon(QPolygonF([QPointF(43, 22), QPointF(57, 22), QPointF(54, 58), QPointF(46, 58)]))
    painter.drawEllipse(QPointF(50, 72), 7, 7)


def _lid(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 6)
    painter.drawArc(QRectF(24, 34, 52, 34), 0, 180 * 16)
    painter.drawLine(QPointF(20, 52), QPointF(80, 52))
    painter.drawLine(QPointF(28, 60), QPointF(31, 78))
    painter.drawLine(QPointF(31, 78), QPointF(69, 78))
    painter.drawLine(QPointF(69, 78), QPointF(72, 60))
    painter.drawLine(QPointF(50, 26), QPointF(50, 33))


def _hand_in_glove(painter: QPainter, colour: QColor) -> None:
    path = QPainterPath(QPointF(36, 80))
    path.lineTo(36, 52)
    path.cubicTo(36, 26, 66, 26, 66, 50)
    path.lineTo(66, 80)
    path.closeSubpath()
    thumb = QPainterPath(QPointF(62, 62))
    thumb.cubicTo(72, 56, 74, 44, 80, 46)
    thumb.cubicTo(86, 50, 76, 70, 64, 76)
    _solid(painter, colour)
    painter.drawPath(path.united(thumb))


def _glasses(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 6)
    painter.drawRoundedRect(QRectF(20, 42, 25, 20), 8, 8)
    painter.drawRoundedRect(QRectF(55, 42, 25, 20), 8, 8)
    painter.drawArc(QRectF(43, 44, 14, 12), 0, 180 * 16)


def _plug(painter: QPainter, colour: QColor) -> None:
    _solid(painter, colour)
    painter.drawRoundedRect(QRectF(34, 42, 32, 22), 5, 5)
    _pen(painter, colour, 6)
    painter.drawLine(QPointF(43, 28), QPointF(43, 42))
    painter.drawLine(QPointF(57, 28), QPointF(57, 42))
    painter.drawLine(QPointF(50, 64), QPointF(50, 80))


def _air(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 6)
    painter.drawRect(QRectF(24, 28, 26, 44))
    for y in (38, 50, 62):
        painter.drawLine(QPointF(56, y), QPointF(76, y))
        painter.drawLine(QPointF(69, y - 6), QPointF(76, y))
        painter.drawLine(QPointF(69, y + 6), QPointF(76, y))


def _paper(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 5)
    painter.drawRect(QRectF(32, 24, 36, 52))
    for y in (38, 50, 62):
        painter.drawLine(QPointF(40, y), QPointF(60, y))


def _tap(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 8)
    path = QPainterPath(QPointF(26, 36))
    path.lineTo(54, 36)
    path.cubicTo(66, 36, 68, 42, 68, 48)
    painter.drawPath(path)
    painter.drawLine(QPointF(42, 26), QPointF(42, 36))
    _drop(painter, colour, 68, 70, 0.5)


def _blanket(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 5)
    painter.drawRect(QRectF(24, 24, 52, 22))
    painter.drawPath(_wave(34, 50, 80))
    painter.drawPath(_wave(66, 50, 80))
    painter.save()
    painter.translate(50, 68)
    painter.scale(0.4, 0.4)
    painter.translate(-50, -50)
    _flame(painter, colour)
    painter.restore()


def _spoon(painter: QPainter, colour: QColor) -> None:
    _solid(painter, colour)
    painter.drawEllipse(QPointF(38, 64), 12, 15)
    _pen(painter, colour, 6)
    painter.drawLine(QPointF(45, 53), QPointF(66, 24))


def _oven(painter: QPainter, colour: QColor) -> None:
    _pen(painter, colour, 5)
    painter.drawRoundedRect(QRectF(20, 32, 60, 40), 4, 4)
    painter.drawRect(QRectF(27, 39, 34, 26))
    painter.drawLine(QPointF(70, 42), QPointF(70, 46))
    painter.drawLine(QPointF(70, 56), QPointF(70, 60))


SIGNS: Mapping[str, tuple[Shape, Picture]] = MappingProxyType(
    {
        "warning": (Shape.WARNING, _mark),
        "hot surface": (Shape.WARNING, _hot_surface),
        "flammable": (Shape.WARNING, _small_flame),
        "hot splash": (Shape.WARNING, _splash),
        "hot liquid": (Shape.WARNING, _splash),
        "no open flame": (Shape.PROHIBITION, _flame),
        "no water": (Shape.PROHIBITION, _water),
        "no metal": (Shape.PROHIBITION, _spoon),
        "no microwave": (Shape.PROHIBITION, _oven),
        "must": (Shape.MANDATORY, _big_mark),
        "lid on": (Shape.MANDATORY, _lid),
        "gloves": (Shape.MANDATORY, _hand_in_glove),
        "eye protection": (Shape.MANDATORY, _glasses),
        "unplug": (Shape.MANDATORY, _plug),
        "air the room": (Shape.MANDATORY, _air),
        "read the paper": (Shape.MANDATORY, _paper),
        "cool with water": (Shape.SAFE, _tap),
        "fire blanket": (Shape.FIRE, _blanket),
    }
)


def paint_sign(painter: QPainter, field: QRectF, sign: str, theme: Theme) -> None:
    """Draw one sign into a square; an unknown name gets the general warning."""
    shape, picture = SIGNS.get(sign, SIGNS["warning"])
    black, white = theme.colour("sign_black"), theme.colour("sign_white")
    side = min(field.width(), field.height())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(field.center().x() - side / 2, field.center().y() - side / 2)
    painter.scale(side / 100, side / 100)
    if shape is Shape.WARNING:
        triangle = QPolygonF([QPointF(50, 10), QPointF(95, 88), QPointF(5, 88)])
        painter.setPen(
            QPen(black, 7, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
        )
        painter.setBrush(theme.colour("sign_yellow"))
        painter.drawPolygon(triangle)
        picture(painter, black)
    elif shape is Shape.PROHIBITION:
        _solid(painter, white)
        painter.drawEllipse(QPointF(50, 50), 47, 47)
        picture(painter, black)
        _pen(painter, theme.colour("sign_red"), 9)
        painter.drawEllipse(QPointF(50, 50), 42, 42)
        painter.drawLine(QPointF(20.5, 20.5), QPointF(79.5, 79.5))
    elif shape is Shape.MANDATORY:
        _solid(painter, theme.colour("sign_blue"))
        painter.drawEllipse(QPointF(50, 50), 47, 47)
        picture(painter, white)
    else:
        _solid(painter, theme.colour("sign_green" if shape is Shape.SAFE else "sign_red"))
        painter.drawRect(QRectF(5, 5, 90, 90))
        picture(painter, white)
    painter.restore()


class SignView(QWidget):
    """One sign on its own; its meaning stands in words beside it, so it has none to read aloud."""

    def __init__(self, sign: str, ems: float = 3.0, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sign, self._ems = sign, ems
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def show_sign(self, sign: str) -> None:
        self._sign = sign
        self.update()

    def sizeHint(self) -> QSize:
        side = round(self._ems * theme_now().em())
        return QSize(side, side)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_sign(painter, QRectF(self.rect()), self._sign, theme_now())
        painter.end()
