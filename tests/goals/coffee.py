"""Black coffee cooling in a cup, as published.

Gould and Tobochnik, An Introduction to Computer Simulation Methods: 0 to 46 min
every 2 min, room 17 °C.  Water evaporates, wax does not: nothing is tuned to it.
"""

from __future__ import annotations

import numpy as np

from tests.goals.scoring import newton_s
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Figure, Material, MaterialKind
from workbench.core.catalogue.shelf import Vessel, VesselMaterial
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import Reading, forecast
from workbench.core.recipe.composition import Composition

BLACK_C = (
    82.3, 78.5, 74.3, 70.7, 67.6, 65.0, 62.5, 60.1, 58.1, 56.1, 54.3, 52.8,
    51.2, 49.9, 48.6, 47.2, 46.1, 45.0, 43.9, 43.0, 41.9, 41.0, 40.1, 39.5,
)  # fmt: skip
ROOM_C = 17.0
FIRST_S = 600.0
TARGET_C = 50.0


def _water() -> Catalogue:
    def figure(value: float) -> Figure:
        return Figure(value=value, source="steam tables", confidence=Confidence.SEEN)

    water = Material(
        key="water",
        name="Water",
        kind=MaterialKind.CARRIER,
        density_g_ml=figure(0.998),
        cp_liquid_kj_kg_k=figure(4.186),
    )
    return Catalogue({"water": water}, {}, (), (), {}, {})


def coffee() -> tuple[float, float, float]:
    """Relative errors (of what remained) of the forecast and of Newton's law, and the true time to 50 °C."""
    times = np.arange(len(BLACK_C), dtype=np.float64) * 120.0
    celsius = np.array(BLACK_C)
    truth = float(np.interp(-TARGET_C, -celsius, times))
    first = times <= FIRST_S
    given = [Reading(float(t), float(c)) for t, c in zip(times[first], celsius[first], strict=True)]
    blend = Blend.of(Composition.of({"water": 200.0}), _water())
    cup = Vessel(key="cup", name="Cup", material=VesselMaterial.CERAMIC, holds_ml=250)
    made = forecast(given, blend, cup, 200.0, ROOM_C, below=[TARGET_C], room_sd_k=0.5)
    found = made.crossings[0].median_s
    assert found is not None
    newton = newton_s(times[first], celsius[first], ROOM_C, TARGET_C)
    left = truth - FIRST_S
    return (found - truth) / left, (newton - truth) / left, truth
