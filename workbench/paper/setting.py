"""Setting text into a shape: a circle, a box, a run of columns.

A region answers how wide a line may be between two heights; text is broken
greedily, names are broken into lines of like length.  Nothing is ever set
outside its region: what does not fit is said not to fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import sqrt
from typing import Protocol

from workbench.paper.scene import Align, Face, Ink, Mark, Text
from workbench.paper.type import proportions, size_for_small, width_mm

LEADING = 1.2  # line to line, in em
DOT = "·"
_BREAKABLE = "/-–"
_LONG = 14  # letters; shorter words are not broken, and numbers and dates never


class Region(Protocol):
    """Where text may stand, in mm."""

    @property
    def top_mm(self) -> float: ...

    @property
    def bottom_mm(self) -> float: ...

    @property
    def middle_mm(self) -> float: ...

    @property
    def widest_mm(self) -> float: ...

    def span(self, y1_mm: float, y2_mm: float) -> tuple[float, float] | None:
        """Left and right end of what is free over the whole height; None where nothing is."""
        ...


@dataclass(frozen=True, slots=True)
class BoxRegion:
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    corner_mm: float = 0.0

    @property
    def top_mm(self) -> float:
        return self.y_mm

    @property
    def bottom_mm(self) -> float:
        return self.y_mm + self.h_mm

    @property
    def middle_mm(self) -> float:
        return self.x_mm + self.w_mm / 2

    @property
    def widest_mm(self) -> float:
        return self.w_mm

    def span(self, y1_mm: float, y2_mm: float) -> tuple[float, float] | None:
        if y1_mm < self.top_mm - 1e-6 or y2_mm > self.bottom_mm + 1e-6:
            return None
        cut = max(self._cut(y1_mm), self._cut(y2_mm))
        return self.x_mm + cut, self.x_mm + self.w_mm - cut

    def _cut(self, y_mm: float) -> float:
        """What a rounded corner takes off the line at this height."""
        from_edge = min(y_mm - self.top_mm, self.bottom_mm - y_mm)
        if from_edge >= self.corner_mm:
            return 0.0
        inside = self.corner_mm - max(from_edge, 0.0)
        return self.corner_mm - sqrt(max(self.corner_mm**2 - inside**2, 0.0))


@dataclass(frozen=True, slots=True)
class CircleRegion:
    x_mm: float
    y_mm: float
    radius_mm: float

    @property
    def top_mm(self) -> float:
        return self.y_mm - self.radius_mm

    @property
    def bottom_mm(self) -> float:
        return self.y_mm + self.radius_mm

    @property
    def middle_mm(self) -> float:
        return self.x_mm

    @property
    def widest_mm(self) -> float:
        return 2 * self.radius_mm * 0.95  # a line has a height, so it never has the whole diameter

    def span(self, y1_mm: float, y2_mm: float) -> tuple[float, float] | None:
        far = max(abs(y1_mm - self.y_mm), abs(y2_mm - self.y_mm))
        if far >= self.radius_mm:
            return None
        half = sqrt(self.radius_mm**2 - far**2)
        return self.x_mm - half, self.x_mm + half


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one face."""

    text: str
    face: Face = Face.TEXT


@dataclass(frozen=True, slots=True)
class Para:
    """A paragraph; its small letters are never lower than `least_mm`."""

    runs: tuple[Run, ...]
    least_mm: float
    key: str = ""
    ink: Ink = Ink.BLACK
    space_before: float = 0.55  # in em

    @classmethod
    def of(cls, text: str, least_mm: float, key: str = "") -> Para:
        return cls((Run(text),), least_mm, key)


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    face: Face
    joined: bool = False  # follows what is before it without a space


@dataclass(frozen=True, slots=True)
class SetText:
    """What came of it: the marks, where the text ended, and what found no room."""

    marks: tuple[Mark, ...]
    bottom_mm: float
    rest: tuple[Para, ...] = ()

    @property
    def fits(self) -> bool:
        return not self.rest


