"""How much of an oil the shelf holds to compose with: what is past its date is not counted, and that is said."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Lot
from workbench.core.wording import Grams, Said, say


@dataclass(frozen=True, slots=True)
class InStock:
    """`usable_g` is infinite where nothing is said; `gone` why none of it may be used, `remark` what was not counted."""

    usable_g: float
    gone: Said | None = None
    remark: Said | None = None


def in_stock(key: str, catalogue: Catalogue, today: date | None) -> InStock:
    """What is usable of one material.  `today` None: nobody asks for dates."""
    lots = catalogue.lots_of(key)
    old = [
        lot for lot in lots if today is not None and lot.best_before is not None and lot.best_before < today
    ]
    usable = [lot for lot in lots if lot not in old]
    name = catalogue.material(key).name
    if old and not usable:
        return InStock(
            0.0,
            gone=say(
                "What is on the shelf of {name} is past its best-before date, {day}. An old oil is harsher on "
                "skin: replace it.",
                name=name,
                day=_newest(old),
            ),
        )
    known = usable and all(lot.left_g is not None for lot in usable)
    usable_g = sum(lot.left_g or 0.0 for lot in usable) if known else math.inf
    if not old:
        return InStock(usable_g)
    return InStock(usable_g, remark=_not_counted(name, usable_g, old))


def _not_counted(name: str, usable_g: float, old: list[Lot]) -> Said:
    if math.isinf(usable_g):
        return say(
            "Of {name} only what is within its date is counted; a bottle past its best-before date, {day}, is not.",
            name=name,
            day=_newest(old),
        )
    return say(
        "Of {name} only {usable} are counted; a bottle past its best-before date, {day}, is not.",
        name=name,
        usable=Grams(usable_g, 2),
        day=_newest(old),
    )


def _newest(old: list[Lot]) -> str:
    return f"{max(lot.best_before for lot in old if lot.best_before is not None):%Y-%m-%d}"
