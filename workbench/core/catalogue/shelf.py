"""What the maker has: lots, tins, vessels, scales, thermometers, stove.

A shelf belongs to one project.  The tables that come with the program are
laid under it (`Catalogue.over`): what the maker typed in wins.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Any

from pydantic import AwareDatetime, Field, SerializerFunctionWrapHandler, model_serializer

from .model import Figure, Key, Material, Place, Row, Text

PositiveG = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)]
PositiveMm = Annotated[float, Field(gt=0, le=2_000, allow_inf_nan=False)]


class _Sparing(Row):
    """Rows that have grown: what is not known is not written, so that older files and programs agree."""

    @model_serializer(mode="wrap")
    def _without_nothing(self, dump: SerializerFunctionWrapHandler) -> dict[str, Any]:
        made: dict[str, Any] = dump(self)
        for name in ("low_g", "high_g", "mass_g", "tests"):
            if name in made and made[name] in (None, [], ()):
                del made[name]
        return made


class Learned(_Sparing):
    """Plain numbers that past batches taught about a piece of equipment, with sd.

    `low_g` to `high_g`: the loads they were learned with; None where nobody wrote them down.
    """

    what: Text
    value: float
    sd: Annotated[float, Field(ge=0)]
    batches: Annotated[int, Field(ge=0)]
    low_g: PositiveG | None = None
    high_g: PositiveG | None = None


class Lesson(_Sparing):
    """What one batch, or one test, taught of one thing, before it is weighed against the others.

    `about`: "vessel:KEY", "microwave:KEY", "stove" or "lot:KEY"; `value` and `sd` as in `Learned`, by this
    batch alone.  `weight`: 1, or less for an odd batch, with the reason in `odd`.
    """

    batch: str = ""  # session it comes from; "" for a test made at the shelf
    day: date
    about: Text
    what: Text
    value: Annotated[float, Field(allow_inf_nan=False)]
    sd: Annotated[float, Field(gt=0, allow_inf_nan=False)]
    weight: Annotated[float, Field(gt=0, le=1)] = 1.0
    odd: str = ""
    mass_g: PositiveG | None = None  # of the melt it was learned with


class Lot(Row):
    """One bottle or bag of a material."""

    key: Key
    material: Key
    supplier_lot: str = ""
    price_per_kg: Annotated[float, Field(ge=0, allow_inf_nan=False)] | None = None
    opened: date | None = None
    best_before: date | None = None
    left_g: Annotated[float, Field(ge=0, allow_inf_nan=False)] | None = None
    counted: AwareDatetime | None = None  # when `left_g` was weighed; batches since then are taken off
    remark: str = ""
    learned: tuple[Learned, ...] = ()  # how heavy its drops are


class TinShape(StrEnum):
    ROUND = "round"
    RECTANGULAR = "rectangular"
    BY_WATER = "by the water it holds"


class Tin(Row):
    """A tin by inside measures up to its fill line, or by the water it holds.

    Round: `diameter_mm`; rectangular: `length_mm`, `width_mm` and
    `corner_radius_mm`; both with `fill_height_mm`.  By water: `water_g`
    weighed at `water_c`.
    """

    key: Key
    name: Text
    shape: TinShape
    diameter_mm: PositiveMm | None = None
    length_mm: PositiveMm | None = None
    width_mm: PositiveMm | None = None
    corner_radius_mm: Annotated[float, Field(ge=0, le=1_000)] = 0.0
    fill_height_mm: PositiveMm | None = None
    water_g: PositiveG | None = None
    water_c: Annotated[float, Field(ge=0, le=60)] = 20.0
    empty_g: PositiveG | None = None
    metal: bool = True


class VesselMaterial(StrEnum):
    GLASS = "glass"
    STEEL = "steel"
    PLASTIC = "plastic"
    CERAMIC = "ceramic"

    @property
    def microwave_safe(self) -> bool:
        return self is not VesselMaterial.STEEL


class Vessel(Row):
    key: Key
    name: Text
    material: VesselMaterial
    holds_ml: PositiveG
    empty_g: PositiveG | None = None
    inner_diameter_mm: PositiveMm | None = None
    learned: tuple[Learned, ...] = ()


class StoveKind(StrEnum):
    GAS = "gas"
    ELECTRIC = "electric"
    INDUCTION = "induction"


class Scale(Row):
    """`readability_g` is the last digit, `capacity_g` the most it may carry."""

    key: Key
    name: Text
    readability_g: Annotated[float, Field(gt=0, le=100)]
    capacity_g: PositiveG


class ThermometerKind(StrEnum):
    PROBE = "probe"
    INFRARED = "infrared"  # sees only the skin of the melt


class Thermometer(Row):
    """`offset_k` and `slope` come from the ice and boiling point check."""

    key: Key
    name: Text
    kind: ThermometerKind
    resolution_k: Annotated[float, Field(gt=0, le=5)] = 0.1
    offset_k: float = 0.0
    slope: Annotated[float, Field(gt=0.8, lt=1.2)] = 1.0
    checked: date | None = None
    dropped_since: bool = False


class WaterTest(Row):
    """One water test of a microwave as it was read: its watts are worked out from this, never kept.

    `before_c`, `after_c`: corrected by the check of the thermometer; what it showed stands beside them.
    `seconds` as set, the start of the oven in them.  `cup_g`: of a cup with water beside it; 0 without one.
    """

    day: date
    water_g: PositiveG
    before_c: Annotated[float, Field(ge=-20, le=120)]
    after_c: Annotated[float, Field(ge=-20, le=120)]
    seconds: Annotated[float, Field(gt=0, le=3600)]
    bowl_g: Annotated[float, Field(ge=0, le=100_000)] = 0.0
    cup_g: Annotated[float, Field(ge=0, le=100_000)] = 0.0
    shown_before_c: Annotated[float, Field(ge=-40, le=150)] | None = None
    shown_after_c: Annotated[float, Field(ge=-40, le=150)] | None = None
    thermometer: str = ""
    probe_sd_k: Annotated[float, Field(gt=0, le=10)] = 0.5


class Microwave(_Sparing):
    key: Key
    name: Text
    rated_w: Annotated[float, Field(gt=0, le=3000)] | None = None
    learned: tuple[Learned, ...] = ()
    tests: tuple[WaterTest, ...] = ()  # oldest first


class Certificate(Row):
    """A supplier's certificate: replaces the industry standard for one material and category.

    It never replaces a law.
    """

    material: Key
    edition: Text
    category: Text
    max_percent: Annotated[float, Field(gt=0, le=100)]
    paper: Text  # number or date of the certificate
    allergens: dict[str, float] = Field(default_factory=dict)  # label name -> % in the material


class Shelf(Row):
    """Everything the maker typed in about what stands in the kitchen."""

    materials: tuple[Material, ...] = ()  # own materials, and corrected copies of ours
    lots: tuple[Lot, ...] = ()
    tins: tuple[Tin, ...] = ()
    vessels: tuple[Vessel, ...] = ()
    scales: tuple[Scale, ...] = ()
    thermometers: tuple[Thermometer, ...] = ()
    microwaves: tuple[Microwave, ...] = ()
    certificates: tuple[Certificate, ...] = ()
    stove: StoveKind | None = None
    stove_learned: tuple[Learned, ...] = ()
    lessons: tuple[Lesson, ...] = ()  # what the `learned` rows were made from
    learned_up_to: Annotated[int, Field(ge=0)] = 0  # number of the last session that was asked
    currency: Annotated[str, Field(min_length=1, max_length=3)] = "EUR"
    room_c: Figure | None = None
    home: Place = Place.EU

    def thermometer_for(self, key: str | None) -> Thermometer | None:
        """The one a recipe names; where it names none, the only one there is.

        Nobody reads another than the only one they have, and a check that was
        made of it must count.  None where there are several, or where the one
        that is named has gone.
        """
        if key is None:
            return self.thermometers[0] if len(self.thermometers) == 1 else None
        return next((each for each in self.thermometers if each.key == key), None)
