"""Activity coefficients of the original UNIFAC method.

Fredenslund, Jones and Prausnitz, AIChE J. 21 (1975) 1086: a molecule is a
count of subgroups; how far a mixture is from an ideal one follows from the
sizes of the molecules (combinatorial part) and from how their groups attract
(residual part).  The scent on the skin and the flash point of a blend use the
same numbers.

A molecule without groups (no parameters exist for it) has an activity
coefficient of one and is left out of the mixture that the others see.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from workbench.core.catalogue.catalogue import UnifacTable

Array = NDArray[np.float64]

HALF_COORDINATION = 5.0  # z/2 with the customary coordination number z = 10


class Activity:
    """One mixture's molecules, prepared once for many compositions and temperatures.

    `groups` counts each molecule's subgroups (id -> count); an id that the
    table does not hold is a `KeyError`, because the tables are checked when
    they are read.
    """

    def __init__(self, groups: Sequence[Mapping[str, int]], table: UnifacTable) -> None:
        ids = sorted({group for molecule in groups for group in molecule}, key=int)
        rows = [table.subgroups[group] for group in ids]
        main = [row[0] for row in rows]
        self._counts: Array = np.array(
            [[float(molecule.get(group, 0)) for group in ids] for molecule in groups]
        ).reshape(len(groups), len(ids))
        self._known = self._counts.sum(axis=1) > 0
        self._big_q: Array = np.array([row[2] for row in rows], dtype=np.float64)
        # A molecule without groups gets a stand-in size of one; its result is overwritten with zero.
        size = self._counts @ np.array([row[1] for row in rows], dtype=np.float64)
        surface = self._counts @ self._big_q
        self._r: Array = np.where(self._known, size, 1.0)
        self._q: Array = np.where(self._known, surface, 1.0)
        self._a: Array = np.array([[table.interaction.get((m, n), 0.0) for n in main] for m in main]).reshape(
            len(ids), len(ids)
        )
        self._weights: Array = self._counts * self._big_q

    def ln_gamma(self, x: Array, t_k: float) -> Array:
        """Natural logarithm of each molecule's activity coefficient.

        `x`: mole fractions, shape (molecules,) or (mixtures, molecules); they
        need not add up to one.  `t_k`: temperature in K, above zero.  The
        result has the shape of `x`.
        """
        share = np.where(self._known, np.asarray(x, dtype=np.float64), 0.0)
        total = share.sum(axis=-1, keepdims=True)
        if self._big_q.size == 0 or not np.all(total > 0):
            return np.zeros(share.shape)
        share = share / total
        v = self._r / (share @ self._r)[..., None]
        f = self._q / (share @ self._q)[..., None]
        combinatorial = 1 - v + np.log(v) - HALF_COORDINATION * self._q * (1 - v / f + np.log(v / f))
        psi = np.exp(-self._a / t_k)
        mixed = _ln_group_gamma(share @ self._weights, psi, self._big_q)
        pure = _ln_group_gamma(np.where(self._known[:, None], self._weights, 1.0), psi, self._big_q)
        residual = mixed @ self._counts.T - (self._counts * pure).sum(axis=1)
        return np.where(self._known, combinatorial + residual, 0.0)


def ln_gamma(groups: Sequence[Mapping[str, int]], x: Array, t_k: float, table: UnifacTable) -> Array:
    """`Activity(groups, table).ln_gamma(x, t_k)` for a single use."""
    return Activity(groups, table).ln_gamma(x, t_k)


def _ln_group_gamma(surface: Array, psi: Array, big_q: Array) -> Array:
    """ln of the group activity coefficients from the group surface amounts (..., groups)."""
    theta = surface / surface.sum(axis=-1, keepdims=True)
    meets = theta @ psi  # sum over m of theta_m psi_mk, for each k
    out: Array = big_q * (1 - np.log(meets) - (theta / meets) @ psi.T)
    return out
