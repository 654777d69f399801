"""A limit that was mistyped stands out by its ratios; this finds it.

Where a limit of the industry standard rests on skin sensitisation alone, the
quantitative risk assessment behind it gives every category a fixed share of
one no-effect level.  So the numbers of one substance stand in fixed ratios:
lips to fine fragrance about 0.18, body to fine fragrance about 0.26 (rows of
the 49th Amendment that were read: cinnamyl alcohol 0.183 and 0.267, verbena
absolute 0.174 and 0.246).

It is a check of typing, never a source of limits: a number that passes is not
thereby verified, and a limit with another reason (methyl eugenol, estragole,
citronellal, safrole, the phototoxic oils) rightly does not pass.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from workbench.core.catalogue.model import Confidence, Limit
from workbench.core.wording import Number, Said, say

FINE_FRAGRANCE = "4"
# category -> (lowest, highest) usual ratio to fine fragrance; limits are printed with two digits
USUAL_RATIOS = {"1": (0.165, 0.195), "5A": (0.23, 0.28)}


@dataclass(frozen=True, slots=True)
class Doubt:
    """A number that does not stand in the usual ratio to the one for fine fragrance."""

    limit: str
    category: str
    ratio: float
    says: Said


def unusual_ratios(limit: Limit) -> tuple[Doubt, ...]:
    """Every number of `limit` outside the usual ratio; nothing where fine fragrance has none or is prohibited."""
    fine = limit.max_percent.get(FINE_FRAGRANCE, 0.0)
    if fine == 0:
        return ()
    found = []
    for category, (low, high) in USUAL_RATIOS.items():
        ratio = limit.max_percent[category] / fine if category in limit.max_percent else None
        if ratio is not None and not low <= ratio <= high:
            says = say(
                "The limit “{name}” for category {category} is {ratio} of the one for fine fragrance; usual is {low} to {high}. Compare both with the standard.",
                name=limit.name,
                category=category,
                ratio=Number(ratio, 3),
                low=Number(low, 3),
                high=Number(high, 3),
            )
            found.append(Doubt(limit.key, category, ratio, says))
    return tuple(found)


def doubtful_limits(limits: Iterable[Limit]) -> tuple[Doubt, ...]:
    """Doubts about limits of the industry standard that were not read in the standard itself.

    Limits that are the same in all categories have another reason and are left out.
    """
    doubts: list[Doubt] = []
    for limit in limits:
        same = len(set(limit.max_percent.values())) == 1
        if limit.regime != "law" and limit.confidence is not Confidence.SEEN and not same:
            doubts.extend(unusual_ratios(limit))
    return tuple(doubts)
