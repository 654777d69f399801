"""What opens an empty window, worked out on this very recipe.

Every remedy is tried: the recipe is changed, its temperatures are reckoned
anew, and what it gains and costs is told.  They are ranked by what they do
here; adding above the flash-safe temperature always comes last.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.design import edits
from workbench.core.design.evaluation import premix_of
from workbench.core.heat.blend import Blend
from workbench.core.heat.flash import flash_point
from workbench.core.heat.temperatures import LEAST_MARGIN_K, reckon
from workbench.core.heat.window import Reckoned, Temperatures
from workbench.core.recipe.amounts import Weighed, work_out
from workbench.core.recipe.composition import Composition, expand
from workbench.core.recipe.model import Recipe
from workbench.core.wording import Degrees, Kelvins, Said, Share, say

# A reading must lie 1.5 K under the limit before fragrance goes in, so a window narrower than this helps nobody.
USEFUL_WIDTH_K = 3.0
ROOM_C = 20.0
# J/(g K) of carrier and fragrance when their mixing temperature is worked out (fats 2.0 to 2.1).
_OIL_CAPACITY = 2.05

LESS_OF_THE_LIGHTEST = "less of the lightest oils"
LESS_FRAGRANCE = "less fragrance"
LESS_WAX = "less wax"
LOWER_WAX = "a lower-setting wax"
PREMIX = "premix in carrier"
HEAVY_FIRST = "heavy notes first"
WITHOUT_IGNITION = "above flash-safe without ignition"


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to a window, already worked out."""

    kind: str
    says: Said  # what to do
    costs: Said  # what is given up for it
    temperatures: Temperatures  # after it
    recipe: Recipe  # after it; applying it is one edit
    opens: bool
    gains_k: float  # how much wider the window gets

    @property
    def width_k(self) -> float | None:
        return self.temperatures.width_k


@dataclass(frozen=True, slots=True)
class _Case:
    recipe: Recipe
    catalogue: Catalogue
    weighed: Weighed
    before: Temperatures

    @property
    def width_k(self) -> float:
        return self.before.width_k or 0.0


def temperatures_of(recipe: Recipe, catalogue: Catalogue, weighed: Weighed | None = None) -> Temperatures:
    """All temperatures of a recipe, as everything else that evaluates it sees them."""
    grams = work_out(recipe, catalogue) if weighed is None else weighed
    return reckon(
        expand(grams.base_composition, catalogue.materials),
        grams.scent_composition,
        catalogue,
        premix=premix_of(recipe, grams),
        margin_k=recipe.flash_margin_k,
        observed_set_point_c=recipe.observed_set_point_c,
        paper_flash_c=recipe.blend_flash_on_paper_c,
    )


def remedies(recipe: Recipe, catalogue: Catalogue) -> tuple[Remedy, ...]:
    """Remedies for an empty window, best first; none where it is open or cannot be known.

    Takes a few tenths of a second: call it when asked for, not at every key.
    Raises `Trouble` where the recipe cannot be worked out.
    """
    weighed = work_out(recipe, catalogue)
    before = temperatures_of(recipe, catalogue, weighed)
    if before.open is not False:
        return ()
    case = _Case(recipe, catalogue, weighed, before)
    tried = [
        _less_of_the_lightest(case),
        _less_fragrance(case),
        _less_wax(case),
        _lower_wax(case),
        _premix(case),
        _heavy_first(case),
    ]
    found = [
        remedy
        for remedy in tried
        if remedy is not None and (remedy.opens or remedy.gains_k > 0.05 or remedy.kind == HEAVY_FIRST)
    ]
    found.sort(key=lambda remedy: (not remedy.opens, -(remedy.width_k or -math.inf)))
    last = _without_ignition(case)
    return (*found, *([last] if last is not None else []))


def _remedy(case: _Case, kind: str, recipe: Recipe, says: Said, costs: Said) -> Remedy | None:
    recipe = edits.marked(recipe, kind)
    after = temperatures_of(recipe, case.catalogue)
    if after.width_k is None:
        return None
    return Remedy(kind, says, costs, after, recipe, bool(after.open), after.width_k - case.width_k)


def _largest(opens: Callable[[float], bool], low: float, high: float) -> float | None:
    """The largest share between low and high that opens the window, to a hundredth; None if not even low."""
    if not opens(low):
        return None
    while high - low > 0.01:
        middle = (low + high) / 2
        if opens(middle):
            low = middle
        else:
            high = middle
    return low


