"""The answer about skin: what was compared with what, and how it came out."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.core.catalogue.model import Confidence, Place


class Verdict(StrEnum):
    WITHIN = "within"
    OVER = "over"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class LimitUse:
    """One limit beside what the balm holds; 100 used_percent is exactly at the limit.

    Where the limit is zero (`forbidden`) any trace is over, and `used_percent`
    is None.  For the phototoxic sum the two percentages are those of all its
    oils together, in these proportions.
    """

    key: str
    name: str
    concentration_percent: float | None  # None: cannot be computed
    limit_percent: float | None  # None: no number is known for this category
    used_percent: float | None
    regime: str  # "industry standard", "law" or "supplier's certificate"
    basis: str
    source: str
    confidence: Confidence
    from_materials: tuple[tuple[str, float], ...]  # material key -> contribution in % of the balm
    why: str = ""  # why something is None
    binding: bool = True  # False: shown, but a stricter one decides
    category: str = ""  # of the industry standard; of several uses the one that is used most
    amounts_confidence: Confidence | None = None  # the weakest of the compositions behind the concentration

    @property
    def forbidden(self) -> bool:
        """May not be in there at all."""
        return self.limit_percent == 0

    @property
    def over(self) -> bool:
        if self.forbidden:
            return (self.concentration_percent or 0.0) > 0
        # "shall not exceed": exactly 100 passes; 1e-9 forgives the last bit of arithmetic
        return self.used_percent is not None and self.used_percent > 100.0 * (1 + 1e-9)


@dataclass(frozen=True, slots=True)
class Unknown:
    """A material that cannot be judged, and what to do about it."""

    material: str
    share_percent: float
    why: str


@dataclass(frozen=True, slots=True)
class SkinVerdict:
    verdict: Verdict
    categories: tuple[str, ...]  # industry categories of the intended uses
    place: Place
    limits: tuple[LimitUse, ...]  # most used first
    phototoxic_sum_percent: float | None
    bergapten_ppm: float | None  # only where every source of it is known
    unknown: tuple[Unknown, ...]
    largest_load_percent: float | None  # the largest fragrance load that would pass; None if unknown
    why: str = ""

    @property
    def over(self) -> tuple[LimitUse, ...]:
        return tuple(limit for limit in self.limits if limit.binding and limit.over)

    @property
    def tightest(self) -> LimitUse | None:
        used = [limit for limit in self.limits if limit.binding and limit.used_percent is not None]
        return max(used, key=lambda limit: limit.used_percent or 0.0, default=None)
