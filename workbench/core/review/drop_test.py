"""Drops of one bottle, counted and weighed."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.core.trouble import Trouble
from workbench.core.units import drops_g
from workbench.core.wording import Count, Grams, Share, say

FEWEST = 10
COARSE = 0.1  # of a drop's mass: beyond it the scale says too little
FAR = 1.6  # times beyond what droppers give


@dataclass(frozen=True, slots=True)
class Drops:
    count: int
    mass_g: float
    readability_g: float
    says: str
    more: tuple[str, ...]

    @property
    def drop_g(self) -> float:
        return self.mass_g / self.count


def weigh_drops(count: float, mass_g: float, readability_g: float, density_g_ml: float | None) -> Drops:
    """Grams of one drop.  Raises Trouble for what cannot be right: too few, too light, far from any dropper."""
    if count < FEWEST or count != round(count):
        raise Trouble(
            say(
                "Count at least {count} whole drops: one alone weighs too little.",
                "Count at least one whole drop.",
                count=Count(FEWEST),
            )
        )
    if mass_g <= 0:
        raise Trouble(say("They weigh something. Look at the scale again."))
    error = readability_g / 12**0.5 * 2**0.5 / mass_g
    if error > COARSE:
        raise Trouble(
            say(
                "On a scale that shows {digit} this is known to {error} only. Count more drops, or use a finer scale.",
                digit=Grams(readability_g, 2),
                error=Share(100 * error, 0),
            )
        )
    typical, least, most = drops_g(count, density_g_ml)
    if not least / FAR <= mass_g <= most * FAR:
        raise Trouble(
            say(
                "{count} drops usually weigh {low} to {high}, not {mass}. Was the scale at zero, and the count right?",
                "{count} drop usually weighs {low} to {high}, not {mass}. Was the scale at zero, and the count right?",
                count=Count(count),
                low=Grams(least, 2),
                high=Grams(most, 2),
                mass=Grams(mass_g, 2),
            )
        )
    return Drops(
        int(count),
        mass_g,
        readability_g,
        say(
            "One drop weighs about {drop}: {count} drops to a gram.",
            "One drop weighs about {drop}: {count} drop to a gram.",
            drop=Grams(mass_g / count, 3),
            count=Count(round(count / mass_g)),
        ),
        (say("Typical droppers give {drop} a drop.", drop=Grams(typical / count, 3)),),
    )
