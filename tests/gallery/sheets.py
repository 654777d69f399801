"""Contact sheets: four pictures to a sheet, each with its name."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFont, QImage, QPainter

WIDE, HIGH, LABEL, GAP = 840, 525, 24, 8
PER_SHEET = 4


def save_sheets(pictures: Sequence[tuple[str, QImage]], folder: Path) -> int:
    """Write sheet-01.png and so on; how many there are."""
    groups = [pictures[start : start + PER_SHEET] for start in range(0, len(pictures), PER_SHEET)]
    for number, group in enumerate(groups, start=1):
        _sheet(group).save(str(folder / f"sheet-{number:02d}.png"))
    return len(groups)


def _sheet(group: Sequence[tuple[str, QImage]]) -> QImage:
    rows = (len(group) + 1) // 2
    sheet = QImage(2 * WIDE + 3 * GAP, rows * (HIGH + LABEL + GAP) + GAP, QImage.Format.Format_RGB32)
    sheet.fill(Qt.GlobalColor.darkGray)
    painter = QPainter(sheet)
    painter.setPen(Qt.GlobalColor.white)
    font = QFont(painter.font())
    font.setPixelSize(15)
    painter.setFont(font)
    for index, (name, image) in enumerate(group):
        left = GAP + (index % 2) * (WIDE + GAP)
        top = GAP + (index // 2) * (HIGH + LABEL + GAP)
        painter.drawText(QRect(left, top, WIDE, LABEL), Qt.AlignmentFlag.AlignVCenter, name)
        fitted = image.scaled(
            WIDE, HIGH, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
        )
        painter.drawImage(left, top + LABEL, fitted)
    painter.end()
    return sheet
