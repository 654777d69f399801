"""The next revision: what a batch, its wearing and its faults suggest to change in its recipe.

Every change is optional and carries its reason.  They are applied one after
the other in a fixed order (what was made, notes, load, wax, size,
temperatures), so that choosing some of them always gives the same recipe.
Limits on skin are asked of the result: one that goes over a limit is refused,
a window that closes is said.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import date

from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.evaluation import Evaluation, evaluate
from workbench.core.recipe.change import accept_remedy, another_blend
from workbench.core.recipe.compare import what_changed
from workbench.core.recipe.model import Recipe
from workbench.core.review import revising_heat, revising_made, revising_scent
from workbench.core.review.faults import Judged, Likely, changes_asked_for
from workbench.core.review.past import PastRow
from workbench.core.review.revising import Change, Ground
from workbench.core.review.wear import WearTests
from workbench.core.skin.verdict import LimitUse
from workbench.core.trouble import Trouble
from workbench.core.wording import Said, Share, say

__all__ = ["Change", "Checked", "Proposal", "apply", "check", "propose"]


@dataclass(frozen=True, slots=True)
class Proposal:
    """What might be changed in the recipe of one batch.

    `recipe` is the one the batch was made by.  `kept`: what was looked at and
    should stay, with the reason.  `by_hand`: what to do differently at the
    bench, which no recipe holds.
    """

    recipe: Recipe
    revision: int
    changes: tuple[Change, ...]
    kept: tuple[Said, ...]
    by_hand: tuple[Likely, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(each.key for each in self.changes)

    def change(self, key: str) -> Change:
        """One change by its key; raises KeyError."""
        return next(each for each in self.changes if each.key == key)


@dataclass(frozen=True, slots=True)
class Checked:
    """The recipe with some changes, reckoned: `refused` says why it may not be kept, `warns` what to know."""

    recipe: Recipe
    evaluation: Evaluation | None
    says: tuple[Said, ...]  # what differs from the recipe of the batch
    refused: Said | None = None
    warns: tuple[Said, ...] = field(default=())


_Proposer = Callable[[Ground], tuple[Sequence[Change], Sequence[Said]]]
_PROPOSERS: tuple[_Proposer, ...] = (
    revising_made.as_made,
    revising_scent.notes,
    revising_scent.load,
    revising_made.firmness,
    revising_made.size,
    revising_heat.set_point,
    revising_heat.margin,
    revising_heat.pour,
)

ADDS_FRAGRANCE = ("load_low",)  # causes whose cure is more of it: not while skin may have reacted


def propose(
    state: SessionState,
    catalogue: Catalogue,
    *,
    wear: WearTests | None = None,
    judged: Sequence[Judged] = (),
    past: Sequence[PastRow] = (),
    reacted: Said | None = None,
) -> Proposal:
    """What to change in the recipe of one batch.

    `wear` are the marks of its wearers, `judged` its faults, `past` rows of
    earlier batches (any; those of the same recipe or vessel are used).
    `reacted`: why a reaction of the skin has to be thought of; then, as with
    one among `judged`, nothing that adds fragrance is proposed.  Raises `Trouble` for a session without a plan and for a recipe that can no longer
    be worked out.
    """
    if state.plan is None:
        raise Trouble(say("This batch was never started, so there is nothing to learn from it."))
    ground = Ground.of(state, catalogue, wear, judged, past, reacted is not None)
    changes: list[Change] = []
    kept: list[Said] = []
    if reacted is not None:
        kept.append(reacted)
    if ground.reacted:
        kept.append(
            say(
                "While a skin reaction is possible nothing that adds fragrance is proposed. Find out first what "
                "it was."
            )
            if reacted is not None
            else say(
                "A skin reaction was reported of it: nothing that adds fragrance is proposed. Find out first "
                "what it was."
            )
        )
    for proposer in _PROPOSERS:
        found, stays = proposer(ground)
        changes += found
        kept += stays
    answered = {key for change in changes for key in change.answers}
    by_hand = [
        each
        for each in changes_asked_for(judged)
        if each.cause.key not in answered and not (ground.reacted and each.cause.key in ADDS_FRAGRANCE)
    ]
    return Proposal(state.plan.recipe, state.plan.revision, tuple(changes), tuple(kept), tuple(by_hand))


def check(proposal: Proposal, chosen: Collection[str], catalogue: Catalogue, on: date) -> Checked:
    """The recipe with the chosen changes, and whether it may be kept.

    `on` is the day for which the law is asked.  Raises KeyError for a change
    that was not proposed.
    """
    before = proposal.recipe
    unknown = set(chosen) - set(proposal.keys)
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))
    recipe = before
    try:
        for change in proposal.changes:
            if change.key in chosen:
                recipe = change.edit(recipe, catalogue)
        if another_blend(before, recipe) and (before.accepted_remedy or before.add_above_flash_safe):
            recipe = accept_remedy(recipe, "")
        after = evaluate(recipe, catalogue, on)
        was = evaluate(before, catalogue, on)
    except Trouble as trouble:
        return Checked(recipe, None, (), say("{why}", why=trouble.says))
    says = what_changed(before, recipe, lambda key: _name(key, catalogue))
    return Checked(recipe, after, says, _refused(was, after), _warns(was, after))


def apply(proposal: Proposal, chosen: Collection[str], catalogue: Catalogue, on: date) -> Recipe:
    """The changed recipe.  Raises `Trouble` where it may not be kept (`check` says why beforehand)."""
    checked = check(proposal, chosen, catalogue, on)
    if checked.refused is not None:
        raise Trouble(checked.refused)
    return checked.recipe


def _refused(was: Evaluation, after: Evaluation) -> Said | None:
    """Over a limit that was kept before, or further over one that was not."""
    before = {limit.key: limit for limit in was.skin.over}
    worse = [limit for limit in after.skin.over if _worse(before.get(limit.key), limit)]
    if not worse:
        return None
    worst = max(worse, key=lambda limit: limit.used_percent or 0.0)
    return say(
        "With these changes {name} would be at {share}; at most {limit} is allowed for this use. "
        "Take back what adds to it, or lower the fragrance load.",
        name=worst.name,
        share=Share(worst.concentration_percent or 0.0, 3),
        limit=Share(worst.limit_percent or 0.0, 3),
    )


def _worse(before: LimitUse | None, after: LimitUse) -> bool:
    if before is None:
        return True
    if before.used_percent is not None and after.used_percent is not None:
        # not by mass: what a sum allows depends on which oils share it
        return after.used_percent > before.used_percent * (1 + 1e-6)
    return (after.concentration_percent or 0.0) > (before.concentration_percent or 0.0) * (1 + 1e-6)


def _warns(was: Evaluation, after: Evaluation) -> tuple[Said, ...]:
    told = []
    if after.temperatures.open is False and was.temperatures.open is not False:
        told.append(say("With these changes no window is left between pour floor and the top for fragrance."))
    if after.temperatures.set_point.celsius is None and was.temperatures.set_point.celsius is not None:
        told.append(say("With these changes it no longer sets."))
    if after.skin.unknown and not was.skin.unknown:
        told.append(say("With these changes it can no longer be judged on skin: something in it is unknown."))
    elif after.skin.unknown:
        told.append(say("It cannot be judged on skin, with these changes as without: something is unknown."))
    for limit in after.skin.over:
        told.append(
            say(
                "It stays over its limit on skin: {name} is at {share}; at most {limit} is allowed for this use.",
                name=limit.name,
                share=Share(limit.concentration_percent or 0.0, 3),
                limit=Share(limit.limit_percent or 0.0, 3),
            )
        )
    return tuple(told)


def _name(key: str, catalogue: Catalogue) -> str:
    if key in catalogue.materials:
        return catalogue.materials[key].name
    shelf = catalogue.shelf
    named = {
        **{each.key: each.name for each in shelf.tins},
        **{each.key: each.name for each in shelf.vessels},
        **{each.key: each.name for each in shelf.microwaves},
        **{each.key: each.name for each in shelf.thermometers},
    }
    return named.get(key, key)
