"""How much more of an oil may go in before the first limit binds.

Adding x grams of an oil raises what it holds and dilutes everything else, so
for every limit l (in per cent) with N grams of the limited substance in M
grams of balm, and a the oil's own share of it:

    N + a x  <=  l/100 (M + x)      so      x  <=  (l M/100 - N) / (a - l/100)

One division per limit; all oils of a recipe are done together, fast enough to
follow typing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Place, Use
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import density_of
from workbench.core.skin.rules import FORGIVEN, NEWEST_EDITION, Mask, Rule, Rules, rules_for
from workbench.core.skin.tables import Vector
from workbench.core.trouble import Trouble
from workbench.core.units import drops_g
from workbench.core.wording import say


@dataclass(frozen=True, slots=True)
class Headroom:
    """What one more addition of one oil may come to.

    `grams` is None where it cannot be known, and infinite where no limit ever
    binds; 0 where the balm is at or over a limit already.  `total_g` is the
    most of this oil that the balm takes with everything else as it is; None
    where not even none of it would pass.
    """

    oil: str
    grams: float | None
    total_g: float | None
    drops: int | None  # of a usual dropper
    drops_sure: int | None  # of the largest drops (20 per mL): safe whatever the dropper
    limit_key: str = ""
    limit_name: str = ""  # the limit that binds first
    basis: str = ""
    source: str = ""
    confidence: Confidence | None = None
    complete: bool = True  # False: something else in there has no data, so this is not the whole answer
    why: str = ""

    @property
    def unlimited(self) -> bool:
        return self.grams is not None and math.isinf(self.grams)


def headroom(
    composition: Composition,
    catalogue: Catalogue,
    uses: Iterable[Use],
    place: Place,
    oil: str,
    *,
    edition: str = NEWEST_EDITION,
) -> Headroom:
    """How much more of one oil, which need not be in there yet.  Raises `Trouble` for unknown materials."""
    return headrooms(composition, catalogue, uses, place, (oil,), edition=edition)[0]


def headrooms(
    composition: Composition,
    catalogue: Catalogue,
    uses: Iterable[Use],
    place: Place,
    oils: Iterable[str] | None = None,
    *,
    edition: str = NEWEST_EDITION,
) -> tuple[Headroom, ...]:
    """The same for several oils; by default for all scent materials that are in there."""
    rules = rules_for(catalogue, uses, place, edition)
    wanted = (
        tuple(oils)
        if oils is not None
        else tuple(p.material for p in composition.portions if catalogue.material(p.material).kind.is_scent)
    )
    mass_g = composition.mass_g
    if mass_g <= 0:
        raise Trouble(say("There is nothing in the recipe yet that an oil could be added to."))
    amounts = rules.tables.percentages(composition)
    leaves = rules.leaves(amounts)
    balm = _Balm(
        amounts_g=amounts * mass_g / 100.0,
        leaves=leaves,
        mass_g=mass_g,
        held_g=(rules.coefficients @ amounts) * mass_g / 100.0,
        allowed=rules.limits * FORGIVEN / 100.0,
        in_force=rules.in_force(leaves),
        all_known=_all_known(rules, leaves),
    )
    return tuple(_headroom(rules, oil, balm) for oil in wanted)


@dataclass(frozen=True, slots=True)
class _Balm:
    """What all oils have in common: grams held by every row, and what each row allows (0..1)."""

    amounts_g: Vector
    leaves: Mask
    mass_g: float
    held_g: Vector
    allowed: Vector
    in_force: Mask
    all_known: bool


def _all_known(rules: Rules, leaves: Mask) -> bool:
    tables = rules.tables
    return all(
        tables.material(at).composition_known or rules.certified[at] for at in np.flatnonzero(leaves).tolist()
    )


def _headroom(rules: Rules, oil: str, balm: _Balm) -> Headroom:
    tables = rules.tables
    material = tables.catalogue.material(oil)
    at = tables.index[oil]
    own_leaves: Mask = tables.leaf[at] > 0
    if oil in tables.missing or not _all_known(rules, own_leaves):
        return Headroom(
            oil,
            None,
            None,
            None,
            None,
            complete=False,
            why=say(
                "Nothing is known of what {name} is made of, so no amount of it is counted as safe. "
                "Enter its composition from the supplier's papers, or a certificate.",
                name=material.name,
            ),
        )
    # only a new source of bergapten can change which rows decide
    brings_source = bool((own_leaves & rules.bergapten_sources & ~balm.leaves).any())
    in_force = rules.in_force(balm.leaves | own_leaves) if brings_source else balm.in_force
    own = rules.coefficients[:, at]
    here_g = float(balm.amounts_g[at])
    more, row = _most(balm.held_g, own, balm.allowed, balm.mass_g, in_force)
    total = _total(balm.held_g - own * here_g, own, balm.allowed, balm.mass_g - here_g, in_force)
    silent = [rule.limit.name for rule in rules.silent if rule.coefficients[at] > 0]
    why = ""
    if silent:
        why = say(
            "No number is known for {names} on every chosen use; this reaches only to the limits that are known.",
            names=", ".join(silent),
        )
    elif not balm.all_known:
        why = say("Something else in there is of unknown make, so this reaches only as far as the data.")
    rule = rules.rows[row] if row is not None else None
    return _result(rules, oil, more, total, rule, complete=balm.all_known and not silent, why=why)


def _most(
    held_g: Vector, own: Vector, allowed: Vector, mass_g: float, in_force: Mask
) -> tuple[float, int | None]:
    """The largest addition in g and the row that binds; 0 with the fullest row where one is over."""
    room_g = allowed * mass_g - held_g
    over = np.flatnonzero(in_force & (room_g < 0))
    if len(over):
        with np.errstate(divide="ignore"):
            used = held_g[over] / allowed[over]
        return 0.0, int(over[_first(-used)])
    rising = np.flatnonzero(in_force & (own > allowed))
    if not len(rising):
        return math.inf, None
    reach = room_g[rising] / (own[rising] - allowed[rising])
    first = _first(reach)
    return float(reach[first]), int(rising[first])


def _first(values: Vector) -> int:
    """The smallest; of equal ones the first, so that a single limit is named before the sum it stands in."""
    least = float(values.min())
    return int(np.flatnonzero(values <= least + 1e-9 * abs(least))[0])


def _total(
    others_g: Vector, own: Vector, allowed: Vector, others_mass_g: float, in_force: Mask
) -> float | None:
    """The most of this oil with everything else as it is, in g; None where no amount passes."""
    room_g = np.where(in_force, allowed * others_mass_g - others_g, 0.0)
    slope = np.where(in_force, own - allowed, 0.0)
    if np.any((slope >= 0) & (room_g < -1e-12)):
        return None
    rising, falling = slope > 0, slope < 0
    high = float(np.min(room_g[rising] / slope[rising], initial=math.inf))
    low = float(np.max(room_g[falling] / slope[falling], initial=0.0))  # it dilutes what is over
    return high if high >= low else None


def _result(
    rules: Rules,
    oil: str,
    grams: float,
    total_g: float | None,
    rule: Rule | None,
    *,
    complete: bool,
    why: str,
) -> Headroom:
    typical, _least, most = drops_g(1, density_of(oil, rules.tables.catalogue.materials))
    finite = math.isfinite(grams)
    return Headroom(
        oil=oil,
        grams=grams,
        total_g=total_g,
        drops=int(grams / typical + 1e-9) if finite else None,
        drops_sure=int(grams / most + 1e-9) if finite else None,
        limit_key="" if rule is None else rule.key,
        limit_name="" if rule is None else rule.name,
        basis="" if rule is None else rule.basis,
        source="" if rule is None else rule.source,
        confidence=None if rule is None else rule.confidence,
        complete=complete,
        why=why,
    )
