"""The largest fragrance load that would pass every limit."""

from __future__ import annotations

import numpy as np

from workbench.core.skin.rules import FORGIVEN, Mask, Rules
from workbench.core.skin.tables import Vector


def largest_load(
    rules: Rules, amounts: Vector, in_force: Mask, scent: set[str] | None = None
) -> float | None:
    """The largest share of scent, in per cent of the balm, that passes every row.

    The blend keeps its proportions and the base its own.  0 where no load
    passes; None where there is no scent to vary.
    """
    tables = rules.tables
    is_scent = np.array(
        [
            (tables.material(place).kind.is_scent if scent is None else key in scent)
            for place, key in enumerate(tables.materials)
        ]
    )
    load = float(amounts[is_scent].sum())
    if load < 1e-9:
        return None
    all_scent = rules.coefficients @ np.where(is_scent, amounts, 0.0) * (100.0 / load)
    rest = 100.0 - load
    all_base = (
        rules.coefficients @ np.where(is_scent, 0.0, amounts) * (100.0 / rest)
        if rest > 1e-9
        else np.zeros(len(rules.rows))
    )
    low, high = 0.0, 100.0
    for row in np.flatnonzero(in_force):
        slope = float(all_scent[row] - all_base[row]) / 100.0
        room = float(rules.limits[row] * FORGIVEN - all_base[row])
        if slope > 0:
            high = min(high, room / slope)
        elif slope < 0:
            low = max(low, room / slope)
        elif room < 0:
            return 0.0
    return max(high, 0.0) if high >= low else 0.0
