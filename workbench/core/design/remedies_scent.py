"""Remedies in the scent, and the last way."""

from __future__ import annotations

from dataclasses import replace

from workbench.core.catalogue.model import Note
from workbench.core.design import edits
from workbench.core.design.evaluation import premix_of, temperatures_of
from workbench.core.design.remedy import (
    HEAVY_FIRST,
    LESS_FRAGRANCE,
    LESS_OF_THE_LIGHTEST,
    USEFUL_WIDTH_K,
    WITHOUT_IGNITION,
    Case,
    Remedy,
    largest,
    names,
    tried,
)
from workbench.core.heat.flash import flash_point
from workbench.core.heat.loss import Stay, loss, open_surface_cm2
from workbench.core.heat.temperatures import LEAST_MARGIN_K
from workbench.core.heat.window import Reckoned
from workbench.core.recipe.composition import Composition
from workbench.core.wording import Degrees, Duration, Share, say

STIR_S = 180.0
JUG_MM = 80.0  # inside width of a usual jug, where the vessel's is not known


def less_of_the_lightest(case: Case) -> Remedy | None:
    """Cut down the oils that make the neat flash point what it is."""
    floor_c = case.before.pour_floor.celsius
    poured = premix_of(case.recipe, case.weighed) or case.weighed.scent_composition
    lightest = [key for key, _ in flash_point(poured, case.catalogue).shares]
    if floor_c is None or len(lightest) < 2 or case.recipe.blend_flash_on_paper_c is not None:
        return None  # a single oil cannot be made lighter or heavier; a paper speaks of the blend as it is
    wanted_c = floor_c + case.recipe.flash_margin_k + USEFUL_WIDTH_K
    for count in range(1, len(lightest)):
        oils = set(lightest[:count])

        def opens(factor: float, oils: set[str] = oils) -> bool:
            left = {
                portion.material: portion.mass_g * (factor if portion.material in oils else 1.0)
                for portion in poured.portions
            }
            neat = flash_point(Composition.of(left), case.catalogue).lower.celsius
            return neat is not None and neat >= wanted_c

        factor = largest(opens, 0.0, 1.0)
        if factor is not None:
            break
    else:
        oils, factor = {lightest[0]}, 0.0
    changed = edits.with_less_of(case.recipe, case.weighed, oils, factor)
    ordered = [key for key in lightest if key in oils]
    if len(changed.scent) < len(case.recipe.scent):
        says = say("Leave out {oils}.", oils=names(case, ordered))
    else:
        says = say(
            "Put in less {oils}: {share} of what is planned.",
            share=Share(100 * factor, 0),
            oils=names(case, ordered),
        )
    costs = say("The scent loses these notes; they are mostly the first impression.")
    return tried(case, LESS_OF_THE_LIGHTEST, changed, says, costs)


def less_fragrance(case: Case) -> Remedy | None:
    """Less of the whole blend.

    It never changes the flash point of the neat blend, so it helps only where
    the scented ceiling is in the way or where carrier is held back: then the
    premix gets thinner.
    """
    floor_c, scented_c = case.before.pour_floor.celsius, case.before.scented_ceiling.celsius
    in_the_way = floor_c is not None and scented_c is not None and scented_c < floor_c
    if case.recipe.premix is None and not in_the_way:
        return None

    def opens(factor: float) -> bool:
        changed = edits.with_load(case.recipe, case.weighed, case.weighed.load_percent * factor)
        return (temperatures_of(changed, case.catalogue).width_k or 0.0) >= USEFUL_WIDTH_K

    factor = largest(opens, 0.05, 1.0)
    if factor is None:
        return None
    load = case.weighed.load_percent * factor
    return tried(
        case,
        LESS_FRAGRANCE,
        edits.with_load(case.recipe, case.weighed, load),
        say(
            "Put in less scent: {load} of the balm instead of {before}.",
            load=Share(load),
            before=Share(case.weighed.load_percent),
        ),
        say("The balm smells fainter and for less time."),
    )


