"""Jugs and tins as round things: how wide, how high filled, how much wall."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.core.catalogue.shelf import Tin, TinShape, Vessel, VesselMaterial


@dataclass(frozen=True, slots=True)
class Wall:
    """A vessel wall as it usually is.  Handbook values recalled, not verified."""

    thickness_m: float
    density_kg_m3: float
    capacity_j_kg_k: float
    conductivity_w_m_k: float
    emissivity: float


# Thermal data of common engineering materials, recalled from handbook tables (memory).
WALLS = {
    VesselMaterial.GLASS: Wall(0.0025, 2230, 835, 1.1, 0.90),
    VesselMaterial.STEEL: Wall(0.0008, 7900, 500, 15.0, 0.25),
    VesselMaterial.PLASTIC: Wall(0.0018, 910, 1900, 0.20, 0.92),
    VesselMaterial.CERAMIC: Wall(0.0040, 2400, 900, 1.5, 0.90),
}
TIN_PLATE = Wall(0.00025, 7850, 480, 50.0, 0.30)


@dataclass(frozen=True, slots=True)
class Round:
    """A filled cylinder, in m; `wall_j_m2_k` is heat capacity of wall per area touched by balm."""

    radius_m: float
    height_m: float
    rim_m: float  # wall above the filling
    wall_j_m2_k: float
    wall_m2_k_w: float
    emissivity: float

    @property
    def side_m2(self) -> float:
        return 2 * math.pi * self.radius_m * self.height_m

    @property
    def top_m2(self) -> float:
        return math.pi * self.radius_m**2

    @property
    def wall_j_k(self) -> float:
        """Heat capacity of the wall that touches balm."""
        return self.wall_j_m2_k * (self.side_m2 + self.top_m2)

    @property
    def volume_ml(self) -> float:
        return self.top_m2 * self.height_m * 1e6


def jug(vessel: Vessel | None, volume_ml: float) -> Round:
    """A vessel with this much balm in it.  Without a vessel: glass, two and a half times as large."""
    holds = 2.5 * volume_ml if vessel is None else max(vessel.holds_ml, volume_ml)
    if vessel is not None and vessel.inner_diameter_mm is not None:
        radius = vessel.inner_diameter_mm / 2000
    else:
        radius = (holds * 1e-6 / (2.2 * math.pi)) ** (1 / 3)  # a beaker is a little higher than wide
    top = math.pi * radius**2
    height, full = volume_ml * 1e-6 / top, holds * 1e-6 / top
    wall = WALLS[VesselMaterial.GLASS if vessel is None else vessel.material]
    area = 2 * math.pi * radius * full + top
    kg_m2 = wall.thickness_m * wall.density_kg_m3
    if vessel is not None and vessel.empty_g is not None:
        kg_m2 = vessel.empty_g / 1000 / area
    return Round(
        radius,
        height,
        max(full - height, 0.0),
        kg_m2 * wall.capacity_j_kg_k,
        wall.thickness_m / wall.conductivity_w_m_k,
        wall.emissivity,
    )


def tin_round(tin: Tin, volume_ml: float) -> Round:
    """A tin with this much balm in it, as a cylinder of the same cross-section."""
    if tin.shape is TinShape.ROUND and tin.diameter_mm is not None:
        top = math.pi * (tin.diameter_mm / 2000) ** 2
    elif tin.length_mm is not None and tin.width_mm is not None:
        corner = (4 - math.pi) * tin.corner_radius_mm**2
        top = (tin.length_mm * tin.width_mm - corner) * 1e-6
    else:  # only the water it holds is known: as high as its radius
        volume = (tin.water_g or volume_ml) * 1e-6
        top = math.pi * (volume / math.pi) ** (2 / 3)
    radius = math.sqrt(top / math.pi)
    wall = TIN_PLATE if tin.metal else WALLS[VesselMaterial.GLASS]
    height = volume_ml * 1e-6 / top
    return Round(
        radius,
        height,
        0.2 * height,
        wall.thickness_m * wall.density_kg_m3 * wall.capacity_j_kg_k,
        wall.thickness_m / wall.conductivity_w_m_k,
        wall.emissivity,
    )
