"""`balmbook forecast`: when a cooling jug falls to given temperatures, from a file of readings."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from workbench.core.trouble import Trouble
from workbench.core.wording import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.heat.forecast import Forecast
    from workbench.core.recipe.model import Recipe

    Pick = Callable[[Path, str | None], tuple[Recipe, Catalogue]]


def forecast_(words: list[str], pick: Pick) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook forecast",
        description="When a cooling jug falls to given temperatures, from rows of seconds,celsius.",
        epilog="A forecast never replaces a stirred reading before fragrance goes in.",
    )
    parser.add_argument("readings", type=Path, help="CSV: seconds,celsius, since the jug left the heat")
    parser.add_argument("--project", type=Path, required=True, help="a project, or an exported .json")
    parser.add_argument("--recipe", help="needed where the project holds several")
    parser.add_argument("--vessel", help="key or name on the shelf; default: the recipe's")
    parser.add_argument("--mass", help="grams in the jug; default: the recipe's, before fragrance")
    parser.add_argument("--room", help="°C; default: the shelf's, or 21")
    parser.add_argument("--below", action="append", required=True, help="°C; may be given again")
    parser.add_argument("--json", action="store_true", help="one JSON object, for scripts")
    given = parser.parse_args(words)

    from workbench.core.heat.blend import Blend
    from workbench.core.heat.fitting import Reading
    from workbench.core.heat.forecast import forecast
    from workbench.core.recipe.amounts import work_out
    from workbench.core.recipe.composition import Composition
    from workbench.store.tables import read_readings

    below = [_between(text, "--below", -20.0, 200.0) for text in given.below]
    recipe, catalogue = pick(given.project, given.recipe)
    rows = read_readings(given.readings)
    weighed = work_out(recipe, catalogue)
    base = Composition.of(
        {
            line.material: line.weigh_g
            for line in weighed.lines
            if not catalogue.material(line.material).kind.is_scent
        }
    )
    key = given.vessel or recipe.vessel
    vessel = next((each for each in catalogue.shelf.vessels if key in (each.key, each.name)), None)
    if given.vessel is not None and vessel is None:
        raise Trouble(
            say(
                "There is no vessel “{name}” on the shelf. It holds: {names}.",
                name=given.vessel,
                names=", ".join(each.key for each in catalogue.shelf.vessels) or "none",
            )
        )
    mass_g = base.mass_g if given.mass is None else _between(given.mass, "--mass", 1.0, 50_000.0)
    shelf_room = catalogue.shelf.room_c
    room_c = 21.0 if shelf_room is None else shelf_room.value
    if given.room is not None:
        room_c = _between(given.room, "--room", -20.0, 45.0)
    found = forecast(
        [Reading(seconds, celsius) for seconds, celsius in rows],
        Blend.of(base, catalogue, recipe.observed_set_point_c),
        vessel,
        mass_g,
        room_c,
        below=below,
        figures=catalogue.heat,
    )
    report = _report(found, recipe.name, "" if vessel is None else vessel.key, mass_g, room_c)
    if given.json:
        print(json.dumps(report, indent=2, ensure_ascii=False))
    else:
        _print(report)
    return 0


def _between(text: str, name: str, low: float, high: float) -> float:
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


def _report(found: Forecast, recipe: str, vessel: str, mass_g: float, room_c: float) -> dict[str, Any]:
    return {
        "recipe": recipe,
        "below": [
            {
                "celsius": each.below_c,
                "median_s": each.median_s,
                "low80_s": each.low80_s,
                "high80_s": each.high80_s,
            }
            for each in found.crossings
        ],
        "rate_k_min": found.rate_k_min,
        "now_s": found.now_s,
        "now_c": found.now_c,
        "odd_readings": [at + 1 for at in found.odd],
        "assumed": {
            "vessel": vessel,
            "mass_g": mass_g,
            "room_c": room_c,
            "set_point_c": found.set_point_c,
            "stirred": True,
        },
        "says": [str(each) for each in found.says],
    }


def _print(report: dict[str, Any]) -> None:
    for row in report["below"]:
        cells = [
            "later than 4 h" if row[end] is None else f"{row[end]:.0f} s"
            for end in ("median_s", "low80_s", "high80_s")
        ]
        print(f"{row['celsius']:g} °C: {cells[0]} (80 %: {cells[1]} to {cells[2]})")
    print(f"now {report['now_c']:.1f} °C, {report['rate_k_min']:+.2f} K/min")
    for line in report["says"]:
        print(line)
    print("Only a stirred reading lets the fragrance in, never a forecast.")
