"""How a warm surface loses heat to a kitchen: correlations and full radiation.

Vertical wall: Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1323.
Horizontal plate facing up: Nu = 0.54 Ra^0.25, facing down 0.27 Ra^0.25, with
L = area / perimeter (Lloyd & Moran, J. Heat Transfer 96 (1974) 443).
Air properties by simple fits around room temperature, ±1 % from 10 to 90 °C.
The forecast does not use these: it has a lumped law of its own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float64]

GRAVITY_M_S2 = 9.80665
STEFAN_BOLTZMANN_W_M2_K4 = 5.670374419e-8
PRANDTL = 0.705


def _air(film_k: Field) -> tuple[Field, Field]:
    """Conductivity in W/(m K) and kinematic viscosity in m²/s of air at 1 bar."""
    conductivity = 0.0262 * (film_k / 300.0) ** 0.86
    viscosity = 15.9e-6 * (film_k / 300.0) ** 1.76
    return np.asarray(conductivity), np.asarray(viscosity)


def _rayleigh(wall_c: Field, air_c: Field, length_m: Field) -> tuple[Field, Field]:
    film_k = (wall_c + air_c) / 2 + 273.15
    conductivity, viscosity = _air(film_k)
    difference = np.maximum(np.abs(wall_c - air_c), 0.01)
    rayleigh = GRAVITY_M_S2 / film_k * difference * length_m**3 / viscosity**2 * PRANDTL
    return np.asarray(rayleigh), conductivity


def vertical_w_m2_k(wall_c: Field, air_c: Field, height_m: Field) -> Field:
    """Free convection at an upright wall of this height, W/(m² K)."""
    rayleigh, conductivity = _rayleigh(wall_c, air_c, height_m)
    shape = (1 + (0.492 / PRANDTL) ** (9 / 16)) ** (8 / 27)
    nusselt = (0.825 + 0.387 * rayleigh ** (1 / 6) / shape) ** 2
    return np.asarray(nusselt * conductivity / height_m)


def facing_up_w_m2_k(wall_c: Field, air_c: Field, diameter_m: Field) -> Field:
    """Free convection at the warm top of a round thing of this diameter, W/(m² K)."""
    length = diameter_m / 4
    rayleigh, conductivity = _rayleigh(wall_c, air_c, length)
    return np.asarray(0.54 * rayleigh**0.25 * conductivity / length)


def radiation_w_m2(wall_c: Field, room_c: Field, emissivity: Field) -> Field:
    """Net radiation of a small thing in a large room, W/m²."""
    hot, cold = wall_c + 273.15, room_c + 273.15
    return np.asarray(emissivity * STEFAN_BOLTZMANN_W_M2_K4 * (hot**4 - cold**4))
