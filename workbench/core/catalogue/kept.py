"""What is worked out once for a catalogue and kept beside it.

A catalogue is frozen and compiling a view of it takes some milliseconds, so
the last few are kept, beside the very object that they were made from.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from workbench.core.catalogue.catalogue import Catalogue

Made = TypeVar("Made")
KEEP = 4


class Kept(Generic[Made]):
    """`kept(catalogue)` gives the view of this very catalogue, made when first asked for."""

    def __init__(self, make: Callable[[Catalogue], Made], most: int = KEEP) -> None:
        self._make = make
        self._most = most
        self._kept: tuple[tuple[Catalogue, Made], ...] = ()  # newest first; replaced whole, never changed

    def __call__(self, catalogue: Catalogue) -> Made:
        for known, made in self._kept:
            if known is catalogue:
                return made
        made = self._make(catalogue)
        self._kept = ((catalogue, made), *self._kept[: self._most - 1])
        return made
