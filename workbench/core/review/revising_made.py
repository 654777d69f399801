"""Proposals from the scales: the composition as made, firmness, and a batch size that covers real losses."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from statistics import median

from workbench.core.batch.record import yields
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.design.edits import largest_carrier, with_less_wax
from workbench.core.recipe import change
from workbench.core.recipe.model import Recipe
from workbench.core.review.faults import FaultKind
from workbench.core.review.revising import Change, Ground
from workbench.core.review.written import digit_g, same_share, written
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Grams, Said, Share, say

AS_MADE = "as made"
FIRMER, SOFTER = "firmer", "softer"
ALLOWANCE = "allowance"
MORE_WAX, LESS_WAX = 1.2, 0.8  # a fifth: one thumb-step (common practice, no source)
LEAST_ALLOWANCE_PERCENT = 1.0  # a smaller difference is not worth a revision
LAST_BATCHES = 8
AS_PLANNED = say("It was made as planned, by what the scales can show.")


# --- the composition as made ---


def as_made(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """Write down what really went in, where the scales could tell it from the plan."""
    if not ground.made_g:
        return (), (say("Nothing was weighed, so the recipe stays as it was planned."),)
    differing = _differing(ground)
    if not differing:
        return (), (AS_PLANNED,)
    missing = [line.name for line in ground.weighed.lines if line.material not in ground.made_g]
    if missing:
        return (), (
            say(
                "These were never weighed, so what was made is no recipe: {names}.",
                names=", ".join(missing),
            ),
        )
    if _stays(ground):
        return (), (AS_PLANNED,)
    name, made, planned = differing[0]
    return (
        Change(
            AS_MADE,
            say("Write the amounts down as they were made."),
            say(
                "It was made otherwise than planned, most of all {name}: {made} where {planned} was planned.",
                name=name,
                made=Share(made, 2),
                planned=Share(planned, 2),
            ),
            lambda recipe, catalogue: written(recipe, ground.made_g, catalogue),
        ),
    ), ()


def _stays(ground: Ground) -> bool:
    """Whether the recipe would be the same again, written as it was made."""
    try:
        return written(ground.recipe, ground.made_g, ground.catalogue) == ground.recipe
    except Trouble:  # told where the change is asked for
        return False


def _differing(ground: Ground) -> list[tuple[str, float, float]]:
    """Name, share made and share planned (%) of what differs measurably, most first."""
    whole_g = sum(ground.made_g.values())
    planned = {line.material: line for line in ground.weighed.lines}
    found = []
    for key in dict.fromkeys((*planned, *ground.made_g)):
        line = planned.get(key)
        share = 0.0 if line is None else line.share_percent
        made = 100.0 * ground.made_g.get(key, 0.0) / whole_g
        if abs(made - share) > 100.0 * digit_g(line) / whole_g and not same_share(made, share):
            found.append((ground.catalogue.material(key).name, made, share))
    return sorted(found, key=lambda each: -abs(each[1] - each[2]))


# --- firmness ---


def firmness(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """More or less wax, where somebody found the balm too soft or too hard."""
    soft, hard = ground.seen(FaultKind.TOO_SOFT), ground.seen(FaultKind.TOO_HARD)
    if not soft and not hard:
        return (), ()
    if soft and hard:
        return (), (say("It was found too soft and too hard: settle which before you change the wax."),)
    waxes = [
        line.name
        for line in ground.weighed.lines
        if ground.catalogue.material(line.material).kind is MaterialKind.WAX
    ]
    if not waxes:
        return (), (say("There is no wax in it whose amount could be changed."),)
    names = ", ".join(waxes)
    if soft:
        return (
            Change(
                FIRMER,
                say("A fifth more of {names}, for carrier oil.", names=names),
                say("It was found too soft."),
                lambda recipe, catalogue: _with_wax(recipe, catalogue, MORE_WAX),
                ("wax_low", "spoon_soft"),
            ),
        ), ()
    return (
        Change(
            SOFTER,
            say("A fifth less of {names}, for carrier oil.", names=names),
            say("It was found too hard."),
            lambda recipe, catalogue: _with_wax(recipe, catalogue, LESS_WAX),
            ("wax_high", "spoon_hard"),
        ),
    ), ()


def _with_wax(recipe: Recipe, catalogue: Catalogue, factor: float) -> Recipe:
    carrier = largest_carrier(recipe, catalogue)
    if factor > 1 and len({line.amount.measure for line in recipe.base}) == 1:
        more = sum(
            line.amount.value * (factor - 1)
            for line in recipe.base
            if catalogue.material(line.material).kind is MaterialKind.WAX
        )
        has = next((line.amount.value for line in recipe.base if line.material == carrier), None)
        if has is not None and more >= has:
            raise Trouble(say("There is not enough carrier oil to give way to so much wax."))
    return with_less_wax(recipe, catalogue, factor)


# --- how much to make ---


def size(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """What to make over the tins so that they come out full, from what really stayed behind."""
    recipe = ground.recipe
    own, plan = yields(ground.state), ground.state.plan
    # what was made beyond the plan and poured nowhere is no loss to the jug
    surplus_g = 0.0 if plan is None else max(0.0, own.made_g - plan.batch_g - own.leftover_g)
    lost_g = max(0.0, own.loss_g - surplus_g)
    if not recipe.size.tins or not ground.state.poured or own.in_tins_g <= 0:
        return (), ()
    lost = [100.0 * lost_g / own.in_tins_g, *_lost_before(ground)]
    needed = median(lost)
    rounded = ceil(2.0 * needed) / 2.0  # to the next half per cent
    has = recipe.size.jug_allowance_percent
    if abs(rounded - has) < LEAST_ALLOWANCE_PERCENT:
        return (), (
            say(
                "{has} for what stays in the jug is right: {lost} really stayed behind.",
                has=Share(has),
                lost=Share(needed),
            ),
        )
    reason = say(
        "{lost} of what is in the tins stayed behind (middle of {count} batches); {has} are allowed for it.",
        "{lost} stayed behind in this batch ({mass}); {has} are allowed for it. One batch proves little.",
        lost=Share(needed),
        mass=Grams(lost_g, 1),
        count=Count(len(lost)),
        has=Share(has),
    )
    return (
        Change(
            ALLOWANCE,
            say("Allow {share} for what stays in the jug.", share=Share(rounded)),
            reason,
            lambda recipe, _: change.set_jug_allowance(recipe, rounded),
        ),
    ), ()


def _lost_before(ground: Ground) -> list[float]:
    """Per cent of the tins' content that stayed behind in the newest batches of this recipe in this jug."""
    rows = [
        row
        for row in sorted(ground.past, key=lambda row: row.number, reverse=True)
        if row.summary is not None
        and row.recipe_name == ground.recipe.name
        and row.summary.vessel == (ground.recipe.vessel or "")
        and row.started != ground.state.started_wall
        and row.summary.tins
        and row.summary.in_tins_g > 0
    ]
    return [
        100.0 * max(0.0, row.summary.loss_g) / row.summary.in_tins_g
        for row in rows[: LAST_BATCHES - 1]
        if row.summary is not None
    ]
