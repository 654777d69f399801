"""Pages that fill from top to bottom: headings, lines of text, tables, drawings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from workbench.paper.scene import Align, Face, Ink, Line, Mark, Sheet, Text, moved
from workbench.paper.setting import BoxRegion, Para, Run, set_paras
from workbench.paper.type import proportions, size_for_small, width_mm

BODY_SMALL_MM = 1.4  # small letters of running text and tables
ROW_GAP_MM = 1.1


@dataclass(frozen=True, slots=True)
class Cell:
    """Text of a table; `struck` stands before it, struck through."""

    text: str
    struck: tuple[str, ...] = ()
    bold: bool = False
    ink: Ink = Ink.BLACK


@dataclass(frozen=True, slots=True)
class Column:
    """`part` of the width that is left beside the fixed ones, or `mm` of its own."""

    title: str
    part: float = 0.0
    mm: float = 0.0
    align: Align = Align.LEFT


@dataclass(slots=True)
class Flow:
    """Fills pages; `furniture(number)` draws what stands on each page, once their count is known."""

    w_mm: float
    h_mm: float
    margin_mm: float = 15.0
    top_mm: float = 15.0
    foot_mm: float = 16.0
    pages: list[list[Mark]] = field(default_factory=lambda: [[]])
    y_mm: float = 15.0

    @property
    def wide_mm(self) -> float:
        return self.w_mm - 2 * self.margin_mm

    @property
    def end_mm(self) -> float:
        return self.h_mm - self.foot_mm

    @property
    def left_mm(self) -> float:
        return self.end_mm - self.y_mm

    def put(self, marks: Sequence[Mark]) -> None:
        self.pages[-1] += marks

    def turn(self) -> None:
        """Go on with the next page."""
        self.pages.append([])
        self.y_mm = self.top_mm

    def room(self, needed_mm: float) -> None:
        """Go to the next page unless so much is left on this one."""
        if self.y_mm + needed_mm > self.end_mm:
            self.turn()

    def space(self, mm: float) -> None:
        if self.y_mm > self.top_mm:
            self.y_mm += mm

    def heading(self, text: str, follows_mm: float = 12.0) -> None:
        """A heading that never stands alone at the foot of a page."""
        self.space(4.6)
        size = size_for_small(1.75, Face.DISPLAY)
        self.room(size + 2.5 + follows_mm)
        baseline = self.y_mm + proportions(Face.DISPLAY).capital * size
        self.put(
            [
                Text(self.margin_mm, baseline, text, size, Face.DISPLAY),
                Line(
                    self.margin_mm, baseline + 1.5, self.w_mm - self.margin_mm, baseline + 1.5, 0.18, Ink.SOFT
                ),
            ]
        )
        self.y_mm = baseline + 3.4

    def words(
        self, text: str, ink: Ink = Ink.BLACK, bold: bool = False, small_mm: float = BODY_SMALL_MM
    ) -> None:
        """A paragraph over the whole width; it may go over to the next page."""
        rest: Sequence[Para] = [Para((Run(text, Face.BOLD if bold else Face.TEXT),), small_mm, ink=ink)]
        while rest:
            region = BoxRegion(self.margin_mm, self.y_mm, self.wide_mm, self.end_mm - self.y_mm)
            made = set_paras(rest, region, small_mm, leading=1.32)
            self.put(made.marks)
            self.y_mm = made.bottom_mm + 0.8
            if made.rest and not made.marks and self.y_mm <= self.top_mm + 1:
                return  # not one line fits on an empty page; nothing more can be done
            rest = made.rest
            if rest:
                self.turn()

    def table(
        self, columns: Sequence[Column], rows: Sequence[Sequence[Cell]], *, titles: bool = True
    ) -> None:
        """Rows with hairlines; the titles are said again on every page."""
        widths = self._widths(columns)
        if titles:
            self._titles(columns, widths)
        for row in rows:
            marks, high = self._row(columns, widths, row)
            if self.y_mm + high > self.end_mm:
                self.turn()
                if titles:
                    self._titles(columns, widths)
            self.put(moved(marks, 0.0, self.y_mm))
            self.y_mm += high
            self.put(
                [Line(self.margin_mm, self.y_mm, self.w_mm - self.margin_mm, self.y_mm, 0.08, Ink.FAINT)]
            )

    def drawing(self, high_mm: float, draw: Callable[[float, float, float, float], Sequence[Mark]]) -> None:
        """A drawing over the whole width: `draw(x, y, w, h)`."""
        self.room(high_mm)
        self.put(draw(self.margin_mm, self.y_mm, self.wide_mm, high_mm))
        self.y_mm += high_mm

    def sheets(self, furniture: Callable[[int, int], Sequence[Mark]]) -> tuple[Sheet, ...]:
        """All pages with what stands on each: `furniture(number, count)`, counted from 1."""
        count = len(self.pages)
        return tuple(
            Sheet(self.w_mm, self.h_mm, (*page, *furniture(number, count)))
            for number, page in enumerate(self.pages, start=1)
        )

    # --- tables ---

    def _widths(self, columns: Sequence[Column]) -> list[float]:
        free = self.wide_mm - sum(column.mm for column in columns)
        parts = sum(column.part for column in columns) or 1.0
        return [column.mm or free * column.part / parts for column in columns]

    def _titles(self, columns: Sequence[Column], widths: Sequence[float]) -> None:
        self.room(12.0)
        cells = [Cell(column.title, ink=Ink.PALE) for column in columns]
        marks, high = self._row(columns, widths, cells)
        self.put(moved(marks, 0.0, self.y_mm))
        self.y_mm += high
        self.put([Line(self.margin_mm, self.y_mm, self.w_mm - self.margin_mm, self.y_mm, 0.12, Ink.PALE)])

    def _row(
        self, columns: Sequence[Column], widths: Sequence[float], cells: Sequence[Cell]
    ) -> tuple[list[Mark], float]:
        """Marks from y = 0 down, and the height of the row."""
        marks: list[Mark] = []
        lowest, x = 0.0, self.margin_mm
        for column, wide, cell in zip(columns, widths, cells, strict=True):
            made, bottom = _cell(cell, x, wide - 3.0, column.align)
            marks += made
            lowest = max(lowest, bottom)
            x += wide
        return marks, lowest + ROW_GAP_MM


def _cell(cell: Cell, x: float, wide: float, align: Align) -> tuple[list[Mark], float]:
    size = size_for_small(BODY_SMALL_MM)
    face = Face.BOLD if cell.bold else Face.TEXT
    marks: list[Mark] = []
    y = ROW_GAP_MM
    for old in cell.struck:
        baseline = y + proportions(face).capital * size
        width = min(width_mm(old, size, Face.TEXT), wide)
        left = {Align.LEFT: x, Align.CENTRE: x + (wide - width) / 2, Align.RIGHT: x + wide - width}[align]
        marks.append(Text(left, baseline, old, size, Face.TEXT, Ink.PALE))
        through = baseline - 0.26 * size
        marks.append(Line(left, through, left + width, through, 0.18, Ink.SOFT))
        y += 1.25 * size
    region = BoxRegion(x, y, wide, 10_000.0)
    made = set_paras(
        [Para((Run(cell.text, face),), 0.0, ink=cell.ink)], region, BODY_SMALL_MM, align=align, leading=1.25
    )
    return [*marks, *made.marks], max(made.bottom_mm, y)
