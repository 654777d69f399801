"""The temperatures of a session, close together in memory.

A reading every second for eight hours is close to thirty thousand of them.
As values of their own they take some 350 bytes each, with their times, their
typed text and the tracking of each; and they lie among what the window makes
and forgets, so that memory of it is never given back.  So the newest of them
are kept as they are, because every rule looks at those, and all older ones
are written into rows of plain numbers and made anew when somebody asks.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from workbench.core.batch.log import Log, Shared

NEWEST = 64  # stay as they are; alarms with a delay look back no further
_FIRST = datetime.min  # noqa: DTZ901 (a wall is counted by its own hands, and keeps its zone beside)
_TICK = timedelta(microseconds=1)  # what a wall time is exact to


@dataclass(frozen=True, slots=True)
class Reading:
    """One temperature as it was first recorded; a correction stands in `state.corrections`."""

    seq: int
    step: str
    at_s: float
    wall: datetime
    raw_c: float
    celsius: float
    typed: str
    stirred: bool
    sure: bool = False


_Like = tuple[str, float, float, str, bool, bool, tzinfo | None, int]  # what many readings have in common


class _Packed(Shared[Reading]):
    """Grows at its end only.  What was packed stands before what is not; a thread that reads meanwhile
    holds one pair of both, which goes on to be true."""

    __slots__ = ("_at_s", "_kind", "_kinds", "_known", "_open", "_seq", "_wall")

    def __init__(self, items: Iterable[Reading] = ()) -> None:
        self._seq = array("q")
        self._at_s = array("d")
        self._wall = array("q")  # ticks of the wall's own clock
        self._kind = array("I")  # place in `_kinds`
        self._kinds: list[_Like] = []  # each of them once
        self._known: dict[_Like, int] = {}
        self._open: tuple[int, list[Reading]] = (0, [])  # how many are packed, and the newest
        for item in items:
            self.append(item)

    def __len__(self) -> int:
        packed, newest = self._open
        return packed + len(newest)

    def __getitem__(self, place: int) -> Reading:
        packed, newest = self._open
        return newest[place - packed] if place >= packed else self._unpacked(place)

    def append(self, item: Reading) -> None:
        packed, newest = self._open
        newest.append(item)
        if len(newest) >= 2 * NEWEST:
            for each in newest[:NEWEST]:
                self._pack(each)
            self._open = (packed + NEWEST, newest[NEWEST:])

    def _pack(self, one: Reading) -> None:
        wall = one.wall
        like = (one.step, one.raw_c, one.celsius, one.typed, one.stirred, one.sure, wall.tzinfo, wall.fold)
        kind = self._known.get(like)
        if kind is None:
            kind = self._known[like] = len(self._kinds)
            self._kinds.append(like)
        self._seq.append(one.seq)
        self._at_s.append(one.at_s)
        self._wall.append((wall.replace(tzinfo=None) - _FIRST) // _TICK)
        self._kind.append(kind)

    def _unpacked(self, place: int) -> Reading:
        step, raw_c, celsius, typed, stirred, sure, zone, fold = self._kinds[self._kind[place]]
        wall = (_FIRST + self._wall[place] * _TICK).replace(tzinfo=zone, fold=fold)
        return Reading(self._seq[place], step, self._at_s[place], wall, raw_c, celsius, typed, stirred, sure)


class Readings(Log[Reading]):
    """A log of temperatures: a value like any other, in a tenth of the room."""

    __slots__ = ()

    def _sharing(self, items: Iterable[Reading]) -> Shared[Reading]:
        return _Packed(items)