def set_paras(
    paras: Sequence[Para],
    region: Region,
    small_mm: float,
    *,
    align: Align = Align.LEFT,
    top_mm: float | None = None,
    bottom_mm: float | None = None,
    leading: float = LEADING,
    whole: bool = False,
) -> SetText:
    """Set paragraphs from the top of a region down, small letters `small_mm` high or higher.

    With `whole`, a paragraph that would be torn goes over whole, unless it is the first.
    """
    y = region.top_mm if top_mm is None else top_mm
    end = region.bottom_mm if bottom_mm is None else bottom_mm
    marks: list[Mark] = []
    for number, para in enumerate(paras):
        size = size_for_small(max(small_mm, para.least_mm))
        if number:
            y += para.space_before * size
        words = [part for word in words_of(para) for part in _cut(word, size, region.widest_mm)]
        at, begun = 0, len(marks)
        while at < len(words):
            high, low = _reach(words[at:], size)
            line_bottom = y + high + low
            span = region.span(y, line_bottom) if line_bottom <= end + 1e-6 else None
            taken = [] if span is None else _fill(words, at, span[1] - span[0], size)
            if span is None or not taken:
                if line_bottom + 0.4 <= end and y + line_bottom < region.top_mm + region.bottom_mm:
                    y += 0.4  # in the upper half of a circle the next line down is wider
                    continue
                if whole and number and at:
                    return SetText(tuple(marks[:begun]), y, tuple(paras[number:]))
                return SetText(tuple(marks), y, (_remaining(para, words[at:]), *paras[number + 1 :]))
            marks += _line(_without_end_dots(taken), span, y + high, size, para.ink, align)
            at += len(taken)
            y += leading * size
        y += high + low - leading * size if words else 0.0
    return SetText(tuple(marks), y)


def set_in_middle(
    paras: Sequence[Para],
    region: Region,
    small_mm: float,
    *,
    align: Align = Align.LEFT,
    leading: float = LEADING,
) -> SetText:
    """The same, with what is left over shared out above and below."""
    top, bottom = region.top_mm, region.bottom_mm
    middle, widest = (top + bottom) / 2, (bottom - top) / 2

    def within(half: float) -> SetText:
        return set_paras(
            paras, region, small_mm, align=align, top_mm=middle - half, bottom_mm=middle + half, leading=leading
        )  # fmt: skip

    made = within(widest)
    if not made.fits:
        return made
    low, high = 0.0, widest
    while high - low > 0.1:
        half = (low + high) / 2
        tried = within(half)
        if tried.fits:
            made, high = tried, half
        else:
            low = half
    return made


def set_evenly(
    paras: Sequence[Para],
    region: BoxRegion,
    small_mm: float,
    *,
    leading: float = LEADING,
    middle: bool = False,
) -> SetText:
    """Centred lines of like length: the measure is narrowed as long as no line is added."""
    put = set_in_middle if middle else set_paras
    made = put(paras, region, small_mm, align=Align.CENTRE, leading=leading)
    if not made.fits:
        return made
    inset = 1.0
    while region.w_mm - 2 * inset > 0.6 * region.w_mm:
        narrow = replace(region, x_mm=region.x_mm + inset, w_mm=region.w_mm - 2 * inset)
        tried = put(paras, narrow, small_mm, align=Align.CENTRE, leading=leading)
        if not tried.fits or len(tried.marks) > len(made.marks):
            break
        made = tried
        inset += 0.5
    return made


def largest_small_mm(
    paras: Sequence[Para], region: Region, most_mm: float, least_mm: float, *, align: Align = Align.LEFT
) -> float | None:
    """The largest height of small letters, in steps of 0.05 mm, at which everything fits; None below `least_mm`."""

    def fits(small_mm: float) -> bool:
        return set_paras(paras, region, small_mm, align=align).fits

    if not fits(least_mm):
        return None
    low, high = 0, round((most_mm - least_mm) / 0.05)  # steps above the least height
    while low < high:
        middle = (low + high + 1) // 2
        if fits(least_mm + 0.05 * middle):
            low = middle
        else:
            high = middle - 1
    return least_mm + 0.05 * low


def words_of(para: Para) -> list[_Word]:
    """Words at spaces that may end a line; long compounds also at their own breaks."""
    words = []
    for run in para.runs:
        for piece in run.text.split(" "):
            if piece:
                words += _split(piece, run.face)
    return words


def _split(piece: str, face: Face) -> list[_Word]:
    parts, start = [], 0
    for place, letter in enumerate(piece):
        if letter not in _BREAKABLE or len(piece) < _LONG:
            continue
        if 3 <= place < len(piece) - 3 and piece[place - 1].isalpha() and piece[place + 1].isalpha():
            parts.append(piece[start : place + 1])
            start = place + 1
    parts.append(piece[start:])
    return [_Word(part, face, joined=number > 0) for number, part in enumerate(parts)]


