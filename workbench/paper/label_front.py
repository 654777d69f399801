"""The front of a label: what it is, its name, what it smells of, how much is in it.

One axis, plenty of white: a small line in spaced capitals at the head, the
name as large as it sits well, a short rule, the scent below it, the weight at
the foot.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from workbench.core.skin.label_rules import Part
from workbench.paper.label_text import LabelText
from workbench.paper.phrases import HARD_SPACE
from workbench.paper.scene import Align, Face, Ink, Line, Mark, Text
from workbench.paper.setting import Region, balanced, cut_long_words
from workbench.paper.type import proportions, size_for_figures, size_for_small, width_mm

TRACKING = 0.14
_SAFE = 0.35  # mm to either side of a line


@dataclass(frozen=True, slots=True)
class SetLine:
    text: str
    size_mm: float
    face: Face
    ink: Ink = Ink.BLACK
    tracking: float = 0.0

    @property
    def high_mm(self) -> float:
        """From the baseline to the top of capitals."""
        return proportions(self.face).capital * self.size_mm

    @property
    def wide_mm(self) -> float:
        return width_mm(self.text, self.size_mm, self.face, self.tracking)


@dataclass(frozen=True, slots=True)
class Front:
    """`left_out` are parts that found no room even at the least height of type."""

    marks: tuple[Mark, ...]
    left_out: tuple[Part, ...]
    name_mm: float


def front(text: LabelText, region: Region) -> Front:
    """Set the front into a region, the name as large as it sits well."""
    height = region.bottom_mm - region.top_mm
    floor = size_for_small(text.least_mm(Part.NAME), Face.DISPLAY)
    most = max(floor, min(0.19 * min(height * 1.1, region.widest_mm), 12.0))
    comfortable = max(floor, 0.095 * min(height, region.widest_mm))
    everything = _Wanted(text.scent, text.function, text.net_text)
    plain = replace(everything, scent="")
    tries = (
        (everything, most, comfortable),
        (everything, comfortable, floor),
        (plain, comfortable, floor),
        (replace(plain, function=""), floor * 1.1, floor),
        (_Wanted("", "", ""), floor * 1.1, floor),
    )
    for wanted, largest, smallest in tries:
        for size in _sizes(largest, smallest):
            marks = _attempt(text, region, size, wanted)
            if marks is not None:
                return Front(tuple(marks), everything.without(wanted), size)
    return _without_name(text, region, everything)


def _without_name(text: LabelText, region: Region, everything: _Wanted) -> Front:
    """Not even the name has room: what it is and how much, where they have."""
    left_out = [Part.NAME]
    marks: list[Mark] = []
    if everything.scent:
        left_out.append(Part.SCENT)
    for part, placed in (
        (Part.FUNCTION, _from_top(_head(text, everything.function), region)),
        (Part.NET_WEIGHT, _from_bottom(_foot(text, region) or [], region)),
    ):
        if placed is not None and placed[0]:
            marks += placed[0]
        elif everything.net or part is Part.FUNCTION:
            left_out.append(part)
    return Front(tuple(marks), tuple(left_out), 0.0)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What is to stand beside the name."""

    scent: str
    function: str
    net: str

    def without(self, other: _Wanted) -> tuple[Part, ...]:
        """Parts that are here and not in the other."""
        parts = ((Part.SCENT, self.scent, other.scent), (Part.FUNCTION, self.function, other.function),
                 (Part.NET_WEIGHT, self.net, other.net))  # fmt: skip
        return tuple(part for part, here, there in parts if here and not there)


def _sizes(largest: float, smallest: float) -> Iterator[float]:
    size = largest
    while size > smallest + 1e-9:
        yield size
        size *= 0.96
    yield smallest


def _attempt(text: LabelText, region: Region, name_mm: float, wanted: _Wanted) -> list[Mark] | None:
    height = region.bottom_mm - region.top_mm
    head = _head(text, wanted.function)
    foot = _foot(text, region) if wanted.net else []
    if foot is None:
        return None
    top = _from_top(head, region)
    bottom = _from_bottom(foot, region)
    if top is None or bottom is None:
        return None
    gap = 0.05 * height
    middle = _middle(text, region, name_mm, wanted.scent, top[1] + gap, bottom[1] - gap)
    return None if middle is None else [*top[0], *middle, *bottom[0]]


def _head(text: LabelText, function: str) -> list[SetLine]:
    if not function:
        return []
    size = text.least_mm(Part.FUNCTION) / proportions(Face.TEXT).capital * 1.04
    return [SetLine(function.upper(), size, Face.TEXT, Ink.SOFT, TRACKING)]


def _foot(text: LabelText, region: Region) -> list[SetLine] | None:
    """The weight: on one line, or with the grams below the ounces."""
    if not text.net_text:
        return []
    height = text.heights[Part.NET_WEIGHT]
    size = size_for_figures(height.mm) if height.of == "figures" else size_for_small(height.mm)
    for count in (1, 2):
        lines = balanced(text.net_text, count, Face.TEXT)
        if lines is None:
            continue
        made = [SetLine(line, size, Face.TEXT) for line in lines]
        if (
            _from_bottom(made, region) is not None
            and max(line.wide_mm for line in made) < 0.72 * region.widest_mm
        ):
            return made
    return None


