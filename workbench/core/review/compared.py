"""What a comparison of batches consists of: cells with their difference from the first batch, rows, curves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.model import Note
from workbench.core.review.wear import WearTests
from workbench.core.wording import Said


@dataclass(frozen=True, slots=True)
class Side:
    """One batch to compare; `title` names it over its column."""

    session: str
    title: str
    state: SessionState
    record: BatchRecord
    wear: WearTests | None = None


@dataclass(frozen=True, slots=True)
class Difference:
    """Against the first batch; `percent` is None where that has 0, `beyond` whether it could be measured."""

    absolute: float
    percent: float | None
    beyond: bool


@dataclass(frozen=True, slots=True)
class Cell:
    """One value of one batch; `value` None: not on record.  The first batch has no `differs`."""

    value: float | None
    differs: Difference | None = None

    @property
    def marked(self) -> bool:
        return self.differs is not None and self.differs.beyond


class Unit(StrEnum):
    """What a row's values are in."""

    GRAMS = "g"
    PERCENT = "%"
    SECONDS = "s"
    DEGREES = "°C"
    KELVINS = "K"
    MILLIMETRES = "mm"
    POINTS = "of 10"


@dataclass(frozen=True, slots=True)
class CompareRow:
    """One line of a table, a cell for each batch; `key` is a material, a kind of step or a name."""

    key: str
    title: str
    unit: Unit
    cells: tuple[Cell, ...]

    @property
    def marked(self) -> bool:
        return any(cell.marked for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Amounts:
    """One material: grams planned, grams as made, and its share of what was made."""

    material: str
    title: str
    planned: CompareRow
    made: CompareRow
    share: CompareRow

    @property
    def marked(self) -> bool:
        return self.made.marked or self.share.marked


@dataclass(frozen=True, slots=True)
class Alignment:
    """Curves laid upon each other at the start of a kind of step ("" for the batch's start).

    `offsets_s`: what is taken off each batch's times; None where that batch
    never came to the step.
    """

    kind: str
    title: Said
    offsets_s: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """Readings of one batch, s since its start and °C with corrections; steps as (kind, s)."""

    session: str
    title: str
    points: tuple[tuple[float, float], ...]
    steps: tuple[tuple[str, float], ...]

    def shifted(self, offset_s: float) -> tuple[tuple[float, float], ...]:
        return tuple((at_s - offset_s, celsius) for at_s, celsius in self.points)


@dataclass(frozen=True, slots=True)
class MarkRow:
    """Medians of what wearers marked at one moment, 0..10; `note` None is overall."""

    after_min: int
    note: Note | None
    cells: tuple[Cell, ...]
    wearers: tuple[int, ...]  # how many marks each median is of


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything side by side."""

    sides: tuple[Side, ...]
    curves: tuple[Curve, ...]
    alignments: tuple[Alignment, ...]
    amounts: tuple[Amounts, ...]
    times: tuple[CompareRow, ...]
    results: tuple[CompareRow, ...]
    marks: tuple[MarkRow, ...]
    says: tuple[Said, ...]  # what differs most, a sentence each

    @property
    def same_composition(self) -> bool:
        """Every share is on record and none differs measurably."""
        shares = [each.share for each in self.amounts]
        return not any(row.marked or any(cell.value is None for cell in row.cells) for row in shares)

    def alignment(self, kind: str) -> Alignment | None:
        return next((each for each in self.alignments if each.kind == kind), None)
