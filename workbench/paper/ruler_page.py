"""A page to print before the labels: rulers, a length to measure, and the grid of the labels."""

from __future__ import annotations

from collections.abc import Callable

from workbench.core.wording import say
from workbench.paper.scene import Align, Box, Document, Face, Ink, Line, Mark, Sheet, Text
from workbench.paper.sizes import PaperSize, Places

_WORDS = (
    say("Lay a ruler along the box: it is exactly 100 mm wide and 50 mm high."),
    say("If it is not, print at 100 %, “actual size”, without fitting to the page."),
    say("Hold the page against a sheet of labels to the light; shift the labels if they lie askew."),
)
LENGTH_MM = 100.0
_FROM_EDGE_MM = 14.0


def make_ruler_page(
    paper: PaperSize, spots: Places | None = None, translate: Callable[[str], str] = str
) -> Document:
    """Rulers in mm along two edges, in inches along the others, and a box of exactly 100 by 50 mm."""
    w, h = paper.mm
    marks: list[Mark] = []
    marks += _ruler_across(_FROM_EDGE_MM, _FROM_EDGE_MM, int(w - 2 * _FROM_EDGE_MM))
    marks += _ruler_down(_FROM_EDGE_MM, _FROM_EDGE_MM, int(h - 2 * _FROM_EDGE_MM))
    marks += _inches_across(_FROM_EDGE_MM, h - _FROM_EDGE_MM, int((w - 2 * _FROM_EDGE_MM) / 25.4))
    x, y = (w - LENGTH_MM) / 2, h / 2 - 25
    if spots is not None:
        for number in range(spots.count):
            cx, cy = spots.corner(number)
            marks.append(Box(cx, cy, spots.w_mm, spots.h_mm, 0.0, 0.1, Ink.FAINT))
    marks.append(Box(x - 6, y - 30, LENGTH_MM + 12, 92, 0.0, 0.1, None, Ink.WHITE))
    marks.append(Box(x, y, LENGTH_MM, LENGTH_MM / 2, 0.0, 0.15))
    title = translate(say("Is it true to size?"))
    marks.append(Text(w / 2, y - 16, title, 7.0, Face.DISPLAY, align=Align.CENTRE))
    marks.append(Text(w / 2, y + 27, "100.0 × 50.0 mm", 4.2, Face.BOLD, align=Align.CENTRE))
    for number, said in enumerate(_WORDS):
        marks.append(
            Text(w / 2, y + 57 + 4.6 * number, translate(said), 3.2, ink=Ink.SOFT, align=Align.CENTRE)
        )
    return Document(title, (Sheet(w, h, tuple(marks)),))


def _ruler_across(x: float, y: float, length: int) -> list[Mark]:
    marks: list[Mark] = [Line(x, y, x + length, y, 0.15)]
    for mm in range(length + 1):
        long = 5.0 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2.0
        marks.append(Line(x + mm, y, x + mm, y + long, 0.12))
        if mm % 10 == 0:
            marks.append(Text(x + mm, y + 8.2, str(mm), 2.6, align=Align.CENTRE))
    return marks


def _ruler_down(x: float, y: float, length: int) -> list[Mark]:
    marks: list[Mark] = [Line(x, y, x, y + length, 0.15)]
    for mm in range(length + 1):
        long = 5.0 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2.0
        marks.append(Line(x, y + mm, x + long, y + mm, 0.12))
        if mm % 10 == 0 and mm:
            marks.append(Text(x + 6.0, y + mm + 0.95, str(mm), 2.6))
    return marks


def _inches_across(x: float, y: float, length: int) -> list[Mark]:
    marks: list[Mark] = [Line(x, y, x + length * 25.4, y, 0.15)]
    for eighth in range(length * 8 + 1):
        at = x + eighth * 25.4 / 8
        long = 5.0 if eighth % 8 == 0 else 3.5 if eighth % 4 == 0 else 2.0
        marks.append(Line(at, y, at, y - long, 0.12))
        if eighth % 8 == 0:
            marks.append(Text(at, y - 6.2, f"{eighth // 8} in", 2.6, align=Align.CENTRE))
    return marks