def _middle(
    text: LabelText, region: Region, name_mm: float, scent: str, top_mm: float, bottom_mm: float
) -> list[Mark] | None:
    whole = cut_long_words(text.name, name_mm, Face.DISPLAY, 0.8 * region.widest_mm)
    narrow = cut_long_words(text.name, name_mm, Face.DISPLAY, 0.62 * region.widest_mm)
    for name in dict.fromkeys((whole, narrow)):
        placed = _named(text, region, name, name_mm, scent, (top_mm, bottom_mm))
        if placed is not None:
            return placed
    return None


def _named(
    text: LabelText, region: Region, name: str, name_mm: float, scent: str, room_mm: tuple[float, float]
) -> list[Mark] | None:
    for name_count in range(1, 8):
        name_lines = balanced(name, name_count, Face.DISPLAY)
        if name_lines is None:
            return None
        for scent_count in range(1, 5) if scent else (0,):
            block = _stack(text, name_lines, name_mm, scent, scent_count)
            if block is None:
                break
            placed = _place(block, region, *room_mm)
            if placed is not None:
                return placed
    return None


def _stack(
    text: LabelText, name_lines: tuple[str, ...], name_mm: float, scent: str, scent_count: int
) -> list[tuple[SetLine | None, float]] | None:
    """Lines from top to bottom, each with the distance of its baseline from the one before; None is the rule."""
    block: list[tuple[SetLine | None, float]] = [
        (SetLine(line, name_mm, Face.DISPLAY), 0.0 if number == 0 else 1.02 * name_mm)
        for number, line in enumerate(name_lines)
    ]
    if not scent:
        return block
    size = size_for_small(max(text.least_mm(Part.SCENT), 0.2 * name_mm * 0.5))
    lines = balanced(scent.replace(" · ", f"{HARD_SPACE}· "), scent_count, Face.TEXT)
    if lines is None:
        return None
    block.append((None, 0.62 * name_mm))
    for number, line in enumerate(lines):
        tidy = line.removesuffix(f"{HARD_SPACE}·")
        block.append(
            (
                SetLine(tidy, size, Face.TEXT, Ink.SOFT),
                0.42 * name_mm + 0.6 * size if number == 0 else 1.25 * size,
            )
        )
    return block


def _place(
    block: list[tuple[SetLine | None, float]], region: Region, top_mm: float, bottom_mm: float
) -> list[Mark] | None:
    """The block in the middle between two heights, if every line has room."""
    first, last = block[0][0], block[-1][0]
    assert first is not None
    assert last is not None
    high = first.high_mm + sum(step for _, step in block) + 0.22 * last.size_mm
    room = bottom_mm - top_mm - high
    if room < 0:
        return None
    baseline = top_mm + room / 2 + first.high_mm
    marks: list[Mark] = []
    for line, step in block:
        baseline += step
        if line is None:
            half = 0.06 * region.widest_mm
            marks.append(
                Line(region.middle_mm - half, baseline, region.middle_mm + half, baseline, 0.15, Ink.PALE)
            )
        elif _room(line, region, baseline):
            marks.append(_centred(line, region, baseline))
        else:
            return None
    return marks


def _from_top(lines: list[SetLine], region: Region) -> tuple[list[Mark], float] | None:
    """Lines as high up as they fit; also where they end."""
    if not lines:
        return [], region.top_mm
    line = lines[0]
    y = region.top_mm + 0.1 * (region.bottom_mm - region.top_mm)
    while y < (region.top_mm + region.bottom_mm) / 2:
        if _room(line, region, y + line.high_mm):
            return [_centred(line, region, y + line.high_mm)], y + line.high_mm
        y += 0.2
    return None


def _from_bottom(lines: list[SetLine], region: Region) -> tuple[list[Mark], float] | None:
    """Lines as low down as they fit; also where they begin."""
    if not lines:
        return [], region.bottom_mm
    y = region.bottom_mm - 0.09 * (region.bottom_mm - region.top_mm)
    step = 1.2 * lines[0].size_mm
    while y > (region.top_mm + region.bottom_mm) / 2:
        baselines = [y - step * (len(lines) - 1 - number) for number in range(len(lines))]
        if all(_room(line, region, at) for line, at in zip(lines, baselines, strict=True)):
            marks: list[Mark] = [
                _centred(line, region, at) for line, at in zip(lines, baselines, strict=True)
            ]
            return marks, baselines[0] - lines[0].high_mm
        y -= 0.2
    return None


def _room(line: SetLine, region: Region, baseline: float) -> bool:
    span = region.span(baseline - line.high_mm, baseline + 0.22 * line.size_mm)
    return span is not None and line.wide_mm + 2 * _SAFE <= span[1] - span[0]


def _centred(line: SetLine, region: Region, baseline: float) -> Text:
    return Text(
        region.middle_mm, baseline, line.text, line.size_mm, line.face, line.ink, line.tracking, Align.CENTRE
    )
