"""Two to six batches side by side: curves, amounts, times and results, with what differs marked.

The first batch is the one the others are held against.  A difference in grams
counts only where the scales could show it: two weights that lie within one
digit of the coarser scale are the same weight.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from workbench.core.batch import figures
from workbench.core.batch.state import SessionState, StepMark
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.model import Note
from workbench.core.review.compared import (
    Alignment,
    Amounts,
    Cell,
    CompareRow,
    Comparison,
    Curve,
    Difference,
    MarkRow,
    Side,
    Unit,
)
from workbench.core.review.wear import Together, together
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Duration, Kelvins, Millimetres, Number, Said, Share, say

__all__ = [
    "Alignment",
    "Amounts",
    "Cell",
    "CompareRow",
    "Comparison",
    "Curve",
    "Difference",
    "MarkRow",
    "Side",
    "Unit",
    "compare",
]

FEWEST, MOST = 2, 6
DIGIT_G = 0.01  # where no scale is on record
DIGIT_K = 0.1  # a thermometer is read and typed to a tenth
DIGIT_MM = 0.5  # of a ruler across a tin
DIGIT_S = 30.0  # nobody works to the half minute


def compare(sides: Sequence[Side]) -> Comparison:
    """Lay two to six batches side by side.  Raises `Trouble` for fewer, more, or one twice."""
    sides = tuple(sides)
    if not FEWEST <= len(sides) <= MOST:
        raise Trouble(
            say(
                "Choose {fewest} to {most} batches to lay side by side; {count} are chosen.",
                "Choose {fewest} to {most} batches to lay side by side; {count} is chosen.",
                fewest=Number(FEWEST, 0),
                most=Number(MOST, 0),
                count=Count(len(sides)),
            )
        )
    if len({side.session for side in sides}) < len(sides):
        raise Trouble(say("A batch cannot be held against itself. Choose another."))
    amounts = _amounts(sides)
    times = _times(sides)
    results = _results(sides)
    return Comparison(
        sides=sides,
        curves=tuple(_curve(side) for side in sides),
        alignments=_alignments(sides),
        amounts=amounts,
        times=times,
        results=results,
        marks=_marks(sides),
        says=_says(sides, amounts, results),
    )


# --- curves ---


def _curve(side: Side) -> Curve:
    state = side.state
    return Curve(
        side.session,
        side.title,
        tuple((each.at_s, state.celsius_of(each)) for each in state.readings),
        figures.step_starts(state),
    )


def _alignments(sides: Sequence[Side]) -> tuple[Alignment, ...]:
    """The start, and every kind of step that at least two batches came to, in the order of work."""
    starts = [dict(figures.step_starts(side.state)) for side in sides]
    found = [Alignment("", say("Start of the batch"), (0.0,) * len(sides))]
    for kind in StepKind:
        offsets = tuple(each.get(kind.value) for each in starts)
        if sum(offset is not None for offset in offsets) >= FEWEST:
            found.append(Alignment(kind.value, say("Start of “{step}”", step=kind.value), offsets))
    return tuple(found)


# --- tables ---


def _cells(values: Sequence[float | None], digit: float) -> tuple[Cell, ...]:
    """Cells with the difference from the first; it counts where it is more than `digit`."""
    first = values[0]
    cells = [Cell(first)]
    for value in values[1:]:
        if first is None or value is None:
            cells.append(Cell(value))
            continue
        apart = value - first
        percent = 100.0 * apart / first if first else None
        cells.append(Cell(value, Difference(apart, percent, abs(apart) > digit * (1 + 1e-9))))
    return tuple(cells)


def _amounts(sides: Sequence[Side]) -> tuple[Amounts, ...]:
    lines = [{line.material: line for line in side.record.lines} for side in sides]
    found = []
    for material in dict.fromkeys(key for each in lines for key in each):
        own = [each.get(material) for each in lines]
        title = next(line.name for line in own if line is not None)
        digit_g = max(_digit_g(side.state, material) for side in sides)
        # a share cannot be known better than the scale allows on the smallest of the batches
        whole_g = min((side.record.composition.mass_g for side in sides), default=0.0)
        digit_percent = 100.0 * digit_g / whole_g if whole_g > 0 else 0.0
        made = [_made_g(line is None, None if line is None else line.made_g) for line in own]
        shares = [_made_g(line is None, None if line is None else line.share_percent) for line in own]
        planned = [0.0 if line is None else line.planned_g for line in own]
        found.append(
            Amounts(
                material,
                title,
                CompareRow(material, title, Unit.GRAMS, _cells(planned, digit_g)),
                CompareRow(material, title, Unit.GRAMS, _cells(made, digit_g)),
                CompareRow(material, title, Unit.PERCENT, _cells(shares, digit_percent)),
            )
        )
    return tuple(found)


def _made_g(absent: bool, value: float | None) -> float | None:
    """A material that a batch does not have is 0 of it; one that was planned and not weighed is unknown."""
    return 0.0 if absent else value


def _digit_g(state: SessionState, material: str) -> float:
    plan = state.plan
    lines = () if plan is None else plan.lines
    found = [line.readability_g for line in lines if line.material == material and line.readability_g]
    return found[0] if found else DIGIT_G


def _times(sides: Sequence[Side]) -> tuple[CompareRow, ...]:
    """Seconds spent in each kind of step, all its steps together, left-out ones not counted."""
    spent = [_spent(side.state) for side in sides]
    return tuple(
        CompareRow(
            kind.value,
            say(kind.value),
            Unit.SECONDS,
            _cells([each.get(kind) for each in spent], DIGIT_S),
        )
        for kind in StepKind
        if any(kind in each for each in spent)
    )


def _spent(state: SessionState) -> dict[StepKind, float]:
    spent: dict[StepKind, float] = {}
    for each in state.steps:
        if each.begun_at_s is None or each.ended_at_s is None or each.mark is StepMark.LEFT_OUT:
            continue
        spent[each.step.kind] = spent.get(each.step.kind, 0.0) + each.ended_at_s - each.begun_at_s
    return spent


_Read = Callable[[Side], float | None]

_RESULTS: tuple[tuple[str, str, Unit, float, _Read], ...] = (
    ("whole", "Whole time", Unit.SECONDS, DIGIT_S, lambda s: s.state.at_s),
    ("melt", "Time to melt", Unit.SECONDS, DIGIT_S, lambda s: figures.melt_s(s.state)),
    ("highest", "Highest temperature", Unit.DEGREES, DIGIT_K, lambda s: s.record.highest_c),
    ("addition", "Temperature at the addition", Unit.DEGREES, DIGIT_K, lambda s: figures.addition_c(s.state)),
    ("pour", "Temperature at the pour", Unit.DEGREES, DIGIT_K, lambda s: figures.pour_c(s.state)),
    ("width", "Width of the window", Unit.KELVINS, DIGIT_K, lambda s: figures.window_k(s.state)),
    ("window", "Time in the window", Unit.SECONDS, DIGIT_S, lambda s: figures.window_s(s.state)),
    ("made", "Mass made", Unit.GRAMS, DIGIT_G, lambda s: s.record.yields.made_g or None),
    ("in tins", "In tins", Unit.GRAMS, DIGIT_G, lambda s: s.record.yields.in_tins_g or None),
    ("yield", "Yield", Unit.PERCENT, 0.1, lambda s: _poured(s, s.record.yields.percent)),
    ("loss", "Mass lost", Unit.GRAMS, DIGIT_G, lambda s: _poured(s, s.record.yields.loss_g)),
    ("leftover", "Left over", Unit.GRAMS, DIGIT_G, lambda s: s.record.yields.leftover_g),
    ("net", "Mean net weight of a tin", Unit.GRAMS, DIGIT_G, lambda s: figures.net_g(s.state)),
    ("sink", "Depth of the sink", Unit.MILLIMETRES, DIGIT_MM, lambda s: s.record.sink_depth_mm),
)


def _poured(side: Side, value: float | None) -> float | None:
    """Yield and loss say nothing before anything was poured."""
    return value if side.state.poured else None


def _results(sides: Sequence[Side]) -> tuple[CompareRow, ...]:
    rows = (
        CompareRow(key, say(title), unit, _cells([read(side) for side in sides], digit))
        for key, title, unit, digit, read in _RESULTS
    )
    return tuple(row for row in rows if any(cell.value is not None for cell in row.cells))


def _marks(sides: Sequence[Side]) -> tuple[MarkRow, ...]:
    found = [
        {(each.after_min, each.note): each for each in together(side.wear.tests)}
        if side.wear is not None
        else {}
        for side in sides
    ]
    keys = sorted({key for each in found for key in each}, key=lambda key: (_NOTE_ORDER[key[1]], key[0]))
    return tuple(
        MarkRow(
            moment,
            note,
            _cells([_median(each.get((moment, note))) for each in found], 1.0),
            tuple(each[moment, note].count if (moment, note) in each else 0 for each in found),
        )
        for moment, note in keys
    )


_NOTE_ORDER: dict[Note | None, int] = {Note.TOP: 0, Note.MIDDLE: 1, Note.BASE: 2, None: 3}


def _median(found: Together | None) -> float | None:
    return None if found is None else found.median


# --- in words ---


def _says(
    sides: Sequence[Side],
    amounts: Sequence[Amounts],
    results: Sequence[CompareRow],
) -> tuple[Said, ...]:
    """The largest measurable difference of composition, and every one of temperature, melt, sink and yield."""
    told: list[Said] = []
    shares = [
        (abs(cell.differs.absolute), each, side, cell)
        for each in amounts
        for side, cell in zip(sides, each.share.cells, strict=True)
        if cell.differs is not None and cell.marked
    ]
    if not shares and any(cell.value is None for each in amounts for cell in each.share.cells):
        told.append(say("What was weighed in all of them is the same; some of it was never weighed."))
    elif not shares:
        told.append(say("By the scales, all of them were made of the same, in the same shares."))
    else:
        _, most, side, cell = max(shares, key=lambda found: found[0])
        told.append(
            say(
                "{name} differs most: {here} of “{side}”, {there} of “{first}”.",
                name=most.title,
                here=Share(cell.value or 0.0, 2),
                side=side.title,
                there=Share(most.share.cells[0].value or 0.0, 2),
                first=sides[0].title,
            )
        )
    for row in results:
        template = _TEMPLATES.get(row.key)
        if template is None:
            continue
        for side, cell in zip(sides, row.cells, strict=True):
            if cell.differs is None or not cell.marked:
                continue
            words = template[0] if cell.differs.absolute > 0 else template[1]
            apart = abs(cell.differs.absolute)
            told.append(say(words, side=side.title, first=sides[0].title, apart=_WRITE[row.unit](apart)))
    return tuple(told)


_TEMPLATES = {
    "melt": (
        "“{side}” took {apart} longer to melt than “{first}”.",
        "“{side}” melted {apart} sooner than “{first}”.",
    ),
    "addition": (
        "The fragrance of “{side}” went in {apart} hotter than that of “{first}”.",
        "The fragrance of “{side}” went in {apart} cooler than that of “{first}”.",
    ),
    "pour": (
        "“{side}” was poured {apart} hotter than “{first}”.",
        "“{side}” was poured {apart} cooler than “{first}”.",
    ),
    "sink": (
        "The tins of “{side}” sank {apart} deeper than those of “{first}”.",
        "The tins of “{side}” sank {apart} less than those of “{first}”.",
    ),
}
_WRITE: dict[Unit, Callable[[float], object]] = {
    Unit.SECONDS: Duration,
    Unit.DEGREES: Kelvins,
    Unit.MILLIMETRES: Millimetres,
}
