"""How much of each constituent the balm holds, over all its sources."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.composition import Composition
from workbench.core.skin.tables import tables_of


@dataclass(frozen=True, slots=True)
class Total:
    """One constituent in per cent of the balm, with what each material brings of it."""

    constituent: str
    percent: float
    from_materials: tuple[tuple[str, float], ...]  # most first


def totals(composition: Composition, catalogue: Catalogue) -> tuple[Total, ...]:
    """Every constituent that the balm holds, most first, in per cent by mass.

    Each oil counts with the maximum of its range; leftovers count with all
    that went into them.  Raises `Trouble` for a material that is not in the
    catalogue.
    """
    if not composition.portions:
        return ()
    tables = tables_of(catalogue)
    amounts = tables.percentages(composition)
    brought = amounts[:, None] * (tables.leaf @ tables.content)
    sums = brought.sum(axis=0)
    found = []
    for place in np.flatnonzero(sums > 0):
        column = brought[:, place]
        sources = sorted(
            ((tables.materials[row], float(column[row])) for row in np.flatnonzero(column > 0)),
            key=lambda pair: -pair[1],
        )
        found.append(Total(tables.constituents[place], float(sums[place]), tuple(sources)))
    return tuple(sorted(found, key=lambda total: -total.percent))
