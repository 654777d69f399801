"""The rules of a real session: its limits follow what is really in the jug.

Apart from `rules.py`, because it brings in the chemistry, which a record that
is only read does not need.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from workbench.core.batch.alarms import AlarmDefinition
from workbench.core.batch.burst_rule import burst_rule
from workbench.core.batch.plan import Plan, PlannedSkin, PlannedTemperatures
from workbench.core.batch.procedure import planned_skin, planned_temperatures
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.flash import flash_point
from workbench.core.heat.temperatures import reckon
from workbench.core.heat.vapours import mixture_of
from workbench.core.recipe.composition import Composition
from workbench.core.skin.assess import assess


def rules_for(
    catalogue: Catalogue,
    alarms: Sequence[AlarmDefinition],
    next_burst_s: Callable[[SessionState], float] | None = None,
) -> Rules:
    """The rules of a real session: limits follow what is in the jug, by the tables of `catalogue`.

    `next_burst_s` None: by the oven and the blend, `heat.bursts`; what that rule refuses (less than 50 g, a
    blend rich in hydrocarbons) is refused here as well, with the same words.
    """

    def by_what_is_in_it(plan: Plan, composition: Composition) -> PlannedTemperatures:
        masses = composition.as_dict()
        scents = {line.material for line in plan.lines if line.where == "scent"}
        scents |= {key for key in masses if catalogue.material(key).kind.is_scent}
        scent = composition.only(scents)
        held_back = {line.material: line.held_back_g for line in plan.lines if line.held_back_g > 0}
        return planned_temperatures(
            reckon(
                Composition.of({key: mass for key, mass in masses.items() if key not in scents}),
                scent,
                catalogue,
                premix=scent.plus(held_back) if held_back else None,
                margin_k=plan.recipe.flash_margin_k,
                observed_set_point_c=plan.recipe.observed_set_point_c,
                paper_flash_c=plan.recipe.blend_flash_on_paper_c,
            )
        )

    def by_its_limits(plan: Plan, composition: Composition) -> PlannedSkin:
        return planned_skin(assess(composition, catalogue, plan.recipe.uses, plan.recipe.place))

    def of_its_own(material: str) -> float | None:
        alone = Composition.of({material: 1.0})
        if mixture_of(alone, catalogue).unknown:
            return None
        celsius = flash_point(alone, catalogue).lower.celsius
        return math.inf if celsius is None else celsius

    if next_burst_s is not None:
        return Rules(tuple(alarms), next_burst_s, by_what_is_in_it, by_its_limits, of_its_own)
    by_the_oven = burst_rule(catalogue)

    def refused(state: SessionState) -> str:
        found = by_the_oven(state)
        return found.says if found.refused else ""

    return Rules(
        tuple(alarms),
        lambda state: by_the_oven(state).seconds,
        by_what_is_in_it,
        by_its_limits,
        of_its_own,
        refused,
    )
