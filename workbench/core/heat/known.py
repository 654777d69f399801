"""Numbers that the heat room falls back on, each with its source.

They belong to no single material.  A value in the catalogue always wins over
one of these.
"""

from __future__ import annotations

from workbench.core.catalogue.model import Confidence, Figure

GAS_CONSTANT_J_MOL_K = 8.314462618  # CODATA 2018, exact
ZERO_C_IN_K = 273.15


def _figure(value: float, confidence: Confidence, source: str) -> Figure:
    return Figure(value=value, source=source, confidence=confidence)


UNDERCOOLING_K = _figure(
    5.0, Confidence.MEMORY, "Waxes start to gel 2 to 8 K below the liquidus, by cooling rate"
)
ABOVE_IDEAL_K = _figure(
    2.0,
    Confidence.DERIVED,
    "Sunflower wax in soybean oil melts at 47 °C (0.5 %) and 65 °C (10 %), Hwang et al., JAOCS 89 (2012) 639, "
    "abstract: 3 to 4 K above the ideal line; half of that is taken, for other waxes are not known",
)
SET_POINT_SD_K = _figure(3.0, Confidence.DERIVED, "Liquidus of a blend 3 to 5 K, undercooling 2 to 8 K")
OBSERVED_SD_K = _figure(1.0, Confidence.DERIVED, "First cloud read with a kitchen probe")
BUTTER_UNDERCOOLING_K = _figure(
    6.0,
    Confidence.SECOND_HAND,
    "Butters crystallise well below their melting range (mango 14.6 to 20 °C against 31 to 35 °C; "
    "Solis-Fuentes 2004)",
)
WAX_FUSION_J_G = _figure(180.0, Confidence.DERIVED, "Beeswax 168 to 206, rice bran 190.5, carnauba 138 J/g")
BUTTER_FUSION_J_G = _figure(105.0, Confidence.MEMORY, "Shea 90 to 110, mango 116, coconut 105 J/g")
WAX_MOLAR_MASS_G_MOL = _figure(680.0, Confidence.DERIVED, "Effective value of beeswax (wax esters)")
OIL_MOLAR_MASS_G_MOL = _figure(880.0, Confidence.DERIVED, "Triolein 885 g/mol")
HYDROCARBON_MOLAR_MASS_G_MOL = _figure(423.0, Confidence.SEEN, "Squalane C30H62")
WAX_ESTER_MOLAR_MASS_G_MOL = _figure(610.0, Confidence.MEMORY, "Jojoba wax esters C40 to C44")
SCENT_MOLAR_MASS_G_MOL = _figure(160.0, Confidence.DERIVED, "Terpenes 136, linalool 154, esters 190 g/mol")
CP_SOLID_KJ_KG_K = _figure(2.0, Confidence.MEMORY, "Waxes and butters 1.9 to 2.4")
CP_LIQUID_KJ_KG_K = _figure(
    2.05, Confidence.DERIVED, "Oils 1.67 to 2.24 at 35 °C (Fasina & Colley 2008), judged 2.05 ± 0.15"
)
GELS_FROM_PERCENT = _figure(
    3.0, Confidence.SECOND_HAND, "Beeswax 3 % in olive and peanut oil (Gels 10 (2024) 214); others 1 to 4 %"
)
BUTTER_HOLDS_FROM_PERCENT = _figure(
    8.0, Confidence.MEMORY, "Spreads keep their shape from roughly 8 to 10 % of solid fat on"
)
DENSITY_SLOPE_G_ML_K = _figure(
    -0.00064,
    Confidence.SECOND_HAND,
    "Triglyceride oils 0.00064 g/cm3 per K (JAOCS 69 (1992), 76 (1999) 1415)",
)
SOLID_DENSITY_SLOPE_G_ML_K = _figure(
    -0.0003, Confidence.MEMORY, "Solid waxes and fats, about half of the melt"
)
LIQUID_OF_SOLID_DENSITY = _figure(
    0.90, Confidence.DERIVED, "Waxes lose 10 to 13 % of their volume from melt to 20 °C"
)
SOLID_CONDUCTIVITY_W_M_K = _figure(0.19, Confidence.MEMORY, "Gelled fat and wax 0.17 to 0.2 W/(m K)")
