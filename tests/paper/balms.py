"""Batches and tins to put on paper."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from workbench.core.batch.state import SessionState
from workbench.core.catalogue.shelf import Tin, TinShape
from workbench.testing import Maker, begin

TODAY = date(2026, 11, 25)
LONG_NAME = "A Long Walk Beside the Harbour on an Evening in Late October"
NO_SPACES = "Donaudampfschifffahrtsgesellschaftskapitaensmuetzenabzeichen"


@lru_cache(maxsize=1)
def finished() -> SessionState:
    """A batch walked to its end by a sensible maker, in virtual time."""
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to_end()
    return maker.state


def tins_of() -> tuple[Tin, ...]:
    return (
        Tin(key="tiny", name="tiny", shape=TinShape.ROUND, diameter_mm=29, fill_height_mm=6),
        Tin(key="large", name="large", shape=TinShape.ROUND, diameter_mm=78, fill_height_mm=20),
    )
