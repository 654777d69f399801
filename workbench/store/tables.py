"""Readings and weights as CSV: out for any spreadsheet, readings in for a forecast."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from workbench.core.batch.events import (
    Added,
    AnyEvent,
    Corrected,
    DropsCounted,
    LeftoverKept,
    MassWeighed,
    TemperatureRead,
    TinPoured,
)
from workbench.core.trouble import Fault
from workbench.core.wording import say
from workbench.store import files, troubles
from workbench.store.project import Project
from workbench.store.sessions import SessionEntry

READING_COLUMNS = (
    "session", "recipe", "entry", "wall", "at_s", "step", "shown_c", "celsius", "stirred", "typed",
    "corrected_shown_c", "correction_reason",
)  # fmt: skip
WEIGHT_COLUMNS = (
    "session", "recipe", "entry", "wall", "at_s", "step", "what", "material_or_tin", "mass_g", "drops", "lot", "typed",
    "corrected", "correction_reason",
)  # fmt: skip

_MOST_BYTES = 2_000_000  # eight hours with a reading a second need half of that
_MOST_FAULTS = 200
_LONGEST_CELL = 1_000

BURST_COLUMNS = ("seconds", "before_c", "after_c")
_THREE = "Write three numbers: seconds, °C before and °C after, as in 10,22.5,29."
_COLDER_K = 5.0  # stirring and waiting takes a degree or two, never this much


Which = Callable[[SessionEntry], bool]


def _every(_: SessionEntry) -> bool:
    return True


def export_readings(project: Project, target: Path, of: Which = _every) -> int:
    """Every temperature of every session that `of` picks, one row each; how many."""
    return write_rows(target, READING_COLUMNS, _all(project, _reading_rows, of))


def export_weights(project: Project, target: Path, of: Which = _every) -> int:
    """Every mass that was weighed, counted, added, poured or kept; how many rows."""
    return write_rows(target, WEIGHT_COLUMNS, _all(project, _weight_rows, of))


Row = Sequence[object]
RowsOf = Callable[[Sequence[AnyEvent], dict[int, Corrected]], Iterable[Row]]


def _all(project: Project, rows: RowsOf, of: Which) -> Iterator[Row]:
    for entry in sorted(filter(of, project.sessions()), key=lambda each: each.number):
        events = project.events(entry.id)
        corrections = {event.of: event for event in events if isinstance(event, Corrected)}
        yield from ((entry.id, entry.recipe_name, *row) for row in rows(events, corrections))


def write_rows(target: Path, columns: Sequence[str], rows: Iterable[Row]) -> int:
    """Any table as CSV, replacing the file in one step; how many rows.  Raises StoreTrouble."""
    count = 0
    with files.replacing(target) as file:
        text = io.TextIOWrapper(file, encoding="utf-8", newline="")
        writer = csv.writer(text)
        writer.writerow(columns)
        for row in rows:
            writer.writerow([_cell(value) for value in row])
            count += 1
        text.flush()
        text.detach()
    return count


def _cell(value: object) -> object:
    """Empty for what is not there; text that a spreadsheet would compute is marked as text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") and _number(value) is None:
        return "'" + value
    return value


def _reading_rows(events: Sequence[AnyEvent], corrections: dict[int, Corrected]) -> Iterator[Row]:
    for seq, event in enumerate(events, start=1):
        if isinstance(event, TemperatureRead):
            yield (
                seq, event.wall.isoformat(), event.at_s, event.step, event.raw_c, event.celsius, event.stirred,
                event.typed, *_correction(corrections.get(seq)),
            )  # fmt: skip


def _weight_rows(events: Sequence[AnyEvent], corrections: dict[int, Corrected]) -> Iterator[Row]:
    for seq, event in enumerate(events, start=1):
        match event:
            case MassWeighed():
                cells: Row = ("weighed", event.material, event.mass_g, None, event.lot, event.typed)
            case DropsCounted():
                cells = ("counted", event.material, event.mass_g, event.count, event.lot, event.typed)
            case Added():
                cells = ("added", event.material, event.mass_g, None, event.lot, event.typed)
            case TinPoured():
                cells = ("poured", f"{event.tin} {event.number}", event.mass_g, None, None, event.typed)
            case LeftoverKept():
                cells = ("kept", event.lot, event.mass_g, None, event.lot, "")
            case _:
                continue
        head = (seq, event.wall.isoformat(), event.at_s, event.step)
        yield (*head, *cells, *_correction(corrections.get(seq)))


def _correction(correction: Corrected | None) -> Row:
    return (None, None) if correction is None else (correction.value, correction.reason)


def read_readings(source: Path) -> tuple[tuple[float, float], ...]:
    """Rows of `seconds,celsius` in the order of time, from a file with or without a heading.

    Columns may be parted by commas, semicolons or tabs; with the latter two a
    decimal comma is taken too.  Raises StoreTrouble with every fault and its line.
    """
    data = files.read_bytes(source, _MOST_BYTES)
    return parse_readings(data, source)


