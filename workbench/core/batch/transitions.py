"""The one table of what may follow what in a session.

Theory of operation
-------------------
Four small machines run side by side, and all of them are data in this file.

*The session* is not started, running, holding, held, finished or ended early.
The stove does not obey a program.  `Hold` therefore does not stop anything:
it shows what the maker must do to be safe (holding), and only the maker's
word that it is done makes the session held.  From held it goes on, never
straight from holding.  Finished and ended early have no way out; what may
still be written there (a correction, a note, what was left over) changes no
phase.

*A step* waits, is current, and then is done, left out or replaced.  A step is
replaced when the way of heating changes or the jug goes back into the bath;
it keeps its place and its times in the record.  There is never more than one
current step, and it is held when the session is held.

*The bursts* of a microwave step go round: ready, running, stir due, reading
due, ready.  A reading that was taken stirred counts as the stir too.

*An alarm* is normal, unacknowledged, acknowledged or returned (ISA-18.2).
Acknowledging says "I saw it", never "it is mended"; an alarm that returned to
normal before anybody saw it stays until it is acknowledged.

A command asks, an event tells.  `COMMANDS` says which commands a phase takes
and where they may lead, `STEP_COMMANDS` which kinds of step a command makes
sense in.  `SESSION`, `STEPS`, `BURSTS` and `ALARMS` say where an event leads.
A command that the table does not list is refused with a sentence and changes
nothing.  An event that the table does not list cannot be in a sound record,
and raises `Trouble`.

The diagrams in DEVELOPERS.md are drawn from here by `diagrams()`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command, Refused
from workbench.core.batch.state import AlarmStatus, BurstPhase, Phase, StepMark
from workbench.core.batch.steps import StepKind
from workbench.core.trouble import Trouble
from workbench.core.wording import say

_ALWAYS_KEPT = ("corrected", "noted", "leftover kept")
_WHILE_LIVE = (
    *_ALWAYS_KEPT,
    "temperature read",
    "alarm raised",
    "alarm acknowledged",
    "alarm returned",
    "guard set aside",
    "caution read",
    "set point seen",
    "stirred",
    "answer given",
    "clock noticed",
    "taken up",
    "temperatures reckoned",
)
_WHILE_RUNNING = (
    *_WHILE_LIVE,
    "step begun",
    "step done",
    "step left out",
    "mass weighed",
    "drops counted",
    "burst started",
    "burst ended",
    "added",
    "amounts changed",
    "tin poured",
    "heat changed",
    "back to the bath",
)

# where an event leads the session: (phase, kind of event) -> phase
SESSION: Final[Mapping[tuple[Phase, str], Phase]] = {
    (Phase.NOT_STARTED, "session started"): Phase.RUNNING,
    (Phase.RUNNING, "hold asked"): Phase.HOLDING,
    (Phase.RUNNING, "finished"): Phase.FINISHED,
    (Phase.RUNNING, "ended early"): Phase.ENDED_EARLY,
    (Phase.HOLDING, "held"): Phase.HELD,
    (Phase.HOLDING, "burst ended"): Phase.HOLDING,
    (Phase.HOLDING, "ended early"): Phase.ENDED_EARLY,
    (Phase.HELD, "went on"): Phase.RUNNING,
    (Phase.HELD, "ended early"): Phase.ENDED_EARLY,
    **{(Phase.RUNNING, kind): Phase.RUNNING for kind in _WHILE_RUNNING},
    **{(phase, kind): phase for phase in (Phase.HOLDING, Phase.HELD) for kind in _WHILE_LIVE},
    **{(phase, kind): phase for phase in (Phase.FINISHED, Phase.ENDED_EARLY) for kind in _ALWAYS_KEPT},
}

# where an event leads the step it is about: (mark, kind of event) -> mark
STEPS: Final[Mapping[tuple[StepMark, str], StepMark]] = {
    (StepMark.WAITING, "step begun"): StepMark.CURRENT,
    (StepMark.CURRENT, "step done"): StepMark.DONE,
    (StepMark.CURRENT, "step left out"): StepMark.LEFT_OUT,
    (StepMark.CURRENT, "heat changed"): StepMark.REPLACED,
    (StepMark.CURRENT, "back to the bath"): StepMark.REPLACED,
}

STIRRED_READING: Final = "stirred temperature read"

# where an event leads the bursts of a microwave step
BURSTS: Final[Mapping[tuple[BurstPhase, str], BurstPhase]] = {
    (BurstPhase.READY, "burst started"): BurstPhase.RUNNING,
    (BurstPhase.RUNNING, "burst ended"): BurstPhase.STIR_DUE,
    (BurstPhase.STIR_DUE, "stirred"): BurstPhase.READING_DUE,
    (BurstPhase.STIR_DUE, STIRRED_READING): BurstPhase.READY,
    (BurstPhase.READING_DUE, "temperature read"): BurstPhase.READY,
    (BurstPhase.READING_DUE, STIRRED_READING): BurstPhase.READY,
}

# where an event leads an alarm; None is normal
ALARMS: Final[Mapping[tuple[AlarmStatus | None, str], AlarmStatus | None]] = {
    (None, "alarm raised"): AlarmStatus.UNACKNOWLEDGED,
    (AlarmStatus.UNACKNOWLEDGED, "alarm acknowledged"): AlarmStatus.ACKNOWLEDGED,
    (AlarmStatus.UNACKNOWLEDGED, "alarm returned"): AlarmStatus.RETURNED,
    (AlarmStatus.ACKNOWLEDGED, "alarm returned"): None,
    (AlarmStatus.ACKNOWLEDGED, "alarm raised"): AlarmStatus.UNACKNOWLEDGED,  # ignored for too long
    (AlarmStatus.RETURNED, "alarm raised"): AlarmStatus.UNACKNOWLEDGED,
    (AlarmStatus.RETURNED, "alarm acknowledged"): None,
}

_R, _H, _D, _F, _E = Phase.RUNNING, Phase.HOLDING, Phase.HELD, Phase.FINISHED, Phase.ENDED_EARLY
_TO_RUN = frozenset({_R})
_OR_HOLD = frozenset({_R, _H})  # every command that looks at guards and alarms may end in a hold
_OR_FINISH = frozenset({_R, _H, _F})
_STAY_HOLDING = frozenset({_H})
_STAY_HELD = frozenset({_D})

# which commands a phase takes, and in which phases they may leave the session
COMMANDS: Final[Mapping[tuple[Phase, type[Command]], frozenset[Phase]]] = {
    (Phase.NOT_STARTED, ask.Start): _TO_RUN,
    **{
        (_R, command): _OR_HOLD
        for command in (
            ask.LeaveOut,
            ask.ReadCautions,
            ask.Weigh,
            ask.CountDrops,
            ask.ReadTemperature,
            ask.Answer,
            ask.StartBurst,
            ask.EndBurst,
            ask.Stir,
            ask.Add,
            ask.GrowBatch,
            ask.Pour,
            ask.ChangeHeat,
            ask.GoBackToBath,
            ask.SetAside,
            ask.Acknowledge,
            ask.SeeSetPoint,
            ask.WriteNote,
            ask.Correct,
            ask.NoticeClock,
            ask.TakeUp,
            ask.KeepLeftover,
            ask.LookAgain,
        )
    },
    (_R, ask.FinishStep): _OR_FINISH,
    (_R, ask.LeaveOut): _OR_FINISH,
    (_R, ask.Hold): frozenset({_H}),
    (_R, ask.EndBatch): frozenset({_E}),
    (_H, ask.ConfirmSafe): frozenset({_D}),
    (_H, ask.EndBatch): frozenset({_E}),
    (_D, ask.GoOn): _OR_HOLD,
    (_D, ask.EndBatch): frozenset({_E}),
    **{
        (phase, command): stay
        for phase, stay in ((_H, _STAY_HOLDING), (_D, _STAY_HELD))
        for command in (
            ask.ReadCautions,
            ask.ReadTemperature,
            ask.Answer,
            ask.Stir,
            ask.SetAside,
            ask.Acknowledge,
            ask.SeeSetPoint,
            ask.WriteNote,
            ask.Correct,
            ask.NoticeClock,
            ask.TakeUp,
            ask.KeepLeftover,
            ask.LookAgain,
        )
    },
    **{
        (phase, command): frozenset({phase})
        for phase in (_F, _E)
        for command in (ask.WriteNote, ask.Correct, ask.KeepLeftover)
    },
}

_MELTS = frozenset({StepKind.MELT_BATH, StepKind.MELT_BURSTS})
_BEFORE_FRAGRANCE = frozenset({*_MELTS, StepKind.COLD_SPOON, StepKind.COOL})
_WITH_FRAGRANCE = frozenset({StepKind.ADD_FRAGRANCE, StepKind.STIR, StepKind.POUR})

# kinds of step in which a command makes sense; a command that is not listed does in all of them
STEP_COMMANDS: Final[Mapping[type[Command], frozenset[StepKind]]] = {
    ask.StartBurst: frozenset({StepKind.MELT_BURSTS, StepKind.COLD_SPOON}),  # to melt in a correction
    ask.EndBurst: frozenset({StepKind.MELT_BURSTS, StepKind.COLD_SPOON}),
    ask.ChangeHeat: _MELTS,
    ask.GrowBatch: frozenset({StepKind.WEIGH}),
    ask.Stir: _BEFORE_FRAGRANCE | _WITH_FRAGRANCE | {StepKind.MIX_SCENT},
    ask.Add: _BEFORE_FRAGRANCE | _WITH_FRAGRANCE,
    ask.SeeSetPoint: _BEFORE_FRAGRANCE | _WITH_FRAGRANCE,
    ask.Pour: frozenset({StepKind.POUR, StepKind.MEND}),
    ask.GoBackToBath: _WITH_FRAGRANCE,
    ask.KeepLeftover: frozenset(
        {
            StepKind.POUR,
            StepKind.SET,
            StepKind.INSPECT,
            StepKind.MEND,
            StepKind.REST,
            StepKind.WEIGH_TINS,
            StepKind.CLEAN,
            StepKind.FINISH,
        }
    ),
}

_WHY_NOT: Final[Mapping[Phase, tuple[str, str]]] = {
    Phase.NOT_STARTED: ("No batch has been started yet.", "Start one first."),
    Phase.RUNNING: ("The batch is running; this cannot be done now.", ""),
    Phase.HOLDING: (
        "The batch is on hold, and it is not yet confirmed that everything is safe.",
        "Do what Hold says and confirm it.",
    ),
    Phase.HELD: ("The batch is on hold.", "Go on first."),
    Phase.FINISHED: (
        "This batch is finished.",
        "What was recorded can be corrected, and notes can be added.",
    ),
    Phase.ENDED_EARLY: (
        "This batch was ended.",
        "What was recorded can be corrected, and notes can be added.",
    ),
}


def by_phase(phase: Phase, command: type[Command]) -> Refused | None:
    """None where the phase takes the command, else the typed refusal."""
    if (phase, command) in COMMANDS:
        return None
    says, what_to_do = _WHY_NOT[phase]
    return Refused(says=say(says), what_to_do=say(what_to_do) if what_to_do else "")


def by_step(kind: StepKind, command: type[Command]) -> Refused | None:
    """None where the command makes sense in a step of this kind, else the typed refusal."""
    kinds = STEP_COMMANDS.get(command)
    if kinds is None or kind in kinds:
        return None
    return Refused(says=say("This does not belong to the step in hand."))


def session_after(phase: Phase, kind: str) -> Phase:
    """The phase after an event; raises `Trouble` for a pair the table does not list."""
    try:
        return SESSION[phase, kind]
    except KeyError:
        raise _unsound(kind, phase.value) from None


def step_after(mark: StepMark, kind: str) -> StepMark:
    """The mark of a step after an event about it; raises `Trouble` for an unlisted pair."""
    try:
        return STEPS[mark, kind]
    except KeyError:
        raise _unsound(kind, mark.value) from None


def burst_after(phase: BurstPhase, kind: str) -> BurstPhase:
    """Where the bursts stand after an event; an event that does not concern them changes nothing.

    Raises `Trouble` where a burst starts or ends that cannot.
    """
    if (phase, kind) in BURSTS:
        return BURSTS[phase, kind]
    if kind in ("burst started", "burst ended"):
        raise _unsound(kind, phase.value)
    return phase


def alarm_after(status: AlarmStatus | None, kind: str) -> AlarmStatus | None:
    """The status of an alarm after an event about it, None for normal; `Trouble` for an unlisted pair."""
    try:
        return ALARMS[status, kind]
    except KeyError:
        raise _unsound(kind, "normal" if status is None else status.value) from None


def _unsound(kind: str, where: str) -> Trouble:
    return Trouble(
        say(
            "The record of this batch is not sound: “{kind}” cannot follow while it is “{where}”.",
            kind=kind,
            where=where,
        )
    )


def diagrams() -> str:
    """The four machines as Mermaid state diagrams, for DEVELOPERS.md."""
    session = [(a.value, kind, b.value) for (a, kind), b in SESSION.items() if a is not b]
    steps = [(a.value, kind, b.value) for (a, kind), b in STEPS.items()]
    bursts = [(a.value, kind, b.value) for (a, kind), b in BURSTS.items()]
    normal = "normal"
    alarms = [(a.value if a else normal, kind, b.value if b else normal) for (a, kind), b in ALARMS.items()]
    return "\n".join(
        (
            *_drawn("Session", Phase.NOT_STARTED.value, session, (_F.value, _E.value)),
            *_drawn(
                "Step",
                StepMark.WAITING.value,
                steps,
                (StepMark.DONE.value, StepMark.LEFT_OUT.value, StepMark.REPLACED.value),
            ),
            *_drawn("Bursts of a microwave step", BurstPhase.READY.value, bursts, ()),
            *_drawn("Alarm", normal, alarms, ()),
        )
    )


def _drawn(title: str, first: str, moves: list[tuple[str, str, str]], last: tuple[str, ...]) -> list[str]:
    names = list(dict.fromkeys(name for a, _, b in moves for name in (a, b)))
    short = {name: name.replace(" ", "_") for name in names}
    arrows: dict[tuple[str, str], list[str]] = {}
    for a, kind, b in moves:
        arrows.setdefault((a, b), []).append(kind)
    return [
        f"#### {title}",
        "",
        "```mermaid",
        "stateDiagram-v2",
        *(f'    state "{name}" as {short[name]}' for name in names if short[name] != name),
        f"    [*] --> {short[first]}",
        *(f"    {short[a]} --> {short[b]}: {' / '.join(kinds)}" for (a, b), kinds in arrows.items()),
        *(f"    {short[name]} --> [*]" for name in last),
        "```",
        "",
    ]
