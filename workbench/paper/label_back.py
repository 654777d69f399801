"""The back of a label, the wrap around the side, and the folded tag for what finds no room.

Type is never made smaller than the law of the place or our own floor asks.
What does not fit then goes on a tag, and the label says where to find it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, sin

from workbench.core.skin.label_rules import OUR_FLOOR_MM
from workbench.paper.label_front import Front, front
from workbench.paper.label_text import LabelText
from workbench.paper.scene import Align, Box, Face, Ink, Line, Mark, Ring, Shape, Text
from workbench.paper.setting import (
    DOT,
    BoxRegion,
    Para,
    Region,
    Run,
    largest_small_mm,
    set_in_middle,
    set_paras,
)
from workbench.paper.type import size_for_small, width_mm

MOST_SMALL_MM = 1.4
TAG_SMALL_MM = 1.5
TAG_W_MM, TAG_H_MM = 50.0, 75.0
TAG_MARGIN_MM = 5.0
TAG_HOLE_MM = 3.0
_TAG_TOP_MM = 11.0
COLUMN_MM = 58.0
_JAR_MM = 8.0
# what goes first where even the short text has no room; the pointer to the tag stays longest
_DROPPED = ("made", "maker", "lasts", "batch")


@dataclass(frozen=True, slots=True)
class Back:
    """`on_tag`: only the short text is here; `unfit`: paragraphs that found no room anywhere on it."""

    marks: tuple[Mark, ...]
    small_mm: float
    on_tag: bool
    unfit: tuple[str, ...] = ()


def back(text: LabelText, region: Region, align: Align) -> Back:
    """All of it if it fits, else the short text."""
    free, jar = _with_jar(text, region)
    whole = largest_small_mm(text.paras, free, MOST_SMALL_MM, OUR_FLOOR_MM, align=align)
    if whole is not None:
        made = set_in_middle(text.paras, free, whole, align=align)
        return Back((*made.marks, *jar), whole, False)
    return _short(text, region, align)


def _short(text: LabelText, region: Region, align: Align) -> Back:
    free, jar = _with_jar(text, region)
    for dropped in range(len(_DROPPED) + 1):
        gone = _DROPPED[:dropped]
        paras = [para for para in text.short if para.key not in gone]
        small = largest_small_mm(paras, free, MOST_SMALL_MM, OUR_FLOOR_MM, align=align)
        if small is not None:
            marks = set_in_middle(paras, free, small, align=align).marks
            return Back((*marks, *jar), small, True, tuple(p.key for p in text.short if p.key in gone))
    return Back(jar, 0.0, True, ("run on",))


def wrap(text: LabelText, w_mm: float, h_mm: float, overlap_mm: float) -> Back:
    """A strip around the side, in columns that can be read without turning the tin; one end is glued over."""
    x, y = 2.5, 1.1
    wide, high = w_mm - overlap_mm - 2 * x, h_mm - 2 * y
    jar: tuple[Mark, ...] = ()
    if text.jar_months:
        side = min(high, 8.0)
        jar = open_jar(x + wide - side / 2, y + high / 2, side, text.jar_months)
        wide -= side + 2.0
    flap = Line(w_mm - overlap_mm, 0.0, w_mm - overlap_mm, h_mm, 0.1, Ink.FAINT, (0.6, 0.6))
    low = high < 4 * size_for_small(OUR_FLOOR_MM)
    for texts, on_tag in ((text.paras, False), (text.short, True)):
        paras = (_run_on(texts),) if low else texts
        for count in _column_counts(wide, high):
            small = MOST_SMALL_MM
            while small >= OUR_FLOOR_MM - 1e-9:
                marks = _columns(paras, x, y, wide, high, count, small)
                if marks is not None:
                    return Back((*marks, *jar, flap), small, on_tag)
                small -= 0.05
    return Back((flap,), 0.0, True, ("run on",))


def _run_on(paras: Sequence[Para]) -> Para:
    """Everything one after the other, where a strip is too low for paragraphs."""
    runs: list[Run] = []
    for number, para in enumerate(paras):
        runs += [Run(DOT)] if number else []
        runs += para.runs
    return Para(tuple(runs), max(para.least_mm for para in paras), "run on")


def _column_counts(wide: float, high: float) -> tuple[int, ...]:
    """Narrow columns where there are some lines to them; else one line around."""
    usual = max(1, round(wide / COLUMN_MM))
    return (usual, 1) if high > 4 * size_for_small(OUR_FLOOR_MM) else (1, usual)


def _columns(
    paras: Sequence[Para], x: float, y: float, wide: float, high: float, count: int, small: float
) -> list[Mark] | None:
    gap = 4.0
    column = (wide - gap * (count - 1)) / count
    rest: Sequence[Para] = paras
    marks: list[Mark] = []
    for number in range(count):
        if not rest:
            break
        region = BoxRegion(x + number * (column + gap), y, column, high)
        made = set_in_middle(rest, region, small) if count == 1 else set_paras(rest, region, small)
        marks += made.marks
        rest = made.rest
    return None if rest else marks


@dataclass(frozen=True, slots=True)
class Tag:
    """A strip of panels, folded like a concertina; `w_mm` is that of the whole strip."""

    marks: tuple[Mark, ...]
    w_mm: float
    h_mm: float
    panels: int
    front: Front


def tag(text: LabelText) -> Tag:
    """As many panels as the text needs: the front first, the text on the others."""
    inner_w, inner_h = TAG_W_MM - 2 * TAG_MARGIN_MM, TAG_H_MM - _TAG_TOP_MM - TAG_MARGIN_MM
    cover = front(text, BoxRegion(TAG_MARGIN_MM, _TAG_TOP_MM, inner_w, inner_h))
    fewest = len(_panels(text, OUR_FLOOR_MM))
    small = TAG_SMALL_MM
    while small > OUR_FLOOR_MM and len(_panels(text, small)) > fewest:
        small -= 0.05
    inside = _panels(text, max(small, OUR_FLOOR_MM))
    marks: list[Mark] = [*cover.marks, *(mark for panel in inside for mark in panel)]
    panels = 1 + len(inside)
    for number in range(panels):
        x = number * TAG_W_MM
        marks.append(Ring(x + TAG_W_MM / 2, 5.0, TAG_HOLE_MM / 2, 0.1, Ink.PALE))
        if number:
            for top in (0.0, TAG_H_MM - 2.5):  # where to fold
                marks.append(Line(x, top, x, top + 2.5, 0.1, Ink.PALE, (0.5, 0.5)))
    return Tag(tuple(marks), panels * TAG_W_MM, TAG_H_MM, panels, cover)


def _panels(text: LabelText, small_mm: float) -> list[list[Mark]]:
    """The text on as many panels as it needs, the first of them right of the front."""
    made: list[list[Mark]] = []
    rest: Sequence[Para] = text.paras
    jar = bool(text.jar_months)
    while rest or jar:
        x = (len(made) + 1) * TAG_W_MM
        region = BoxRegion(
            x + TAG_MARGIN_MM, _TAG_TOP_MM, TAG_W_MM - 2 * TAG_MARGIN_MM, TAG_H_MM - _TAG_TOP_MM - TAG_MARGIN_MM
        )  # fmt: skip
        done = set_paras(rest, region, small_mm, whole=True)
        panel, rest = list(done.marks), done.rest
        if jar and not rest and done.bottom_mm + 2 + _JAR_MM <= region.bottom_mm:
            panel += open_jar(region.middle_mm, done.bottom_mm + 2 + _JAR_MM / 2, _JAR_MM, text.jar_months)
            jar = False
        made.append(panel)
    return made


# --- small drawings ---


def _with_jar(text: LabelText, region: Region) -> tuple[Region, tuple[Mark, ...]]:
    """Room for the open jar at the foot, where it is needed."""
    if not text.jar_months:
        return region, ()
    high = region.bottom_mm - region.top_mm
    side = min(max(0.16 * high, 5.0), 7.0)
    centre = region.bottom_mm - side / 2 - 0.04 * high
    marks = open_jar(region.middle_mm, centre, side, text.jar_months)
    return _Above(region, centre - side / 2 - 0.8), marks


@dataclass(frozen=True, slots=True)
class _Above:
    """The part of a region above a height."""

    whole: Region
    bottom_mm: float

    @property
    def top_mm(self) -> float:
        return self.whole.top_mm

    @property
    def middle_mm(self) -> float:
        return self.whole.middle_mm

    @property
    def widest_mm(self) -> float:
        return self.whole.widest_mm

    def span(self, y1_mm: float, y2_mm: float) -> tuple[float, float] | None:
        return None if y2_mm > self.bottom_mm + 1e-6 else self.whole.span(y1_mm, y2_mm)


def open_jar(x_mm: float, y_mm: float, side_mm: float, months: str) -> tuple[Mark, ...]:
    """Our own drawing of a jar with its lid lifted and the months inside.

    After the mark of Annex VII 2 of Regulation (EC) 1223/2009: months (or
    years) after opening beside or in an open jar.
    """
    line = 0.04 * side_mm
    wide, high = 0.76 * side_mm, 0.66 * side_mm
    left, top = x_mm - wide / 2, y_mm + side_mm / 2 - high
    size = min(0.34 * side_mm, 0.8 * wide / max(width_mm(months, 1.0, Face.BOLD), 0.1))
    lid = ((-0.46, -0.07), (0.46, -0.07), (0.46, 0.07), (-0.46, 0.07))
    turn, at = 0.3, (x_mm + 0.05 * side_mm, top - 0.19 * side_mm)  # lifted and tilted
    tilted = tuple(
        (
            at[0] + side_mm * (dx * cos(turn) + dy * sin(turn)),
            at[1] + side_mm * (dy * cos(turn) - dx * sin(turn)),
        )
        for dx, dy in lid
    )
    return (
        Box(left, top, wide, high, 0.13 * side_mm, line),
        Shape(tilted, True, line, Ink.BLACK),
        Text(x_mm, top + high / 2 + 0.36 * size, months, size, Face.BOLD, align=Align.CENTRE),
    )


def watermark(mark: str, w_mm: float, h_mm: float) -> tuple[Mark, ...]:
    """What keeps a draft from being taken for the real thing, across the whole face and behind its text."""
    if not mark:
        return ()
    turn = 18.0 if h_mm > 0.5 * w_mm else 0.0
    first, _, second = mark.upper().rpartition(", ")
    said = [each for each in ((first, second) if turn else (mark.upper(),)) if each]
    room = (0.68 if turn else 0.6) * w_mm
    size = min(min(room / width_mm(each, 1.0, Face.BOLD) for each in said), 0.3 * h_mm, 9.0)
    made = []
    for number, each in enumerate(said):
        y = h_mm / 2 + 0.35 * size + 1.15 * size * (number - (len(said) - 1) / 2)
        made.append(Text(w_mm / 2, y, each, size, Face.BOLD, Ink.MIST, 0.0, Align.CENTRE, -turn))
    return tuple(made)


__all__ = ["Back", "Tag", "back", "open_jar", "tag", "watermark", "wrap"]
