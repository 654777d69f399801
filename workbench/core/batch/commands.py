"""What the maker (or the clock) asks of a session.  Commands ask, events tell."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from workbench.core.batch.plan import Plan
from workbench.core.batch.steps import Guard
from workbench.core.recipe.model import Heat


@dataclass(frozen=True, slots=True)
class Moment:
    """Now: seconds since the session began (counting through sleep) and wall time with offset."""

    at_s: float
    wall: datetime
    running_s: float | None = None  # the running clock itself, to find the way back after a crash
    boot: str = ""  # names one run of the computer; "" where the system has no such name


@dataclass(frozen=True, slots=True)
class Start:
    plan: Plan
    maker: str = ""
    rehearsal: bool = False
    seed: int | None = None
    batch_code: str = ""
    set_aside: tuple[SetAside, ...] = ()  # skin limits, when the plan is over one; step is ""


@dataclass(frozen=True, slots=True)
class FinishStep:
    """The primary action: this step is done, begin the next."""

    step: str
    sure: bool = False  # out of tolerance, out of band or shorter than it honestly takes, and confirmed


@dataclass(frozen=True, slots=True)
class LeaveOut:
    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class ReadCautions:
    """The cautions in view were read; needed once per hot step and again after a hold."""

    step: str


@dataclass(frozen=True, slots=True)
class Weigh:
    step: str
    need: str
    mass_g: float
    typed: str
    lot: str | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class CountDrops:
    step: str
    need: str
    count: int
    typed: str
    lot: str | None = None


@dataclass(frozen=True, slots=True)
class ReadTemperature:
    step: str
    raw_c: float
    typed: str
    stirred: bool
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    step: str
    need: str
    value: str | float | bool
    typed: str = ""


@dataclass(frozen=True, slots=True)
class StartBurst:
    step: str
    seconds: float


@dataclass(frozen=True, slots=True)
class EndBurst:
    step: str


@dataclass(frozen=True, slots=True)
class Stir:
    step: str


@dataclass(frozen=True, slots=True)
class Add:
    step: str
    material: str
    mass_g: float
    typed: str
    reason: str
    lot: str | None = None


@dataclass(frozen=True, slots=True)
class GrowBatch:
    """Answer to a slip: scale every other line up to what was really weighed."""

    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class Pour:
    step: str
    number: int
    mass_g: float
    typed: str
    sure: bool = False


@dataclass(frozen=True, slots=True)
class ChangeHeat:
    step: str
    heat: Heat
    reason: str


@dataclass(frozen=True, slots=True)
class GoBackToBath:
    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class Hold:
    reason: str


@dataclass(frozen=True, slots=True)
class ConfirmSafe:
    """The safe action that Hold shows has been done."""


@dataclass(frozen=True, slots=True)
class GoOn:
    pass


@dataclass(frozen=True, slots=True)
class SetAside:
    step: str
    guard: Guard
    reason: str
    stated: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Acknowledge:
    alarm: str


@dataclass(frozen=True, slots=True)
class SeeSetPoint:
    step: str
    celsius: float
    typed: str


@dataclass(frozen=True, slots=True)
class WriteNote:
    words: str


@dataclass(frozen=True, slots=True)
class Correct:
    of: int
    value: float | str
    typed: str
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class NoticeClock:
    what: str
    seconds: float


@dataclass(frozen=True, slots=True)
class TakeUp:
    gap_s: float
    basis: str


@dataclass(frozen=True, slots=True)
class KeepLeftover:
    step: str
    mass_g: float
    typed: str


@dataclass(frozen=True, slots=True)
class LookAgain:
    """Time has passed: look whether a guard or an alarm has something to say."""


@dataclass(frozen=True, slots=True)
class EndBatch:
    reason: str
    safe: bool = True


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a command was not taken; the state is untouched."""

    says: str  # a full sentence
    what_to_do: str = ""
    ask_sure: bool = False  # True: the same command with sure=True would be taken
    guard: Guard | None = None  # the guard that stands in the way
    can_set_aside: bool = False


Command = (
    Start
    | FinishStep
    | LeaveOut
    | ReadCautions
    | Weigh
    | CountDrops
    | ReadTemperature
    | Answer
    | StartBurst
    | EndBurst
    | Stir
    | Add
    | GrowBatch
    | Pour
    | ChangeHeat
    | GoBackToBath
    | Hold
    | ConfirmSafe
    | GoOn
    | SetAside
    | Acknowledge
    | SeeSetPoint
    | WriteNote
    | Correct
    | NoticeClock
    | TakeUp
    | KeepLeftover
    | LookAgain
    | EndBatch
)
