"""The readings of a session as points of a curve, however many there are.

A reading a second over eight hours is close to thirty thousand.  Making a
point of each at every look, or drawing them all on a few hundred dots of
screen, would hold up the window; so points are made when somebody looks at
them, and of each stretch of a long row only the coldest and the warmest are
drawn: no peak is ever left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import overload

from workbench.core.batch.state import SessionState
from workbench.ui.bench.curve_data import Point

MOST_DRAWN = 600  # more than there are dots across the curve


class ReadPoints(Sequence[Point]):
    """Every reading of a state, oldest first, corrections applied."""

    __slots__ = ("_state",)

    def __init__(self, state: SessionState) -> None:
        self._state = state

    def __len__(self) -> int:
        return len(self._state.readings)

    @overload
    def __getitem__(self, index: int) -> Point: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Point]: ...
    def __getitem__(self, index: int | slice) -> Point | Sequence[Point]:
        if isinstance(index, slice):
            return tuple(self[at] for at in range(*index.indices(len(self))))
        reading = self._state.readings[index]
        return Point(reading.at_s, self._state.celsius_of(reading), reading.stirred)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ReadPoints) and len(self) == len(other) and self.follows(other)

    __hash__ = None  # type: ignore[assignment]

    def follows(self, before: Sequence[Point]) -> bool:
        """Whether the same session only went on since: all of `before` stands at the beginning of this."""
        if not isinstance(before, ReadPoints) or len(before) > len(self):
            return False
        mine, theirs = self._state, before._state
        if mine.corrections != theirs.corrections or mine.plan is not theirs.plan:
            return False
        last = len(before) - 1
        return last < 0 or mine.readings[last] == theirs.readings[last]


class Thinned:
    """Some `MOST_DRAWN` points of a row that may grow, the first and the last among them; what was thinned already is not looked at again."""

    def __init__(self) -> None:
        self._of: Sequence[Point] = ()
        self._size = 1  # readings in one stretch
        self._whole: list[Point] = []  # of the stretches that are complete

    def of(self, points: Sequence[Point]) -> list[Point]:
        size = 1
        while 2 * len(points) > MOST_DRAWN * max(size, 2):
            size *= 2
        done = len(self._of) // self._size * self._size
        if size != self._size or not (isinstance(points, ReadPoints) and points.follows(self._of)):
            self._size, self._whole, done = size, [], 0
        self._of = points
        for start in range(done, len(points) // size * size, size):
            self._whole += peaks(points[start : start + size])
        rest = points[len(points) // size * size :]
        thin = [*self._whole, *rest]
        if thin and thin[0] != points[0]:
            thin.insert(0, points[0])
        if thin and thin[-1] != points[-1]:
            thin.append(points[-1])
        return thin


def peaks(stretch: Sequence[Point]) -> list[Point]:
    """The coldest and the warmest of a stretch, in their order; all of it where that is not more."""
    if len(stretch) <= 2:
        return list(stretch)
    low = min(stretch, key=lambda point: point.celsius)
    high = max(stretch, key=lambda point: point.celsius)
    return [low] if low is high else sorted((low, high), key=lambda point: point.at_s)
