"""Proposals from the thermometer: the set point as it was seen, a wiser margin, a wiser pour."""

from __future__ import annotations

from collections.abc import Sequence

from workbench.core.batch import figures
from workbench.core.batch.procedure_steps import POUR_OVER_FLOOR_K
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.evaluation import temperatures_of
from workbench.core.design.remedy import USEFUL_WIDTH_K
from workbench.core.recipe import change
from workbench.core.recipe.model import Recipe
from workbench.core.review.faults import FaultKind
from workbench.core.review.revising import Change, Ground
from workbench.core.wording import Degrees, Kelvins, Said, say

SET_POINT = "set point"
MARGIN = "margin"
POUR = "pour"
LEAST_K = 1.0  # nobody sees the first cloud more exactly
MARGIN_STEP_K = 5.0
IN_HAND_K = 2.0  # over the pour floor, for the last tin


def set_point(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """The set point that the maker saw, which wins over the computed one from then on."""
    seen_c = ground.state.set_point_seen_c
    if seen_c is None:
        return (), ()
    has_c = ground.recipe.observed_set_point_c
    if has_c is not None and abs(has_c - seen_c) < LEAST_K:
        return (), (say("The set point was seen where the recipe has it."),)
    reckoned_c = temperatures_of(ground.recipe, ground.catalogue, ground.weighed).set_point.celsius
    reason = (
        say("It was seen in this batch; nothing was known of it before.")
        if reckoned_c is None
        else say(
            "It was seen in this batch; the recipe reckons with {reckoned}. Pour floor and window follow it.",
            reckoned=Degrees(reckoned_c),
        )
    )
    return (
        Change(
            SET_POINT,
            say("Take {seen} for the set point.", seen=Degrees(seen_c)),
            reason,
            lambda recipe, _: change.change(recipe, observed_set_point_c=seen_c),
        ),
    ), ()


def margin(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """A cooler addition, where the scent was weak and the fragrance went in near the top of its window."""
    hot = ground.found(FaultKind.WEAK_SCENT, "added_hot")
    if hot is None:
        return (), ()
    wanted_k = ground.recipe.flash_margin_k + MARGIN_STEP_K
    width_k = _width_k(ground.recipe, ground.catalogue, wanted_k)
    if width_k is None or width_k < USEFUL_WIDTH_K:
        return (), (
            say(
                "A cooler addition would keep more of the scent, but with {margin} under the flash point "
                "no window is left to work in.",
                margin=Kelvins(wanted_k, 0),
            ),
        )
    return (
        Change(
            MARGIN,
            say(
                "Stay {margin} under the flash point when the fragrance goes in.", margin=Kelvins(wanted_k, 0)
            ),
            say("{shows} Cooler, less of it leaves with the steam.", shows=hot.shows),
            lambda recipe, _: change.change(recipe, flash_margin_k=wanted_k),
            ("added_hot",),
        ),
    ), ()


def _width_k(recipe: Recipe, catalogue: Catalogue, margin_k: float) -> float | None:
    if margin_k > 40.0:  # the most a recipe takes
        return None
    return temperatures_of(change.change(recipe, flash_margin_k=margin_k), catalogue).width_k


def pour(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """A cooler or a warmer pour, where a fault speaks of it; it is written into the remarks of the recipe."""
    pour_c, floor_c = figures.pour_c(ground.state), ground.state.temperatures.pour_floor_c
    if pour_c is None or floor_c is None:
        return (), ()
    hot = [ground.found(kind, "poured_hot") for kind in (FaultKind.SINK_HOLE, FaultKind.CRACKS)]
    cold = [
        ground.found(kind, "poured_cold") for kind in (FaultKind.FROSTING, FaultKind.GRAIN, FaultKind.CRACKS)
    ]
    found = next((each for each in (*hot, *cold) if each is not None), None)
    if found is None:
        return (), ()
    remark = say(
        "Pour at {low} to {high}.",
        low=Degrees(floor_c + IN_HAND_K, 0),
        high=Degrees(floor_c + POUR_OVER_FLOOR_K, 0),
    )
    if str(remark) in ground.recipe.remarks:
        return (), (say("The remarks say it already: {remark}", remark=remark),)
    return (
        Change(
            POUR,
            say("Write into the remarks: {remark}", remark=remark),
            say("{shows} {cause}", shows=found.shows, cause=found.cause.cause),
            lambda recipe, _: _with_remark(recipe, str(remark)),
            ("poured_hot", "poured_cold"),
        ),
    ), ()


def _with_remark(recipe: Recipe, remark: str) -> Recipe:
    if remark in recipe.remarks:
        return recipe
    return change.change(recipe, remarks="\n".join(each for each in (recipe.remarks, remark) if each))
