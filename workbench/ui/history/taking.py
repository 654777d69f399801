"""Taking what is shown out of the program: as CSV for any spreadsheet, as a picture for anything else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QObject, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QImage, QImageWriter, QPainter, QRegion
from PySide6.QtWidgets import QWidget

from workbench.store import files
from workbench.store.tables import Row, write_rows
from workbench.ui.context import Context
from workbench.ui.theme import GRID_PX, theme_now
from workbench.ui.widgets.ask import FileWish

Aside = Callable[[Callable[[], object], Callable[[], object]], None]

_WRAPPED = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
FINE = 2  # a picture has twice the points of the screen, so that it can be printed


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table as it is taken out: plain numbers with the unit in the name of the column, no thin spaces."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def at_once(work: Callable[[], object], done: Callable[[], object]) -> None:
    """Work in this thread: for tests, and where no disk can keep one waiting."""
    work()
    done()


class Taking(QObject):
    """told(sentence)  a file was written

    `aside` does the writing where a slow disk keeps nobody waiting, tells what
    went wrong, and calls back when it went well.  `folder` is where files are
    proposed to go.
    """

    told = Signal(str)

    def __init__(
        self,
        context: Context,
        folder: Callable[[], Path],
        aside: Aside = at_once,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._folder, self._aside = context, folder, aside

    def table(self, name: str, sheet: Sheet) -> None:
        """Ask where to, and write it."""

        def chosen(path: Path | None) -> None:
            if path is not None:
                self._write(path, lambda: write_rows(path, sheet.columns, sheet.rows))

        self._wish("past table", self.tr("Save as a table"), self.tr("Table (*.csv)"), f"{name}.csv", chosen)

    def picture(self, name: str, widget: QWidget, heading: str, remark: str = "") -> None:
        """The same with a picture of a widget as a whole, also of what is scrolled out of sight."""
        drawn = picture_of(widget, heading, remark)

        def chosen(path: Path | None) -> None:
            if path is not None:
                self._write(path, lambda: files.write_bytes(path, png(drawn)))

        self._wish(
            "past picture", self.tr("Save as a picture"), self.tr("Picture (*.png)"), f"{name}.png", chosen
        )

    def _wish(
        self, key: str, heading: str, filters: str, name: str, chosen: Callable[[Path | None], object]
    ) -> None:
        self._context.ask.ask_file(
            FileWish(key, heading, filters, True, self._folder() / _plain(name)), chosen
        )

    def _write(self, path: Path, work: Callable[[], object]) -> None:
        self._aside(work, lambda: self.told.emit(self.tr("Saved as {name}.").format(name=path.name)))


def picture_of(widget: QWidget, heading: str = "", remark: str = "") -> QImage:
    """The widget on paper under its heading, at twice its size in points."""
    theme = theme_now()
    margin, wide = 6 * GRID_PX, widget.width()
    lines = [(heading, "title"), (remark, "lead")]
    boxes, high = [], margin
    for text, role in lines:
        if text:
            around = QRect(margin, high, wide - 2 * margin, 10_000)
            needs = QFontMetrics(theme.font(role)).boundingRect(around, _WRAPPED, text)
            boxes.append((QRect(around.topLeft(), QSize(around.width(), needs.height())), text, role))
            high += needs.height() + GRID_PX
    top = high if boxes else 0
    image = QImage(QSize(wide, top + widget.height()) * FINE, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(FINE)
    image.fill(theme.colour("page"))
    painter = QPainter(image)
    painter.setPen(theme.colour("ink"))
    for box, text, role in boxes:
        painter.setFont(theme.font(role))
        painter.drawText(box, _WRAPPED, text)
    painter.end()
    widget.render(image, QPoint(0, top), QRegion(), QWidget.RenderFlag.DrawChildren)
    return image


def png(image: QImage) -> bytes:
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, b"png").write(image)
    return bytes(buffer.data().data())


def _plain(name: str) -> str:
    """A file name that every system takes."""
    kept = "".join(letter if letter.isalnum() or letter in " -_.()" else " " for letter in name)
    return " ".join(kept.split()) or "batches"


__all__ = ["Aside", "Sheet", "Taking", "at_once", "picture_of", "png"]
