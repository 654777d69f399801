"""What the bench asks of the rest of the program, handed in once.

Everything is optional: without a catalogue the card still records, it only
cannot say how much more of an oil is allowed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from workbench.core.batch.state import SessionState
from workbench.core.catalogue.shelf import Lot
from workbench.ui.bench.curve_data import Fan


@dataclass(frozen=True, slots=True)
class Outlook:
    """A forecast for the card: a sentence in large type, what would widen it, and the fan."""

    says: str
    remark: str = ""
    fan: Fan | None = None
    more: tuple[str, ...] = ()  # further remarks, one sentence each
    opens_in_s: float | None = None  # until the window opens, in the median


@dataclass(frozen=True, slots=True)
class Suggested:
    """Something to put in, with its grams; `says` is a full sentence."""

    says: str
    material: str = ""
    name: str = ""
    grams: float = 0.0
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BenchFacts:
    lots: Mapping[str, tuple[Lot, ...]] = field(default_factory=dict)
    # how much more of a material is allowed, as a sentence; "" where nothing is known
    headroom: Callable[[SessionState, str], str] | None = None
    # what the cold spoon's answer asks for; None where nothing is to be corrected
    firmness: Callable[[SessionState, str], Suggested | None] | None = None
    # what growing the batch would mean, as a sentence
    growth: Callable[[SessionState], str] | None = None
    # the look ahead; called in the thread of the window, so it must be quick or cached
    outlook: Callable[[SessionState, float], Outlook | None] | None = None
