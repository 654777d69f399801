"""Where people type and read quantities; inside core, numbers carry their unit in the name."""

from workbench.core.units.amounts import (
    DROP_G,
    DROPS_PER_ML,
    DROPS_PER_ML_FEW,
    DROPS_PER_ML_MANY,
    Measure,
    ReadAmount,
    Spoons,
    TemperatureUnit,
    drops_g,
    plain_number,
    read_amount,
    read_mass,
    read_temperature,
)
from workbench.core.units.numbers import Unreadable, read_number
from workbench.core.units.registry import factor, registry
from workbench.core.units.writing import (
    MassUnit,
    Units,
    write_mass,
    write_number,
    write_temperature,
    write_temperature_difference,
    write_value,
    write_volume,
)

__all__ = [
    "DROPS_PER_ML",
    "DROPS_PER_ML_FEW",
    "DROPS_PER_ML_MANY",
    "DROP_G",
    "MassUnit",
    "Measure",
    "ReadAmount",
    "Spoons",
    "TemperatureUnit",
    "Units",
    "Unreadable",
    "drops_g",
    "factor",
    "plain_number",
    "read_amount",
    "read_mass",
    "read_number",
    "read_temperature",
    "registry",
    "write_mass",
    "write_number",
    "write_temperature",
    "write_temperature_difference",
    "write_value",
    "write_volume",
]
