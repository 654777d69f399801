"""What a step is: wording, timer, what must be recorded, guards, cautions."""

from __future__ import annotations

from enum import StrEnum
from string import Formatter
from typing import Annotated, Any

from pydantic import (
    Field,
    SerializerFunctionWrapHandler,
    StringConstraints,
    model_serializer,
    model_validator,
)

from workbench.core.catalogue.model import Row, Text


class SavedValue(Row):
    """One value of a sentence as data; `kind` names its class in core/wording.py, "" for plain text."""

    kind: str = ""
    amount: Annotated[float, Field(allow_inf_nan=False)] = 0.0
    digits: Annotated[int, Field(ge=0, le=9)] = 1
    text: str = ""
    words: SavedWords | None = None  # a sentence inside the sentence


class SavedWords(Row):
    """A sentence with its template and values, so that a stored plan can be said in other units."""

    template: str
    one: str = ""  # the template for a count of one, where the sentence counts
    values: dict[str, SavedValue] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _can_be_said(self) -> SavedWords:
        """A file may come from anywhere: a place without a value, or a width of a million, is a fault."""
        for template in (self.template, self.one):
            for _, name, width, conversion in Formatter().parse(template):
                if name is not None and (name not in self.values or width or conversion):
                    raise ValueError(f"“{template}” cannot be filled in")
        return self

    @model_serializer(mode="wrap")
    def _without_nothing(self, dump: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """A sentence that does not count is written as it always was, so that older files and programs agree."""
        made: dict[str, Any] = dump(self)
        if not self.one:
            made.pop("one", None)
        return made


Bench = Annotated[str, StringConstraints(min_length=1, max_length=60)]


class StepKind(StrEnum):
    PREPARE = "prepare"
    WEIGH = "weigh"
    MIX_SCENT = "mix scent"
    MELT_BATH = "melt in the water bath"
    MELT_BURSTS = "melt in bursts"
    COLD_SPOON = "cold spoon"
    COOL = "cool down"
    FLAME_OUT = "flame out"
    ADD_FRAGRANCE = "add fragrance"
    STIR = "stir"
    POUR = "pour"
    SET = "set"
    INSPECT = "look for the sink hole"
    MEND = "mend"
    REST = "rest"
    WEIGH_TINS = "weigh the tins"
    CLEAN = "clean up"
    FINISH = "finish"


BY_HAND = (StepKind.STIR, StepKind.MIX_SCENT)  # what the maker does; wax cools and sets by itself


class NeedKind(StrEnum):
    MASS = "mass"  # g
    DROPS = "drops"  # whole number
    TEMPERATURE = "temperature"  # °C, stirred or not
    CHOICE = "choice"  # one of `choices`
    TICK = "tick"  # done, with no number
    COUNT = "count"  # whole number
    DEPTH = "depth"  # mm
    BURST = "burst"  # a microwave burst, then stir, then a reading
    WORDS = "words"  # free text


class Need(Row):
    """One thing a step must (or may) record; numbers in g, mm, °C or counts."""

    key: Text  # unique within the step, e.g. "mass:beeswax", "reading", "tin:1"
    kind: NeedKind
    label: Text
    unit: str = ""
    target: float | None = None
    low: float | None = None
    high: float | None = None
    required: bool = True
    choices: tuple[str, ...] = ()
    material: str = ""  # for masses and drops
    scale: str = ""


class Guard(StrEnum):
    """The guards of the temperature chapter, by name."""

    ABSOLUTE_CEILING = "95 °C"
    BOIL_DRY = "the bath must not boil dry"
    MELT_CEILING = "melt ceiling"
    SCENTED_CEILING = "scented ceiling"
    FLASH_SAFE = "flash-safe temperature"
    STIRRED_READING = "a stirred reading before fragrance"
    FRESH_READING = "a fresh reading while heat is on"
    POUR_FLOOR = "pour floor"
    SKIN_LIMITS = "skin limits"
    WINDOW = "an open window"


class Step(Row):
    """One step of the procedure, fully worded."""

    id: Text  # stable within a plan: "weigh:beeswax", "pour:1", "cool"
    kind: StepKind
    title: Text
    instruction: Text  # what to do
    reason: Text  # why
    bench: Bench
    timer_s: Annotated[float, Field(gt=0)] | None = None
    timer_says: str = ""  # what the end of the timer means
    least_s: float | None = None  # a step that cannot honestly be shorter says so
    needs: tuple[Need, ...] = ()
    guards: tuple[Guard, ...] = ()
    cautions: tuple[str, ...] = ()  # caution keys, already chosen for the equipment
    hot: bool = False
    heat_on: bool = False
    scented: bool = False  # fragrance is in the jug during this step
    flame_allowed: bool = True
    aim_c: float | None = None
    low_c: float | None = None
    high_c: float | None = None
    done_when: Text
    optional: bool = False  # may be left out with a word of reason (mend)
    safe_action: str = ""  # what Hold says: "Take the jug off the heat."
    said: dict[str, SavedWords] = Field(default_factory=dict)  # field -> template and values, to say it again
