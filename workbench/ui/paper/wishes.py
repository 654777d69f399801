"""What the maker chose for printing; the project keeps it from one time to the next."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from workbench.core.batch.label_final import LabelWish
from workbench.core.skin.durability import USUAL_MONTHS_OPEN
from workbench.core.skin.label_rules import LabelPlace
from workbench.paper.card import CardLayout, CardWish
from workbench.paper.labels import BackOn, LabelOrder
from workbench.paper.phrases import Language
from workbench.paper.sizes import PaperSize, SheetGrid, TinSizes

KIND, KEY = "paper", "wishes"
_PERSONAL = ("maker_line", "words", "signed", "for_whom")
# belongs to one batch or to one sheet of labels, and begins anew with the next
PASSING = ("best_before", "start", "copies", "for_whom", "words", "scent_line")


class PaperWishes(BaseModel):
    """Every field is one choice on the page."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    language: Language = Language.ENGLISH
    paper: PaperSize = PaperSize.A4
    # labels
    place: LabelPlace | None = None  # None: as the recipe says
    maker_line: Annotated[str, Field(max_length=300)] = ""
    scent_line: Annotated[str, Field(max_length=200)] = ""
    best_before: date | None = None
    months_open: Annotated[int, Field(ge=1, le=60)] = USUAL_MONTHS_OPEN
    untested: bool = False
    back_on: BackOn = BackOn.UNDERSIDE
    columns: Annotated[int, Field(ge=1, le=40)] | None = None
    rows: Annotated[int, Field(ge=1, le=80)] | None = None
    left_mm: Annotated[float, Field(ge=0, le=200)] | None = None
    top_mm: Annotated[float, Field(ge=0, le=200)] | None = None
    gap_x_mm: Annotated[float, Field(ge=0, le=200)] = 4.0
    gap_y_mm: Annotated[float, Field(ge=0, le=200)] = 4.0
    shift_x_mm: Annotated[float, Field(ge=-20, le=20)] = 0.0
    shift_y_mm: Annotated[float, Field(ge=-20, le=20)] = 0.0
    start: Annotated[int, Field(ge=1, le=3200)] = 1
    copies: Annotated[int, Field(ge=1, le=10_000)] | None = None
    cut_already: bool = False  # a sheet of labels that needs no marks
    sizes: dict[str, TinSizes] = Field(default_factory=dict)
    # card
    layout: CardLayout = CardLayout.STILL
    folded: bool = False
    for_whom: Annotated[str, Field(max_length=60)] = ""
    words: Annotated[str, Field(max_length=4000)] = ""
    signed: Annotated[str, Field(max_length=60)] = ""

    def label_wish(self, place: LabelPlace) -> LabelWish:
        return LabelWish(
            place=place,
            maker_line=self.maker_line,
            months_open=self.months_open,
            best_before=self.best_before,
            untested=self.untested,
        )

    def grid(self) -> SheetGrid:
        return SheetGrid(
            paper=self.paper,
            columns=self.columns,
            rows=self.rows,
            left_mm=self.left_mm,
            top_mm=self.top_mm,
            gap_x_mm=self.gap_x_mm,
            gap_y_mm=self.gap_y_mm,
            start=self.start,
            crop_marks=not self.cut_already,
            cut_lines=not self.cut_already,
            shift_x_mm=self.shift_x_mm,
            shift_y_mm=self.shift_y_mm,
        )

    def order(self) -> LabelOrder:
        return LabelOrder(
            grid=self.grid(),
            back_on=self.back_on,
            sizes=self.sizes,
            scent_line=self.scent_line,
            copies=self.copies,
        )

    def card(self) -> CardWish:
        return CardWish(self.layout, self.folded, self.for_whom, self.words, self.signed)

    def afresh(self) -> PaperWishes:
        """For another batch: what belongs to the one before is forgotten."""
        return self.model_copy(update={key: type(self).model_fields[key].default for key in PASSING})

    def as_body(self) -> dict[str, Any]:
        """Plain JSON for the project; personal words under the key under which they can be erased."""
        plain = self.afresh().model_dump(mode="json")
        return {key: {"words": value} if key in _PERSONAL else value for key, value in plain.items()}


def wishes_from(body: Any) -> PaperWishes:
    """What the project kept; what cannot be read any more is as it was at first."""
    if not isinstance(body, dict):
        return PaperWishes()
    plain = {
        key: value.get("words", "") if isinstance(value, dict) and key in _PERSONAL else value
        for key, value in body.items()
    }
    try:
        return PaperWishes.model_validate(plain)
    except ValidationError as error:
        wrong = {str(each["loc"][0]) for each in error.errors() if each["loc"]}
        return PaperWishes.model_validate({key: value for key, value in plain.items() if key not in wrong})
