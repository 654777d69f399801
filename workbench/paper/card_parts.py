"""What the layouts of a card share: the panel, the name, spaced capitals."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.paper.scene import Align, Face, Ink, Mark, Text
from workbench.paper.setting import balanced, cut_long_words
from workbench.paper.type import width_mm

A6 = (105.0, 148.0)


@dataclass(frozen=True, slots=True)
class Panel:
    """One face of a card; text keeps `margin` from every edge, and `left` is the line of the margin layout."""

    w: float
    h: float
    margin: float = 11.0
    left: float = 27.0
    right: float = 11.0

    @property
    def text_left(self) -> float:
        return self.margin + 2 if self.left == 27.0 else self.left

    @property
    def text_width(self) -> float:
        return self.w - self.text_left - (self.margin + 2 if self.left == 27.0 else self.right)

    @property
    def foot(self) -> float:
        return self.margin


def centred_name(name: str, panel: Panel, middle_mm: float, room_mm: float = 34.0) -> list[Mark]:
    """The name on the axis, as large as it sits well."""
    size, lines = _fitted(name, panel.w - 2 * panel.margin - 6, room_mm)
    first = middle_mm - (len(lines) - 1) * size * 0.54 + 0.3 * size
    return [
        Text(panel.w / 2, first + 1.08 * size * number, line, size, Face.DISPLAY, align=Align.CENTRE)
        for number, line in enumerate(lines)
    ]


def left_name(name: str, panel: Panel, first_mm: float, room_mm: float = 40.0) -> list[Mark]:
    """The name hanging from the line at the left, its first line at a height."""
    x = panel.left + 5
    size, lines = _fitted(name, panel.w - x - panel.margin, room_mm)
    return [
        Text(x, first_mm + 1.08 * size * number, line, size, Face.DISPLAY)
        for number, line in enumerate(lines)
    ]


def caps(text: str, x_mm: float, y_mm: float, align: Align) -> Text:
    return Text(x_mm, y_mm, text.upper(), 2.3, Face.TEXT, Ink.SOFT, 0.16, align)


def _fitted(name: str, wide_mm: float, high_mm: float) -> tuple[float, tuple[str, ...]]:
    size = 11.0
    while size > 3.2:
        whole = cut_long_words(name, size, Face.DISPLAY, wide_mm)
        for count in range(1, 5):
            lines = balanced(whole, count, Face.DISPLAY)
            if lines is None or 1.08 * size * count > high_mm:
                break
            if max(width_mm(line, size, Face.DISPLAY) for line in lines) <= wide_mm:
                return size, lines
        size *= 0.95
    whole = cut_long_words(name, 3.2, Face.DISPLAY, wide_mm)
    for count in range(1, 12):
        lines = balanced(whole, count, Face.DISPLAY)
        if lines is not None and max(width_mm(line, 3.2, Face.DISPLAY) for line in lines) <= wide_mm:
            return 3.2, lines
    return 3.2, (whole,)
