"""What proposals stand on, and what a proposed change is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from workbench.core.batch.made import composition_made
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Recipe
from workbench.core.recipe.weighed import Weighed
from workbench.core.review.faults import FaultKind, Judged, Likely, Standing
from workbench.core.review.past import PastRow
from workbench.core.review.wear import WearTests

Edit = Callable[[Recipe, Catalogue], Recipe]


@dataclass(frozen=True, slots=True)
class Change:
    """One proposed change: what to change, why, and the edit.

    `answers` are keys of causes of faults that it takes care of.  The edit
    starts from whatever recipe the changes before it left, and raises
    `Trouble` where it cannot be made.
    """

    key: str
    says: str
    reason: str
    edit: Edit
    answers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ground:
    """One batch with all that is known of it."""

    state: SessionState
    recipe: Recipe
    weighed: Weighed  # the recipe, worked out today
    made_g: dict[str, float]  # as weighed, by material
    catalogue: Catalogue
    wear: WearTests | None
    judged: tuple[Judged, ...]
    past: tuple[PastRow, ...]
    reacted: bool = False  # somebody's skin reacted: nothing that adds fragrance is proposed

    @classmethod
    def of(
        cls,
        state: SessionState,
        catalogue: Catalogue,
        wear: WearTests | None,
        judged: Sequence[Judged],
        past: Sequence[PastRow],
        reacted: bool = False,
    ) -> Ground:
        """Raises `Trouble` for a recipe that cannot be worked out any more."""
        assert state.plan is not None  # `propose` has looked
        recipe = state.plan.recipe
        return cls(
            state,
            recipe,
            work_out(recipe, catalogue),
            composition_made(state).as_dict(),
            catalogue,
            wear,
            tuple(judged),
            tuple(past),
            reacted or any(each.definition.key is FaultKind.SKIN_REACTION for each in judged),
        )

    def seen(self, kind: FaultKind) -> bool:
        return any(each.definition.key is kind for each in self.judged)

    def found(self, kind: FaultKind, cause: str) -> Likely | None:
        """A cause of a fault that was seen, if the record speaks for it or hints at it."""
        for each in self.judged:
            if each.definition.key is not kind:
                continue
            for likely in each.causes:
                if likely.cause.key == cause and likely.standing in (Standing.SPEAKS_FOR, Standing.HINTS):
                    return likely
        return None
