"""A page as a list of marks in millimetres, before any device is known.

The same list is painted into a PDF, onto a printer and into the preview, and
tests measure it without a device.  x goes right and y goes down from the top
left corner; `y_mm` of a text is its baseline, `size_mm` the em of its type.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum


class Face(StrEnum):
    TEXT = "text"
    BOLD = "bold"
    DISPLAY = "display"


class Ink(StrEnum):
    """Greys only: a home printer with one cartridge prints everything."""

    BLACK = "#000000"
    SOFT = "#4a4a4a"
    PALE = "#8c8c8c"
    FAINT = "#c8c8c8"
    MIST = "#d8d8d8"
    WASH = "#ececec"
    WHITE = "#ffffff"


class Align(StrEnum):
    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Text:
    x_mm: float
    y_mm: float
    text: str
    size_mm: float
    face: Face = Face.TEXT
    ink: Ink = Ink.BLACK
    tracking: float = 0.0  # extra space between letters, in em
    align: Align = Align.LEFT
    turn: float = 0.0  # degrees, clockwise, about the point


@dataclass(frozen=True, slots=True)
class Line:
    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_mm: float = 0.1
    ink: Ink = Ink.BLACK
    dashes_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Box:
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    corner_mm: float = 0.0
    width_mm: float = 0.1
    ink: Ink | None = Ink.BLACK
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle by its centre."""

    x_mm: float
    y_mm: float
    radius_mm: float
    width_mm: float = 0.1
    ink: Ink | None = Ink.BLACK
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Shape:
    """A polygon or a run of straight pieces fine enough to look smooth."""

    points_mm: tuple[tuple[float, float], ...]
    closed: bool = False
    width_mm: float = 0.1
    ink: Ink | None = Ink.BLACK
    fill: Ink | None = None
    dashes_mm: tuple[float, ...] = ()


Mark = Text | Line | Box | Ring | Shape


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page."""

    w_mm: float
    h_mm: float
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """Pages with a title; `notes` is what the maker should know about them."""

    title: str
    sheets: tuple[Sheet, ...]
    notes: tuple[str, ...] = field(default=())


def moved(marks: Iterable[Mark], dx_mm: float, dy_mm: float) -> list[Mark]:
    """The same marks, shifted."""
    made: list[Mark] = []
    for mark in marks:
        match mark:
            case Text() | Box() | Ring():
                made.append(replace(mark, x_mm=mark.x_mm + dx_mm, y_mm=mark.y_mm + dy_mm))
            case Line():
                made.append(
                    replace(
                        mark,
                        x1_mm=mark.x1_mm + dx_mm,
                        y1_mm=mark.y1_mm + dy_mm,
                        x2_mm=mark.x2_mm + dx_mm,
                        y2_mm=mark.y2_mm + dy_mm,
                    )
                )
            case Shape():
                made.append(replace(mark, points_mm=tuple((x + dx_mm, y + dy_mm) for x, y in mark.points_mm)))
    return made
