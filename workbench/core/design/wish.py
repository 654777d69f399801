"""What a maker wishes of a scent, before any oil has a number."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from workbench.core.catalogue.model import Key, Note, Row
from workbench.core.scent.course import FOUR_HOURS_S, HOUR_S, JUST_ON_S

MOMENTS_S = (JUST_ON_S, HOUR_S, FOUR_HOURS_S)


class Leaning(StrEnum):
    """How much an oil is wanted; an oil without one is left to the reckoning."""

    MUST = "must"
    MORE = "more"
    LESS = "less"
    NOT = "not"


class Aim(Row):
    """At one moment this note leads with this strength, 0..100 (5 is just perceived, 20 clear, 35 loud)."""

    at_s: Annotated[float, Field(ge=0, le=86_400)]
    note: Note
    strength: Annotated[float, Field(ge=5, le=60)]


class Wish(Row):
    """Aims, leanings, and within what it must be met.

    `load_percent` is the most scent in the balm; `in_drops` counts whole drops,
    otherwise amounts are multiples of `step_g`, at least `smallest_g` each.
    """

    aims: Annotated[tuple[Aim, ...], Field(min_length=1, max_length=6)]
    leanings: dict[Key, Leaning] = Field(default_factory=dict)
    load_percent: Annotated[float, Field(gt=0, le=20)] = 5.0
    in_drops: bool = True
    step_g: Annotated[float, Field(gt=0, le=5)] = 0.01
    smallest_g: Annotated[float, Field(ge=0, le=50)] = 0.1
    least_oils: Annotated[int, Field(ge=1, le=10)] = 3
    most_oils: Annotated[int, Field(ge=1, le=20)] = 6
    oils: tuple[Key, ...] = ()  # what to choose from; empty: the shelf, or all that is known

    @model_validator(mode="after")
    def _numbers(self) -> Self:
        if self.least_oils > self.most_oils:
            raise ValueError("the least number of oils lies above the most; lower it")
        return self


@dataclass(frozen=True, slots=True)
class Reached:
    """One aim as the linear problem had it and as the full model finds it, both 0..100."""

    aim: Aim
    planned: float
    found: float
    leads: bool  # the note does lead at that moment
    loudest_other: float = 0.0  # strength of the strongest other note

    @property
    def gap(self) -> float:
        return self.found - self.planned


class Holds(StrEnum):
    """What can hold an answer back."""

    LIMIT = "limit on skin"
    LOAD = "load"
    STOCK = "stock"
    COUNT = "number of oils"


@dataclass(frozen=True, slots=True)
class Binding:
    """What holds an answer back most, and what a quarter more of it would give."""

    what: Holds
    name: str
    used_percent: float
    says: str
    gain: float  # fall of the distance from the wish, in doublings of dose


@dataclass(frozen=True, slots=True)
class Unmet:
    """A part of the wish that cannot be had, and with what it conflicts."""

    part: str
    says: str
    aim: Aim | None = None
    best_alone: float | None = None  # the most that can be reached when nothing else is asked


@dataclass(frozen=True, slots=True)
class Answer:
    """One blend that comes close to a wish."""

    counts: tuple[tuple[str, int], ...]  # oil -> drops, or steps of the scale; most grams first
    grams: tuple[tuple[str, float], ...]
    reached: tuple[Reached, ...]
    distance: float  # of the linear problem: doublings of dose by which the aims are missed, and the rest
    proven: bool  # no better answer exists for the linear problem
    binding: Binding | None
    says: str

    @property
    def total_g(self) -> float:
        return sum(mass for _oil, mass in self.grams)


@dataclass(frozen=True, slots=True)
class Composed:
    """Up to three different answers, closest first, and what of the wish cannot be had."""

    answers: tuple[Answer, ...]
    unmet: tuple[Unmet, ...]
    left_out: tuple[tuple[str, str], ...]  # oil -> why it could not be considered
    in_drops: bool
    step_g: float
    dated: tuple[str, ...] = ()  # what was left out or counted less because of its date
