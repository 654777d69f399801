"""Past batches in a list: found, filtered and sorted from their summaries alone, over thousands at once.

A row is made once when the list is read; its words are folded then (small
letters, no accents), so that every later question is plain comparison.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Protocol

from workbench.core.batch.record import SessionSummary


class Listed(Protocol):
    """What the list of sessions has of each; the store's entries are such."""

    @property
    def id(self) -> str: ...
    @property
    def number(self) -> int: ...
    @property
    def started(self) -> datetime: ...
    @property
    def recipe_name(self) -> str: ...
    @property
    def recipe_revision(self) -> int: ...
    @property
    def rehearsal(self) -> bool: ...
    @property
    def batch_code(self) -> str: ...
    @property
    def end(self) -> str: ...
    @property
    def summary(self) -> SessionSummary | None: ...


class Outcome(StrEnum):
    """How a batch came out; several may hold at once."""

    FINISHED = "finished"
    ENDED_EARLY = "ended early"
    OPEN = "not ended"
    OFF_PLAN = "left its plan"
    OVER_LIMIT = "over a skin limit"
    FAULTS = "faults seen"
    FLAGGED = "flagged by a reaction"
    UNREAD = "notes that cannot be read"


class Sort(StrEnum):
    """By what the list is sorted; what has no value stands last in either direction."""

    STARTED = "started"
    RECIPE = "recipe"
    CODE = "batch code"
    END = "end"
    TOOK = "time taken"
    MADE = "mass made"
    IN_TINS = "mass in tins"
    YIELD = "yield"
    LOSS = "loss"
    OFF_PLAN = "times off the plan"
    MELT = "time to melt"
    ADDITION = "temperature at the addition"
    POUR = "temperature at the pour"
    WINDOW = "time in the window"
    SINK = "depth of the sink"
    NET = "mean net weight"


@dataclass(frozen=True, slots=True)
class PastRow:
    """One batch in the list; `faults` are keys of faults seen, `flagged` by a reaction of somebody's skin.

    `unread`: something that was noted of it cannot be read, so it is not known
    whether skin reacted.
    """

    id: str
    number: int
    started: datetime
    recipe_name: str
    recipe_revision: int
    rehearsal: bool
    batch_code: str
    end: str  # "finished", "ended early" or "" while it is open
    summary: SessionSummary | None
    faults: tuple[str, ...] = ()
    flagged: bool = False
    unread: bool = False
    outcomes: frozenset[Outcome] = frozenset()
    day: date = date.min
    tins: frozenset[str] = frozenset()
    folded: str = ""  # recipe, code and notes as they are searched


def row_of(
    entry: Listed, faults: Collection[str] = (), flagged: bool = False, unread: bool = False
) -> PastRow:
    """The row of one listed session, with what was seen of it later."""
    summary = entry.summary
    words = "" if summary is None else summary.words
    return PastRow(
        id=entry.id,
        number=entry.number,
        started=entry.started,
        recipe_name=entry.recipe_name,
        recipe_revision=entry.recipe_revision,
        rehearsal=entry.rehearsal,
        batch_code=entry.batch_code,
        end=entry.end,
        summary=summary,
        faults=tuple(faults),
        flagged=flagged,
        unread=unread,
        outcomes=frozenset(_outcomes(entry, bool(faults), flagged, unread)),
        day=entry.started.date(),
        tins=frozenset() if summary is None else frozenset(key for key, _ in summary.tin_counts),
        folded=folded("\n".join((entry.recipe_name, entry.batch_code, words))),
    )


