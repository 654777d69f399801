"""What brings a balm within the limits on skin: less of the oils that decide, or less of the whole scent.

Every proposal is reckoned anew before it is shown: its recipe is within every
known limit, or it is not proposed.  A material without data stays without.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from dataclasses import dataclass

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design import edits
from workbench.core.design.evaluation import Evaluation
from workbench.core.recipe.amounts import Weighed, work_out
from workbench.core.recipe.model import Amount, Measure, Recipe
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import SkinVerdict
from workbench.core.trouble import Trouble
from workbench.core.wording import Said, Share, say

LESS_OF_SOME = "less of the oils over their limits"
LESS_OF_ALL = "less of the whole scent"

_STEPS = 24  # of the bisection: a factor to better than a millionth
# What a line in grams can be weighed to, and a line in drops counted to.
_TIDY = {Measure.DROPS: 1.0, Measure.GRAMS: 0.01}


@dataclass(frozen=True, slots=True)
class SkinRemedy:
    """One way back under the limits, already worked out."""

    kind: str
    says: Said  # what to do
    costs: Said  # what it does to the scent
    recipe: Recipe  # after it; applying it is one edit
    skin: SkinVerdict  # after it; nothing in it is over


def skin_remedies(evaluation: Evaluation, catalogue: Catalogue) -> tuple[SkinRemedy, ...]:
    """Remedies for a balm over a limit, the one that leaves most of the scent first; none where nothing is over.

    Takes some tens of milliseconds.
    """
    if not evaluation.skin.over:
        return ()
    found = [_less_of_some(evaluation, catalogue), _less_of_all(evaluation, catalogue)]
    return tuple(each for each in found if each is not None)


def _less_of_some(evaluation: Evaluation, catalogue: Catalogue) -> SkinRemedy | None:
    """The fewest oils that hold most of what is over, each in the same proportion; the others keep their grams."""
    recipe, weighed = evaluation.recipe, evaluation.weighed
    for oils in _suspects(evaluation):
        if len(oils) >= len({line.material for line in recipe.scent}):
            return None  # that is the whole scent

        def changed(factor: float, oils: frozenset[str] = oils) -> Recipe:
            less = edits.with_less_of(recipe, weighed, oils, factor)
            return _tidy(less, oils) if recipe.load_from_scent else less

        after = _largest_within(changed, evaluation, catalogue)
        if after is not None:
            return _some(evaluation, catalogue, oils, *after)
    return None


def _suspects(evaluation: Evaluation) -> list[frozenset[str]]:
    """First the oil that gives most to each limit that is over, then the second of each as well, and so on."""
    scent = {line.material for line in evaluation.recipe.scent}
    givers = [
        [key for key, _ in sorted(limit.from_materials, key=lambda each: -each[1]) if key in scent]
        for limit in evaluation.skin.over
    ]
    most = max((len(each) for each in givers), default=0)
    return [frozenset(key for each in givers for key in each[:count]) for count in range(1, most + 1)]


def _some(
    evaluation: Evaluation,
    catalogue: Catalogue,
    oils: Collection[str],
    recipe: Recipe,
    weighed: Weighed,
    skin: SkinVerdict,
) -> SkinRemedy:
    before, after = evaluation.weighed.scent_composition.as_dict(), weighed.scent_composition.as_dict()
    names = ", ".join(
        catalogue.material(key).name for key in dict.fromkeys(line.material for line in evaluation.recipe.scent)
        if key in oils
    )  # fmt: skip
    was_g, is_g = sum(before[key] for key in oils), sum(after.get(key, 0.0) for key in oils)
    says = (
        say("Leave out {oils}.", oils=names)
        if is_g == 0
        else say(
            "Put in less {oils}: {share} of what is planned.", share=Share(100 * is_g / was_g), oils=names
        )
    )
    costs = say(
        "The scent turns: {oils} made {before} of it and will make {after}. The other oils keep their amounts, and {load} of the balm is scent instead of {was}.",
        oils=names,
        before=Share(100 * was_g / sum(before.values())),
        after=Share(100 * is_g / sum(after.values()) if after else 0.0),
        load=Share(weighed.load_percent),
        was=Share(evaluation.weighed.load_percent),
    )
    return SkinRemedy(LESS_OF_SOME, says, costs, recipe, skin)


def _less_of_all(evaluation: Evaluation, catalogue: Catalogue) -> SkinRemedy | None:
    """The same blend, less of it."""
    recipe, weighed = evaluation.recipe, evaluation.weighed

    def changed(factor: float) -> Recipe:
        if not recipe.load_from_scent:
            load = math.floor(100 * factor * weighed.load_percent) / 100
            return edits.with_load(recipe, weighed, load)
        less = edits.with_load(recipe, weighed, factor * weighed.load_percent)
        return _tidy(less, {line.material for line in recipe.scent})

    after = _largest_within(changed, evaluation, catalogue)
    if after is None or not after[0].scent or after[1].load_percent <= 0:
        return None
    was, load = weighed.load_percent, after[1].load_percent
    says = say(
        "Put in less scent: {load} of the balm instead of {before}.", load=Share(load), before=Share(was)
    )
    costs = say(
        "All oils together come down to {share} of what is planned: the same scent as nearly as it can be measured out, but fainter and for less time.",
        share=Share(100 * load / was),
    )
    return SkinRemedy(LESS_OF_ALL, says, costs, after[0], after[2])


def _tidy(recipe: Recipe, oils: Collection[str]) -> Recipe:
    """Whole drops and grams a scale can show, always downwards; a line of which nothing is left is left out."""
    lines = []
    for line in recipe.scent:
        step = _TIDY.get(line.amount.measure)
        if step is None or line.material not in oils:
            lines.append(line)
            continue
        value = round(math.floor(line.amount.value / step + 1e-9) * step, 4)
        if value > 0:
            amount = Amount(value=value, measure=line.amount.measure)
            lines.append(line.model_copy(update={"amount": amount}))
    return Recipe.model_validate({**dict(recipe), "scent": tuple(lines)})


def _largest_within(
    changed: Callable[[float], Recipe], evaluation: Evaluation, catalogue: Catalogue
) -> tuple[Recipe, Weighed, SkinVerdict] | None:
    """The recipe with the largest share of what is planned that is over no limit; None where there is none."""

    def within(factor: float) -> tuple[Recipe, Weighed, SkinVerdict] | None:
        try:
            recipe = changed(factor)
            weighed = work_out(recipe, catalogue)
        except (Trouble, ValueError):
            return None  # so little is left that it is no recipe any more
        skin = assess(weighed.composition, catalogue, recipe.uses, recipe.place)
        return None if skin.over else (recipe, weighed, skin)

    low, high, best = 0.0, 1.0, within(0.0)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        found = within(middle)
        if found is None:
            high = middle
        else:
            low, best = middle, found
    return best
