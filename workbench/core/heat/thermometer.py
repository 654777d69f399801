"""Checking a probe: the ice point and the boiling point at one's own height or air pressure.

Boiling point: the saturation line of water of Wagner & Pruss, J. Phys. Chem.
Ref. Data 22 (1993) 783 (IAPWS), solved for temperature.  Pressure at a height:
ICAO standard atmosphere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.core.heat.root import rising_root
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Kelvins, say

STANDARD_PA = 101_325.0
ICE_POINT_C = 0.0
WEATHER_K = 0.8  # what the weather does to the boiling point where only the height is known
FAR_OFF_K = 5.0
UNLIKE_K = 2.0  # judged: a sound probe is off by nearly the same at both ends

_CRITICAL_K = 647.096
_CRITICAL_PA = 22.064e6
_TERMS = (
    (1.0, -7.85951783),
    (1.5, 1.84408259),
    (3.0, -11.7866497),
    (3.5, 22.6807411),
    (4.0, -15.9618719),
    (7.5, 1.80122502),
)


def saturation_pa(celsius: float) -> float:
    """Vapour pressure of water, Pa; 0 to 370 °C, within 0.1 %."""
    kelvin = celsius + 273.15
    rest = 1 - kelvin / _CRITICAL_K
    return _CRITICAL_PA * math.exp(
        _CRITICAL_K / kelvin * sum(factor * rest**power for power, factor in _TERMS)
    )


def pressure_at_pa(height_m: float) -> float:
    """Standard air pressure at a height above sea level, -500 to 5000 m; Trouble outside."""
    if not -500 <= height_m <= 5000:
        raise Trouble(say("Heights from -500 to 5000 m are understood. Enter yours."))
    return float(STANDARD_PA * (1 - 2.25577e-5 * height_m) ** 5.25588)


def boiling_point_c(*, height_m: float | None = None, pressure_hpa: float | None = None) -> float:
    """Boiling point of water in °C by air pressure at the place, or else by height above the sea."""
    if pressure_hpa is not None:
        if not 500 <= pressure_hpa <= 1100:
            raise Trouble(
                say("Air pressure at your place lies between 500 and 1100 hPa. Look at the reading again.")
            )
        pascals = pressure_hpa * 100
    else:
        pascals = pressure_at_pa(0.0 if height_m is None else height_m)
    return rising_root(lambda celsius: saturation_pa(celsius) - pascals, 50.0, 120.0)


@dataclass(frozen=True, slots=True)
class ProbeCheck:
    """Corrected = slope x raw + offset, °C; `sd_k` of a corrected reading around 60 °C."""

    offset_k: float
    slope: float
    sd_k: float
    says: str
    warns: tuple[str, ...] = ()

    def corrected_c(self, raw_c: float) -> float:
        return self.slope * raw_c + self.offset_k


def check_probe(
    ice_c: float | None,
    boiling_c: float | None,
    *,
    height_m: float | None = None,
    pressure_hpa: float | None = None,
    resolution_k: float = 0.1,
) -> ProbeCheck:
    """Offset and slope from what the probe showed in ice water and in boiling water.

    One of the two alone gives an offset only.  Raises Trouble where neither is given or the probe is more
    than 5 K off: such a probe is replaced, not corrected.
    """
    if ice_c is None and boiling_c is None:
        raise Trouble(say("Read the probe in ice water, in boiling water, or both."))
    boils = boiling_point_c(height_m=height_m, pressure_hpa=pressure_hpa)
    for shown, true in ((ice_c, ICE_POINT_C), (boiling_c, boils)):
        if shown is not None and abs(shown - true) > FAR_OFF_K:
            raise Trouble(
                say(
                    "The probe shows {shown} where it should show {true}. It is broken, or the water was "
                    "not icy or not boiling. Repeat the check, or use another probe.",
                    shown=Degrees(shown),
                    true=Degrees(true),
                )
            )
    warns: tuple[str, ...] = ()
    if ice_c is not None and boiling_c is not None:
        off_ice, off_boil = ice_c - ICE_POINT_C, boiling_c - boils
        if abs(off_boil - off_ice) > UNLIKE_K:
            warns = (
                say(
                    "The two do not fit: it is off by {ice} in ice and by {boil} at the boil. Repeat both; if it "
                    "comes out like this again, the probe is broken. Use another one.",
                    ice=Kelvins(off_ice),
                    boil=Kelvins(off_boil),
                ),
            )
    reading = math.hypot(0.15, resolution_k / math.sqrt(12))
    weather = 0.1 if pressure_hpa is not None else WEATHER_K / 2
    if ice_c is not None and boiling_c is not None:
        slope = (boils - ICE_POINT_C) / (boiling_c - ice_c)
        offset = ICE_POINT_C - slope * ice_c
        share = 60.0 / boils
        sd = math.hypot((1 - share) * reading, share * math.hypot(reading, weather))
    elif ice_c is not None:
        slope, offset, sd = 1.0, ICE_POINT_C - ice_c, math.hypot(reading, 0.3)
    else:
        assert boiling_c is not None
        slope, offset, sd = 1.0, boils - boiling_c, math.hypot(math.hypot(reading, weather), 0.2)
    at_60 = slope * 60 + offset - 60
    return ProbeCheck(
        offset,
        slope,
        sd,
        say(
            "Water boils at {boils} at your place. Around {warm} this probe is corrected by {by}, good to {sd}.",
            boils=Degrees(boils),
            warm=Degrees(60.0, 0),
            by=Kelvins(at_60),
            sd=Kelvins(1.28 * sd),
        ),
        warns,
    )
