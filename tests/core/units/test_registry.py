"""The registry is late, small and pure."""

from __future__ import annotations

import subprocess
import sys

import pytest

from workbench.core.units.registry import factor, from_celsius, in_celsius, registry


def test_pint_is_not_imported_before_a_unit_is_typed() -> None:
    script = (
        "import sys\n"
        "from workbench.core.units import Units, read_mass, read_number, read_temperature, write_mass\n"
        "read_number('1,3'), read_mass('2.5 g'), read_temperature('60'), write_mass(2.5, Units())\n"
        "assert 'pint' not in sys.modules, 'pint was imported'\n"
        "read_mass('1 oz')\n"
        "assert 'pint' in sys.modules\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_there_is_one_registry() -> None:
    assert registry() is registry()
    assert factor("us_gallon", "us_teaspoon") == pytest.approx(768)
    assert factor("pound", "ounce") == pytest.approx(16)


def test_only_our_units_are_known() -> None:
    assert "metre" not in registry()
    assert "teaspoon" not in registry()  # always somebody's teaspoon


@pytest.mark.parametrize("celsius", [-40.0, 0.0, 36.6, 60.0, 95.0])
def test_temperatures_there_and_back(celsius: float) -> None:
    for unit in ("degree_celsius", "degree_fahrenheit", "kelvin"):
        assert in_celsius(from_celsius(celsius, unit), unit) == pytest.approx(celsius, abs=1e-8)
