"""What is known about materials: typed rows, each value with its source.

A `Figure` is never a bare number: it says where it was read and how far it
can be trusted.  Units stand in the field names (`_g_ml`, `_c`, `_percent`).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

Key = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(_[a-z0-9]+)*$", max_length=60)]
Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Celsius = Annotated[float, Field(ge=-100, le=700, allow_inf_nan=False)]


class Row(BaseModel):
    """Base of every table row: frozen, and a misspelt field is a fault."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


class Confidence(StrEnum):
    """How a value was come by; `MEMORY` must look different wherever it is shown."""

    SEEN = "seen"  # read in the source that is named
    SECOND_HAND = "seen-2nd"  # read in a copy or a quotation of it
    DERIVED = "derived"  # arithmetic on other values
    MEMORY = "memory"  # recalled, not verified
    SUPPLIER = "supplier"  # typed in by the user from the supplier's papers


class Figure(Row):
    """One number with its source."""

    value: Annotated[float, Field(allow_inf_nan=False)]
    source: Text
    confidence: Confidence


class Span(Row):
    """A range with its source, e.g. a melting range; `low <= high`."""

    low: Annotated[float, Field(allow_inf_nan=False)]
    high: Annotated[float, Field(allow_inf_nan=False)]
    source: Text
    confidence: Confidence

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low > self.high:
            raise ValueError("the low end lies above the high end; swap them")
        return self


class Wording(Row):
    """A name or number in words (INCI, CAS) with its source."""

    text: Text
    source: Text
    confidence: Confidence


class MaterialKind(StrEnum):
    WAX = "wax"
    BUTTER = "butter"
    CARRIER = "carrier oil"
    OIL = "perfumery oil"
    RESIN = "resin or absolute"
    BLEND = "bought blend"  # composition often unknown
    LEFTOVER = "leftover balm"  # from an earlier batch, with its composition as made
    ADDITIVE = "additive"  # e.g. tocopherol

    @property
    def is_scent(self) -> bool:
        return self in (MaterialKind.OIL, MaterialKind.RESIN, MaterialKind.BLEND)

    @property
    def is_base(self) -> bool:
        return not self.is_scent and self is not MaterialKind.LEFTOVER


class Note(StrEnum):
    TOP = "top"
    MIDDLE = "middle"
    BASE = "base"


class Content(Row):
    """One constituent of an oil, per cent by mass.

    `percent` is the typical share (used for scent and flash point);
    `percent_max` the most that is to be expected (used for limits and labels).
    """

    constituent: Key
    percent: Percent
    percent_max: Percent | None = None
    source: Text
    confidence: Confidence
    max_source: str = ""  # where `percent_max` comes from, if elsewhere
    max_confidence: Confidence | None = None

    @property
    def most(self) -> float:
        return self.percent if self.percent_max is None else max(self.percent, self.percent_max)


class SolidFat(Row):
    """Solid share of a butter in per cent of itself, by temperature in °C, falling with it."""

    points: Annotated[tuple[tuple[Celsius, Percent], ...], Field(min_length=2)]
    source: Text
    confidence: Confidence

    @model_validator(mode="after")
    def _falling(self) -> Self:
        pairs = list(zip(self.points, self.points[1:], strict=False))
        if any(b[0] <= a[0] or b[1] > a[1] for a, b in pairs):
            raise ValueError("the temperatures must rise and the solid share must not; sort the points")
        return self


class PartOf(Row):
    """One material in a leftover or a premix, as a share by mass of the whole."""

    material: Key
    share_percent: Percent


