"""How much a tin holds to its fill line, from a ruler or from the water it holds."""

from __future__ import annotations

from math import pi

from workbench.core.catalogue.shelf import Tin, TinShape
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import Degrees, Millimetres, say

# Weighing in ordinary air with steel or brass weights: the air lifts the water more than the
# weights.  Conventional values of OIML D 28: air 1.2 kg/m3, weights 8000 kg/m3.
AIR_KG_M3 = 1.2
WEIGHTS_KG_M3 = 8000.0
WARMEST_WATER_C = 40.0


def water_density_kg_m3(celsius: float) -> float:
    """Density of air-free water at 1013.25 hPa, 0 to 40 °C, to a few parts in a million.

    Tanaka, Girard, Davis, Peuto and Bignell, Metrologia 38 (2001) 301.  Raises
    `Trouble` outside that range.
    """
    if not 0.0 <= celsius <= WARMEST_WATER_C:
        raise Trouble(
            say(
                "The density of water is known here from 0 to 40 °C, not at {water}. Weigh the tin with water from the tap.",
                water=Degrees(celsius),
            )
        )
    t = celsius
    return 999.974950 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def water_volume_ml(water_g: float, celsius: float) -> float:
    """Volume of water that a scale shows as `water_g`, buoyancy of the air included."""
    density = water_density_kg_m3(celsius)
    return 1000.0 * water_g * (1 - AIR_KG_M3 / WEIGHTS_KG_M3) / (density - AIR_KG_M3)


def round_volume_ml(diameter_mm: float, height_mm: float) -> float:
    return pi / 4 * diameter_mm**2 * height_mm / 1000


def box_volume_ml(length_mm: float, width_mm: float, corner_radius_mm: float, height_mm: float) -> float:
    """An upright box whose four standing edges are rounded."""
    return (length_mm * width_mm - (4 - pi) * corner_radius_mm**2) * height_mm / 1000


def tin_faults(tin: Tin) -> tuple[Fault, ...]:
    """Everything that keeps a tin from having a volume, in sentences."""
    needed = {
        TinShape.ROUND: ("diameter_mm", "fill_height_mm"),
        TinShape.RECTANGULAR: ("length_mm", "width_mm", "fill_height_mm"),
        TinShape.BY_WATER: ("water_g",),
    }[tin.shape]
    words = {
        "diameter_mm": say("Measure the inside diameter in mm."),
        "fill_height_mm": say("Measure the inside height up to the fill line in mm."),
        "length_mm": say("Measure the inside length in mm."),
        "width_mm": say("Measure the inside width in mm."),
        "water_g": say("Weigh the water that fills it to the fill line, in g."),
    }
    faults = [Fault(tin.name, words[name]) for name in needed if getattr(tin, name) is None]
    if tin.shape is TinShape.RECTANGULAR and tin.length_mm and tin.width_mm:
        widest = min(tin.length_mm, tin.width_mm) / 2
        if tin.corner_radius_mm > widest:
            faults.append(
                Fault(
                    tin.name,
                    say(
                        "Its corners cannot be rounder than half its narrow side ({widest}). Measure the radius again.",
                        widest=Millimetres(widest),
                    ),
                )
            )
    if tin.shape is TinShape.BY_WATER and tin.water_c > WARMEST_WATER_C:
        faults.append(
            Fault(
                tin.name,
                say("Weigh it with water between 0 and 40 °C, not at {water}.", water=Degrees(tin.water_c)),
            )
        )
    return tuple(faults)


def tin_volume_ml(tin: Tin) -> float:
    """Inside volume to the fill line.  Raises `Trouble` with every fault of the tin."""
    faults = tin_faults(tin)
    if faults:
        raise Trouble(say("What “{tin}” holds cannot be worked out yet.", tin=tin.name), faults)
    if tin.shape is TinShape.ROUND:
        return round_volume_ml(_known(tin.diameter_mm), _known(tin.fill_height_mm))
    if tin.shape is TinShape.RECTANGULAR:
        return box_volume_ml(
            _known(tin.length_mm), _known(tin.width_mm), tin.corner_radius_mm, _known(tin.fill_height_mm)
        )
    return water_volume_ml(_known(tin.water_g), tin.water_c)


def _known(value: float | None) -> float:
    assert value is not None  # tin_faults has looked
    return value
