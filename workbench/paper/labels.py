"""Sheets of labels: fronts, backs or wraps, and tags where a tin is too small for its text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from workbench.core.batch.label_content import LabelContent
from workbench.core.batch.label_subject import TinKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Tin
from workbench.core.skin.label_rules import Part
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Millimetres, Said, say
from workbench.paper.label_back import Back, Tag, back, tag, watermark, wrap
from workbench.paper.label_front import Front, front
from workbench.paper.label_text import LabelText, label_text
from workbench.paper.phrases import Phrases
from workbench.paper.scene import Align, Box, Document, Ink, Line, Mark, Ring, Sheet, Text, moved
from workbench.paper.setting import BoxRegion, CircleRegion, Region
from workbench.paper.sizes import (
    OVERLAP_MM,
    FaceSize,
    LabelShape,
    Places,
    SheetGrid,
    TinSizes,
    areas_of,
    places,
    sizes_for,
)
from workbench.paper.type import width_mm

_CALLED = {
    "net weight": say("net weight"),
    "maker": say("maker's line"),
    "lasts": say("best before"),
    "batch": say("batch code"),
    "see tag": say("where the tag is"),
    "over": say("over its limit"),
    "run on": say("the short text"),
}
# paragraphs of the short text and the part of a label they are
_KEYS = {"maker": Part.MAKER, "lasts": Part.DURABILITY, "batch": Part.BATCH}
_ALWAYS = frozenset({"see tag", "over", "run on"})
_INSET_MM = 2.2  # from the cut to the text


class BackOn(StrEnum):
    """Where the text that does not belong on the lid goes."""

    UNDERSIDE = "underside"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class LabelOrder:
    """How the labels of one batch are to be printed."""

    grid: SheetGrid = field(default_factory=SheetGrid)
    back_on: BackOn = BackOn.UNDERSIDE
    sizes: Mapping[str, TinSizes] = field(default_factory=dict)  # tin key -> measured by the maker
    scent_line: str = ""  # "" for the oils from top to base
    tins: tuple[str, ...] = ()  # only these kinds; () for all
    copies: int | None = None  # of each kind; None for one per tin


@dataclass(frozen=True, slots=True)
class Piece:
    """One label as it is cut out."""

    w_mm: float
    h_mm: float
    shape: LabelShape
    corner_mm: float
    marks: tuple[Mark, ...]
    copies: int


@dataclass(frozen=True, slots=True)
class TinLabels:
    """The labels of one kind of tin and how they came out."""

    kind: TinKind
    text: LabelText
    sizes: TinSizes
    front: Front
    back: Back
    tag: Tag | None
    pieces: tuple[Piece, ...]
    asked: frozenset[str]  # what has to stand on the tin itself

    @property
    def lacks(self) -> tuple[str, ...]:
        """What the place asks to stand on the tin itself and found no room there."""
        net = ("net weight",) if Part.NET_WEIGHT in self.front.left_out and self.text.net.required else ()
        return (*net, *(key for key in self.back.unfit if key in self.asked))

    @property
    def final(self) -> bool:
        return not self.text.mark


@dataclass(frozen=True, slots=True)
class LabelSet:
    """Everything that is printed for one batch, with what is to be said about it."""

    content: LabelContent
    tins: tuple[TinLabels, ...]
    document: Document
    says: tuple[Said, ...]

    @property
    def final(self) -> bool:
        """Every label of it is final."""
        return self.content.final and all(labels.final for labels in self.tins)


def make_labels(
    content: LabelContent, order: LabelOrder, phrases: Phrases, catalogue: Catalogue, margin_note: str = ""
) -> LabelSet:
    """Labels for every tin of a batch.  Raises `Trouble` where the grid does not fit the page."""
    catalogue = content.known(catalogue)
    known = {tin.key: tin for tin in catalogue.shelf.tins}
    made = tuple(
        _labels_of(content, kind, known.get(kind.key), order, phrases, catalogue)
        for kind in content.subject.tins
        if not order.tins or kind.key in order.tins
    )
    pieces = [piece for labels in made for piece in labels.pieces]
    sheets = impose(pieces, order.grid, margin_note)
    says = tuple(sentence for labels in made for sentence in _says(labels))
    return LabelSet(content, made, Document(content.subject.recipe.name, sheets), says)


def _labels_of(
    content: LabelContent,
    kind: TinKind,
    tin: Tin | None,
    order: LabelOrder,
    phrases: Phrases,
    catalogue: Catalogue,
) -> TinLabels:
    sizes = order.sizes.get(kind.key) or sizes_for(tin)
    text = label_text(content, kind, areas_of(tin, sizes), phrases, catalogue, order.scent_line)
    asked = _ALWAYS | {key for key, part in _KEYS.items() if content.rules.asks_for(part)}
    made = _set(text, kind, sizes, order, asked)
    if content.final and made.lacks:
        # a label on which something required found no room is a draft too
        made = _set(replace(text, mark=phrases.label.draft), kind, sizes, order, asked)
    return made


def _set(
    text: LabelText, kind: TinKind, sizes: TinSizes, order: LabelOrder, asked: frozenset[str]
) -> TinLabels:
    copies = order.copies if order.copies is not None else len(kind.numbers)
    lid, under = sizes.lid, sizes.underside
    shown = front(text, region_of(lid))
    pieces = [_piece(lid, text.mark, shown.marks, copies)]
    if order.back_on is BackOn.UNDERSIDE:
        align = Align.CENTRE if under.shape is LabelShape.ROUND else Align.LEFT
        behind = back(text, region_of(under), align)
        pieces.append(_piece(under, text.mark, behind.marks, copies))
    else:
        w, h = sizes.side_w_mm, sizes.side_h_mm
        behind = wrap(text, w, h, OVERLAP_MM)
        strip = FaceSize(shape=LabelShape.RECTANGULAR, w_mm=w, h_mm=h)
        pieces.append(_piece(strip, text.mark, behind.marks, copies))
    hung = tag(text) if behind.on_tag else None
    if hung is not None:
        panel = hung.w_mm / hung.panels
        pale = [
            mark
            for at in range(hung.panels)
            for mark in moved(watermark(text.mark, panel, hung.h_mm), at * panel, 0)
        ]
        pieces.append(Piece(hung.w_mm, hung.h_mm, LabelShape.RECTANGULAR, 0.0, (*pale, *hung.marks), copies))
    return TinLabels(kind, text, sizes, shown, behind, hung, tuple(pieces), asked)


def region_of(size: FaceSize) -> Region:
    """Where text may stand on a face."""
    if size.shape is LabelShape.ROUND:
        return CircleRegion(size.w_mm / 2, size.w_mm / 2, size.w_mm / 2 - _INSET_MM)
    inset = min(_INSET_MM, 0.12 * min(size.w_mm, size.h_mm))
    return BoxRegion(
        inset, inset, size.w_mm - 2 * inset, size.h_mm - 2 * inset, max(size.corner_mm - inset, 0.0)
    )


def _piece(size: FaceSize, mark: str, marks: tuple[Mark, ...], copies: int) -> Piece:
    pale = watermark(mark, size.w_mm, size.h_mm)
    return Piece(size.w_mm, size.h_mm, size.shape, size.corner_mm, (*pale, *marks), copies)


def _says(labels: TinLabels) -> Iterable[Said]:
    """What the maker has to know about how it came out."""
    name = labels.kind.name
    if labels.tag is not None:
        yield say(
            "The text is too long for “{tin}” at the least height of type, so it goes on a tag of {count} panels, folded. The label says so.",
            "The text is too long for “{tin}” at the least height of type, so it goes on a tag of one panel. The label says so.",
            tin=name,
            count=Count(labels.tag.panels),
        )
    for part in labels.front.left_out:
        if part is Part.NET_WEIGHT and labels.text.net.required:
            continue
        yield say("There is no room for the {part} on the lid of “{tin}”.", part=part.value, tin=name)
    for key in labels.lacks:
        yield say("“{what}” finds no room on “{tin}” itself, so it is a draft. Take a larger label.",
                  what=_CALLED[key], tin=name)  # fmt: skip
    height = labels.text.heights[Part.INGREDIENTS]
    yield (
        say(
            "Small letters on “{tin}” are at least {mm} high, as the law of the place asks ({source}).",
            tin=name,
            mm=Millimetres(height.mm, 2),
            source=height.source,
        )
        if height.legal
        else say(
            "Small letters on “{tin}” are at least {mm} high. That floor is our own; the law of the place only asks for legible type.",
            tin=name,
            mm=Millimetres(height.mm, 1),
        )
    )  # fmt: skip
    yield labels.text.net.why


# --- sheets ---


def impose(pieces: Iterable[Piece], grid: SheetGrid, note: str = "") -> tuple[Sheet, ...]:
    """Labels on pages: those of one size follow one another, each size begins a page of its own."""
    sheets: list[Sheet] = []
    by_size: dict[tuple[float, float], list[Piece]] = {}
    for piece in pieces:
        by_size.setdefault((piece.w_mm, piece.h_mm), []).append(piece)
    for number, (size, group) in enumerate(by_size.items()):
        spots = _spots(grid, size, first=number == 0)
        queue = [piece for piece in group for _ in range(piece.copies)]
        at = (grid.start - 1) if number == 0 else 0
        while queue:
            taken = queue[: spots.count - at]
            queue = queue[len(taken) :]
            sheets.append(_sheet(taken, spots, grid, at, note))
            at = 0
    return tuple(sheets)


def _spots(grid: SheetGrid, size: tuple[float, float], *, first: bool) -> Places:
    """The maker's grid for the first size; a tag or another size gets one of its own."""
    if first:
        return places(grid, *size)
    try:
        return places(grid.model_copy(update={"start": 1}), *size)
    except Trouble:
        free = {"columns": None, "rows": None, "left_mm": None, "top_mm": None, "start": 1}
        return places(grid.model_copy(update=free), *size)


