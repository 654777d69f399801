"""Is the balm within its limits: the verdict on one composition.

The stricter of the industry standard and the law of the place decides, and
each is shown with its own source.  Whatever is not known is never counted as
safe: a material without composition, or a limit without a number for one of
the chosen uses, makes the verdict "unknown" unless something is over already.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Place, Use
from workbench.core.recipe.composition import Composition
from workbench.core.skin.load import largest_load
from workbench.core.skin.rules import (
    FORGIVEN,
    INDUSTRY,
    LAW,
    NEWEST_EDITION,
    PHOTOTOXIC,
    Mask,
    Rule,
    Rules,
    Silent,
    Sort,
    rules_for,
)
from workbench.core.skin.tables import SkinTables, Vector, weakest
from workbench.core.skin.unknowns import unknown_materials
from workbench.core.skin.verdict import LimitUse, SkinVerdict, Unknown, Verdict
from workbench.core.wording import Share, say


def assess(
    composition: Composition,
    catalogue: Catalogue,
    uses: Iterable[Use],
    place: Place,
    *,
    edition: str = NEWEST_EDITION,
    scent: Iterable[str] | None = None,
) -> SkinVerdict:
    """Compare a composition, planned or as made, with every limit that counts.

    Amounts in per cent of the balm by mass, oils at the maximum of their
    range.  Of several uses the lowest limit counts.  `edition` is the edition
    of the industry standard for which a supplier's certificate must be made
    out to be used.  `scent` names the materials whose common share is varied
    for `largest_load_percent`; by default everything that is perfumery
    material.  Raises `Trouble` for an unknown material, no use, or a use
    without a category.
    """
    rules = rules_for(catalogue, uses, place, edition)
    if not composition.portions:
        return _nothing(rules)
    amounts = rules.tables.percentages(composition)
    leaves = rules.leaves(amounts)
    in_force = rules.in_force(leaves)
    held = rules.coefficients @ amounts
    used = used_percent(held, rules.limits)
    limits = _bind(_of_uses(rules, amounts, held, used, in_force, leaves))
    limits += [
        _unknown_limit(rules, silent, amounts) for silent in rules.silent if silent.coefficients @ amounts > 0
    ]
    unknown = unknown_materials(rules, amounts, leaves, used, in_force)
    limits.sort(key=lambda limit: -_rank(limit))
    verdict, why = _verdict(limits, unknown)
    phototoxic = float(
        max(
            (used[row] for row, rule in enumerate(rules.rows) if rule.sort is Sort.PHOTOTOXIC_SUM),
            default=0.0,
        )
    )
    silenced = any(
        limit.limit_percent is None and limit.used_percent is None and limit.binding for limit in limits
    )
    return SkinVerdict(
        verdict=verdict,
        categories=rules.categories,
        place=place,
        limits=tuple(limits),
        phototoxic_sum_percent=None if unknown and phototoxic <= 100.0 * FORGIVEN else phototoxic,
        bergapten_ppm=None if unknown else _bergapten_ppm(rules, held, leaves),
        unknown=unknown,
        largest_load_percent=None
        if unknown or silenced
        else largest_load(rules, amounts, in_force, None if scent is None else set(scent)),
        why=why,
    )


def used_percent(held: Vector, limits: Vector) -> Vector:
    """100 is exactly at the limit; infinite where nothing at all is allowed."""
    with np.errstate(divide="ignore", invalid="ignore"):
        used: Vector = np.where(held > 0, 100.0 * held / limits, 0.0)
    return used


def _nothing(rules: Rules) -> SkinVerdict:
    return SkinVerdict(
        verdict=Verdict.UNKNOWN,
        categories=rules.categories,
        place=rules.place,
        limits=(),
        phototoxic_sum_percent=None,
        bergapten_ppm=None,
        unknown=(),
        largest_load_percent=None,
        why=say("There is nothing in the recipe yet."),
    )


def _of_uses(
    rules: Rules, amounts: Vector, held: Vector, used: Vector, in_force: Mask, leaves: Mask
) -> list[tuple[Rule, LimitUse]]:
    """One entry per limit: of its categories, the one that is used most."""
    chosen: dict[str, int] = {}
    for row in np.flatnonzero(held > 0).tolist():
        key = rules.rows[row].key
        if key not in chosen or used[row] > used[chosen[key]]:
            chosen[key] = row
    several = sum(_counts_in_the_sum(rules.rows[row]) for row in chosen.values()) > 1
    shown = []
    for row in chosen.values():
        rule = rules.rows[row]
        if rule.sort is Sort.PHOTOTOXIC_SUM and not several:
            continue  # of a single oil it would only say the same again
        shown.append(
            (
                rule,
                _limit_use(
                    rules, row, amounts, float(held[row]), float(used[row]), bool(in_force[row]), leaves
                ),
            )
        )
    return shown


def _counts_in_the_sum(rule: Rule) -> bool:
    return rule.regime == INDUSTRY and rule.limit is not None and rule.limit.group == PHOTOTOXIC


def _limit_use(
    rules: Rules, row: int, amounts: Vector, held: float, used: float, in_force: bool, leaves: Mask
) -> LimitUse:
    rule = rules.rows[row]
    counted = rules.coefficients[row]
    if rule.sort is Sort.PHOTOTOXIC_SUM:  # shown by mass, although it is added up by shares of limits
        terms = [
            at
            for at, term in enumerate(rules.rows)
            if term.category == rule.category and _counts_in_the_sum(term)
        ]
        counted = rules.coefficients[terms].sum(axis=0)
    brings = counted * amounts
    sources = sorted(
        ((rules.tables.materials[place], float(brings[place])) for place in np.flatnonzero(brings > 0)),
        key=lambda pair: -pair[1],
    )
    concentration: float | None = held
    most: float | None = rule.limit_percent
    share: float | None = used
    why = ""
    if rule.sort is Sort.BERGAPTEN and not rules.bergapten_by_table(leaves):
        concentration = share = None
        why = say("The bergapten of not every source is known, so the limits of the single oils count.")
    elif not in_force:
        why = say("The supplier measured the bergapten of every source, so its total decides.")
    elif rule.sort is Sort.PHOTOTOXIC_SUM:
        concentration = sum(part for _, part in sources)
        most = 100.0 * concentration / used
        why = say("Each uses a part of its own limit; together they may use 100 %.")
    elif rule.limit_percent == 0:
        share = None
        why = say("It may not be in there at all.")
    return LimitUse(
        key=rule.key,
        name=rule.name,
        concentration_percent=concentration,
        limit_percent=most,
        used_percent=share,
        regime=rule.regime,
        basis=rule.basis,
        source=rule.source,
        confidence=rule.confidence,
        from_materials=tuple(sources),
        why=why,
        binding=in_force,
        category=rule.category,
        amounts_confidence=_amounts_confidence(rules.tables, rule, leaves),
    )


def _amounts_confidence(tables: SkinTables, rule: Rule, leaves: Mask) -> Confidence | None:
    if rule.limit is None or not rule.limit.constituents:
        return None
    found = []
    for place in np.flatnonzero(leaves):
        for key in rule.limit.constituents:
            part = tables.contents[place].get(key)
            if part is not None and part.most > 0:
                found.append(part.max_confidence or part.confidence)
    return weakest(found)


def _bind(shown: list[tuple[Rule, LimitUse]]) -> list[LimitUse]:
    """Of two regimes on the same subject only the stricter binds; at a tie the law does."""
    strictest: dict[object, tuple[float, bool]] = {}
    for rule, use in shown:
        if use.binding:
            rank = (_rank(use), rule.regime == LAW)
            strictest[rule.subject] = max(strictest.get(rule.subject, rank), rank)
    bound = []
    for rule, use in shown:
        rank = (_rank(use), rule.regime == LAW)
        if use.binding and rank < strictest.get(rule.subject, rank):
            use = _set_aside(use)
        bound.append(use)
    return bound


def _rank(use: LimitUse) -> float:
    """How far a limit is used, in per cent; what is forbidden stands above all, what has no number below."""
    if use.forbidden:
        return np.inf
    return -1.0 if use.used_percent is None else use.used_percent


def _set_aside(use: LimitUse) -> LimitUse:
    return replace(use, binding=False, why=say("A stricter limit on the same decides."))


def _unknown_limit(rules: Rules, silent: Silent, amounts: Vector) -> LimitUse:
    limit = silent.limit
    brings = silent.coefficients * amounts
    asked = [use.value for use in rules.uses if rules.tables.catalogue.categories[use] in silent.categories]
    return LimitUse(
        key=limit.key,
        name=limit.name,
        concentration_percent=float(brings.sum()),
        limit_percent=None,
        used_percent=None,
        regime=LAW if limit.places else INDUSTRY,
        basis=limit.basis,
        source=limit.source,
        confidence=limit.confidence,
        from_materials=tuple(
            (rules.tables.materials[place], float(brings[place])) for place in np.flatnonzero(brings > 0)
        ),
        why=say(
            "No number is known for {name} on {uses}. That is not permission: ask the supplier for the certificate.",
            name=limit.name,
            uses=", ".join(asked),
        ),
        category=", ".join(silent.categories),
    )


def _bergapten_ppm(rules: Rules, held: Vector, leaves: Mask) -> float | None:
    if not rules.bergapten_by_table(leaves):
        return None
    rows = [float(held[row]) for row, rule in enumerate(rules.rows) if rule.sort is Sort.BERGAPTEN]
    return max(rows) * 1e4 if rows else None


def _verdict(limits: list[LimitUse], unknown: tuple[Unknown, ...]) -> tuple[Verdict, str]:
    over = [limit for limit in limits if limit.binding and limit.over]
    if over:
        worst = over[0]
        if worst.forbidden:
            return Verdict.OVER, say("{name} may not be in there at all.", name=worst.name)
        return Verdict.OVER, say(
            "{name} is at {used} of its limit.", name=worst.name, used=Share(worst.used_percent or 0.0, 0)
        )
    if unknown:
        return Verdict.UNKNOWN, unknown[0].why
    for limit in limits:
        if limit.limit_percent is None and limit.used_percent is None and limit.binding:
            return Verdict.UNKNOWN, limit.why
    return Verdict.WITHIN, ""
