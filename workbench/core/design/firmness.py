"""The cold spoon says firm, soft or hard: how many grams of wax or oil put it right.

Hardness does not add up and no usable published curve exists, so the spoon is
the judge: what it says of this blend is taken as true, and the correction is
a step on the beeswax-equivalent scale of `heat.blend`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.heat.blend import FIRMNESS_FROM, Blend, Firmness, beeswax_equivalent_percent
from workbench.core.heat.dissolving import Ingredient, Part, ingredients
from workbench.core.heat.window import Reckoned
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Grams, Share, say

# One thumb-step: a quarter of the stiffness there is, at least 2 points of beeswax.  Common practice, no
# source: a teaspoon of wax (3 to 4 g) mends a soft 100 g balm.
STEP_SHARE = 0.22
LEAST_STEP_PERCENT = 2.0
LARGEST_STEP_PERCENT = 8.0


class Spoon(StrEnum):
    FIRM = "firm"  # as wanted
    SOFT = "soft"
    HARD = "hard"


@dataclass(frozen=True, slots=True)
class FirmnessCorrection:
    """What to add to the jug.  `grams` is 0 and `material` empty when nothing is needed."""

    answer: Spoon
    material: str
    name: str
    grams: float
    composition: Composition  # with the addition in
    set_point: Reckoned  # of that
    set_point_before: Reckoned
    expected: Firmness
    others: tuple[tuple[str, str, float], ...]  # material, name, grams: other materials that would do
    says: str
    also: tuple[str, ...] = ()  # what else changes

    @property
    def needed(self) -> bool:
        return self.grams > 0


def correct_firmness(
    composition: Composition,
    catalogue: Catalogue,
    answer: Spoon | str,
    *,
    target: Firmness | None = None,
    material: str | None = None,
    scent_g: float = 0.0,
) -> FirmnessCorrection:
    """Grams of wax (too soft) or oil (too hard) that correct the base in the jug.

    `composition`: what is in the jug, without fragrance.  `target`: a class to land in the middle of;
    without it one thumb-step is made.  `material`: what to add, else the wax or oil there is most of.
    `scent_g`: fragrance that is still to go in, to say how its share changes.
    Raises Trouble where nothing can be added or the answer is not known.
    """
    spoon = _spoon(answer)
    parts = ingredients(composition, catalogue)
    before = Blend.of(composition, catalogue)
    if spoon is Spoon.FIRM:
        return FirmnessCorrection(
            spoon, "", "", 0.0, composition, before.set_point, before.set_point, before.firmness, (),
            say("The cold spoon is as firm as it should be. Nothing needs to be added."),
        )  # fmt: skip
    now = beeswax_equivalent_percent(parts)
    aim = _aim(now, spoon, target)
    choices = _choices(parts, catalogue, spoon, material)
    mass = composition.mass_g
    ways = [
        (part.key, part.name, grams)
        for part in choices
        if (grams := _grams(mass, now, aim, _worth(part))) is not None
    ]
    if not ways:
        raise Trouble(
            say(
                "None of the materials at hand would change the firmness enough. Choose a wax or an oil to add."
            )
        )
    key, name, grams = ways[0]
    after = composition.plus({key: grams})
    blend = Blend.of(after, catalogue)
    return FirmnessCorrection(
        spoon,
        key,
        name,
        grams,
        after,
        blend.set_point,
        before.set_point,
        blend.firmness,
        tuple(ways[1:]),
        _says(spoon, name, grams),
        _also(before, blend, scent_g),
    )


def _spoon(answer: Spoon | str) -> Spoon:
    try:
        return Spoon(answer)
    except ValueError:
        raise Trouble(
            say("The cold spoon can be firm, soft or hard, not “{answer}”.", answer=answer)
        ) from None


def _aim(now: float, spoon: Spoon, target: Firmness | None) -> float:
    step = min(max(now * STEP_SHARE, LEAST_STEP_PERCENT), LARGEST_STEP_PERCENT)
    plain = now + step if spoon is Spoon.SOFT else now - step
    if target is None:
        return max(plain, 0.5)
    lows = {firmness: least for least, firmness in FIRMNESS_FROM}
    if target not in lows:
        raise Trouble(say("“{target}” is nothing to aim at.", target=str(target)))
    above = [least for least in lows.values() if least > lows[target]]
    middle = (lows[target] + min(above, default=lows[target] + 10)) / 2
    # the spoon wins over the scale: never a step the other way
    return max(middle, plain) if spoon is Spoon.SOFT else max(min(middle, plain), 0.5)


def _choices(
    parts: tuple[Ingredient, ...], catalogue: Catalogue, spoon: Spoon, material: str | None
) -> list[Ingredient]:
    wanted = Part.WAX if spoon is Spoon.SOFT else Part.LIQUID
    if material is not None:
        chosen = ingredients(Composition.of({material: 1.0}), catalogue)
        if not any(part.part is wanted for part in chosen):
            what = "a wax" if spoon is Spoon.SOFT else "a carrier oil"
            raise Trouble(
                say(
                    "{name} does not correct this. Choose {what}.",
                    name=catalogue.material(material).name,
                    what=what,
                )
            )
        return list(chosen)
    here = [part for part in parts if part.part is wanted and not catalogue.material(part.key).kind.is_scent]
    here = [part for part in here if catalogue.material(part.key).kind is not MaterialKind.ADDITIVE]
    return sorted(here, key=lambda part: -part.share)


def _worth(part: Ingredient) -> float:
    return part.worth if part.part is Part.WAX else 0.0


def _grams(mass_g: float, now: float, aim: float, worth: float) -> float | None:
    """Grams m with (now M + 100 worth m)/(M + m) = aim; None where this material cannot do it."""
    room = 100 * worth - aim
    grams = mass_g * (aim - now) / room if abs(room) > 1e-9 else -1.0
    return grams if 0 < grams <= mass_g else None


def _says(spoon: Spoon, name: str, grams: float) -> str:
    if spoon is Spoon.SOFT:
        return say(
            "Too soft: melt {mass} more of {name} into the jug, stir until it is clear, then test a cold spoon again.",
            mass=Grams(grams),
            name=name,
        )
    return say(
        "Too hard: stir {mass} of {name} into the jug, keep it warm until it is clear, then test a cold spoon again.",
        mass=Grams(grams),
        name=name,
    )


def _also(before: Blend, after: Blend, scent_g: float) -> tuple[str, ...]:
    also: list[str] = []
    old, new = before.set_point.celsius, after.set_point.celsius
    if old is not None and new is not None:
        also.append(
            say(
                "It will then start to set near {new} instead of {old}; the pour floor moves with it.",
                new=Degrees(new),
                old=Degrees(old),
            )
        )
    elif new is None:
        also.append(after.set_point.why)
    if scent_g > 0:
        also.append(
            say(
                "The fragrance is then {new} of the whole instead of {old}.",
                new=Share(100 * scent_g / (scent_g + after.mass_g)),
                old=Share(100 * scent_g / (scent_g + before.mass_g)),
            )
        )
    also.append(
        say("There are {grams} more to pour; see that the tins still hold it.",
            grams=Grams(after.mass_g - before.mass_g))
    )  # fmt: skip
    return tuple(also)
