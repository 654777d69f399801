"""Contrast as it is painted, against WCAG 2.2.

Success criterion 1.4.3: text 4.5:1, large text (24 px, or 18.66 px bold) 3:1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QFontInfo, QImage
from PySide6.QtWidgets import QAbstractButton, QDialog, QLabel, QPushButton, QWidget

Pixels = NDArray[np.uint32]  # one number for each pixel: red, green and blue in a byte each


def brightness(pixels: Pixels) -> NDArray[np.float64]:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = np.stack([pixels >> 16 & 255, pixels >> 8 & 255, pixels & 255], axis=-1) / 255.0
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def strongest(pixels: Pixels) -> float:
    """Contrast of the ink with the ground.

    The ground is the colour that fills most of the rectangle; the ink is the
    pixel that stands off most, as thin strokes are washed out at their edges.
    """
    colours, counts = np.unique(pixels, return_counts=True)
    light = brightness(colours)
    ground = float(light[counts.argmax()])
    return float(((np.maximum(light, ground) + 0.05) / (np.minimum(light, ground) + 0.05)).max())


def pixels_of(picture: QImage) -> Pixels:
    plain = picture.convertToFormat(QImage.Format.Format_RGB32)
    held = np.frombuffer(plain.constBits(), np.uint32).reshape(plain.height(), plain.width())
    return held & np.uint32(0xFFFFFF)


THIN = 0.98  # strokes thinner than a pixel are painted a little paler than their colour
BIG_PX, BIG_BOLD_PX = 24.0, 18.66  # WCAG 2.2: 18 pt, or 14 pt bold, at 96 dots per inch


def is_large(widget: QWidget) -> bool:
    info = QFontInfo(widget.font())
    return info.pixelSize() >= (BIG_BOLD_PX if info.bold() else BIG_PX)


def faint(root: QWidget) -> list[str]:
    """Labels and buttons whose words stand off their ground less than they must, as they are painted.

    What cannot be pressed now is held to the same: it still says something.
    Nothing is measured below a sheet that lies over it.
    """
    if any(each.isVisible() for each in root.findChildren(QDialog)):
        return []
    picture, found = pixels_of(root.grab().toImage()), []
    for widget in root.findChildren(QWidget):
        if not isinstance(widget, QLabel | QAbstractButton) or not widget.isVisible():
            continue
        seen = widget.visibleRegion().boundingRect()
        if not widget.text().strip() or seen.height() < max(widget.height(), 2):
            continue
        at = widget.mapTo(root, seen.topLeft())
        part = picture[max(at.y(), 0) : at.y() + seen.height(), max(at.x(), 0) : at.x() + seen.width()]
        if isinstance(widget, QPushButton):  # its frame is no ink
            part = part[3:-3, 3:-3]
        measured = strongest(part) if part.size else 21.0
        if measured < (3.0 if is_large(widget) else 4.5 * THIN):
            found.append(f"{type(widget).__name__} {widget.text()[:40]!r} {measured:.2f}:1")
    return found