def _cut(word: _Word, size: float, widest: float) -> list[_Word]:
    """A word that no line could hold, in pieces."""
    if width_mm(word.text, size, word.face) <= widest:
        return [word]
    pieces = cut_long_words(word.text, size, word.face, widest).split(" ")
    return [_Word(piece, word.face, word.joined or number > 0) for number, piece in enumerate(pieces)]


def _fill(words: Sequence[_Word], at: int, width: float, size: float) -> list[_Word]:
    """As many words as fit."""
    taken: list[_Word] = []
    for word in words[at:]:
        if taken and _wide([*taken, word], size) > width:
            break
        if not taken and _wide([word], size) > width:
            return []
        taken.append(word)
    return taken


def _wide(words: Sequence[_Word], size: float) -> float:
    return sum(width_mm(text, size, face) for text, face in _joined(words))


def _joined(words: Sequence[_Word]) -> list[tuple[str, Face]]:
    """The line as runs of one face each, spaces included."""
    runs: list[tuple[str, Face]] = []
    for number, word in enumerate(words):
        text = word.text if number == 0 or word.joined else f" {word.text}"
        if runs and runs[-1][1] is word.face:
            runs[-1] = (runs[-1][0] + text, word.face)
        else:
            runs.append((text, word.face))
    return runs


def _without_end_dots(words: list[_Word]) -> list[_Word]:
    """A line without a dividing point at either end."""
    first = 1 if len(words) > 1 and words[0].text == DOT else 0
    last = len(words) - 1 if len(words) > 1 and words[-1].text == DOT else len(words)
    return words[first:last]


def _line(
    words: Sequence[_Word],
    span: tuple[float, float],
    baseline: float,
    size: float,
    ink: Ink,
    align: Align,
) -> list[Mark]:
    wide = _wide(words, size)
    room = span[1] - span[0] - wide
    x = span[0] + {Align.LEFT: 0.0, Align.CENTRE: room / 2, Align.RIGHT: room}[align]
    marks: list[Mark] = []
    for text, face in _joined(words):
        marks.append(Text(x, baseline, text, size, face, ink))
        x += width_mm(text, size, face)
    return marks


def _reach(words: Sequence[_Word], size: float) -> tuple[float, float]:
    """Height above and depth below the baseline of a line of text."""
    shape = proportions(words[0].face if words else Face.TEXT)
    return shape.capital * size * 1.04, shape.descent * size


def _remaining(para: Para, words: Sequence[_Word]) -> Para:
    return replace(para, runs=tuple(Run(text.strip(), face) for text, face in _joined(words)))


# --- names ---


@lru_cache(maxsize=2_000)
def balanced(text: str, lines: int, face: Face, tracking: float = 0.0) -> tuple[str, ...] | None:
    """The text in exactly so many lines, the longest of them as short as can be; None where it has too few words."""
    words = text.split(" ")
    if len(words) < lines:
        return None
    widths = [width_mm(word, 1.0, face, tracking) for word in words]
    gap = width_mm(" ", 1.0, face, tracking) + 2 * tracking
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {(0, 0): (0.0, ())}
    for count in range(1, lines + 1):
        for end in range(count, len(words) + 1):
            options = []
            for start in range(count - 1, end):
                before = best.get((count - 1, start))
                if before is not None:
                    wide = sum(widths[start:end]) + gap * (end - start - 1)
                    options.append((max(before[0], wide), (*before[1], end)))
            if options:
                best[(count, end)] = min(options)
    ends = best[(lines, len(words))][1]
    starts = (0, *ends[:-1])
    return tuple(" ".join(words[start:end]) for start, end in zip(starts, ends, strict=True))


def cut_long_words(text: str, size_mm: float, face: Face, widest_mm: float) -> str:
    """The same text with a space inside any word that no line could hold."""
    made = []
    for word in text.split(" "):
        piece = ""
        for letter in word:
            if piece and width_mm(piece + letter, size_mm, face) > widest_mm:
                made.append(piece)
                piece = ""
            piece += letter
        made.append(piece)
    return " ".join(made)
