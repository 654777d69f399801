"""Flash points of mixtures by adding up vapour pressures.

Theory.  Vapour above a liquid mixture just burns when Le Chatelier's sum over
its parts reaches one.  With each part's limit taken from its own flash point:

    sum_i  x_i g_i P_i(T) / P_i(T_flash,i)  =  1

(Liaw and others, J. Loss Prev. Process Ind. 15 (2002) 429).  What does not
evaporate only dilutes: it counts in the mole fractions x_i by its real molar
mass and gives nothing to the sum.  With a constant enthalpy of vaporisation
the ratio of pressures is exp(dH/R (1/T_flash - 1/T)), so no absolute pressure
is needed.

The rule is worked out twice, with activity coefficients g of one and with
those of original UNIFAC, and the lower result counts.  Against 253 measured
points of 25 binaries the ideal rule is more than 5 K too hopeful for a third
of them, with UNIFAC for 2 %; alcohols in hydrocarbons, such as linalool in
squalane, are up to 30 K too hopeful without it.

It describes a closed cup in equilibrium.  It is a computed figure and never
permission: papers of the supplier and care at the stove go before it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.vapours import (
    GAS_J_MOL_K,
    ZERO_C_K,
    Mixture,
    Vector,
    mixture_of,
    supplier_flash_k,
)
from workbench.core.heat.window import Reckoned
from workbench.core.recipe.composition import Composition
from workbench.core.wording import Degrees, say

# 1 sd of a computed flash point of an oil: half of the computed closed cups of the printed table of
# tests/tables lie within 5 K of the published ones, and papers of one oil differ by as much.
SD_K = 6.0
_HOT_K = 800.0
_CLOSE_K = 0.01


@dataclass(frozen=True, slots=True)
class Flash:
    """Closed-cup flash point of one mixture, by both rules; `lower` counts."""

    ideal: Reckoned
    unifac: Reckoned
    lower: Reckoned
    shares: tuple[
        tuple[str, float], ...
    ] = ()  # material -> its part 0..1 in the vapour that burns, most first


def flash_point(composition: Composition, catalogue: Catalogue, paper_flash_c: float | None = None) -> Flash:
    """Flash point of a neat blend, of a premix or of the whole jug, in °C.

    `paper_flash_c` is the lowest reading that the supplier's paper states for
    the blend; the result never lies above it.  The result never lies above
    the flash point of a base material either.  None with the reason where
    nothing is known of a scent material.  Raises `Trouble` for an unknown
    material.
    """
    mixture = mixture_of(composition, catalogue)
    if mixture.unknown:
        return _not_known(
            say(
                "Neither composition nor flash point of {name} is known. Enter the flash point from its safety data sheet.",
                name=mixture.unknown[0].name,
            ),
            paper_flash_c,
        )
    if not mixture.oils:
        return _not_known(say("There is no fragrance in it."), paper_flash_c)
    weights = _anchors(mixture)
    ideal_k = _ideal_k(mixture, weights)
    unifac_k, gammas = _unifac_k(mixture, weights, ideal_k)
    has_table = mixture.tables.activity is not None
    cap_c = _base_flash_c(mixture)
    ideal = _reckoned(mixture, ideal_k, say("additive rule, ideal"), cap_c)
    unifac = (
        _reckoned(mixture, unifac_k, say("additive rule with UNIFAC activities"), cap_c)
        if has_table
        else Reckoned(None, why=say("No activity table is loaded."))
    )
    if unifac_k is None or (ideal_k is not None and ideal_k <= unifac_k):
        at_k, gammas = ideal_k, np.ones(len(mixture.volatiles))
    else:
        at_k = unifac_k
    shares = _shares(mixture, weights, at_k, gammas)
    return Flash(ideal, unifac, _lower(ideal, unifac, paper_flash_c), shares)


def _not_known(why: str, paper_flash_c: float | None) -> Flash:
    unknown = Reckoned(None, why=why)
    return Flash(unknown, unknown, _lower(unknown, unknown, paper_flash_c))


def _lower(ideal: Reckoned, unifac: Reckoned, paper_c: float | None) -> Reckoned:
    known = [found for found in (ideal, unifac) if found.celsius is not None]
    lower = min(known, key=lambda found: found.celsius or 0.0, default=ideal)
    if paper_c is not None and (lower.celsius is None or paper_c < lower.celsius):
        return Reckoned(
            paper_c, 2.0, how=say("the supplier's paper states {celsius}", celsius=Degrees(paper_c))
        )
    return lower


def _reckoned(mixture: Mixture, t_k: float | None, how: str, cap_c: float | None) -> Reckoned:
    celsius = math.inf if t_k is None else t_k - ZERO_C_K
    if cap_c is not None and celsius > cap_c:
        return Reckoned(cap_c, SD_K, how=say("the flash point of the base itself"))
    if not math.isfinite(celsius):
        return Reckoned(None, why=say("Too little of it evaporates for a flash point to be computed."))
    own = [oil.material.name for oil in mixture.oils if oil.by_its_flash_point]
    if own:
        how = say("{rule}; by their own flash points: {names}", rule=how, names=", ".join(own))
    return Reckoned(celsius, SD_K, how=how)


def _base_flash_c(mixture: Mixture) -> float | None:
    known = [material.flash_point_c.value for material in mixture.base if material.flash_point_c is not None]
    return min(known, default=None)


def _arrays(mixture: Mixture) -> tuple[Vector, Vector]:
    enthalpy = np.array([volatile.enthalpy_j_mol for volatile in mixture.volatiles]) / GAS_J_MOL_K
    inverse = np.array([1 / volatile.flash_k for volatile in mixture.volatiles])
    return enthalpy, inverse


def _anchors(mixture: Mixture) -> Vector:
    """Weights of each oil, at least 1: an oil whose supplier states a lower flash point than we compute
    gives off so much more that, neat, it flashes at what the paper says."""
    weights = np.ones(len(mixture.oils))
    if not mixture.anchored:
        return weights
    enthalpy, inverse = _arrays(mixture)
    for row, oil in enumerate(mixture.oils):
        paper_k = supplier_flash_k(oil.material)
        if paper_k is not None:
            share = mixture.moles[row] / mixture.moles[row].sum()
            weights[row] = max(1.0, 1.0 / float(share @ np.exp(enthalpy * (inverse - 1 / paper_k))))
    return weights


def solve_k(amounts: Vector, enthalpy: Vector, inverse: Vector) -> float | None:
    """Where sum amounts exp(enthalpy (inverse - 1/T)) is one; None above 800 K.

    In u = 1/T the logarithm of the sum is convex and falling, so Newton from
    the hot side cannot overshoot.
    """
    held = amounts > 0
    amounts, enthalpy, inverse = np.log(amounts[held]), enthalpy[held], inverse[held]
    if not len(amounts):
        return None
    u = 1 / _HOT_K
    for _ in range(60):
        terms = amounts + enthalpy * (inverse - u)
        top = terms.max()
        parts = np.exp(terms - top)
        total = parts.sum()
        value = float(top + math.log(total))
        if u == 1 / _HOT_K and value < 0:
            return None
        step = value / float(parts @ enthalpy / total)
        u += step
        if abs(step) < 1e-10:
            break
    return 1 / u


def _ideal_k(mixture: Mixture, weights: Vector) -> float | None:
    enthalpy, inverse = _arrays(mixture)
    total = float(mixture.moles.sum()) + mixture.base_moles
    return solve_k(weights @ mixture.moles / total, enthalpy, inverse)


def _unifac_k(mixture: Mixture, weights: Vector, start_k: float | None) -> tuple[float | None, Vector]:
    """The same with activities, which are taken again at each new temperature until it stands."""
    gammas = np.ones(len(mixture.volatiles))
    at_k = start_k
    enthalpy, inverse = _arrays(mixture)
    fractions = weights @ mixture.moles / mixture.all_moles
    for _ in range(8):
        if at_k is None:
            break
        gammas = mixture.gammas(at_k)
        before_k, at_k = at_k, solve_k(fractions * gammas, enthalpy, inverse)
        if at_k is not None and abs(at_k - before_k) < _CLOSE_K:
            break
    return at_k, gammas


def _shares(
    mixture: Mixture, weights: Vector, at_k: float | None, gammas: Vector
) -> tuple[tuple[str, float], ...]:
    if at_k is None:
        return ()
    enthalpy, inverse = _arrays(mixture)
    burns = weights * (mixture.moles @ (gammas * np.exp(enthalpy * (inverse - 1 / at_k))))
    total = float(burns.sum())
    return tuple(
        sorted(
            ((oil.material.key, float(part) / total) for oil, part in zip(mixture.oils, burns, strict=True)),
            key=lambda pair: -pair[1],
        )
    )
