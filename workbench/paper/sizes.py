"""Labels in true millimetres, and the grid in which they stand on a page."""

from __future__ import annotations

from enum import StrEnum
from math import floor, pi
from typing import Annotated

from pydantic import Field

from workbench.core.catalogue.model import Row
from workbench.core.catalogue.shelf import Tin, TinShape
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Millimetres, say
from workbench.paper.label_text import Areas

Side = Annotated[float, Field(gt=4, le=400, allow_inf_nan=False)]
Gap = Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)]

WALL_MM = 0.5  # of a tin's sheet metal; our own estimate
RIM_MM = 2.0  # what the rolled rim takes of a lid, on each side; our own estimate
OVERLAP_MM = 5.0  # of a wrap, to glue
UNKNOWN_TIN_MM = 40.0


class PaperSize(StrEnum):
    A4 = "A4"
    LETTER = "Letter"

    @property
    def mm(self) -> tuple[float, float]:
        """Width and height, upright: ISO 216; ANSI/ASME Y14.1 (8.5 by 11 in)."""
        return (210.0, 297.0) if self is PaperSize.A4 else (215.9, 279.4)


class LabelShape(StrEnum):
    ROUND = "round"
    RECTANGULAR = "rectangular"


class FaceSize(Row):
    """A label of one shape; `h_mm` of a round one is its width again."""

    shape: LabelShape
    w_mm: Side
    h_mm: Side
    corner_mm: Annotated[float, Field(ge=0, le=100)] = 0.0

    @classmethod
    def round(cls, across_mm: float) -> FaceSize:
        return cls(shape=LabelShape.ROUND, w_mm=across_mm, h_mm=across_mm)


class TinSizes(Row):
    """The labels of one tin: lid, underside, and the strip around its side."""

    lid: FaceSize
    underside: FaceSize
    side_w_mm: Side
    side_h_mm: Side


class SheetGrid(Row):
    """Where labels stand on a page.  What is None is chosen so that as many as possible fit."""

    paper: PaperSize = PaperSize.A4
    columns: Annotated[int, Field(ge=1, le=40)] | None = None
    rows: Annotated[int, Field(ge=1, le=80)] | None = None
    left_mm: Gap | None = None
    top_mm: Gap | None = None
    gap_x_mm: Gap = 4.0
    gap_y_mm: Gap = 4.0
    start: Annotated[int, Field(ge=1, le=3200)] = 1  # the first place to use, along the rows
    crop_marks: bool = True
    cut_lines: bool = True  # a hairline around each label
    shift_x_mm: Annotated[float, Field(ge=-20, le=20)] = 0.0  # of a printer that draws its paper in askew
    shift_y_mm: Annotated[float, Field(ge=-20, le=20)] = 0.0


class Places(Row):
    """A grid worked out for one size of label."""

    page_w_mm: float
    page_h_mm: float
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    w_mm: float
    h_mm: float
    gap_x_mm: float
    gap_y_mm: float

    @property
    def count(self) -> int:
        return self.columns * self.rows

    def corner(self, number: int) -> tuple[float, float]:
        """Top left corner of place `number`, counted from 0 along the rows."""
        row, column = divmod(number, self.columns)
        return (
            self.left_mm + column * (self.w_mm + self.gap_x_mm),
            self.top_mm + row * (self.h_mm + self.gap_y_mm),
        )

    @property
    def right_mm(self) -> float:
        return self.left_mm + self.columns * self.w_mm + (self.columns - 1) * self.gap_x_mm

    @property
    def bottom_mm(self) -> float:
        return self.top_mm + self.rows * self.h_mm + (self.rows - 1) * self.gap_y_mm


_MARGIN_MM = 10.0
_LEAST_MARGIN_MM = 5.0  # most printers leave that much white


