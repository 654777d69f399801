"""The type: three faces that come with the program, measured without a device.

Everything is measured at 1000 px to the em and without hinting, so that a
line breaks at the same word in the preview, in the PDF and on the printer.
Ligatures are off: their glyphs have no letters of their own, and a reader of
the PDF could not find or copy the word.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF

from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.paper.scene import Face

FILES = {Face.TEXT: "Lato-Regular.ttf", Face.BOLD: "Lato-Bold.ttf", Face.DISPLAY: "Vollkorn-Medium.ttf"}
_FAMILIES = {Face.TEXT: "Lato", Face.BOLD: "Lato", Face.DISPLAY: "Vollkorn"}
_WEIGHTS = {Face.TEXT: QFont.Weight.Normal, Face.BOLD: QFont.Weight.Bold, Face.DISPLAY: QFont.Weight.Medium}
EM = 1000  # px; large, so that rounding does not matter


def load_faces(folder: Path) -> None:
    """Load the faces from the folder of fonts; needs a QGuiApplication.  Raises `Trouble`."""
    known = set(QFontDatabase.families())
    for face, name in FILES.items():
        if face is not Face.BOLD and _FAMILIES[face] in known:
            continue
        if QFontDatabase.addApplicationFont(str(folder / name)) == -1:
            raise Trouble(
                say("The typeface “{name}” cannot be loaded. Install the program again.", name=name)
            )
    font.cache_clear()
    _metrics.cache_clear()
    _advance.cache_clear()


@lru_cache(maxsize=64)
def font(face: Face, tracking: float = 0.0) -> QFont:
    """A face at `EM` pixels; `tracking`, in em, is extra space between letters."""
    made = QFont(_FAMILIES[face])
    made.setPixelSize(EM)
    made.setWeight(_WEIGHTS[face])
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    made.setStyleStrategy(QFont.StyleStrategy.ForceOutline)
    for feature in ("liga", "clig", "calt", "dlig"):
        made.setFeature(QFont.Tag(feature), 0)
    if tracking:
        made.setLetterSpacing(QFont.SpacingType.AbsoluteSpacing, tracking * EM)
    return made


@lru_cache(maxsize=64)
def _metrics(face: Face, tracking: float = 0.0) -> QFontMetricsF:
    return QFontMetricsF(font(face, tracking))


@lru_cache(maxsize=20_000)
def _advance(text: str, face: Face, tracking: float) -> float:
    width = _metrics(face, tracking).horizontalAdvance(text) / EM
    return width - (tracking if text else 0.0)  # none after the last letter


def width_mm(text: str, size_mm: float, face: Face = Face.TEXT, tracking: float = 0.0) -> float:
    """How wide a text runs at an em of `size_mm`."""
    return _advance(text, face, round(tracking, 4)) * size_mm


@dataclass(frozen=True, slots=True)
class Proportions:
    """Heights as parts of the em."""

    small: float  # of the small letters x and o
    capital: float
    figure: float
    ascent: float
    descent: float


@lru_cache(maxsize=8)
def proportions(face: Face) -> Proportions:
    metrics = _metrics(face)
    capital = metrics.capHeight() / EM
    # the display face has figures of the height of small letters with parts above and below
    figure = metrics.xHeight() / EM if face is Face.DISPLAY else capital
    high = -metrics.tightBoundingRect("dÄÉ").top() / EM
    low = metrics.tightBoundingRect("gpqç(").bottom() / EM
    return Proportions(metrics.xHeight() / EM, capital, figure, high, low)


def size_for_small(height_mm: float, face: Face = Face.TEXT) -> float:
    """The em in mm at which small letters are `height_mm` high."""
    return height_mm / proportions(face).small


def size_for_figures(height_mm: float, face: Face = Face.TEXT) -> float:
    return height_mm / proportions(face).figure
