"""What every widget that is painted by hand has in common: it is painted anew at another size, font or palette."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget


class Drawn(QWidget):
    """Lengths in it follow the size of the text, so that its hints are asked for again with the font."""

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self.updateGeometry()
            self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.update()