def places(grid: SheetGrid, w_mm: float, h_mm: float) -> Places:
    """The grid for labels of one size.  Raises `Trouble` where it runs over the page."""
    page_w, page_h = grid.paper.mm
    if grid.columns is None and page_w - 2 * _LEAST_MARGIN_MM < w_mm <= page_h - 2 * _LEAST_MARGIN_MM:
        page_w, page_h = page_h, page_w  # a long wrap goes along the page
    columns = grid.columns or _most(page_w, w_mm, grid.gap_x_mm, grid.left_mm)
    rows = grid.rows or _most(page_h, h_mm, grid.gap_y_mm, grid.top_mm)
    wide = columns * w_mm + (columns - 1) * grid.gap_x_mm
    high = rows * h_mm + (rows - 1) * grid.gap_y_mm
    left = (page_w - wide) / 2 if grid.left_mm is None else grid.left_mm
    top = (page_h - high) / 2 if grid.top_mm is None else grid.top_mm
    made = Places(
        page_w_mm=page_w, page_h_mm=page_h, columns=columns, rows=rows, left_mm=left, top_mm=top,
        w_mm=w_mm, h_mm=h_mm, gap_x_mm=grid.gap_x_mm, gap_y_mm=grid.gap_y_mm,
    )  # fmt: skip
    for needed, there, way in (
        (wide + (grid.left_mm or 0.0), page_w, say("wide")),
        (high + (grid.top_mm or 0.0), page_h, say("high")),
    ):
        if needed > there + 0.01:
            raise Trouble(
                say(
                    "These labels need {needed}, and the page is only {there} {way}. Take fewer columns or rows, smaller gaps or margins.",
                    needed=Millimetres(needed, 1),
                    there=Millimetres(there, 1),
                    way=way,
                )
            )
    if grid.start > made.count:
        raise Trouble(
            say(
                "There are only {count} places on the page. Begin at one of them.",
                "There is only one place on the page. Begin there.",
                count=Count(made.count),
            )
        )
    return made


def _most(page_mm: float, label_mm: float, gap_mm: float, margin_mm: float | None) -> int:
    margin = _MARGIN_MM if margin_mm is None else margin_mm
    return max(1, floor((page_mm - 2 * margin + gap_mm + 1e-6) / (label_mm + gap_mm)))


def sizes_for(tin: Tin | None) -> TinSizes:
    """Labels that sit on a tin, from its inside measures; a guess where there are none, to be measured."""
    if tin is not None and tin.shape is TinShape.ROUND and tin.diameter_mm:
        across = max(tin.diameter_mm - 2 * RIM_MM, 5.0)
        around = pi * (tin.diameter_mm + 2 * WALL_MM) + OVERLAP_MM
        return TinSizes(
            lid=FaceSize.round(across),
            underside=FaceSize.round(across),
            side_w_mm=round(around, 1),
            side_h_mm=_side_height(tin),
        )
    if tin is not None and tin.shape is TinShape.RECTANGULAR and tin.length_mm and tin.width_mm:
        face = FaceSize(
            shape=LabelShape.RECTANGULAR,
            w_mm=max(tin.length_mm - 2 * RIM_MM, 5.0),
            h_mm=max(tin.width_mm - 2 * RIM_MM, 5.0),
            corner_mm=max(tin.corner_radius_mm - RIM_MM, 1.0),
        )
        around = 2 * (tin.length_mm + tin.width_mm) + OVERLAP_MM
        return TinSizes(lid=face, underside=face, side_w_mm=round(around, 1), side_h_mm=_side_height(tin))
    face = FaceSize.round(UNKNOWN_TIN_MM)
    return TinSizes(
        lid=face, underside=face, side_w_mm=round(pi * UNKNOWN_TIN_MM + OVERLAP_MM, 1), side_h_mm=10.0
    )


def _side_height(tin: Tin) -> float:
    return round(max((tin.fill_height_mm or 10.0) - 0.5, 5.0), 1)


def areas_of(tin: Tin | None, sizes: TinSizes) -> Areas:
    """The lid that is shown, and all that could carry a label: lid, underside and side."""
    lid = sizes.lid
    if tin is not None and tin.shape is TinShape.ROUND and tin.diameter_mm:
        front = pi / 4 * (tin.diameter_mm + 2 * WALL_MM) ** 2
    elif tin is not None and tin.shape is TinShape.RECTANGULAR and tin.length_mm and tin.width_mm:
        front = (tin.length_mm + 2 * WALL_MM) * (tin.width_mm + 2 * WALL_MM)
    else:
        front = lid.w_mm * lid.h_mm * (pi / 4 if lid.shape is LabelShape.ROUND else 1.0)
    return Areas(front, 2 * front + sizes.side_w_mm * sizes.side_h_mm)