def _sheet(pieces: list[Piece], spots: Places, grid: SheetGrid, at: int, note: str) -> Sheet:
    marks: list[Mark] = []
    for number, piece in enumerate(pieces, start=at):
        x, y = spots.corner(number)
        if grid.cut_lines:
            marks.append(_cut_line(piece, x, y))
        marks += moved(piece.marks, x, y)
    if grid.crop_marks:
        marks += crop_marks(spots)
    if note and spots.page_h_mm - spots.bottom_mm > 7.5:
        size = min(2.6, (spots.page_w_mm - 20) / max(width_mm(note, 1.0), 1.0))
        y = spots.page_h_mm - 4.6
        marks.append(Text(spots.page_w_mm / 2, y, note, size, ink=Ink.PALE, align=Align.CENTRE))
    if grid.shift_x_mm or grid.shift_y_mm:
        marks = moved(marks, grid.shift_x_mm, grid.shift_y_mm)
    return Sheet(spots.page_w_mm, spots.page_h_mm, tuple(marks))


def _cut_line(piece: Piece, x: float, y: float) -> Mark:
    if piece.shape is LabelShape.ROUND:
        half = piece.w_mm / 2
        return Ring(x + half, y + half, half, 0.08, Ink.FAINT)
    return Box(x, y, piece.w_mm, piece.h_mm, piece.corner_mm, 0.08, Ink.FAINT)


def crop_marks(spots: Places) -> list[Mark]:
    """Short lines outside the labels at every edge to be cut, and between them where the gap has room."""
    marks: list[Mark] = []
    away, long = 1.0, 3.0
    xs = [edge for c in range(spots.columns) for edge in _edges(spots.left_mm, c, spots.w_mm, spots.gap_x_mm)]
    ys = [edge for r in range(spots.rows) for edge in _edges(spots.top_mm, r, spots.h_mm, spots.gap_y_mm)]
    for x in dict.fromkeys(round(x, 4) for x in xs):
        for end, sense in ((spots.top_mm, -1), (spots.bottom_mm, 1)):
            marks.append(Line(x, end + sense * away, x, end + sense * (away + long), 0.1, Ink.SOFT))
    for y in dict.fromkeys(round(y, 4) for y in ys):
        for end, sense in ((spots.left_mm, -1), (spots.right_mm, 1)):
            marks.append(Line(end + sense * away, y, end + sense * (away + long), y, 0.1, Ink.SOFT))
    return marks


def _edges(first: float, number: int, size: float, gap: float) -> tuple[float, float]:
    start = first + number * (size + gap)
    return start, start + size
