from __future__ import annotations

from math import pi, sqrt

import pytest
from chemicals import iapws95_rho
from fluids.geometry import TANK
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from workbench.core.catalogue.shelf import Tin, TinShape
from workbench.core.recipe.tins import (
    box_volume_ml,
    round_volume_ml,
    tin_faults,
    tin_volume_ml,
    water_density_kg_m3,
    water_volume_ml,
)
from workbench.core.trouble import Trouble


def tin(shape: TinShape, **fields: float) -> Tin:
    return Tin.model_validate({"key": "tin", "name": "Small tin", "shape": shape, **fields})


@pytest.mark.parametrize("celsius", [0.01, 4, 10, 15, 18, 20, 22, 25, 30, 35, 40])
def test_water_density_against_iapws(celsius: float) -> None:
    # IAPWS-95, the international formulation for water, in the independent library `chemicals`
    assert water_density_kg_m3(celsius) == pytest.approx(iapws95_rho(celsius + 273.15, 101325), rel=3e-6)


@pytest.mark.parametrize(
    ("celsius", "density"),
    # Kell 1975, J. Chem. Eng. Data 20:97, an older and independent fit on the older scale of
    # temperature, hence the tolerance of 4 parts in a million
    [(15, 999.0996), (18, 998.5956), (20, 998.2041), (22, 997.7705), (25, 997.0449), (30, 995.6473)],
)
def test_water_density_against_kell(celsius: float, density: float) -> None:
    assert water_density_kg_m3(celsius) == pytest.approx(density, rel=4e-6)


def test_water_is_heaviest_at_four_degrees() -> None:
    # Tanaka et al. 2001: maximum of 999.974 950 kg/m3 at 3.983 035 °C
    assert water_density_kg_m3(3.983035) == pytest.approx(999.974950, abs=1e-9)
    assert water_density_kg_m3(3.9) < 999.97495 > water_density_kg_m3(4.1)


def test_water_outside_the_formula_is_refused() -> None:
    for celsius in (-1.0, 41.0):
        with pytest.raises(Trouble, match="0 to 40 °C"):
            water_density_kg_m3(celsius)


@pytest.mark.parametrize(
    ("celsius", "ml_per_g"),
    # The factor Z of gravimetric calibration (ISO 8655-6, annex): 1.0020, 1.0029, 1.0040 and
    # 1.0054 mL per g at 15, 20, 25 and 30 °C and 1013 hPa; the table is recalled from memory, the
    # fifth digit is arithmetic from OIML D 28 air and weights
    [(15, 1.00195), (20, 1.00285), (25, 1.00402), (30, 1.00543)],
)
def test_a_gram_of_water_in_air(celsius: float, ml_per_g: float) -> None:
    assert water_volume_ml(1.0, celsius) == pytest.approx(ml_per_g, abs=1e-5)


def test_a_tin_by_water() -> None:
    assert tin_volume_ml(tin(TinShape.BY_WATER, water_g=14.957, water_c=20)) == pytest.approx(15.0, abs=0.001)


@given(st.floats(10, 200), st.floats(2, 100))
def test_a_cylinder_against_fluids(diameter_mm: float, height_mm: float) -> None:
    tank = TANK(D=diameter_mm / 1000, L=height_mm / 1000, horizontal=False)
    measured = tin(TinShape.ROUND, diameter_mm=diameter_mm, fill_height_mm=height_mm)
    assert tin_volume_ml(measured) == pytest.approx(tank.V_total * 1e6, rel=1e-9)


def test_a_cylinder_by_hand() -> None:
    # Archimedes: 1 cm high and 2 cm across holds pi mL
    assert round_volume_ml(20, 10) == pytest.approx(pi)


def test_a_box_against_integration() -> None:
    length, width, radius, height = 60.0, 40.0, 8.0, 15.0

    def half_width(x: float) -> float:
        inside = max(0.0, abs(x) - (length / 2 - radius))
        return width / 2 - radius + sqrt(radius**2 - inside**2)

    area = 2 * quad(half_width, -length / 2, length / 2, points=[-22.0, 22.0])[0]
    measured = tin(
        TinShape.RECTANGULAR, length_mm=length, width_mm=width, corner_radius_mm=radius, fill_height_mm=height
    )
    assert tin_volume_ml(measured) == pytest.approx(area * height / 1000, rel=1e-7)


@given(st.floats(10, 100), st.floats(5, 50))
def test_a_box_between_a_block_and_a_cylinder(side_mm: float, height_mm: float) -> None:
    assert box_volume_ml(side_mm, side_mm, 0, height_mm) == pytest.approx(side_mm**2 * height_mm / 1000)
    # rounded as far as it goes, a square box is a cylinder
    assert box_volume_ml(side_mm, side_mm, side_mm / 2, height_mm) == pytest.approx(
        round_volume_ml(side_mm, height_mm)
    )


@pytest.mark.parametrize(
    ("faulty", "reasons"),
    [
        (tin(TinShape.ROUND), ("inside diameter", "inside height")),
        (tin(TinShape.RECTANGULAR, length_mm=60), ("inside width", "inside height")),
        (tin(TinShape.BY_WATER), ("Weigh the water",)),
        (tin(TinShape.BY_WATER, water_g=10, water_c=50), ("between 0 and 40 °C",)),
        (
            tin(TinShape.RECTANGULAR, length_mm=60, width_mm=40, corner_radius_mm=21, fill_height_mm=10),
            ("rounder than half its narrow side (20.0 mm)",),
        ),
    ],
)
def test_every_fault_of_a_tin_is_told(faulty: Tin, reasons: tuple[str, ...]) -> None:
    assert len(tin_faults(faulty)) == len(reasons)
    with pytest.raises(Trouble, match="“Small tin”") as trouble:
        tin_volume_ml(faulty)
    for reason in reasons:
        assert reason in str(trouble.value)
