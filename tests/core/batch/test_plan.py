"""A plan is plain data; what is worked out from it once never outlives it."""

from __future__ import annotations

from workbench.core.batch.limits import ABSOLUTE_CEILING_C, hard_ceiling
from workbench.core.batch.plan import Plan
from workbench.core.batch.session import fold
from workbench.core.batch.steps import Guard
from workbench.core.catalogue.model import MaterialKind
from workbench.testing import begin, sample_plan


def test_a_copy_with_a_leftover_is_judged_anew() -> None:
    """The scented ceiling counts as soon as a leftover brings fragrance into the jug."""
    plan = sample_plan()
    assert not plan.brings_fragrance
    first = plan.lines[0].material
    rows = {**plan.materials, first: plan.materials[first].model_copy(update={"kind": MaterialKind.LEFTOVER})}
    copied = plan.model_copy(update={"materials": rows})
    assert copied.brings_fragrance
    assert not plan.brings_fragrance
    assert not copied.model_copy(update={"materials": plan.materials}).brings_fragrance

    def ceiling_of(each: Plan) -> tuple[float, Guard]:
        _, _, journal = begin(each)
        found = hard_ceiling(fold(journal.events))
        return found.celsius, found.guard

    assert ceiling_of(plan) == (ABSOLUTE_CEILING_C, Guard.ABSOLUTE_CEILING)
    assert ceiling_of(copied)[1] is Guard.SCENTED_CEILING
    assert ceiling_of(copied)[0] < ABSOLUTE_CEILING_C
