"""How much room words take when their capitals have a true height, and where a block puts its parts.

Everything is measured before it is shown, so that nothing is ever cut: a
block answers with its height at a width, or with None where a word would
not fit into it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QWidget

from workbench.ui.bench.metrics import font_for_capitals
from workbench.ui.theme import Theme
from workbench.ui.widgets.basic import held_together

_WRAPS = int(Qt.AlignmentFlag.AlignLeft) | int(Qt.TextFlag.TextWordWrap)
_ENDLESS = 100_000


@dataclass(frozen=True, slots=True)
class Letters:
    """`percent` of the letters that a distance of 1.5 m asks for; lengths in device-independent px."""

    px_per_mm: float
    percent: int = 100

    def px(self, millimetres: float) -> float:
        return self.px_per_mm * millimetres * self.percent / 100

    def true_px(self, millimetres: float) -> int:
        """A length that does not grow with the letters: what a finger needs."""
        return round(self.px_per_mm * millimetres)

    @property
    def gap(self) -> int:
        """Between two things that belong to different thoughts."""
        return max(4, round(self.px(2.4)))

    @property
    def pad(self) -> int:
        return max(4, round(self.px(1.8)))

    def font(self, millimetres: float, bold: bool = False) -> QFont:
        return _font(self._capital(millimetres), bold)

    def line(self, millimetres: float, bold: bool = False) -> int:
        return _line(self._capital(millimetres), bold)

    def high(self, text: str, millimetres: float, bold: bool = False) -> int:
        """One line of these very words: a letter from another face may be taller than the rest."""
        return _high(text, self._capital(millimetres), bold)

    def wide(self, text: str, millimetres: float, bold: bool = False) -> int:
        """On one line."""
        return _wide(text, self._capital(millimetres), bold)

    def tall(self, text: str, millimetres: float, bold: bool, width: int) -> int | None:
        """Wrapped at this width; 0 for no text, None where a single word is wider than that."""
        return _tall(text, self._capital(millimetres), bold, width)

    def _capital(self, millimetres: float) -> float:
        return round(self.px(millimetres), 1)


# The same words are measured at many sizes, and again at the next look.


@lru_cache(maxsize=4096)
def _tall(text: str, capital_px: float, bold: bool, width: int) -> int | None:
    if not text:
        return 0
    held = held_together(text)
    if width < 1 or _longest(held, capital_px, bold) > width:
        return None
    metrics = QFontMetrics(_font(capital_px, bold))
    return metrics.boundingRect(QRect(0, 0, width, _ENDLESS), _WRAPS, held).height()


@lru_cache(maxsize=4096)
def _longest(held: str, capital_px: float, bold: bool) -> int:
    metrics = QFontMetrics(_font(capital_px, bold))
    return max(metrics.horizontalAdvance(word) for word in held.split(" "))


@lru_cache(maxsize=4096)
def _wide(text: str, capital_px: float, bold: bool) -> int:
    return QFontMetrics(_font(capital_px, bold)).horizontalAdvance(text) + 2


@lru_cache(maxsize=1024)
def _high(text: str, capital_px: float, bold: bool) -> int:
    metrics = QFontMetrics(_font(capital_px, bold))
    return max(metrics.height(), metrics.boundingRect(QRect(0, 0, _ENDLESS, _ENDLESS), _WRAPS, text).height())


@lru_cache(maxsize=256)
def _line(capital_px: float, bold: bool) -> int:
    return QFontMetrics(_font(capital_px, bold)).height()


@lru_cache(maxsize=256)
def _font(capital_px: float, bold: bool) -> QFont:
    base = Theme().font("body")
    base.setBold(bold)
    return font_for_capitals(base, capital_px)


@dataclass(frozen=True, slots=True)
class Part:
    """One widget of a block, where it stands in it."""

    widget: QWidget
    place: QRect
    font: QFont | None = None


@dataclass(frozen=True, slots=True)
class Laid:
    """A block at one width: how tall it is and where everything in it goes."""

    tall: int
    parts: tuple[Part, ...] = ()
    font: QFont | None = None  # of the block itself, where it is words


class Block(Protocol):
    """A widget that can say its height before it is shown."""

    @property
    def shape(self) -> tuple[object, ...]:
        """What decides how it is laid out: it is measured anew only when this changes."""
        ...

    def laid(self, width: int, letters: Letters) -> Laid | None:
        """None where it cannot be shown at this width without cutting something."""
        ...

    def setGeometry(self, place: QRect, /) -> None: ...

    def setVisible(self, visible: bool, /) -> None: ...

    def setFont(self, font: QFont | str, /) -> None: ...

    def font(self) -> QFont: ...

    def isAncestorOf(self, child: QWidget, /) -> bool: ...


def put(block: Block, place: QRect, laid: Laid) -> None:
    """Show a block where it was measured to fit."""
    if laid.font is not None and block.font() != laid.font:
        block.setFont(laid.font)
    for part in laid.parts:
        if part.font is not None and part.widget.font() != part.font:
            part.widget.setFont(part.font)
        part.widget.setGeometry(part.place)
    block.setGeometry(place)
    block.setVisible(True)
