"""`balmbook forecast`: when a cooling jug falls to given temperatures, from a file of readings."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from workbench.cli.jug import Jug, add_jug_options, between

if TYPE_CHECKING:
    from workbench.cli.jug import Pick
    from workbench.core.heat.forecast import Forecast


def forecast_(words: list[str], pick: Pick) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook forecast",
        description="When a cooling jug falls to given temperatures, from rows of seconds,celsius.",
        epilog="A forecast never replaces a stirred reading before fragrance goes in.",
    )
    parser.add_argument("readings", type=Path, help="CSV: seconds,celsius, since the jug left the heat")
    add_jug_options(parser)
    parser.add_argument("--below", action="append", required=True, help="°C; may be given again")
    given = parser.parse_args(words)

    from workbench.core.heat.blend import Blend
    from workbench.core.heat.fitting import Reading
    from workbench.core.heat.forecast import forecast
    from workbench.store.tables import read_readings

    below = [between(text, "--below", -20.0, 200.0) for text in given.below]
    jug = Jug.of(given, pick)
    found = forecast(
        [Reading(seconds, jug.true_c(shown_c)) for seconds, shown_c in read_readings(given.readings)],
        Blend.of(jug.base, jug.catalogue, jug.recipe.observed_set_point_c),
        jug.vessel,
        jug.mass_g,
        jug.room_c,
        below=below,
        room_sd_k=jug.room_sd_k,
        resolution_k=jug.resolution_k,
        probe_sd_k=jug.probe_sd_k,
        figures=jug.catalogue.heat,
    )
    report = _report(found, jug)
    if given.json:
        print(json.dumps(report, indent=2, ensure_ascii=False))
    else:
        _print(report)
        print(jug.says())
    return 0


def _report(found: Forecast, jug: Jug) -> dict[str, Any]:
    return {
        "recipe": jug.recipe.name,
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
        "assumed": {**jug.assumed(), "set_point_c": found.set_point_c, "stirred": True},
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
