"""What `forecast` and `burst` ask alike: which recipe, which jug, how much in it, which probe, how warm the room."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from workbench.core.trouble import Trouble
from workbench.core.wording import say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.catalogue.shelf import Microwave, Thermometer, Vessel
    from workbench.core.recipe.composition import Composition
    from workbench.core.recipe.model import Recipe

    Pick = Callable[[Path, str | None], tuple[Recipe, Catalogue]]

_Thing = TypeVar("_Thing", "Vessel", "Thermometer", "Microwave")
AS_TYPED = "none"  # readings that were corrected before


def add_jug_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--project", type=Path, required=True, help="a project, or an exported .json")
    parser.add_argument("--recipe", help="needed where the project holds several")
    parser.add_argument("--vessel", help="key or name on the shelf; default: the recipe's")
    parser.add_argument("--mass", help="grams in the jug; default: the recipe's, before fragrance")
    parser.add_argument("--room", help="°C; default: the shelf's, or 21")
    parser.add_argument(
        "--thermometer",
        help="key or name on the shelf: its check corrects what was read, its accuracy counts; default: the "
        f"recipe's, or the only one; “{AS_TYPED}” where the readings are corrected already",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object, for scripts")


@dataclass(frozen=True, slots=True)
class Jug:
    """`base`: what melts, before fragrance and without carrier that is held back."""

    recipe: Recipe
    catalogue: Catalogue
    base: Composition
    vessel: Vessel | None
    mass_g: float
    room_c: float
    room_sd_k: float
    probe: Thermometer | None
    resolution_k: float
    probe_sd_k: float

    @classmethod
    def of(cls, given: argparse.Namespace, pick: Pick) -> Jug:
        """Trouble, in a sentence, for whatever is not on the shelf or out of range."""
        from workbench.core.batch.in_jug import GUESSED_ROOM_SD_K, ROOM_SD_K, USUAL_ROOM_C, probe_sd_k
        from workbench.core.recipe.amounts import work_out
        from workbench.core.recipe.composition import Composition

        recipe, catalogue = pick(given.project, given.recipe)
        shelf = catalogue.shelf
        base = Composition.of(
            {
                line.material: max(line.weigh_g - line.held_back_g, 0.0)
                for line in work_out(recipe, catalogue).lines
                if not catalogue.material(line.material).kind.is_scent
            }
        )
        if given.vessel is None:
            vessel = next((each for each in shelf.vessels if each.key == recipe.vessel), None)
        else:
            vessel = on_shelf(shelf.vessels, given.vessel)
            if vessel is None:
                raise Trouble(
                    say(
                        "There is no vessel “{name}” on the shelf. It holds: {names}.",
                        name=given.vessel[:40],
                        names=keys(shelf.vessels),
                    )
                )
        room_c, room_sd_k = USUAL_ROOM_C, GUESSED_ROOM_SD_K
        if given.room is not None:
            room_c, room_sd_k = between(given.room, "--room", -20.0, 45.0), ROOM_SD_K
        elif shelf.room_c is not None:
            room_c, room_sd_k = shelf.room_c.value, ROOM_SD_K
        probe = _probe(given.thermometer, recipe, catalogue)
        return cls(
            recipe,
            catalogue,
            base,
            vessel,
            base.mass_g if given.mass is None else between(given.mass, "--mass", 1.0, 50_000.0),
            room_c,
            room_sd_k,
            probe,
            0.1 if probe is None else probe.resolution_k,
            probe_sd_k(probe),
        )

    def true_c(self, shown_c: float) -> float:
        """What the thermometer showed, corrected by its own check."""
        return shown_c if self.probe is None else self.probe.slope * shown_c + self.probe.offset_k

    def assumed(self) -> dict[str, Any]:
        """For the report: what the answer rests on."""
        return {
            "vessel": "" if self.vessel is None else self.vessel.key,
            "mass_g": self.mass_g,
            "room_c": self.room_c,
            "thermometer": None
            if self.probe is None
            else {
                "key": self.probe.key,
                "offset_k": self.probe.offset_k,
                "slope": self.probe.slope,
                "resolution_k": self.resolution_k,
            },
            "thermometer_sd_k": self.probe_sd_k,
        }

    def says(self) -> str:
        """The same in a line."""
        vessel = "a glass jug, for none is known" if self.vessel is None else f"“{self.vessel.name}”"
        probe = "an unchecked thermometer"
        if self.probe is not None:
            shift = f"{self.probe.slope:g} × reading {self.probe.offset_k:+g} °C"
            probe = f"“{self.probe.name}” ({shift}, good to {self.probe_sd_k:g} °C)"
        return f"Assumed: {self.mass_g:.0f} g in {vessel}, room {self.room_c:g} °C, {probe}."


def _probe(name: str | None, recipe: Recipe, catalogue: Catalogue) -> Thermometer | None:
    """The one asked for, else the recipe's, else the only one there is."""
    all_ = catalogue.shelf.thermometers
    if name == AS_TYPED:
        return None
    if name is None:
        return catalogue.shelf.thermometer_for(recipe.thermometer)
    asked = on_shelf(all_, name)
    if asked is None:
        raise Trouble(
            say(
                "There is no thermometer “{name}” on the shelf. It holds: {names}.",
                name=name[:40],
                names=keys(all_),
            )
        )
    return asked


def on_shelf(things: Sequence[_Thing], name: str) -> _Thing | None:
    """One thing of the shelf by key or name."""
    return next((each for each in things if name in (each.key, each.name)), None)


def keys(things: Iterable[Vessel | Thermometer | Microwave]) -> str:
    return ", ".join(each.key for each in things) or "none"


def between(text: str, name: str, low: float, high: float) -> float:
    """A plain number in a range; Trouble with a sentence otherwise."""
    try:
        number = float(text)
    except ValueError:
        number = float("nan")
    if not low <= number <= high:
        raise Trouble(
            say(
                "{name} {text}: give a number from {low} to {high}.",
                name=name,
                text=text[:40],
                low=f"{low:g}",
                high=f"{high:g}",
            )
        )
    return number