def _names(case: _Case, keys: Collection[str]) -> str:
    return ", ".join(case.catalogue.material(key).name for key in keys)


def _less_of_the_lightest(case: _Case) -> Remedy | None:
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

        factor = _largest(opens, 0.0, 1.0)
        if factor is not None:
            break
    else:
        oils, factor = {lightest[0]}, 0.0
    changed = edits.with_less_of(case.recipe, case.weighed, oils, factor)
    ordered = [key for key in lightest if key in oils]
    if len(changed.scent) < len(case.recipe.scent):
        says = say("Leave out {oils}.", oils=_names(case, ordered))
    else:
        says = say("Take only {share} of {oils}.", share=Share(100 * factor, 0), oils=_names(case, ordered))
    costs = say("The scent loses these notes; they are mostly the first impression.")
    return _remedy(case, LESS_OF_THE_LIGHTEST, changed, says, costs)


def _less_fragrance(case: _Case) -> Remedy | None:
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

    factor = _largest(opens, 0.05, 1.0)
    if factor is None:
        return None
    load = case.weighed.load_percent * factor
    return _remedy(
        case,
        LESS_FRAGRANCE,
        edits.with_load(case.recipe, case.weighed, load),
        say(
            "Take {load} of fragrance instead of {before}.",
            load=Share(load),
            before=Share(case.weighed.load_percent),
        ),
        say("The balm smells fainter and for less time."),
    )


def _less_wax(case: _Case) -> Remedy | None:
    if not edits.waxes_of(case.recipe, case.catalogue):
        return None

    def width(factor: float) -> float | None:
        changed = edits.with_less_wax(case.recipe, case.catalogue, factor)
        return temperatures_of(changed, case.catalogue).width_k

    def opens(factor: float) -> bool:
        found = width(factor)
        return found is not None and found >= USEFUL_WIDTH_K

    # below its least gelling share a wax does not set at all: look from the gentlest cut on
    steps = [0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2]
    enough = next((step for step in steps if opens(step)), None)
    if enough is None:
        sets = [step for step in steps if width(step) is not None]
        if not sets:
            return None
        factor = max(sets, key=lambda step: width(step) or -math.inf)
    else:
        factor = _largest(opens, enough, min(enough + 0.1, 1.0)) or enough
    changed = edits.with_less_wax(case.recipe, case.catalogue, factor)
    return _remedy(
        case,
        LESS_WAX,
        changed,
        say("Take {share} of the wax and more carrier oil for it.", share=Share(100 * factor, 0)),
        _firmness_cost(case, changed),
    )


def _firmness_cost(case: _Case, changed: Recipe) -> Said:
    before = Blend.of(case.weighed.base_composition, case.catalogue).firmness
    after = Blend.of(work_out(changed, case.catalogue).base_composition, case.catalogue).firmness
    if before is after:
        return say("Firmness stays “{firmness}”, nearer to its lower end.", firmness=after.value)
    return say("Firmness goes from “{before}” to “{after}”.", before=before.value, after=after.value)


def _lower_wax(case: _Case) -> Remedy | None:
    """Another wax of the catalogue in place of the one that sets highest."""
    here = edits.waxes_of(case.recipe, case.catalogue)
    melts = {key: _melts_c(case.catalogue, key) for key in here}
    highest = max(melts, key=lambda key: melts[key] or -math.inf, default=None)
    if highest is None:
        return None
    best: Remedy | None = None
    for material in case.catalogue.materials.values():
        melt_c, old_c = _melts_c(case.catalogue, material.key), melts[highest]
        if material.kind is not MaterialKind.WAX or material.key in here or melt_c is None or old_c is None:
            continue
        if melt_c >= old_c:
            continue
        changed = edits.with_other_wax(
            case.recipe,
            highest,
            material.key,
            _worth(case.catalogue, highest) / _worth(case.catalogue, material.key),
        )
        found = _remedy(
            case,
            LOWER_WAX,
            changed,
            say("Use {new} instead of {old}.", new=material.name, old=case.catalogue.material(highest).name),
            _firmness_cost(case, changed),
        )
        if found is not None and (best is None or found.gains_k > best.gains_k):
            best = found
    return best


def _melts_c(catalogue: Catalogue, key: str) -> float | None:
    melting = catalogue.material(key).melting_c
    return None if melting is None else melting.high


