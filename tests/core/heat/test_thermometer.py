"""Probe checks against steam tables."""

from __future__ import annotations

import pytest
from chemicals.iapws import iapws95_Tsat
from hypothesis import given
from hypothesis import strategies as st

from workbench.core.heat.thermometer import boiling_point_c, check_probe, pressure_at_pa, saturation_pa
from workbench.core.trouble import Trouble


@pytest.mark.parametrize(
    ("height_m", "boils_c"),
    # IAPWS-95 saturation line at ICAO standard pressures.
    [(0, 99.974), (500, 98.313), (1000, 96.649), (1500, 94.984), (2000, 93.317), (3000, 89.977)],
)
def test_boiling_point_against_height(height_m: float, boils_c: float) -> None:
    assert boiling_point_c(height_m=height_m) == pytest.approx(boils_c, abs=0.01)
    judged = iapws95_Tsat(pressure_at_pa(height_m)) - 273.15
    assert boiling_point_c(height_m=height_m) == pytest.approx(judged, abs=0.01)


def test_boiling_point_against_air_pressure() -> None:
    for hpa, boils_c in ((950, 98.178), (980, 99.042), (1030, 100.434), (1050, 100.976)):
        assert boiling_point_c(pressure_hpa=hpa) == pytest.approx(boils_c, abs=0.01)
    assert saturation_pa(100.0) == pytest.approx(101_418, rel=1e-3)  # steam tables: 101.42 kPa at 100 °C


@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(0, 2500))
def test_a_checked_probe_reads_right_at_both_points(ice: float, off: float, height: float) -> None:
    boils = boiling_point_c(height_m=height)
    check = check_probe(ice, boils + off, height_m=height)
    assert check.corrected_c(ice) == pytest.approx(0, abs=1e-9)
    assert check.corrected_c(boils + off) == pytest.approx(boils, abs=1e-9)


def test_one_point_gives_an_offset_only() -> None:
    check = check_probe(0.8, None)
    assert (check.slope, check.offset_k) == (1.0, -0.8)
    assert check_probe(None, 99.0).corrected_c(99.0) == pytest.approx(99.974, abs=0.01)
    assert check_probe(0.0, 99.97, pressure_hpa=1013.25).sd_k < check_probe(0.0, 99.97, height_m=0).sd_k


def test_a_broken_probe_or_no_reading_is_trouble() -> None:
    with pytest.raises(Trouble, match="broken"):
        check_probe(7.0, None)
    with pytest.raises(Trouble, match="ice water"):
        check_probe(None, None)
    with pytest.raises(Trouble, match="hPa"):
        boiling_point_c(pressure_hpa=29.92)
    with pytest.raises(Trouble, match="5000"):
        boiling_point_c(height_m=9000)
