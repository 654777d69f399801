"""Values of comparisons and trends as they are written, and as numbers for an axis."""

from __future__ import annotations

from workbench.core.review.compare import Cell, CompareRow, Unit
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.words import elapsed_words

NO_VALUE = "–"


def written(value: float | None, unit: str, measures: Measures) -> str:
    """A value in its unit: "s" as 7:20, the others with their sign; a dash for none."""
    if value is None:
        return NO_VALUE
    w = measures.writer
    match unit:
        case Unit.GRAMS:
            return w.grams(value, 2)
        case Unit.PERCENT:
            return f"{w.number(value, 1)} %"
        case Unit.SECONDS:
            return elapsed_words(value)
        case Unit.DEGREES:
            return w.degrees(value, 1)
        case Unit.KELVINS:
            return w.kelvins(value, 1)
        case Unit.MILLIMETRES:
            return f"{w.number(value, 1)} mm"
        case _:
            return w.number(value, 0)


def apart(cell: Cell, unit: str, measures: Measures) -> str:
    """By how much a marked cell differs from the first batch, with its sign; "" where it does not."""
    if cell.differs is None or not cell.differs.beyond:
        return ""
    value = cell.differs.absolute
    sign = "+" if value > 0 else "−"
    if unit == Unit.DEGREES:
        return sign + measures.writer.kelvins(abs(value), 1)
    if unit == Unit.PERCENT and abs(value) < 0.95:  # what is marked never reads as nothing
        return f"{sign}{measures.number(abs(value), 2)} %"
    return sign + written(abs(value), unit, measures)


def spoken(row: CompareRow, letters: str, measures: Measures) -> str:
    """A row of a comparison for who listens."""
    parts = []
    for letter, cell in zip(letters, row.cells, strict=False):
        more = apart(cell, row.unit, measures)
        text = f"{letter} {written(cell.value, row.unit, measures)}"
        parts.append(f"{text} ({more})" if more else text)
    return ", ".join(parts)


def axis_number(value: float, unit: str, measures: Measures) -> float:
    """The number on an axis: minutes for times, the maker's degrees, else as it is."""
    if unit == "s":
        return value / 60
    if unit == "°C":
        return measures.temperature_number(value)
    if unit == "K":
        return measures.temperature_number(value) - measures.temperature_number(0.0)
    return value


def axis_word(number: float, unit: str, measures: Measures, digits: int = 0) -> str:
    """A number of an axis with its unit."""
    text = measures.number(number, digits)
    if unit == "s":
        return f"{text} min"
    if unit in ("°C", "K"):
        return f"{text} {measures.temperature_unit}"
    return f"{text} {unit}"