def _outcomes(entry: Listed, faults: bool, flagged: bool, unread: bool) -> Iterable[Outcome]:
    summary = entry.summary
    yield {"finished": Outcome.FINISHED, "": Outcome.OPEN}.get(entry.end, Outcome.ENDED_EARLY)
    if summary is not None and summary.deviations:
        yield Outcome.OFF_PLAN
    if summary is not None and summary.over_skin_limit:
        yield Outcome.OVER_LIMIT
    if faults:
        yield Outcome.FAULTS
    if flagged:
        yield Outcome.FLAGGED
    if unread:
        yield Outcome.UNREAD


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for; whatever is left empty does not narrow.

    `words`: every one of them must occur in the recipe's name, the batch code
    or the notes, whatever their case and accents.  Days are those of the
    batch's own wall clock, both ends included.  Of `outcomes` any one is
    enough.  `rehearsals`: None both, False real batches only, True practice only.
    """

    words: str = ""
    recipe: str = ""
    material: str = ""
    lot: str = ""
    tin: str = ""
    vessel: str = ""
    fault: str = ""
    since: date | None = None
    until: date | None = None
    outcomes: frozenset[Outcome] = frozenset()
    rehearsals: bool | None = None
    sort: Sort = Sort.STARTED
    descending: bool = True

    @property
    def narrows(self) -> bool:
        """Whether anything but the order was asked for."""
        return Wanted(sort=self.sort, descending=self.descending) != self


def find(rows: Sequence[PastRow], wanted: Wanted) -> tuple[PastRow, ...]:
    """The rows that are wanted, in the order that is wanted; equals stand newest first."""
    return ordered(_found(rows, wanted), wanted.sort, wanted.descending)


def _found(rows: Iterable[PastRow], wanted: Wanted) -> list[PastRow]:
    words = folded(wanted.words).split()
    tests: list[Callable[[PastRow], bool]] = []
    if wanted.rehearsals is not None:
        tests.append(lambda row: row.rehearsal is wanted.rehearsals)
    if wanted.recipe:
        tests.append(lambda row: row.recipe_name == wanted.recipe)
    if wanted.since is not None:
        since = wanted.since
        tests.append(lambda row: row.day >= since)
    if wanted.until is not None:
        until = wanted.until
        tests.append(lambda row: row.day <= until)
    if wanted.outcomes:
        tests.append(lambda row: not wanted.outcomes.isdisjoint(row.outcomes))
    if wanted.fault:
        tests.append(lambda row: wanted.fault in row.faults)
    if wanted.tin:
        tests.append(lambda row: wanted.tin in row.tins)
    if wanted.vessel:
        tests.append(lambda row: row.summary is not None and row.summary.vessel == wanted.vessel)
    if wanted.material:
        tests.append(lambda row: row.summary is not None and wanted.material in row.summary.materials)
    if wanted.lot:
        tests.append(lambda row: row.summary is not None and wanted.lot in row.summary.lots)
    if words:
        tests.append(lambda row: all(word in row.folded for word in words))
    return [row for row in rows if all(test(row) for test in tests)]


def ordered(rows: Iterable[PastRow], by: Sort, descending: bool = True) -> tuple[PastRow, ...]:
    """Sorted; rows without a value come last either way."""
    newest_first = sorted(rows, key=lambda row: row.number, reverse=True)
    if by is Sort.STARTED:
        return tuple(sorted(newest_first, key=lambda row: row.started, reverse=descending))
    with_value: list[tuple[float | str, PastRow]] = []
    without: list[PastRow] = []
    for row in newest_first:
        value = value_of(row, by)
        if value is None or value == "":
            without.append(row)
        else:
            with_value.append((value, row))
    with_value.sort(key=lambda pair: pair[0], reverse=descending)
    return (*(row for _, row in with_value), *without)


def value_of(row: PastRow, by: Sort) -> float | str | None:
    """The value a row is sorted by: g, s, °C, mm, %, or folded text; None where there is none."""
    if by is Sort.STARTED:
        return row.started.timestamp()
    if by in _OF_ROW:
        return folded(_OF_ROW[by](row))
    return None if row.summary is None else _OF_SUMMARY[by](row.summary)


_OF_ROW: dict[Sort, Callable[[PastRow], str]] = {
    Sort.RECIPE: lambda row: row.recipe_name,
    Sort.CODE: lambda row: row.batch_code,
    Sort.END: lambda row: row.end,
}
_OF_SUMMARY: dict[Sort, Callable[[SessionSummary], float | None]] = {
    Sort.TOOK: lambda summary: summary.took_s,
    Sort.MADE: lambda summary: summary.made_g or None,
    Sort.IN_TINS: lambda summary: summary.in_tins_g or None,
    Sort.YIELD: lambda summary: summary.yield_percent if summary.in_tins_g else None,
    Sort.LOSS: lambda summary: summary.loss_g if summary.made_g else None,
    Sort.OFF_PLAN: lambda summary: summary.deviations,
    Sort.MELT: lambda summary: summary.melt_s,
    Sort.ADDITION: lambda summary: summary.addition_c,
    Sort.POUR: lambda summary: summary.pour_c,
    Sort.WINDOW: lambda summary: summary.window_s,
    Sort.SINK: lambda summary: summary.sink_depth_mm,
    Sort.NET: lambda summary: summary.net_g,
}


@dataclass(frozen=True, slots=True)
class Choices:
    """What a filter can be set to: keys (of recipes: names) with how many batches have each, most first."""

    recipes: tuple[tuple[str, int], ...]
    materials: tuple[tuple[str, int], ...]
    lots: tuple[tuple[str, int], ...]
    tins: tuple[tuple[str, int], ...]
    vessels: tuple[tuple[str, int], ...]
    faults: tuple[tuple[str, int], ...]
    outcomes: tuple[tuple[Outcome, int], ...]


def choices(rows: Iterable[PastRow]) -> Choices:
    """Everything that occurs in these rows, and how often."""
    recipes: Counter[str] = Counter()
    materials: Counter[str] = Counter()
    lots: Counter[str] = Counter()
    tins: Counter[str] = Counter()
    vessels: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    outcomes: Counter[Outcome] = Counter()
    for row in rows:
        recipes[row.recipe_name] += 1
        tins.update(row.tins)
        faults.update(set(row.faults))
        outcomes.update(row.outcomes)
        if row.summary is not None:
            materials.update(row.summary.materials)
            lots.update(row.summary.lots)
            if row.summary.vessel:
                vessels[row.summary.vessel] += 1
    return Choices(
        recipes=_most_first(recipes),
        materials=_most_first(materials),
        lots=_most_first(lots),
        tins=_most_first(tins),
        vessels=_most_first(vessels),
        faults=_most_first(faults),
        outcomes=tuple((each, outcomes[each]) for each in Outcome if outcomes[each]),
    )


def _most_first(counts: Counter[str]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], folded(pair[0]))))


class _Plain(dict[int, str | int | None]):
    """What each letter is searched as, found out once per letter: no accent, ligatures taken apart."""

    def __missing__(self, code: int) -> str | int | None:
        found = None if unicodedata.combining(chr(code)) else code
        self[code] = found
        return found


# Letters that carry no separable accent and are still found by their plain neighbour.
_NEIGHBOURS = {
    "ø": "o", "ł": "l", "đ": "d", "ð": "d", "ħ": "h", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th",
}  # fmt: skip
_PLAIN = _Plain({ord(letter): plain for letter, plain in _NEIGHBOURS.items()})


def folded(text: str) -> str:
    """Text as it is searched: no case, no accents, ligatures and wide letters as plain ones."""
    if text.isascii():
        return text.lower()
    return unicodedata.normalize("NFKD", text.casefold()).translate(_PLAIN)