def parse_readings(data: bytes, source: Path) -> tuple[tuple[float, float], ...]:
    """The same from bytes; seconds from 0 up and never falling, °C from -50 to 400."""
    rows: list[tuple[float, float]] = []

    def take(numbers: Sequence[float | None]) -> str:
        says = _wrong(numbers, rows[-1][0] if rows else 0.0)
        if not says and numbers[0] is not None and numbers[1] is not None:
            rows.append((numbers[0], numbers[1]))
        return says

    faults = _rows_of(data, source, take)
    if not rows and not faults:
        faults.append(Fault("", "There are no readings in it; write one per line as seconds,celsius."))
    if faults:
        raise _refused(source, faults)
    return tuple(rows)


def read_bursts(source: Path) -> tuple[tuple[float, float, float], ...]:
    """Rows of `seconds,before_c,after_c`, oldest first: each burst with the stirred readings around it.

    A heading may put the three in another order; written and parted like readings.  Raises StoreTrouble
    with every fault and its line.
    """
    return parse_bursts(files.read_bytes(source, _MOST_BYTES), source)


def parse_bursts(data: bytes, source: Path) -> tuple[tuple[float, float, float], ...]:
    """The same from bytes; seconds above 0 and up to 600, °C from -20 to 200."""
    rows: list[tuple[float, float, float]] = []
    order = list(range(len(BURST_COLUMNS)))

    def heading(cells: Sequence[str]) -> str:
        names = [cell.casefold() for cell in cells]
        if sorted(names) != sorted(BURST_COLUMNS):
            return "Head the three columns seconds, before_c and after_c, in any order, or leave the heading out."
        order[:] = [names.index(name) for name in BURST_COLUMNS]
        return ""

    def take(numbers: Sequence[float | None]) -> str:
        if len(numbers) != len(BURST_COLUMNS):
            return _THREE
        seconds, before_c, after_c = (numbers[at] for at in order)
        if seconds is None or before_c is None or after_c is None:
            return _THREE
        if not 0 < seconds <= 600:
            return "The burst must last more than 0 and at most 600 seconds."
        if not (-20 <= before_c <= 200 and -20 <= after_c <= 200):
            return "Both temperatures must lie between -20 and 200 °C."
        if after_c < before_c - _COLDER_K:
            return (
                "It reads much colder after the burst than before. Are the two readings the wrong way round?"
            )
        rows.append((seconds, before_c, after_c))
        return ""

    faults = _rows_of(data, source, take, heading)
    if not rows and not faults:
        faults.append(Fault("", "There are no bursts in it; write one per line as seconds,before_c,after_c."))
    if faults:
        raise _refused(source, faults)
    return tuple(rows)


def _rows_of(
    data: bytes,
    source: Path,
    take: Callable[[Sequence[float | None]], str],
    heading: Callable[[Sequence[str]], str] = lambda cells: "",
) -> list[Fault]:
    """Give each line's numbers to `take`, which says what is wrong with them; the faults, with their lines.

    A first line without any number goes to `heading` instead.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _refused(source, [Fault(f"byte {error.start + 1}", "This is not text in UTF-8.")]) from error
    parting = next((mark for mark in (";", "\t") if mark in text), ",")
    faults: list[Fault] = []
    for line, raw in enumerate(text.splitlines(), start=1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        cells = [cell.strip().strip('"')[:_LONGEST_CELL] for cell in raw.split(parting)]
        numbers = [_number(cell.replace(",", ".") if parting != "," else cell) for cell in cells]
        headed = line == 1 and all(number is None for number in numbers)
        says = heading(cells) if headed else take(numbers)
        if says:
            faults.append(Fault(f"line {line}", says))
            if len(faults) >= _MOST_FAULTS:
                break
    return faults


def _wrong(numbers: Sequence[float | None], before_s: float) -> str:
    if len(numbers) != 2 or numbers[0] is None or numbers[1] is None:
        return "Write two numbers: seconds and °C, as in 120,78.5."
    if not before_s <= numbers[0] <= 1e7:
        return "The seconds must start at 0 or later and never go back."
    if not -50 <= numbers[1] <= 400:
        return "The temperature must lie between -50 and 400 °C."
    return ""


def _number(text: str) -> float | None:
    """A plain number, or None; words that Python would take (nan, inf, 1_000) are none."""
    if not text or "_" in text or not text.isascii():
        return None
    try:
        number = float(text)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _refused(source: Path, faults: Sequence[Fault]) -> troubles.StoreTrouble:
    return troubles.StoreTrouble(
        troubles.Kind.INVALID,
        say(
            "{place} cannot be read as temperatures: faults found in it: {count}.",
            place=str(source),
            count=len(faults),
        ),
        tuple(faults),
    )
