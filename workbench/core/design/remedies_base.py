"""Remedies in the base: less wax, another wax, carrier held back for a premix."""

from __future__ import annotations

import math

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.design import edits
from workbench.core.design.evaluation import premix_of, temperatures_of
from workbench.core.design.remedy import (
    LESS_WAX,
    LOWER_WAX,
    PREMIX,
    USEFUL_WIDTH_K,
    Case,
    Remedy,
    largest,
    tried,
)
from workbench.core.heat.blend import Blend
from workbench.core.heat.window import Temperatures
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Recipe
from workbench.core.wording import Degrees, Kelvins, Said, Share, say

ROOM_C = 20.0
# J/(g K) of carrier and fragrance when their mixing temperature is worked out (fats 2.0 to 2.1).
_OIL_CAPACITY = 2.05


def less_wax(case: Case) -> Remedy | None:
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
        factor = largest(opens, enough, min(enough + 0.1, 1.0)) or enough
    changed = edits.with_less_wax(case.recipe, case.catalogue, factor)
    return tried(
        case,
        LESS_WAX,
        changed,
        say(
            "Put in less wax: {share} of what is planned, and carrier oil in its place.",
            share=Share(100 * factor, 0),
        ),
        _firmness_cost(case, changed),
    )


def _firmness_cost(case: Case, changed: Recipe) -> Said:
    before = Blend.of(case.weighed.base_composition, case.catalogue).firmness
    after = Blend.of(work_out(changed, case.catalogue).base_composition, case.catalogue).firmness
    if before is after:
        return say("Firmness stays “{firmness}”, nearer to its lower end.", firmness=after.value)
    return say("Firmness goes from “{before}” to “{after}”.", before=before.value, after=after.value)


def lower_wax(case: Case) -> Remedy | None:
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
        found = tried(
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


def premix(case: Case) -> Remedy | None:
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
    return tried(case, PREMIX, recipe, says, costs)


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
