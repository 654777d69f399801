"""Oils computed from their constituents beside published closed-cup flash points.

    python -m tests.tables.flash_points

Prints every oil with a composition, the published value with its flag, both
computed values, the signed error and, for outliers, what explains it.
Published values are those of the catalogue, each with its source there: mostly
the lowest figure of several papers, so a positive error is to be expected.
Values "over" something are bounds, are listed apart and do not count.
"""

from __future__ import annotations

import statistics
import sys
from dataclasses import dataclass

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.flash import flash_point
from workbench.core.recipe.composition import Composition
from workbench.store.resources import load_catalogue

OUTLIER_K = 8.0

EXPLAINED = {
    "cinnamon_bark": "recalled 85 to 90; UNIFAC drives the little cineole and cymene out of the cinnamal (ideal: 83)",
    "petitgrain_paraguay": "composition adds up to 87.5 %; the light terpenes of the rest are missing",
    "lemongrass": "published 71 and 70 to 80; SDS values of citral (91) make the sum, traces of light terpenes vary",
    "geranium": "published 75 to 90, the low end is kept; composition adds up to 88 %",
    "clary_sage": "published 70 to 80 and 84, the low end is kept",
}


@dataclass(frozen=True, slots=True)
class Compared:
    key: str
    name: str
    published_c: float
    is_bound: bool
    flag: str
    source: str
    ideal_c: float
    unifac_c: float

    @property
    def computed_c(self) -> float:
        return min(self.ideal_c, self.unifac_c)

    @property
    def error_k(self) -> float:
        return self.computed_c - self.published_c


def compare(catalogue: Catalogue) -> tuple[Compared, ...]:
    """Every oil with both a composition and a published flash point, by that flash point."""
    found = []
    for key, material in catalogue.materials.items():
        if not material.kind.is_scent or not material.composition or material.flash_point_c is None:
            continue
        flash = flash_point(Composition.of({key: 10.0}), catalogue)
        assert flash.ideal.celsius is not None
        assert flash.unifac.celsius is not None
        found.append(
            Compared(
                key=key,
                name=material.name,
                published_c=material.flash_point_c.value,
                is_bound="over" in material.flash_point_c.source,
                flag=material.flash_point_c.confidence.value,
                source=material.flash_point_c.source,
                ideal_c=flash.ideal.celsius,
                unifac_c=flash.unifac.celsius,
            )
        )
    return tuple(sorted(found, key=lambda oil: oil.published_c))


def median_error_k(rows: tuple[Compared, ...]) -> float:
    return statistics.median(abs(row.error_k) for row in rows if not row.is_bound)


def main() -> int:
    rows = compare(load_catalogue())
    print(f"{'oil':28} {'published':>9} {'ideal':>7} {'UNIFAC':>7} {'error':>6}  flag")
    for is_bound in (False, True):
        if is_bound:
            print("\npublished only as a lower bound")
        for row in rows:
            if row.is_bound is is_bound:
                print(
                    f"{row.name[:28]:28} {row.published_c:9.1f} {row.ideal_c:7.1f} {row.unifac_c:7.1f} {row.error_k:+6.1f}  {row.flag}: {row.source}"
                )
                if not is_bound and abs(row.error_k) > OUTLIER_K:
                    print(f"{'':28} outlier: {EXPLAINED.get(row.key, 'not explained')}")
    counted = [row for row in rows if not row.is_bound]
    print(
        f"\n{len(counted)} oils, median absolute error {median_error_k(rows):.1f} K, "
        f"mean error {statistics.mean(row.error_k for row in counted):+.1f} K, "
        f"worst {max(counted, key=lambda row: abs(row.error_k)).error_k:+.1f} K"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
