"""The answer of `balmbook check` as plain data: one dictionary per recipe.

What is not known is null, with the reason beside it in `why`.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbench.core.catalogue.model import Place
from workbench.core.design.evaluation import Evaluation
from workbench.core.design.remedies import Remedy
from workbench.core.heat.window import Reckoned, Temperatures
from workbench.core.skin.verdict import LimitUse, SkinVerdict


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _limit(limit: LimitUse) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": limit.name,
        "concentration_percent": _rounded(limit.concentration_percent, 6),
        "limit_percent": limit.limit_percent,
        "used_percent": _rounded(limit.used_percent, 3),
        "regime": limit.regime,
        "basis": limit.basis,
        "source": limit.source,
        "confidence": limit.confidence.value,
        "decides": limit.binding,
    }
    if limit.why:
        row["why"] = str(limit.why)
    return row


def _skin(skin: SkinVerdict, place: Place) -> dict[str, Any]:
    row: dict[str, Any] = {
        "verdict": skin.verdict.value,
        "category": ", ".join(skin.categories),
        "place": place.value,
        "limits": [_limit(limit) for limit in skin.limits],
        "phototoxic_sum_percent": _rounded(skin.phototoxic_sum_percent, 3),
        "largest_load_percent": _rounded(skin.largest_load_percent, 3),
        "unknown": [
            {"material": item.material, "share_percent": round(item.share_percent, 4), "why": str(item.why)}
            for item in skin.unknown
        ],
    }
    if skin.why:
        row["why"] = str(skin.why)
    return row


def _temperatures(named: dict[str, Reckoned]) -> dict[str, Any]:
    row: dict[str, Any] = {name: value.or_none() for name, value in named.items()}
    why = {name: str(value.why) for name, value in named.items() if value.celsius is None and value.why}
    if why:
        row["why"] = why
    return row


def _fire(temperatures: Temperatures) -> dict[str, Any]:
    return _temperatures(
        {
            "neat_flash_point_c": temperatures.neat_flash,
            "blend_flash_point_c": temperatures.blend_flash,
            "flash_safe_c": temperatures.flash_safe,
            "scented_ceiling_c": temperatures.scented_ceiling,
            "melt_ceiling_c": temperatures.melt_ceiling,
        }
    )


def _window(temperatures: Temperatures, remedies: Iterable[Remedy]) -> dict[str, Any]:
    return {
        **_temperatures(
            {
                "set_point_c": temperatures.set_point,
                "pour_floor_c": temperatures.pour_floor,
                "melt_out_c": temperatures.melt_out,
                "add_below_c": temperatures.add_below,
            }
        ),
        "open": temperatures.open,
        "remedies": [
            {
                "says": str(remedy.says),
                "costs": str(remedy.costs),
                "opens": remedy.opens,
                "gains_k": round(remedy.gains_k, 1),
            }
            for remedy in remedies
        ],
    }


def check_report(evaluation: Evaluation, remedies: Iterable[Remedy]) -> dict[str, Any]:
    """Amounts, limits, fire, window, allergens and cost of one recipe."""
    weighed = evaluation.weighed
    cost: dict[str, Any] = {"amount": _rounded(weighed.cost.amount, 2), "currency": weighed.cost.currency}
    if weighed.cost.amount is None:
        cost["why"] = str(weighed.cost.why)
    return {
        "recipe": evaluation.recipe.name,
        "batch_mass_g": round(weighed.batch_g, 4),
        "lines": [
            {
                "material": line.material,
                "mass_g": round(line.exact_g, 4),
                "weigh_g": line.weigh_g,
                "share_percent": round(line.share_percent, 4),
            }
            for line in weighed.lines
        ],
        "skin": _skin(evaluation.skin, evaluation.recipe.place),
        "fire": _fire(evaluation.temperatures),
        "window": _window(evaluation.temperatures, remedies),
        "allergens": [declared.label_name for declared in evaluation.allergens],
        "cost": cost,
    }
