"""Real sizes on this screen: what a millimetre is, and how large a capital must be.

Qt's figure for the physical size can be wrong, so the maker may correct it
once with a ruler.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QFont, QFontMetricsF
from PySide6.QtWidgets import QWidget

MM_PER_INCH = 25.4
CAPITAL_MM = 9.0  # readable from 1.5 m: 20 minutes of arc (ISO 9241-303 asks at least 16, prefers 20 to 22)
FIGURE_MM = 18.0  # the temperature, twice that
TARGET_MM = 12.0  # what a finger with oil on it hits
USUAL_DPI = (60.0, 400.0)  # outside of this the screen is telling tales


@dataclass(frozen=True, slots=True)
class Ruler:
    """`px_per_mm` as the maker measured it; None: what the screen says of itself."""

    px_per_mm: float | None = None

    def px(self, widget: QWidget, millimetres: float) -> float:
        """Device-independent pixels of a true length."""
        return millimetres * (self.px_per_mm or told_px_per_mm(widget))


def told_px_per_mm(widget: QWidget) -> float:
    """What the screen says of itself, where that can be believed."""
    screen = widget.screen()
    dpi = screen.physicalDotsPerInch() if screen is not None else 96.0
    if not USUAL_DPI[0] <= dpi <= USUAL_DPI[1]:
        dpi = screen.logicalDotsPerInch() if screen is not None else 96.0
    return dpi / MM_PER_INCH


def font_for_capitals(base: QFont, capital_px: float) -> QFont:
    """The same face, so large that its capitals are that tall."""
    font = QFont(base)
    font.setPixelSize(100)
    tall = QFontMetricsF(font).capHeight()
    font.setPixelSize(max(1, round(capital_px * 100 / max(1.0, tall))))
    return font
