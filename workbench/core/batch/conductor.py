"""Leads one running session: decide, store, then show; dangers first.

Three states of knowledge
-------------------------
`state` is what the journal has confirmed, and the only thing a screen shows
of steps and entries.  `ahead` is what has been decided, stored or not; every
command is decided on it, so an answer never waits for a disk.  Alarms and a
hold are taken from `ahead`: a danger is told through `on_danger` before its
event is even handed to the journal, and a journal that hangs or fails delays
nothing of it.

When the journal fails
----------------------
What it would not take stays in line, in order, and a hold by the program is
put behind it.  `trouble` says what is wrong and stays until `retry` got
everything through.  Meanwhile readings, alarms and the safe action are still
taken (and stand in line); everything else is refused with that sentence.

Clocks
------
`look` and `send` compare the three clocks with the last time: a gap between
the running and the awake clock is a sleep, a step of the wall clock against
the running one is a change of it, and a long silence of the awake clock is a
program that stood still.  Ticks are never counted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from workbench.core.batch import commands as ask
from workbench.core.batch import events as told
from workbench.core.batch.alarms import AlarmDefinition
from workbench.core.batch.asked import Asked, hold_event, stop_burst
from workbench.core.batch.commands import Command, Moment, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.ports import Clock, ClockReading, Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.session import CAUTIOUS, EMPTY, Decided, decide_on, fold
from workbench.core.batch.state import AlarmState, HoldInfo, Phase, SessionState
from workbench.core.trouble import Trouble
from workbench.core.wording import say

SLEPT_S = 1.0  # the running clock gained this much on the awake one
WALL_JUMP_S = 2.0
WALL_DRIFT = 5e-4  # a wall clock that is slewed or a poor crystal, over a long silence
SAME_BOOT_S = 30.0  # without a name for the boot: wall and running clock agree this well

_TAKEN_IN_TROUBLE = (
    ask.ReadTemperature,
    ask.Acknowledge,
    ask.ConfirmSafe,
    ask.Hold,
    ask.LookAgain,
    ask.NoticeClock,
    ask.EndBurst,
)


@dataclass(frozen=True, slots=True)
class Danger:
    """An alarm to be shown and sounded now, before anything is stored."""

    alarm: str  # key
    definition: AlarmDefinition | None
    value: float | None
    limit: float | None
    safe_action: str  # "" or what to do at once


def _ignore(*_: object) -> None:
    pass


class Conductor:
    """One session.  Everything happens in the thread that calls it.

    `on_change(state, events)` follows each confirmed batch of events;
    `on_danger` each alarm that is raised; `on_trouble(trouble)` a journal
    that fails and `on_trouble(None)` one that took everything again.
    """

    def __init__(
        self,
        session_id: str,
        journal: Journal,
        clock: Clock,
        rules: Rules = CAUTIOUS,
        *,
        state: SessionState = EMPTY,
        on_change: Callable[[SessionState, tuple[AnyEvent, ...]], None] = _ignore,
        on_danger: Callable[[Danger], None] = _ignore,
        on_trouble: Callable[[Trouble | None], None] = _ignore,
        stall_after_s: float = 5.0,
    ) -> None:
        self._session_id = session_id
        self._journal = journal
        self._clock = clock
        self._rules = rules
        self._on_change = on_change
        self._on_danger = on_danger
        self._on_trouble = on_trouble
        self._stall_after_s = stall_after_s
        self._state = state
        self._ahead = state
        self._line: list[Decided] = []  # not yet confirmed
        self._appending = False
        self._gone = False  # nobody looks any more
        self._trouble: Trouble | None = None
        self._seen: ClockReading | None = None
        self._zero_s: float | None = None  # the running clock at at_s = 0

    # --- what screens read ---

    @property
    def state(self) -> SessionState:
        """As the journal has it."""
        return self._state

    @property
    def ahead(self) -> SessionState:
        """As decided; may be ahead of what is stored."""
        return self._ahead

    @property
    def alarms(self) -> tuple[AlarmState, ...]:
        """Alarms in force, stored or not, the first of them first."""
        return tuple(self._ahead.alarms.values())

    @property
    def hold(self) -> HoldInfo | None:
        """The hold in force, stored or not."""
        return self._ahead.hold

    @property
    def trouble(self) -> Trouble | None:
        return self._trouble

    @property
    def pending(self) -> bool:
        """Whether something decided is not yet stored."""
        return bool(self._line)

    @property
    def waiting(self) -> tuple[AnyEvent, ...]:
        """What is decided and not yet stored, in order; it follows on `state.seq`."""
        return tuple(event for decided in self._line for event in decided.events)

    @property
    def rules(self) -> Rules:
        return self._rules

    def now_s(self) -> float:
        """Seconds since the session began; 0 before it did and until a session is taken up."""
        return self._moment(self._clock.read()).at_s

    # --- what happens ---

    def send(self, command: Command) -> Refused | None:
        """Take a command; None when it was taken.  It shows in `state` once it is stored."""
        refused = self._not_in_trouble(command)
        if refused is not None:
            return refused
        if self._ahead.phase.live and self._zero_s is None:
            return Refused(
                says=say("This batch was interrupted."), what_to_do=say("Go on with it or end it first.")
            )
        if isinstance(command, ask.ReadTemperature) and command.step == self._state.step_id:
            # the step on the screen may wait for its disk; how hot the jug is never does
            command = replace(command, step=self._ahead.step_id)
        reading = self._clock.read()
        starts = isinstance(command, ask.Start) and self._ahead.phase is Phase.NOT_STARTED
        if starts:
            self._zero_s, self._seen = reading.running_s, reading
        self._notice(reading)  # which may be the first thing that a journal does not take
        refused = self._not_in_trouble(command) or self._take(command, self._moment(reading))
        if starts and refused is not None:
            self._zero_s = None
        return refused

    def _not_in_trouble(self, command: Command) -> Refused | None:
        if self._trouble is None or isinstance(command, _TAKEN_IN_TROUBLE):
            return None
        return Refused(says=self._trouble.says, what_to_do=say("Put that right and try again."))

    def look(self) -> None:
        """A tick: look at the clocks and at what is due.  Call it a few times a second."""
        if not self._ahead.phase.live or self._zero_s is None:
            return
        reading = self._clock.read()
        self._notice(reading)
        self._take(ask.LookAgain(), self._moment(reading))

    def retry(self) -> None:
        """Try again to store what a failing journal would not take."""
        if self._line and not self._appending:
            self._append()

    def let_go(self, lacking: Callable[[Trouble], object] = _ignore) -> None:
        """Nobody looks any more: all that is decided goes to the journal now, in one piece.

        The journal may be closed right after this, so nothing waits for an
        answer to what went before; what it has by then it takes as written.
        Only what it will not take is told, by `lacking`.
        """
        self._on_change = self._on_danger = self._on_trouble = _ignore
        if self._gone or not self._line:
            self._gone = True
            return
        self._gone = True

        def done(trouble: Trouble | None) -> None:
            if trouble is not None:
                lacking(trouble)
                return
            self._line.clear()
            self._state = self._ahead

        self._journal.append(self._session_id, self._state.seq + 1, self.waiting, done)

    def away_s(self) -> float:
        """Seconds since the newest entry of a session that waits to be taken up, by the clock that will count."""
        return _gap(self._ahead, self._clock.read())[0]

    def take_up(self) -> Refused | None:
        """Go on with a session that was folded from its journal, with the time that really passed.

        By the running clock where the computer has not been restarted since,
        else by the wall clock (never less than nothing).  A hot step comes
        back on hold.
        """
        last = self._ahead
        if not last.phase.live or self._zero_s is not None:
            return Refused(says=say("There is nothing to take up here."))
        reading = self._clock.read()
        gap_s, basis = _gap(last, reading)
        self._zero_s = reading.running_s - last.at_s - gap_s
        self._seen = reading
        return self._take(ask.TakeUp(gap_s=gap_s, basis=basis), self._moment(reading))

    # --- inside ---

    def _moment(self, reading: ClockReading) -> Moment:
        at_s = 0.0 if self._zero_s is None else max(0.0, reading.running_s - self._zero_s)
        return Moment(at_s, reading.wall, reading.running_s, reading.boot)

    def _take(self, command: Command, now: Moment) -> Refused | None:
        decided = decide_on(self._ahead, command, now, self._rules)
        if isinstance(decided, Refused):
            return decided
        if decided.events:
            self._put(decided)
            self._append()
        return None

    def _put(self, decided: Decided) -> None:
        self._ahead = decided.after
        self._line.append(decided)
        for event in decided.events:
            if isinstance(event, told.AlarmRaised):
                step = self._ahead.step
                self._on_danger(
                    Danger(
                        event.alarm,
                        self._rules.alarm(event.alarm),
                        event.value,
                        event.limit,
                        "" if step is None else step.safe_action,
                    )
                )

    def _append(self) -> None:
        """Hand the first in line to the journal; one at a time, in order."""
        if self._appending or self._gone or not self._line:
            return
        self._appending = True
        self._journal.append(self._session_id, self._state.seq + 1, self._line[0].events, self._appended)

    def _appended(self, trouble: Trouble | None) -> None:
        self._appending = False
        if self._gone:  # the order that was given last speaks for all
            return
        if trouble is not None:
            self._failed(trouble)
            return
        stored = self._line.pop(0)
        self._state = stored.after  # in order and each once, so what was decided is what stands now
        if self._trouble is not None and not self._line:
            self._trouble = None
            self._on_trouble(None)
        self._on_change(self._state, stored.events)
        self._append()

    def _failed(self, trouble: Trouble) -> None:
        first = self._trouble is None
        self._trouble = trouble
        if first and self._ahead.phase is Phase.RUNNING:
            now = self._moment(self._clock.read())
            asked = Asked(self._ahead, replace(now, at_s=max(now.at_s, self._ahead.at_s)), self._rules)
            events = (*stop_burst(asked), hold_event(asked, trouble.says, "program"))
            self._put(Decided(events, fold(events, self._ahead)))
        self._on_trouble(trouble)

    def _notice(self, reading: ClockReading) -> None:
        """Tell the session of a sleep, a changed wall clock or a stall since the last look."""
        seen, self._seen = self._seen, reading
        if seen is None or not self._ahead.phase.live or self._zero_s is None:
            return
        running_s = reading.running_s - seen.running_s
        awake_s = reading.awake_s - seen.awake_s
        now = self._moment(reading)
        slept_s = running_s - awake_s
        if slept_s > SLEPT_S:
            self._take(ask.NoticeClock(what="slept", seconds=slept_s), now)
        if awake_s > self._stall_after_s:
            self._take(ask.NoticeClock(what="program stood still", seconds=awake_s), now)
        jump_s = (reading.wall - seen.wall).total_seconds() - running_s
        if abs(jump_s) > WALL_JUMP_S + WALL_DRIFT * abs(running_s):
            self._take(ask.NoticeClock(what="wall clock changed", seconds=jump_s), now)
        elif _offset(reading.wall) != _offset(seen.wall):
            moved_s = (_offset(reading.wall) - _offset(seen.wall)).total_seconds()
            self._take(ask.NoticeClock(what="wall clock changed", seconds=moved_s), now)


def _offset(wall: datetime) -> timedelta:
    return wall.utcoffset() or timedelta(0)


def _gap(last: SessionState, now: ClockReading) -> tuple[float, str]:
    """Seconds since the newest event of a session, and by which clock."""
    wall_s = 0.0 if last.wall is None else max(0.0, (now.wall - last.wall).total_seconds())
    anchor = last.anchor
    if anchor is None:
        return wall_s, "wall clock"
    running_s = now.running_s - anchor.running_s - last.at_s
    if now.boot and anchor.boot:
        same = now.boot == anchor.boot and running_s >= 0
    else:
        same = running_s >= 0 and abs(running_s - wall_s) <= SAME_BOOT_S
    return (running_s, "running clock") if same else (wall_s, "wall clock")