class Material(Row):
    """Anything that can go into the jug.

    Values that are not known are None, never guessed.  `holding_limit_c` is
    the highest temperature at which the material may stand; `flash_point_c`
    the lowest plausible closed-cup flash point.
    """

    key: Key
    name: Text
    kind: MaterialKind
    botanical: str = ""
    inci: Wording | None = None
    cas: Wording | None = None
    density_g_ml: Figure | None = None  # at 20 °C
    melting_c: Span | None = None
    holding_limit_c: Figure | None = None
    flash_point_c: Figure | None = None
    # heat
    density_liquid_g_ml: Figure | None = None
    density_liquid_at_c: float | None = None
    density_slope_g_ml_k: Figure | None = None
    cp_solid_kj_kg_k: Figure | None = None
    cp_liquid_kj_kg_k: Figure | None = None
    heat_of_fusion_j_g: Figure | None = None
    molar_mass_g_mol: Figure | None = None
    gels_from_percent: Figure | None = None  # waxes: least share of the whole that still sets an oil
    beeswax_worth: Figure | None = None  # waxes: grams of beeswax that stiffen like one gram of it
    solid_fat: SolidFat | None = None  # butters: how much of it is solid at each temperature
    # scent and skin
    note: Note | None = None
    composition: tuple[Content, ...] = ()
    restricted_as: tuple[Key, ...] = ()  # keys of whole-material limits (bergamot_expressed, ylang, ...)
    own_allergen: str = ""  # label word of the oil itself, e.g. "Lavandula Oil/Extract"
    peroxide_limit_mmol_l: Figure | None = None  # raw-material rule (citrus 20, conifer 10)
    carrier_family: str = ""  # "triglyceride", "wax ester" or "hydrocarbon", for the scent model
    made_of: tuple[PartOf, ...] = ()  # leftovers and premixes
    may_be_declared_by_certificate: bool = False
    remark: str = ""

    @model_validator(mode="after")
    def _sums(self) -> Self:
        total = sum(part.percent for part in self.composition)
        if total > 100.5:
            raise ValueError(f"the composition adds up to {total:.1f} %; it may not pass 100 %")
        if self.made_of and abs(sum(part.share_percent for part in self.made_of) - 100) > 0.01:
            raise ValueError("the parts it is made of do not add up to 100 %")
        return self

    @property
    def composition_known(self) -> bool:
        return bool(self.composition) or self.kind.is_base or bool(self.made_of)


class Constituent(Row):
    """One pure substance in oils."""

    key: Key
    name: Text
    cas: str
    family: str = ""  # MTH, alcohol, ... as in the source table
    molar_mass_g_mol: Figure
    psat25_pa: Figure | None = None  # of the (subcooled) liquid at 25 °C
    psat25_uncertainty_factor: float = 3.0
    dhvap_kj_mol: Figure | None = None
    flash_point_c: Figure | None = None
    unifac: dict[str, int] = Field(default_factory=dict)  # original UNIFAC subgroup id -> count
    odour_threshold_mg_m3: Figure | None = None
    intensity_max: float | None = None  # logistic dose-response, 0..100
    intensity_log_c_half: float | None = None  # log10 mg/m3
    intensity_width: float | None = None
    intensity_source: str = ""
    allergen: str = ""  # EU label word it counts towards


class Place(StrEnum):
    EU = "EU"
    UK = "UK"
    US = "US"


class Use(StrEnum):
    """Intended use; several may be ticked and the lowest limit counts."""

    PERFUME = "solid perfume"
    LIPS = "lips"
    HANDS = "hands"
    BODY = "body"
    FACE = "face"


class Limit(Row):
    """One concentration limit in the finished balm.

    Matched by constituent key, by `restricted_as` key of a material, or as a
    group (the sum over all of `constituents` and `materials`).  `max_percent`
    per category of the industry standard ("1", "4", "5A", "5B", "5C"); a
    missing category means that no number is known, which is not permission.
    `places` empty means the industry standard (everywhere).
    """

    key: Key
    name: Text
    constituents: tuple[Key, ...] = ()
    restricted_as: tuple[Key, ...] = ()
    group: str = ""  # "phototoxic", "bergapten_total", "rose_ketones", ...
    regime: Text  # "industry standard" or "law"
    places: tuple[Place, ...] = ()
    max_percent: dict[str, Percent] = Field(default_factory=dict)
    basis: Text  # edition or legal entry
    source: Text
    confidence: Confidence


class Allergen(Row):
    """One name that must be printed; amounts of all its sources add up."""

    label_name: Text
    constituents: tuple[Key, ...] = ()
    cas: tuple[str, ...] = ()
    entry: str = ""  # annex entry number
    new_list: bool  # True: only in the list that binds from 31 July 2026
    source: Text
    confidence: Confidence


class SignalWord(StrEnum):
    """Meanings after ANSI Z535; `NOTICE` never carries the alert symbol."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"


class Caution(Row):
    """One message that stands at a step.

    `when` holds conditions, all of which must be met by the plan or the
    equipment ("gas", "microwave", "hot", "scented", ...); `bench` is the short
    wording for the bench view.
    """

    key: Key
    word: SignalWord
    hazard: Text
    consequence: Text
    what_to_do: Text
    bench: Annotated[str, StringConstraints(min_length=1, max_length=60)]
    sign: str = ""  # one of our own drawings: "hot surface", "no open flame", "no water", ...
    when: tuple[str, ...] = ()
    source: Text
    confidence: Confidence
