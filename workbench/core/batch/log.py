"""A sequence that grows by one in constant time and is still a value.

A session may take ten thousand readings.  Copying a tuple at each of them
would make the thousandth dearer than the first, so all versions of one `Log`
share a list and each version knows how much of it is its own.  Nothing that
a version shows ever changes; only the newest version grows in place, an older
one that is grown again takes a copy first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Generic, Protocol, TypeVar, overload

T = TypeVar("T")


class Shared(Protocol[T]):
    """What versions of a log share: a list, or whatever grows like one."""

    def __len__(self) -> int: ...
    def __getitem__(self, place: int, /) -> T: ...
    def append(self, item: T, /) -> None: ...


class Log(Sequence[T], Generic[T]):
    """Append-only, equal by content, cheap to extend, safe to keep."""

    __slots__ = ("_length", "_shared")

    def __init__(self, items: Iterable[T] = ()) -> None:
        self._shared = self._sharing(items)
        self._length = len(self._shared)

    def _sharing(self, items: Iterable[T]) -> Shared[T]:
        return list(items)

    def plus(self, item: T) -> Log[T]:
        """A version that is one item longer; this one stays as it is."""
        grown: Log[T] = type(self).__new__(type(self))
        shared = self._shared
        if len(shared) == self._length:
            shared.append(item)
        elif shared[self._length] != item:  # what was tried out first may be told again and is shared then
            shared = self._sharing(self)
            shared.append(item)
        grown._shared = shared
        grown._length = self._length + 1
        return grown

    def __len__(self) -> int:
        return self._length

    @overload
    def __getitem__(self, index: int) -> T: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[T]: ...
    def __getitem__(self, index: int | slice) -> T | Sequence[T]:
        if isinstance(index, slice):
            return tuple(self._shared[place] for place in range(*index.indices(self._length)))
        place = index + self._length if index < 0 else index
        if not 0 <= place < self._length:
            raise IndexError("no such entry")
        return self._shared[place]

    def __iter__(self) -> Iterator[T]:
        return (self._shared[place] for place in range(self._length))

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Log):
            return NotImplemented
        return self._length == other._length and all(a == b for a, b in zip(self, other, strict=True))

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"Log({list(self)!r})"