def heavy_first(case: Case) -> Remedy | None:
    """Middle and base notes while the jug is hotter, the top notes on their own afterwards."""
    light = {line.material for line in case.recipe.scent if line.note is Note.TOP}
    scent = case.weighed.scent_composition
    heavy = scent.only({portion.material for portion in scent.portions} - light)
    floor_c = case.before.pour_floor.celsius
    if (
        case.recipe.premix is not None
        or not heavy.portions
        or not scent.only(light).portions
        or floor_c is None
    ):
        return None
    heavy_c = flash_point(heavy, case.catalogue).lower.celsius
    light_c = flash_point(scent.only(light), case.catalogue).lower.celsius
    if heavy_c is None or light_c is None:
        return None
    margin_k = max(case.recipe.flash_margin_k, LEAST_MARGIN_K)
    heavy_safe_c, light_safe_c = heavy_c - margin_k, light_c - margin_k
    if heavy_safe_c <= floor_c:
        return None  # then it helps neither part
    after = replace(
        case.before,
        flash_safe=Reckoned(
            light_safe_c,
            6.0,
            how=say(
                "of the top notes alone, which go in last; the others below {heavy}",
                heavy=Degrees(heavy_safe_c),
            ),
        ),
        add_below=Reckoned(
            min(light_safe_c, case.before.scented_ceiling.celsius or light_safe_c),
            6.0,
            how=say("of the top notes alone, which go in last"),
        ),
    )
    return Remedy(
        HEAVY_FIRST,
        say(
            "Add middle and base notes first, below {heavy}, and the top notes later.",
            heavy=Degrees(heavy_safe_c, 0),
        ),
        say("The top notes alone still need the jug below {light}.", light=Degrees(light_safe_c, 0)),
        after,
        edits.marked(case.recipe, HEAVY_FIRST),
        bool(after.open),
        (after.width_k or 0.0) - case.width_k,
    )


def without_ignition(case: Case) -> Remedy | None:
    """The last way: above the flash-safe temperature, under the scented ceiling, nothing that could light it."""
    floor_c, scented = case.before.pour_floor.celsius, case.before.scented_ceiling
    if floor_c is None or scented.celsius is None or scented.celsius <= floor_c:
        return None
    after = replace(
        case.before,
        add_below=replace(scented, how=say("the scented ceiling; nothing that could light it is near")),
    )
    return Remedy(
        WITHOUT_IGNITION,
        say(
            "Add above the flash-safe temperature, but below {ceiling}, with every source of ignition gone.",
            ceiling=Degrees(scented.celsius, 0),
        ),
        say(
            "The vapour over the cup can burn: flame out, hotplate off and away, no spark, window open. "
            "At {hot} about {lost} of the top note is gone after {stir} of stirring.",
            hot=Degrees(floor_c + USEFUL_WIDTH_K, 0),
            lost=Share(_top_lost_percent(case, floor_c + USEFUL_WIDTH_K)),
            stir=Duration(STIR_S),
        ),
        after,
        edits.marked(case.recipe, WITHOUT_IGNITION, add_above_flash_safe=True),
        True,
        (after.width_k or 0.0) - case.width_k,
    )


def _top_lost_percent(case: Case, celsius: float) -> float:
    """Share of the top note that leaves while it is stirred in; see `heat.loss` for what is assumed."""
    width_mm = JUG_MM
    if case.recipe.vessel is not None:
        width_mm = case.catalogue.vessel(case.recipe.vessel).inner_diameter_mm or JUG_MM
    lost = loss(
        case.weighed.composition,
        case.catalogue,
        (Stay(celsius, STIR_S),),
        open_surface_cm2(width_mm),
        {line.material: line.note for line in case.recipe.scent},
    )
    return lost.of(Note.TOP)