def _worth(catalogue: Catalogue, key: str) -> float:
    worth = catalogue.material(key).beeswax_worth
    return worth.value if worth is not None and worth.value > 0 else 1.0


def _premix(case: _Case) -> Remedy | None:
    """Hold back carrier, mix the scent with it, warm it up to its own limit."""
    carrier = edits.largest_carrier(case.recipe, case.catalogue)
    if carrier is None:
        return None
    best: tuple[float, Recipe] | None = None
    for share in range(10, 101, 10):
        cold = edits.with_premix(case.recipe, carrier, float(share), None)
        after = temperatures_of(cold, case.catalogue)
        if after.width_k is None:
            continue
        if best is None or after.width_k > best[0] + 0.1:
            best = (after.width_k, cold)
        if after.width_k >= USEFUL_WIDTH_K:
            break
    if best is None:
        return None
    cold = best[1]
    after = temperatures_of(cold, case.catalogue)
    own_c = after.flash_safe.celsius
    assert cold.premix is not None
    assert own_c is not None  # the width was known
    warm_c = float(math.floor(min(own_c - 1.5, 60.0)))
    recipe = edits.with_premix(
        case.recipe, carrier, cold.premix.share_of_carrier_percent, warm_c if warm_c > ROOM_C else None
    )
    mixed_c = mixing_temperature_c(recipe, case.catalogue, after)
    says = say(
        "Hold back {share} of {carrier}, mix the scent with it and warm it to {warm} in the bath, flame out.",
        share=Share(cold.premix.share_of_carrier_percent, 0),
        carrier=case.catalogue.material(carrier).name,
        warm=Degrees(max(warm_c, ROOM_C), 0),
    )
    if mixed_c is None:
        costs = say("One more cup, and the pot cools when it goes in.")
    else:
        costs = say(
            "One more cup; the jug is at about {mixed} when it is in, {above} above the pour floor.",
            mixed=Degrees(mixed_c, 0),
            above=Kelvins(mixed_c - (after.pour_floor.celsius or 0.0), 0),
        )
        if mixed_c < (after.pour_floor.celsius or 0.0):
            costs = say(
                "One more cup; the jug falls to about {mixed} when it is in, below the pour floor: it may set.",
                mixed=Degrees(mixed_c, 0),
            )
    return _remedy(case, PREMIX, recipe, says, costs)


def mixing_temperature_c(recipe: Recipe, catalogue: Catalogue, after: Temperatures) -> float | None:
    """Where jug and premix meet, in °C, with the jug 1.5 K under its limit when the premix goes in.

    Sensible heat only; None without a premix or where the limit is unknown.
    """
    weighed = work_out(recipe, catalogue)
    premix = premix_of(recipe, weighed)
    if premix is None or recipe.premix is None or after.add_below.celsius is None:
        return None
    held_back = premix.as_dict()
    pot = Composition.of(
        {
            key: mass - (held_back.get(key, 0.0) if key == recipe.premix.carrier else 0.0)
            for key, mass in weighed.base_composition.as_dict().items()
        }
    )
    pot_c = after.add_below.celsius - 1.5
    pot_j_k = pot.mass_g * Blend.of(pot, catalogue).liquid_capacity_j_gk(pot_c)
    premix_j_k = premix.mass_g * _OIL_CAPACITY
    premix_c = ROOM_C if recipe.premix.warmed_to_c is None else recipe.premix.warmed_to_c
    return (pot_j_k * pot_c + premix_j_k * premix_c) / (pot_j_k + premix_j_k)


def _heavy_first(case: _Case) -> Remedy | None:
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
    opens = light_safe_c > floor_c
    return Remedy(
        HEAVY_FIRST,
        say(
            "Add middle and base notes first, below {heavy}, and the top notes later.",
            heavy=Degrees(heavy_safe_c, 0),
        ),
        say("The top notes alone still need the jug below {light}.", light=Degrees(light_safe_c, 0)),
        after,
        edits.marked(case.recipe, HEAVY_FIRST),
        opens,
        (after.width_k or 0.0) - case.width_k,
    )


def _without_ignition(case: _Case) -> Remedy | None:
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
            "The vapour over the cup can burn: flame out, hotplate off and away, no spark, window open. More of the top note is lost."
        ),
        after,
        edits.marked(case.recipe, WITHOUT_IGNITION, add_above_flash_safe=True),
        True,
        (after.width_k or 0.0) - case.width_k,
    )
