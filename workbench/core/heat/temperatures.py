"""All temperatures of one blend, as the chapter of words and guards defines them.

pour floor       set point + 3 K
melt-out         liquidus + 5 K
melt ceiling     the lowest of every material's holding limit, melt-out + 15 K and 95 °C
flash-safe       neat flash point less the margin (5 K, or more if the maker chooses)
scented ceiling  flash point of the whole mixture less 5 K
window           from the pour floor to the lower of flash-safe and scented ceiling
"""

from __future__ import annotations

from collections.abc import Callable

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat import blend
from workbench.core.heat.flash import Flash, flash_point
from workbench.core.heat.window import Reckoned, Temperatures
from workbench.core.recipe.composition import Composition, expand
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Kelvins, say

POUR_FLOOR_K = 3.0
MELT_OUT_K = 5.0
MELT_CEILING_K = 15.0
BATH_CEILING_C = 95.0
LEAST_MARGIN_K = 5.0
SCENTED_MARGIN_K = 5.0

Liquidus = Callable[[Composition, Catalogue], Reckoned]
SetPoint = Callable[[Composition, Catalogue, float | None], Reckoned]


def reckon(
    base: Composition,
    scent: Composition,
    catalogue: Catalogue,
    *,
    premix: Composition | None = None,
    margin_k: float = LEAST_MARGIN_K,
    observed_set_point_c: float | None = None,
    paper_flash_c: float | None = None,
    liquidus: Liquidus = blend.liquidus_c,
    set_point: SetPoint = blend.set_point_c,
) -> Temperatures:
    """Work out every limit of a blend, in °C.

    `base` is everything that is not scent, held-back carrier included;
    `premix` what is poured in, if carrier is mixed with the scent first; the
    pot then melts without that carrier.  `margin_k` at least 5.  An observed
    set point wins over a computed one.  Raises `Trouble` for a smaller margin
    and for unknown materials.
    """
    if margin_k < LEAST_MARGIN_K:
        raise Trouble(
            say(
                "A margin of {margin} is too small. Choose {least} or more.",
                margin=Kelvins(margin_k),
                least=Kelvins(LEAST_MARGIN_K),
            )
        )
    base = expand(base, catalogue.materials)
    pot = _without(base, premix, scent)
    melts = liquidus(pot, catalogue)
    sets = set_point(pot, catalogue, observed_set_point_c)
    melt_out = _shift(melts, MELT_OUT_K, "liquidus {from_c} and {by} in hand")
    pour_floor = _shift(sets, POUR_FLOOR_K, "set point {from_c} and {by}")
    before = flash_point(pot, catalogue)  # a leftover brings fragrance into the pot from the start
    ceiling = _melt_ceiling(pot, melt_out, before, catalogue)
    if not scent.portions:
        return _unscented(melts, sets, pour_floor, melt_out, ceiling, before)
    neat = flash_point(premix if premix is not None else scent, catalogue, paper_flash_c)
    whole = flash_point(base.plus(scent.as_dict()), catalogue)
    flash_safe = _shift(neat.lower, -margin_k, "neat flash point {from_c} less {by}")
    scented = _shift(whole.lower, -SCENTED_MARGIN_K, "flash point of the mixture {from_c} less {by}")
    return Temperatures(
        set_point=sets,
        liquidus=melts,
        pour_floor=pour_floor,
        melt_out=melt_out,
        melt_ceiling=ceiling,
        neat_flash=neat.lower,
        neat_flash_ideal=neat.ideal,
        neat_flash_unifac=neat.unifac,
        blend_flash=whole.lower,
        blend_flash_ideal=whole.ideal,
        blend_flash_unifac=whole.unifac,
        flash_safe=flash_safe,
        scented_ceiling=scented,
        add_below=_lower_of(flash_safe, scented),
    )


def _without(base: Composition, premix: Composition | None, scent: Composition) -> Composition:
    """What melts in the pot: the base less what is held back for the premix."""
    if premix is None:
        return base
    own = scent.as_dict()
    held_back = {key: mass - own.get(key, 0.0) for key, mass in premix.as_dict().items()}
    return Composition.of(
        {key: mass - max(held_back.get(key, 0.0), 0.0) for key, mass in base.as_dict().items()}
    )


def _shift(found: Reckoned, by_k: float, template: str) -> Reckoned:
    if found.celsius is None:
        return found
    how = say(template, from_c=Degrees(found.celsius), by=Kelvins(abs(by_k)))
    return Reckoned(found.celsius + by_k, found.sd_k, how=how)


def _lower_of(one: Reckoned, other: Reckoned) -> Reckoned:
    """The lower of two; unknown if either is, for what is not known may be the lower one."""
    if one.celsius is None:
        return one
    if other.celsius is None:
        return other
    return one if one.celsius <= other.celsius else other


def _melt_ceiling(pot: Composition, melt_out: Reckoned, scented: Flash, catalogue: Catalogue) -> Reckoned:
    has_scent = any(catalogue.material(portion.material).kind.is_scent for portion in pot.portions)
    if has_scent and scented.lower.celsius is None:
        return Reckoned(None, why=scented.lower.why)
    limits = [(BATH_CEILING_C, say("no melt goes above {celsius}", celsius=Degrees(BATH_CEILING_C, 0)))]
    if melt_out.celsius is not None:
        limits.append(
            (
                melt_out.celsius + MELT_CEILING_K,
                say(
                    "melt-out {from_c} and {by}", from_c=Degrees(melt_out.celsius), by=Kelvins(MELT_CEILING_K)
                ),
            )
        )
    for portion in pot.portions:
        material = catalogue.material(portion.material)
        if material.holding_limit_c is not None and not material.kind.is_scent:
            limits.append(
                (material.holding_limit_c.value, say("{name} should not stand hotter", name=material.name))
            )
    if scented.lower.celsius is not None:
        limits.append(
            (
                scented.lower.celsius - SCENTED_MARGIN_K,
                say(
                    "the leftover in it brings fragrance: flash point {from_c} less {by}",
                    from_c=Degrees(scented.lower.celsius),
                    by=Kelvins(SCENTED_MARGIN_K),
                ),
            )
        )
    celsius, how = min(limits, key=lambda limit: limit[0])
    return Reckoned(celsius, 0.0, how=how)


def _unscented(
    melts: Reckoned,
    sets: Reckoned,
    pour_floor: Reckoned,
    melt_out: Reckoned,
    ceiling: Reckoned,
    before: Flash,
) -> Temperatures:
    """Nothing is added; a leftover in the pot keeps its scented ceiling."""
    none = Reckoned(None, why=say("There is no fragrance to add."))
    scented = _shift(before.lower, -SCENTED_MARGIN_K, "flash point of the mixture {from_c} less {by}")
    return Temperatures(
        set_point=sets,
        liquidus=melts,
        pour_floor=pour_floor,
        melt_out=melt_out,
        melt_ceiling=ceiling,
        neat_flash=none,
        neat_flash_ideal=none,
        neat_flash_unifac=none,
        blend_flash=before.lower,
        blend_flash_ideal=before.ideal,
        blend_flash_unifac=before.unifac,
        flash_safe=none,
        scented_ceiling=scented,
        add_below=none,
        unscented=True,
    )
