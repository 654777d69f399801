"""What happened, in the past tense.  A session is the fold of these.

Every event carries two times: `at_s`, seconds since the session began on a
clock that keeps counting while the computer sleeps, and `wall`, the local
wall time with its offset.  `typed` keeps the text as it was typed.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from workbench.core.batch.steps import Guard
from workbench.core.recipe.model import Heat

Seconds = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Grams = Annotated[float, Field(ge=0, le=100_000, allow_inf_nan=False)]
Degrees = Annotated[float, Field(ge=-50, le=400, allow_inf_nan=False)]


class Event(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    at_s: Seconds
    wall: datetime


class SessionStarted(Event):
    kind: Literal["session started"] = "session started"
    plan: dict[str, Any]  # the frozen plan (batch.plan.Plan as JSON), with the exact recipe revision
    recipe_name: str
    recipe_revision: int
    maker: str = ""
    rehearsal: bool = False
    seed: int | None = None
    batch_code: str = ""
    running_s: float | None = None  # the running clock at this event, and the boot it belongs to
    boot: str = ""


class StepBegun(Event):
    kind: Literal["step begun"] = "step begun"
    step: str


class StepDone(Event):
    kind: Literal["step done"] = "step done"
    step: str


class StepLeftOut(Event):
    kind: Literal["step left out"] = "step left out"
    step: str
    reason: str


class CautionRead(Event):
    kind: Literal["caution read"] = "caution read"
    step: str
    caution: str


class MassWeighed(Event):
    kind: Literal["mass weighed"] = "mass weighed"
    step: str
    need: str
    material: str
    mass_g: Grams
    typed: str
    lot: str | None = None
    sure: bool = False  # it was far off the target and was confirmed


class DropsCounted(Event):
    kind: Literal["drops counted"] = "drops counted"
    step: str
    need: str
    material: str
    count: Annotated[int, Field(ge=0, le=100_000)]
    typed: str
    mass_g: Grams  # estimated, typical drop
    lot: str | None = None


class TemperatureRead(Event):
    kind: Literal["temperature read"] = "temperature read"
    step: str
    raw_c: Degrees  # as shown by the thermometer
    celsius: Degrees  # after the probe's own correction
    typed: str
    stirred: bool
    sure: bool = False


class AnswerGiven(Event):
    """A choice, a tick, a count, a depth or words for one need of a step."""

    kind: Literal["answer given"] = "answer given"
    step: str
    need: str
    value: str | float | bool
    typed: str = ""


class BurstStarted(Event):
    kind: Literal["burst started"] = "burst started"
    step: str
    seconds: Annotated[float, Field(gt=0, le=30)]


class BurstEnded(Event):
    kind: Literal["burst ended"] = "burst ended"
    step: str
    seconds: Annotated[float, Field(ge=0, le=120)]  # how long it really ran
    early: bool = False


class Stirred(Event):
    kind: Literal["stirred"] = "stirred"
    step: str


class Added(Event):
    """Anything put into the jug beyond the plan: firmness correction, more of one oil."""

    kind: Literal["added"] = "added"
    step: str
    material: str
    mass_g: Grams
    typed: str
    reason: str
    lot: str | None = None


class AmountsChanged(Event):
    """A slip at the scale was answered by growing the batch: new targets in grams."""

    kind: Literal["amounts changed"] = "amounts changed"
    step: str
    targets_g: dict[str, Grams]  # need key "mass:<material>" -> grams
    reason: str
    steps: tuple[dict[str, Any], ...] = ()  # weighing more of what was weighed before; put in right after


class TemperaturesReckoned(Event):
    """What is in the jug differs from the plan: its limits as they are now."""

    kind: Literal["temperatures reckoned"] = "temperatures reckoned"
    step: str
    temperatures: dict[str, Any]  # batch.plan.PlannedTemperatures as JSON


class TinPoured(Event):
    kind: Literal["tin poured"] = "tin poured"
    step: str
    tin: str
    number: Annotated[int, Field(ge=1)]
    mass_g: Grams
    typed: str


class HeatChanged(Event):
    kind: Literal["heat changed"] = "heat changed"
    step: str
    heat: Heat
    reason: str
    steps: tuple[dict[str, Any], ...] = ()  # the steps that follow now


class BackToBath(Event):
    """Set too early: the jug goes back into the water bath."""

    kind: Literal["back to the bath"] = "back to the bath"
    step: str
    reason: str
    steps: tuple[dict[str, Any], ...] = ()


class HoldAsked(Event):
    kind: Literal["hold asked"] = "hold asked"
    step: str
    reason: str
    by: Literal["maker", "guard", "program"] = "maker"
    safe_action: str = ""
    guard: Guard | None = None  # the guard that was broken


class HeldSafe(Event):
    kind: Literal["held"] = "held"
    step: str


class WentOn(Event):
    kind: Literal["went on"] = "went on"
    step: str


class GuardSetAside(Event):
    kind: Literal["guard set aside"] = "guard set aside"
    step: str
    guard: Guard
    reason: str
    stated: tuple[str, ...] = ()  # "flame is out", "hotplate off and away", "no spark near"


class AlarmRaised(Event):
    kind: Literal["alarm raised"] = "alarm raised"
    step: str
    alarm: str  # alarm definition key
    value: float | None = None
    limit: float | None = None


class AlarmAcknowledged(Event):
    kind: Literal["alarm acknowledged"] = "alarm acknowledged"
    step: str
    alarm: str


class AlarmReturned(Event):
    kind: Literal["alarm returned"] = "alarm returned"
    step: str
    alarm: str
    value: float | None = None


class SetPointSeen(Event):
    kind: Literal["set point seen"] = "set point seen"
    step: str
    celsius: Degrees
    typed: str


class Noted(Event):
    kind: Literal["noted"] = "noted"
    step: str
    words: str


class Corrected(Event):
    """An earlier entry was wrong; the original stays in the record."""

    kind: Literal["corrected"] = "corrected"
    step: str
    of: Annotated[int, Field(ge=1)]  # sequence number of the event within the session
    value: float | str
    typed: str
    reason: str
    by: str = ""


class ClockNoticed(Event):
    """The computer slept, the wall clock jumped, or the program stood still."""

    kind: Literal["clock noticed"] = "clock noticed"
    step: str
    what: Literal["slept", "wall clock changed", "program stood still"]
    seconds: float


class TakenUp(Event):
    """The session was opened again after the program had ended in the middle."""

    kind: Literal["taken up"] = "taken up"
    step: str
    gap_s: float
    basis: Literal["running clock", "wall clock"]
    running_s: float | None = None
    boot: str = ""


class LeftoverKept(Event):
    kind: Literal["leftover kept"] = "leftover kept"
    step: str
    lot: str
    mass_g: Grams
    material: dict[str, Any]  # a Material of kind LEFTOVER, composition as made


class Finished(Event):
    kind: Literal["finished"] = "finished"


class EndedEarly(Event):
    kind: Literal["ended early"] = "ended early"
    reason: str
    safe: bool = True


AnyEvent = Annotated[
    SessionStarted
    | StepBegun
    | StepDone
    | StepLeftOut
    | CautionRead
    | MassWeighed
    | DropsCounted
    | TemperatureRead
    | AnswerGiven
    | BurstStarted
    | BurstEnded
    | Stirred
    | Added
    | AmountsChanged
    | TemperaturesReckoned
    | TinPoured
    | HeatChanged
    | BackToBath
    | HoldAsked
    | HeldSafe
    | WentOn
    | GuardSetAside
    | AlarmRaised
    | AlarmAcknowledged
    | AlarmReturned
    | SetPointSeen
    | Noted
    | Corrected
    | ClockNoticed
    | TakenUp
    | LeftoverKept
    | Finished
    | EndedEarly,
    Field(discriminator="kind"),
]

event_adapter: TypeAdapter[AnyEvent] = TypeAdapter(AnyEvent)
