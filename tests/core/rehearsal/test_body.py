"""The simulated bodies against closed forms and an independent library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from ht.conv_free_immersed import Nu_vertical_plate_Churchill
from ht.radiation import q_rad
from scipy.optimize import brentq
from scipy.special import erf, erfc

from workbench.core.rehearsal import air
from workbench.core.rehearsal.body import Around, Bodies, Field, Material, Shape


def one(value: float) -> Field:
    return np.array([float(value)])


def wax(melt_c: float, latent: float, capacity: float, density: float, **more: float | bool) -> Material:
    grid = np.arange(0.0, 100.0, 0.1)
    bound = np.where(grid < melt_c, latent, 0.0)[None, :]
    return Material(
        grid_c=grid,
        bound_j_kg=bound,
        solid=bound / max(latent, 1.0),
        capacity_j_kg_k=one(capacity),
        density_kg_m3=one(density),
        set_c=one(melt_c),
        catch_up_s=one(0.2),
        **more,  # type: ignore[arg-type]
    )


def shape(radius: float, height: float, **more: float) -> Shape:
    values = {
        "wall_j_m2_k": 0.0,
        "wall_m2_k_w": 0.0,
        "emissivity_wall": 0.9,
        "collar": 1.0,
        "base_w_m2_k": 1e-9,
        "table_j_k": 1e6,
        **more,
    }
    return Shape(
        radius_m=one(radius), height_m=one(height), **{key: one(value) for key, value in values.items()}
    )


def neumann(ti: float) -> float:
    """Two-phase Neumann solution, one density (Carslaw & Jaeger, Conduction of Heat in Solids, 11.2)."""
    ks, kl, rho, cs, cl, latent, ts, tm = 0.25, 0.17, 900.0, 2000.0, 2200.0, 2e5, 20.0, 62.0
    a_s, a_l = ks / rho / cs, kl / rho / cl
    nu = math.sqrt(a_s / a_l)

    def rest(x: float) -> float:
        solid = cs * (tm - ts) / latent * math.exp(-x * x) / erf(x)
        liquid = cl * (ti - tm) / latent / nu * math.exp(-((nu * x) ** 2)) / erfc(nu * x)
        return float(solid - liquid - x * math.sqrt(math.pi))

    return 2 * brentq(rest, 0.01, 2) * math.sqrt(a_s * 1800)


def test_freezing_half_space_meets_neumann() -> None:
    expected = neumann(62.0)
    # The published constant for this case: front at 13.613 mm after 30 min.
    assert expected == pytest.approx(0.013613, rel=1e-3)
    material = wax(62.0, 2e5, 2000.0, 900.0, melt_w_m_k=0.17, gel_w_m_k=0.25, still=True)
    body = Bodies(material, shape(50.0, 0.05, collar=0.0), one(62.05), rows=60, rings=1)
    around = Around(room_c=one(20.0), draught=one(0.0), bath_c=one(20.0), bath_w_m2_k=1e7)
    for _ in range(3600):
        body.step(0.5, around)
    share = (body.given[0, :, 0] / 2e5).sum() * 0.05 / 60
    assert share == pytest.approx(expected, rel=0.02)


def test_a_small_stirred_body_cools_as_the_lumped_law_says() -> None:
    # Lumped closed form: T = Ta + (T0 - Ta) exp(-t/tau), by a bath of constant temperature.
    material = wax(-5.0, 0.0, 2050.0, 900.0)
    body = Bodies(material, shape(0.02, 0.03, collar=0.0), one(80.0))
    around = Around(one(20.0), one(1.0), bath_c=one(20.0), bath_w_m2_k=10.0, stirred=one(1.0))
    area = 2 * math.pi * 0.02 * 0.03 + math.pi * 0.02**2
    tau = math.pi * 0.02**2 * 0.03 * 900 * 2050 / (10.0 * area)
    for _ in range(1200):
        body.step(0.5, around)
    assert body.mean_c[0] == pytest.approx(20 + 60 * math.exp(-600 / tau), abs=0.4)


def test_heat_is_neither_made_nor_lost() -> None:
    material = wax(55.0, 5e4, 2050.0, 900.0)
    body = Bodies(material, shape(0.03, 0.03, collar=0.0, base_w_m2_k=1e-12), one(60.0))
    put_in = np.zeros((1, 8, 8))
    put_in[0, 4, 2] = 3.0
    still = Around(one(20.0), one(0.0), bath_c=one(20.0), bath_w_m2_k=1e-12, inside_w=put_in)
    before = body.heat_j()[0]
    for _ in range(400):
        body.step(0.5, still)
    assert body.heat_j()[0] - before == pytest.approx(600.0, rel=1e-6)


def test_halving_cells_and_steps_changes_little() -> None:
    def to_45(rows: int, dt_s: float) -> float:
        material = wax(50.0, 3e4, 2050.0, 900.0)
        material.catch_up_s[0] = 30.0
        body = Bodies(
            material, shape(0.03, 0.035, base_w_m2_k=15.0, table_j_k=150.0), one(80.0), rows=rows, rings=rows
        )
        around = Around(one(21.0), one(1.0))
        now = 0.0
        while body.mean_c[0] > 45:
            body.step(dt_s, around)
            now += dt_s
        return now

    assert to_45(8, 1.0) == pytest.approx(to_45(12, 0.5), rel=0.01)


def test_wall_convection_and_radiation_against_ht() -> None:
    # `ht` 1.2 and the 1976 standard atmosphere of `fluids` are the judges.
    length, wall, room = 0.06, 80.0, 20.0
    film = (wall + room) / 2 + 273.15
    air_k = ATMOSPHERE_1976.thermal_conductivity(film)
    nu = ATMOSPHERE_1976.viscosity(film) / ATMOSPHERE_1976.density(film, 101325.0)
    rayleigh = 9.80665 / film * (wall - room) * length**3 / nu**2 * 0.7011
    judged = Nu_vertical_plate_Churchill(0.7011, rayleigh / 0.7011) * air_k / length
    ours = air.vertical_w_m2_k(one(wall), one(room), one(length))[0]
    assert ours == pytest.approx(judged, rel=0.03)
    assert ours == pytest.approx(7.427, rel=0.03)
    assert air.radiation_w_m2(one(80), one(20), one(0.85))[0] == pytest.approx(
        q_rad(0.85, 353.15, 293.15), rel=1e-5
    )
    # Top of a beaker, 60 mm: 11.5 W/m2K by the same library's horizontal plate (L = D/4).
    assert air.facing_up_w_m2_k(one(80), one(20), one(0.06))[0] == pytest.approx(11.5, rel=0.08)
