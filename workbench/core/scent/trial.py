"""A trial on paper strips: a few drops on the bench, smelled four times, before anything is melted."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Key, Note, Row, Text
from workbench.core.recipe.change import change
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import density_of
from workbench.core.recipe.model import Amount, Measure, Recipe, ScentLine
from workbench.core.scent.paper import STRIP_MOMENTS_S
from workbench.core.trouble import Trouble
from workbench.core.units import drops_g
from workbench.core.wording import say

TRIAL_DROPS = 20  # about a strip's worth, and enough for proportions
Drops = Annotated[int, Field(ge=1, le=500)]
Moment = Annotated[int, Field(ge=0, le=86_400)]


class Trial(Row):
    """One blend in drops for one brief; `words` by seconds after the strip was dipped.

    `begun` is the wall time at which the strip was dipped, with its offset.
    """

    key: Text
    name: Text
    recipe: str = ""  # the recipe it was made for
    drops: dict[Key, Drops] = Field(default_factory=dict)
    begun: datetime | None = None
    words: dict[Moment, Annotated[str, Field(max_length=400)]] = Field(default_factory=dict)

    def elapsed_s(self, now: datetime) -> float | None:
        """Seconds since the strip was dipped; None before, never negative."""
        return None if self.begun is None else max(0.0, (now - self.begun).total_seconds())

    def due(self, now: datetime) -> tuple[int, ...]:
        """Moments that have come and have no line of words yet, in seconds."""
        elapsed = self.elapsed_s(now)
        if elapsed is None:
            return ()
        return tuple(int(at) for at in STRIP_MOMENTS_S if at <= elapsed and not self.words.get(int(at)))

    def next_in_s(self, now: datetime) -> float | None:
        """Seconds until the next moment; None before the start and after the last."""
        elapsed = self.elapsed_s(now)
        coming = [at - elapsed for at in STRIP_MOMENTS_S if elapsed is not None and at > elapsed]
        return min(coming, default=None)


def trial_of(recipe: Recipe, scent: Composition, catalogue: Catalogue, key: str, name: str) -> Trial:
    """A trial of a recipe's scent, its proportions in about twenty whole drops.

    Raises `Trouble` for a recipe without scent.
    """
    counts = {
        portion.material: portion.mass_g / drops_g(1, density_of(portion.material, catalogue.materials))[0]
        for portion in scent.portions
    }
    total = sum(counts.values())
    if total <= 0:
        raise Trouble(say("There is no oil in the scent yet. Add one, or choose the drops here."))
    scale = TRIAL_DROPS / total
    drops = {oil: max(1, round(count * scale)) for oil, count in counts.items()}
    return Trial(key=key, name=name, recipe=recipe.name, drops=drops)


def composition_of(trial: Trial, catalogue: Catalogue) -> Composition:
    """Grams of the drops, typical drops."""
    return Composition.of(
        [(oil, drops_g(count, density_of(oil, catalogue.materials))[0]) for oil, count in trial.drops.items()]
    )


def promoted(trial: Trial, recipe: Recipe, catalogue: Catalogue) -> Recipe:
    """The recipe with the trial's blend as its scent, at the load it had.

    The drops become parts by volume only where every oil is counted, so they
    are kept as drops and scaled to the load as every scent is.  Raises
    `Trouble` for an empty trial.
    """
    if not trial.drops:
        raise Trouble(say("There are no drops in this trial yet. Add an oil."))
    kept = {line.material: line for line in recipe.scent}
    order = (Note.TOP, Note.MIDDLE, Note.BASE)
    lines = []
    for oil, count in trial.drops.items():
        amount = Amount(value=count, measure=Measure.DROPS)
        line = kept.get(oil)
        if line is not None:
            lines.append(line.model_copy(update={"amount": amount}))
        else:
            note = catalogue.material(oil).note or Note.MIDDLE
            lines.append(ScentLine(material=oil, amount=amount, note=note))
    lines.sort(key=lambda line: order.index(line.note))
    return change(recipe, scent=tuple(lines), load_from_scent=False)
