"""Paints pages: into a PDF, onto a printer, or into any painter that is given.

Text stays text, curves stay curves, and the typefaces are embedded.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QGuiApplication,
    QPagedPaintDevice,
    QPageSize,
    QPainter,
    QPainterPath,
    QPdfWriter,
    QPen,
)

from workbench.paper.scene import Align, Box, Document, Ink, Line, Mark, Ring, Shape, Sheet, Text
from workbench.paper.type import EM, font, width_mm

MM_PER_POINT = 25.4 / 72
RESOLUTION = 1200  # dots per inch of the coordinates, not of any picture


def paint_sheet(painter: QPainter, sheet: Sheet, units_per_mm: float) -> None:
    """Paint one page with its top left corner where the painter's is."""
    painter.save()
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    painter.scale(units_per_mm, units_per_mm)
    for mark in sheet.marks:
        _paint(painter, mark)
    painter.restore()


def _paint(painter: QPainter, mark: Mark) -> None:
    match mark:
        case Text():
            _text(painter, mark)
        case Line():
            painter.setPen(_pen(mark.ink, mark.width_mm, mark.dashes_mm))
            painter.drawLine(QPointF(mark.x1_mm, mark.y1_mm), QPointF(mark.x2_mm, mark.y2_mm))
        case Box():
            _pen_and_fill(painter, mark.ink, mark.width_mm, mark.fill)
            frame = QRectF(mark.x_mm, mark.y_mm, mark.w_mm, mark.h_mm)
            if mark.corner_mm > 0:
                painter.drawRoundedRect(frame, mark.corner_mm, mark.corner_mm)
            else:
                painter.drawRect(frame)
        case Ring():
            _pen_and_fill(painter, mark.ink, mark.width_mm, mark.fill)
            painter.drawEllipse(QPointF(mark.x_mm, mark.y_mm), mark.radius_mm, mark.radius_mm)
        case Shape():
            _shape(painter, mark)


def _text(painter: QPainter, mark: Text) -> None:
    if not mark.text:
        return
    # Qt scales the space between letters, and only that, by the device's dots per inch
    face = font(mark.face, round(mark.tracking * _screen_dpi() / painter.device().logicalDpiY(), 5))
    wide = width_mm(mark.text, mark.size_mm, mark.face, mark.tracking)
    left = {Align.LEFT: 0.0, Align.CENTRE: -wide / 2, Align.RIGHT: -wide}[mark.align]
    painter.save()
    painter.setPen(QColor(mark.ink.value))
    painter.setFont(face)
    painter.translate(mark.x_mm, mark.y_mm)
    if mark.turn:
        painter.rotate(mark.turn)
    painter.translate(left, 0)
    painter.scale(mark.size_mm / EM, mark.size_mm / EM)
    painter.drawText(QPointF(0, 0), mark.text)
    painter.restore()


def _screen_dpi() -> float:
    screen = QGuiApplication.primaryScreen()
    return 96.0 if screen is None else screen.logicalDotsPerInchY()


def _shape(painter: QPainter, mark: Shape) -> None:
    if len(mark.points_mm) < 2:
        return
    path = QPainterPath(QPointF(*mark.points_mm[0]))
    for x, y in mark.points_mm[1:]:
        path.lineTo(x, y)
    if mark.closed:
        path.closeSubpath()
    _pen_and_fill(painter, mark.ink, mark.width_mm, mark.fill, mark.dashes_mm)
    painter.drawPath(path)


def _pen_and_fill(
    painter: QPainter,
    ink: Ink | None,
    width_mm: float,
    fill: Ink | None,
    dashes_mm: tuple[float, ...] = (),
) -> None:
    painter.setPen(Qt.PenStyle.NoPen if ink is None else _pen(ink, width_mm, dashes_mm))
    painter.setBrush(Qt.BrushStyle.NoBrush if fill is None else QBrush(QColor(fill.value)))


def _pen(ink: Ink, width_mm: float, dashes_mm: tuple[float, ...]) -> QPen:
    pen = QPen(QColor(ink.value), width_mm)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if dashes_mm:
        pen.setDashPattern([dash / width_mm for dash in dashes_mm])
    return pen


def page_size(sheet: Sheet) -> QPageSize:
    """The page in whole points: Qt cuts fractions off, which would make an A6 page 0.2 mm too small."""
    points = QSizeF(round(sheet.w_mm / MM_PER_POINT), round(sheet.h_mm / MM_PER_POINT))
    return QPageSize(points, QPageSize.Unit.Point, "", QPageSize.SizeMatchPolicy.ExactMatch)


def pdf_bytes(document: Document) -> bytes:
    """The document as a PDF; needs a QGuiApplication (offscreen is enough) and `load_faces`."""
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(RESOLUTION)
    writer.setTitle(document.title)
    writer.setCreator("Balmbook")
    print_on(writer, document, RESOLUTION)
    buffer.close()
    return bytes(held.data())


def print_on(device: QPagedPaintDevice, document: Document, dots_per_inch: float) -> None:
    """Every page in true size on a paged device that counts in `dots_per_inch`."""
    painter: QPainter | None = None
    before: tuple[float, float] | None = None
    for sheet in document.sheets:
        size = (sheet.w_mm, sheet.h_mm)
        if size != before:
            device.setPageSize(page_size(sheet))
            device.setPageMargins(QMarginsF(0, 0, 0, 0))
            before = size
        if painter is None:
            painter = QPainter(device)
        else:
            device.newPage()
        paint_sheet(painter, sheet, dots_per_inch / 25.4)
    if painter is not None:
        painter.end()


def by_size(document: Document) -> list[Document]:
    """Runs of pages of one size: a printer cannot change its paper in the middle of a job."""
    made: list[Document] = []
    for sheet in document.sheets:
        last = made[-1].sheets[-1] if made else None
        if last is not None and (last.w_mm, last.h_mm) == (sheet.w_mm, sheet.h_mm):
            made[-1] = replace(made[-1], sheets=(*made[-1].sheets, sheet))
        else:
            made.append(replace(document, sheets=(sheet,)))
    return made
