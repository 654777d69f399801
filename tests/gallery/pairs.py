"""Which pictures are drawn: every pair of scene, colours, place and text size at least once, not every product."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.ui.theme import Scheme

SCHEMES = (Scheme.LIGHT, Scheme.DARK, Scheme.HIGH_CONTRAST)
TEXTS = (100, 200)


class Place(StrEnum):
    """The size of the window, or the view from two steps away."""

    LARGE = "1280x800"
    SMALL = "1024x700"
    BENCH = "bench view"

    @property
    def size(self) -> tuple[int, int]:
        return (1024, 700) if self is Place.SMALL else (1280, 800)


@dataclass(frozen=True, slots=True)
class Look:
    """How one scene is drawn."""

    scheme: Scheme
    place: Place
    text_percent: int

    @property
    def label(self) -> str:
        return f"{self.scheme.value}, {self.place.value}, {self.text_percent} %"


def looks(index: int, far: bool) -> tuple[Look, ...]:
    """The looks of the scene with this number; one that `far` can show is drawn there as well.

    Three looks hold every colour, place and text size once for the scene; the
    turn from scene to scene brings each pair of two of them together.
    """
    places = tuple(Place) if far else (Place.LARGE, Place.SMALL)
    return tuple(
        Look(scheme, places[(turn + index) % len(places)], TEXTS[(turn + index // 2 + index // 6) % 2])
        for turn, scheme in enumerate(SCHEMES)
    )
